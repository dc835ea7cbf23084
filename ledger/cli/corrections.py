"""Commands that correct and look up entries: reverse (and replace), show, find."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Annotated, Any

import typer

from ledger.cli.common import (
    AsCsv,
    AsJson,
    AsXlsx,
    BookOption,
    DryRun,
    Key,
    Provisional,
    Writing,
    entry_of,
    good,
    headline,
    new_key,
    open_book,
    write,
)
from ledger.facts.problems import refuse

if TYPE_CHECKING:
    from ledger.book.known import BookKnown
    from ledger.book.reader import Reader
    from ledger.book.record import Outcome, Recorder
    from ledger.facts.entry import Draft, Entry
    from ledger.facts.facts import Fact, Movement, Receipt


def register(app: typer.Typer) -> None:
    """Put the commands on the app."""
    for command in (reverse, show, find):
        app.command()(command)


def reverse(
    entry: Annotated[int, typer.Argument(help="Entry number.")],
    lines: Annotated[
        list[int], typer.Option("--line", help="Line to reverse (1 is the first); all if left out.")
    ] = [],  # noqa: B006
    because: Annotated[str, typer.Option("--because", help="Why; needed.")] = "",
    circuit: Annotated[str, typer.Option("--circuit", help="Record it again on this circuit.")] = "",
    cylinder: Annotated[str, typer.Option("--cylinder", help="... with this cylinder.")] = "",
    amount: Annotated[str, typer.Option("--amount", help="... with this amount.")] = "",
    on: Annotated[str, typer.Option("--on", help="... on this day.")] = "",
    claim: Annotated[str, typer.Option("--as", help="... as new charge, post-retrofit, seasonal, mothballing, none.")] = "",
    dry_run: DryRun = False, provisional: Provisional = False, key: Key = "", book: BookOption = "",
) -> None:  # fmt: skip
    """Take an entry back, and record it again with what was wrong put right."""
    with open_book(book) as opened, opened.reading() as reader:
        target = entry_of(reader, entry)
    changes = {"circuit": circuit, "cylinder": cylinder, "amount": amount, "claim": claim, "on": on}

    def draft(known: BookKnown) -> Draft:
        chosen = tuple(line - 1 for line in dict.fromkeys(lines)) or _lines_of(
            known, target, any(changes.values())
        )
        return _correction(known, target, chosen, because, changes, key)

    def tell(recorder: Recorder, outcome: Outcome) -> None:
        from ledger.cli.after import tell_correction
        from ledger.reports.words import facts_in_words

        headline(outcome, dry_run, facts_in_words(outcome.draft.facts))
        tell_correction(recorder, outcome, target)

    write(Writing(book, key, dry_run, "", provisional), draft, tell)


def _correction(
    known: BookKnown, target: Entry, lines: tuple[int, ...], because: str,
    changes: dict[str, str], key: str,
) -> Draft:  # fmt: skip
    from ledger.cli.movements import day_of
    from ledger.facts.entry import Draft
    from ledger.facts.facts import Reversal

    facts: list[Fact] = [Reversal(target.number, lines, because)]
    day = known.today(known.shop_zone())
    if not any(changes.values()):
        return Draft(new_key(key), "reverse", day, tuple(facts))
    recorded = target.facts()
    taken = [recorded[line] for line in lines if 0 <= line < len(recorded)]
    main = [fact for fact in taken if _is_main(fact)]
    if len(main) != 1:
        raise refuse("option-unfit", f"{len(main)} movements would be recorded again; one can be.",
                     "Name it with --line, or reverse first and record again.")  # fmt: skip
    day = day_of(known, changes["on"]) if changes["on"] else target.occurred_on
    again = _again(main[0], changes)
    facts += [again if fact is main[0] else _beside(fact, main[0], again, target.occurred_on, day)
              for fact in taken if fact is main[0] or _is_beside(fact)]  # fmt: skip
    content = target.content()
    return Draft(
        new_key(key), "correct", day, tuple(facts), target.person,
        target.occurred_time if not changes["on"] else "", ticket=content.get("ticket", ""),
        note=content.get("note", ""), supervisor=content.get("supervisor", ""),
    )  # fmt: skip


def _lines_of(known: BookKnown, target: Entry, again: bool) -> tuple[int, ...]:
    """The lines of an entry that stand; where it is recorded again, without what it began.

    A correction is taken back without the reversal in it, which stays. Where no line is left,
    all: the book then tells what took them back.
    """
    from ledger.facts.facts import Reversal

    facts = target.facts()
    gone = known.reversed_lines(target.number)
    ours = [line for line, fact in enumerate(facts) if not isinstance(fact, Reversal)]
    standing = [line for line in ours if line not in gone]
    if again:
        standing = [line for line in standing if not getattr(facts[line], "new", "")]
    return tuple(standing or ours or range(len(facts)))


def _is_main(fact: Fact) -> bool:
    """What one entry records, as against what goes along with it."""
    from ledger.facts.facts import Attempt, Movement, UnknownAddition, Weighing

    if isinstance(fact, Movement):
        return fact.purpose != "difference"
    return isinstance(fact, (Attempt, UnknownAddition, Weighing))


def _is_beside(fact: Fact) -> bool:
    """What is recorded again with a movement; what the book added is added anew."""
    from ledger.facts.facts import Described, Receipt, SameLeak

    described = isinstance(fact, Described) and not fact.new and not fact.although
    return described or isinstance(fact, (Receipt, SameLeak))


def _beside(fact: Fact, before: Fact, after: Fact, was: str, day: str) -> Fact:
    """A fact that goes along, with the circuit, cylinder and day of the corrected one."""
    from ledger.facts.facts import Described, Receipt, SameLeak

    names = dict(zip(_names(before), _names(after), strict=True))

    def now(kind: str, name: str) -> str:
        return names.get(f"{kind}:{name}", f"{kind}:{name}").partition(":")[2]

    if isinstance(fact, SameLeak):
        return replace(fact, circuit=now("circuit", fact.circuit))
    if isinstance(fact, Receipt):
        return replace(fact, cylinder=now("cylinder", fact.cylinder))
    if isinstance(fact, Described):
        since = day if fact.since == was else fact.since
        return replace(fact, since=since, name=now(fact.kind, fact.name))
    return fact


def _names(fact: Fact) -> list[str]:
    """Holders and what else a fact names, in a fixed order."""
    from ledger.facts.facts import Movement

    if isinstance(fact, Movement):
        return [fact.source, fact.target]
    return [f"{kind}:{getattr(fact, kind, '')}" for kind in ("circuit", "cylinder")]


def _again(fact: Fact, changes: dict[str, str]) -> Fact:
    """The fact with what was wrong put right; derived members are derived anew."""
    from ledger.facts.facts import Movement
    from ledger.intake.fields import read_mass

    if isinstance(fact, Movement):
        return _again_moved(fact, changes)
    parts: dict[str, Any] = {}
    members = {"circuit": "circuit", "cylinder": "cylinder", "amount": "gross"}
    for change in ("circuit", "cylinder", "amount", "claim"):
        if not changes[change]:
            continue
        member = members.get(change, change)
        if not hasattr(fact, member):
            raise refuse("option-unfit", f"There is no {change} to put right in this entry.",
                         "Reverse it, and record it again as a new entry.")  # fmt: skip
        text = changes[change]
        parts[member] = good(read_mass(text)) if change == "amount" else text
    if hasattr(fact, "although"):
        parts |= {"because": "", "although": ()}
    return replace(fact, **parts)


def _again_moved(move: Movement, changes: dict[str, str]) -> Movement:
    from ledger.facts.facts import Evidence, holder
    from ledger.facts.verbs import CLAIMS
    from ledger.intake.fields import read_mass

    parts: dict[str, Any] = {"because": "", "although": ()}
    if move.purpose in ("addition", "transfer", "shipment", "return", "heel", "recovery"):
        parts |= {"stock": "", "owner": ""}
    for what, prefix in (("circuit", "circuit:"), ("cylinder", "cylinder:")):
        if not changes[what]:
            continue
        sides = [side for side in ("source", "target") if getattr(move, side).startswith(prefix)]
        if what == "cylinder" and not sides:
            sides = [s for s in ("source", "target") if getattr(move, s).startswith("difference:")]
        if len(sides) != 1:
            raise refuse("option-unfit", f"The movement has {len(sides)} {what}s.",
                         "Reverse it, and record it again as a new entry.")  # fmt: skip
        parts[sides[0]] = holder(what, changes[what])
    if changes["amount"]:
        parts["mass"] = good(read_mass(changes["amount"]))
        parts["evidence"] = Evidence("net")
    if changes["claim"]:
        if changes["claim"] not in (*CLAIMS, "none"):
            raise refuse("value-unclear", f'"{changes["claim"]}" is no reason.',
                         f"Choose {', '.join(CLAIMS)} or none.")  # fmt: skip
        parts["claim"] = "" if changes["claim"] == "none" else changes["claim"]
    return replace(move, **parts)


def show(
    entry: Annotated[int, typer.Argument(help="Entry number.")], as_json: AsJson = False,
    book: BookOption = "",
) -> None:  # fmt: skip
    """Show one entry: who, when, every line, and what became of it."""
    with open_book(book) as opened, opened.reading() as reader:
        found = entry_of(reader, entry)
        if as_json:
            _show_json(reader, found)
        else:
            _show(reader, found)


def _show_json(reader: Reader, entry: Entry) -> None:
    import json
    from dataclasses import asdict

    members = asdict(entry) | {"body": entry.content()}
    members["reversed_lines"] = [
        {"line": line + 1, "by": by} for line, by in reader.reversed_lines(entry.number)
    ]
    typer.echo(json.dumps(members, ensure_ascii=False, indent=2))


def _show(reader: Reader, entry: Entry) -> None:
    from ledger.facts.facts import Movement, Receipt
    from ledger.facts.visit import Visit
    from ledger.reports.visit_words import visit_lines
    from ledger.reports.words import in_words

    content = entry.content()
    gone = dict(reader.reversed_lines(entry.number))
    when = f"{entry.occurred_on} {entry.occurred_time}".strip()
    typer.echo(f"Entry {entry.number}: {content['verb']}, {when} ({entry.zone})")
    who = f"Done by {entry.person}. " if entry.person else "Nobody is named as having done it. "
    typer.echo(f"{who}Recorded {entry.recorded_at} by {entry.actor}.")
    for label in ("supervisor", "ticket", "note", "source"):
        if content.get(label):
            typer.echo(f"{label.capitalize()}: {content[label]}")
    for line, fact in enumerate(entry.facts()):
        taken = f"  [reversed by entry {gone[line]}]" if line in gone else ""
        typer.echo(f"  {line + 1}. {in_words(fact)}{taken}")
        if isinstance(fact, Movement):
            _evidence(fact)
        if isinstance(fact, Visit):
            for told in visit_lines(fact):
                typer.echo(f"     {told}")
        if isinstance(fact, Receipt):
            typer.echo(f"     {_paper(fact)}")
        if getattr(fact, "although", ()):
            why = getattr(fact, "because", "") or getattr(fact, "why", "")
            typer.echo(f"     recorded although: {', '.join(fact.although)}; because: {why}")  # type: ignore[union-attr]
    typer.echo(f"Digest {entry.digest}")


def _paper(fact: Receipt) -> str:
    """The invoice, money and batch behind what was received."""
    parts = [f"invoice {fact.invoice or 'not given'}"]
    for what, cents in (("price of a pound", fact.price_cents), ("deposit", fact.deposit_cents)):
        if cents:
            parts.append(f"{what} ${cents // 100:,}.{cents % 100:02d}")
    parts.append(f"batch {fact.batch or 'none'}")
    return ", ".join([*parts, *([f"reclaimed by {fact.reclaimer}"] if fact.reclaimer else []),
                      *([f"{fact.virgin_percent} % virgin"] if fact.virgin_percent else [])])  # fmt: skip


def _evidence(fact: Movement) -> None:
    how = fact.evidence
    if how is None:
        return
    scale = f" on scale {how.scale}" if how.scale else ""
    if how.before and how.after:
        typer.echo(f"     gross {how.before.written} before, {how.after.written} after{scale}")
    elif how.readings:
        typer.echo(f"     gross {', '.join(one.written for one in how.readings)}{scale}")
    else:
        words = {"net": "only the net is known (weaker evidence)", "nominal": "by label, sealed",
                 "stated": "as stated, not weighed"}  # fmt: skip
        typer.echo(f"     {words.get(how.how, how.how)}{scale}")
    if fact.owner:
        typer.echo(f"     owner of the refrigerant: {fact.owner}")


def find(
    text: Annotated[str, typer.Argument(help="Part of a name, ticket, person, day or note.")] = "",
    since: Annotated[str, typer.Option("--from", help="First day.")] = "",
    until: Annotated[str, typer.Option("--to", help="Last day.")] = "",
    most: Annotated[int, typer.Option("--most", min=1, max=100_000, help="Rows at the most.")] = 50,
    as_json: AsJson = False, as_csv: AsCsv = False, as_xlsx: AsXlsx = "", book: BookOption = "",
) -> None:  # fmt: skip
    """Find entries by what is written in them."""
    from ledger.cli.lookup import find_entries
    from ledger.cli.output import Output, put
    from ledger.intake.fields import read_day

    with open_book(book) as opened, opened.reading() as reader:
        first, last = (good(read_day(day)) if day else "" for day in (since, until))
        found = find_entries(reader, text, first, last, most)
        put(found, Output(as_json, as_csv, as_xlsx), opened.zone)
