"""The parts a plan has to hold, as the rule in force lists them, beside what a plan holds."""

from __future__ import annotations

from typing import TYPE_CHECKING

import typer

from ledger.cli.common import open_book
from ledger.facts.problems import refuse

if TYPE_CHECKING:
    from ledger.law.loader import Pack


def parts_of(pack: Pack) -> tuple[str, ...]:
    """The contents that a pack's newest plan record lists; none where it has no such record."""
    found: tuple[str, ...] = ()
    for row in pack.blocks.of("papers").values():
        if row["duty"] == "plan" and row["paper"] == "record":
            found = tuple(row["items"])
    return found


def parts_for(book: str, circuit: str) -> tuple[str, ...]:
    """What the packs that bind a circuit ask of its plan, each part once, in their order."""
    from ledger.book.bound import law_of, stories_of
    from ledger.book.reading import Cut, masters_at
    from ledger.cli.answers import name_of

    with open_book(book) as opened, opened.reading() as reader:
        cut = Cut()
        law = law_of(reader, cut)
        name = name_of(reader, "circuit", circuit)
        asked: dict[str, None] = {}
        for story in stories_of(reader, cut, law, masters_at(reader, cut), [name]):
            bound = {
                one.pack
                for part in story.history.scope[-1:]
                for one in part.bindings
                if one.binds in ("yes", "undecided", "unknown")
            }
            for pack in law.packs:
                if pack.name in bound:
                    asked.update(dict.fromkeys(parts_of(pack)))
        return tuple(asked)


def chosen(book: str, circuit: str, typed: list[str]) -> list[str]:
    """The parts named by number or as `all`; refused with the list where one is no part."""
    if not typed:
        return []
    asked = parts_for(book, circuit)
    if typed == ["all"]:
        return list(asked)
    held = []
    for one in typed:
        if not one.isdigit() or not 0 < int(one) <= len(asked):
            told = "; ".join(f"{place} {part}" for place, part in enumerate(asked, 1))
            raise refuse("value-unclear", f'"{one}" is no part of a plan for {circuit}.',
                         f"Parts: {told or 'no rule that binds it lists any'}.")  # fmt: skip
        held.append(asked[int(one) - 1])
    return held


def tell_contents(book: str, circuit: str, held: list[str], signed: bool) -> None:
    """What the rules ask of a plan that it is not said to hold."""
    asked = parts_for(book, circuit)
    lacking = [f"{place} {part}" for place, part in enumerate(asked, 1) if part not in held]
    if lacking:
        typer.echo(f"Not said to be in the plan (--holds): {'; '.join(lacking)}.")
    if asked and not signed:
        typer.echo("Not said to be signed (--signed): the rules ask for a signed and dated plan.")
