"""Commands about the rules the program computes with: list, show, compare, check, override."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ledger.cli.common import (
    DEFAULT_BOOK,
    AsCsv,
    AsJson,
    AsXlsx,
    BookOption,
    DryRun,
    Key,
    Writing,
    headline,
    new_key,
    now,
    open_book,
    write,
)
from ledger.facts.problems import Refused, refuse

if TYPE_CHECKING:
    from collections.abc import Sequence

    from ledger.book.known import BookKnown
    from ledger.book.record import Outcome, Recorder
    from ledger.facts.entry import Draft
    from ledger.law.loader import Pack
    from ledger.law.overrides import Override
    from ledger.reports.table import Table

PackName = Annotated[
    str, typer.Option("--pack", help="Only this pack, us-federal-84c; all if left out.")
]
On = Annotated[str, typer.Option("--on", help="The day the values are for; today if left out.")]


def register(app: typer.Typer) -> None:
    """Put the group of commands on the app."""
    group = typer.Typer(
        no_args_is_help=True,
        help="The rules the program computes with: dated, cited, marked. The official text decides.",
    )
    group.command("list")(listed)
    for command in (show, compare, check, override):
        group.command()(command)
    app.add_typer(group, name="rules")


def listed(
    pack: PackName = "", on: On = "",
    as_json: AsJson = False, as_csv: AsCsv = False, as_xlsx: AsXlsx = "", book: BookOption = "",
) -> None:  # fmt: skip
    """Every rule with its value in force on a day."""
    from ledger.law.listing import in_force
    from ledger.reports.rules_table import rules_table

    packs, day = _packs(pack, book), _day(on)
    _put(rules_table(packs, in_force(packs, day), day), as_json, as_csv, as_xlsx)


def show(
    name: Annotated[str, typer.Argument(help="Rule as listed, repair-days or PACK/repair-days.")],
    as_json: AsJson = False, as_csv: AsCsv = False, as_xlsx: AsXlsx = "", book: BookOption = "",
) -> None:  # fmt: skip
    """One rule with its history: every value, its paragraph, its mark, and why."""
    from ledger.law.listing import history
    from ledger.reports.rules_table import history_table

    name = name.strip().casefold().replace("_", "-")
    packs = [pack for pack in _packs("", book) if name.removeprefix(f"{pack.name}/") in pack.rules]
    if not packs:
        raise _no_rule(name)
    _put(history_table(packs, name, history(packs, name)), as_json, as_csv, as_xlsx)


def compare(
    one: Annotated[str, typer.Argument(metavar="DAY", help="A day, 2018-12-31.")],
    other: Annotated[str, typer.Argument(metavar="DAY", help="Another, 2019-01-01.")],
    pack: PackName = "",
    as_json: AsJson = False, as_csv: AsCsv = False, as_xlsx: AsXlsx = "", book: BookOption = "",
) -> None:  # fmt: skip
    """What the rules say on one day and on another, where that is not the same."""
    from ledger.law.listing import compared
    from ledger.reports.rules_table import compared_table

    packs, first, second = _packs(pack, book), _day(one), _day(other)
    table = compared_table(packs, compared(packs, first, second), first, second)
    _put(table, as_json, as_csv, as_xlsx)


def check(
    pack: PackName = "", on: On = "",
    as_json: AsJson = False, as_csv: AsCsv = False, as_xlsx: AsXlsx = "", book: BookOption = "",
) -> None:  # fmt: skip
    """Every value that was not read in the official text and is to be checked against it."""
    from ledger.law.listing import to_check
    from ledger.reports.rules_table import check_table

    packs = _packs(pack, book)
    found = to_check(packs, _day(on) if on else None)
    _put(check_table(packs, found), as_json, as_csv, as_xlsx)


def override(
    name: Annotated[str, typer.Argument(help="Rule that is a reading, net-same-event.")],
    value: Annotated[str, typer.Argument(help="One of its choices; rules show NAME lists them.")],
    because: Annotated[str, typer.Option("--because", help="Why; needed.")] = "",
    dry_run: DryRun = False, key: Key = "", book: BookOption = "",
) -> None:  # fmt: skip
    """Choose this book's own reading where the text is silent; reverse the entry to undo it."""
    from ledger.facts.entry import Draft
    from ledger.facts.facts import Setting
    from ledger.law.for_rates import NET_SAME_EVENT

    if not because.strip():
        raise refuse(
            "reason-missing", "A reading of your own needs its reason.",
            'Add --because "what was found or agreed".',
        )  # fmt: skip
    name = name.strip().casefold().replace("_", "-")
    reached = _reached(name, value)

    def draft(known: BookKnown) -> Draft:
        today = known.today(known.shop_zone())
        fact = Setting("interpretation", name, value.strip().casefold(), because.strip())
        return Draft(new_key(key), "rules override", today, (fact,))

    def tell(recorder: Recorder, outcome: Outcome) -> None:
        headline(outcome, dry_run, f"{name} is {value.strip().casefold()} in this book")
        typer.echo(f"It reaches {', '.join(reached)}.")
        typer.echo(
            "Every leak rate that leans on it says so."
            if name == NET_SAME_EVENT
            else "No figure of this release leans on it yet."
        )

    write(Writing(book, key, dry_run), draft, tell)


def _reached(name: str, value: str) -> tuple[str, ...]:
    """The rules an override would reach; refused where it could reach none."""
    from ledger.law.for_rates import law_for_rates
    from ledger.law.loader import RuleError
    from ledger.law.overrides import Override
    from ledger.law.overrides import check as checked

    packs = _packs("", "", overridden=False)
    if not any(name.removeprefix(f"{pack.name}/") in pack.rules for pack in packs):
        raise _no_rule(name)
    try:
        one = Override(name, value)
        law_for_rates([one])
        return checked(packs, one)
    except RuleError as wrong:
        raise refuse(
            "value-unclear", f'"{value}" cannot be chosen: {wrong}',
            f"See tarebook rules show {name.rpartition('/')[2]}.",
        ) from None  # fmt: skip


def _no_rule(name: str) -> Refused:
    from difflib import get_close_matches

    names = {rule for pack in _packs("", "", overridden=False) for rule in pack.rules}
    near = ", ".join(get_close_matches(name.rpartition("/")[2], sorted(names), 3)) or "none"
    return refuse(
        "unknown-id", f'"{name}" is no rule.', f"Near: {near}. See all with tarebook rules list."
    )


def _packs(wanted: str, book: str, overridden: bool = True) -> Sequence[Pack]:
    """The packs asked for, with the readings of the book where there is one."""
    from ledger.law.loader import SHIPPED, load_pack
    from ledger.law.overrides import with_overrides

    if wanted and wanted not in SHIPPED:
        raise refuse("value-unclear", f'"{wanted}" is no pack.', f"Choose {', '.join(SHIPPED)}.")
    packs = [load_pack(name) for name in ([wanted] if wanted else SHIPPED)]
    chosen = _overrides(book) if overridden else ()
    return [with_overrides(pack, chosen) for pack in packs]


def _overrides(book: str) -> tuple[Override, ...]:
    """The readings of a book; none where no book is named and none lies here."""
    if not book and not Path(DEFAULT_BOOK).is_file():
        return ()
    from ledger.book.cut import Cut
    from ledger.book.readings import overrides_of

    with open_book(book) as opened, opened.reading() as reader:
        return overrides_of(reader, Cut())


def _day(text: str) -> date:
    from ledger.cli.answers import day

    return date.fromisoformat(day(text)) if text else now().date()


def _put(table: Table, as_json: bool, as_csv: bool, as_xlsx: str) -> None:
    from ledger.cli.output import Output, put

    put(table, Output(as_json, as_csv, as_xlsx), "UTC", dated_as_of=False)
