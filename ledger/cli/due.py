"""Commands that say what the law asks: due, case, preview, binds."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Annotated

import typer

from ledger.cli.answers import Owner, Since, Site, Until, cut_of, name_of, put_table
from ledger.cli.answers import day as iso_day
from ledger.cli.common import (
    AsCsv,
    AsJson,
    AsOf,
    AsXlsx,
    BookOption,
    Explain,
    KnownAt,
    good,
    now,
    open_book,
)
from ledger.cli.movements import Circuit, On, Unit
from ledger.cli.output import tell
from ledger.facts.problems import refuse

if TYPE_CHECKING:
    from collections.abc import Sequence

    from ledger.answers.due_list import Line
    from ledger.answers.scope_gaps import ScopeGap
    from ledger.book.cut import Cut
    from ledger.book.journal import Book
    from ledger.book.reader import Reader
    from ledger.reports.due_table import Wanted
    from ledger.reports.table import Table

WHO = ("owner", "contractor", "technician", "seller")


def register(app: typer.Typer) -> None:
    """Put the commands on the app."""
    for command in (due, case, preview, binds):
        app.command()(command)


def _day(book: Book, text: str) -> date:
    """A day as typed; today in the shop's zone where nothing was."""
    from ledger.facts.calendar import local_date

    return date.fromisoformat(iso_day(text)) if text else local_date(now(), book.zone)


def _then(reader: Reader, book: Book, as_of: date, known_at: str) -> Cut | None:
    """What was known on a past day that is asked for; None for today or another knowledge."""
    from ledger.facts.calendar import local_date

    if known_at or as_of >= local_date(now(), book.zone):
        return None
    return cut_of(reader, "", as_of.isoformat())


def due(
    as_of: AsOf = "", known_at: KnownAt = "",
    circuit: Annotated[str, typer.Option("--circuit", help="Only this unit or circuit.")] = "",
    site: Site = "", owner: Owner = "",
    technician: Annotated[
        str, typer.Option("--technician", help="Only where this person did the last work.")
    ] = "",
    rules: Annotated[
        str, typer.Option("--rules", help="Only these rules: 82, 84, California, federal ...")
    ] = "",
    who: Annotated[str, typer.Option("--who", help="Only what these owe: owner, contractor.")] = "",
    since: Since = "", until: Until = "",
    every: Annotated[
        bool, typer.Option("--all", help="Also what is done, lapsed or superseded.")
    ] = False,
    ics: Annotated[str, typer.Option("--ics", help="Write a calendar file (iCalendar).")] = "",
    explain: Explain = False, as_json: AsJson = False, as_csv: AsCsv = False,
    as_xlsx: AsXlsx = "", book: BookOption = "",
) -> None:  # fmt: skip
    """What is due by when, overdue first: on a past day both as known then and as known now."""
    from ledger.reports.due_table import Wanted, brief, due_table, packs_named

    if who and who not in WHO:
        raise refuse("value-unclear", f'--who is "{who}".', f"Write {', '.join(WHO)}.")
    with open_book(book) as opened, opened.reading() as reader:
        day = _day(opened, as_of)
        if rules:
            from ledger.book.bound import law_of
            from ledger.book.reading import Cut as Cut_

            law = law_of(reader, Cut_())
            if not packs_named(law, rules):
                names = ", ".join(pack.name for pack in law.packs)
                raise refuse(
                    "value-unclear", f'No rules are called "{rules}".', f"There are {names}."
                )
        wanted = Wanted(
            day,
            name_of(reader, "circuit", circuit) if circuit else "",
            name_of(reader, "site", site) if site else "",
            name_of(reader, "party", owner) if owner else "",
            name_of(reader, "person", technician) if technician else "",
            rules, who, iso_day(since) if since else "", iso_day(until) if until else "", every,
        )  # fmt: skip
        cut = cut_of(reader, "", known_at)
        table, workings, lines = due_table(
            reader, cut, wanted, _then(reader, opened, day, known_at)
        )
        if ics:
            _calendar(ics, lines, opened)
            return
        if as_xlsx and not (as_json or as_csv):
            _workbook(as_xlsx, table, lines, opened, _gaps(reader, cut, day, wanted))
            return
        plain = not (as_json or as_csv or as_xlsx)
        put_table(brief(table) if plain else table, opened, as_json, as_csv, as_xlsx)
        if explain and not as_json:
            for working in workings():
                typer.echo("\n".join(working.to_lines()))
        if plain:
            _open_scopes(_gaps(reader, cut, day, wanted))


def _calendar(path: str, lines: Sequence[Line], book: Book) -> None:
    from pathlib import Path

    from ledger.reports.calendar_out import calendar
    from ledger.reports.workbook import drafted

    content = calendar(lines, book.book_id, now())
    with drafted(Path(path)) as draft:
        draft.write_bytes(content)
    typer.echo(f"Wrote {path}.")


def _gaps(reader: Reader, cut: Cut, day: date, wanted: Wanted) -> list[ScopeGap]:
    """Where it is open whether a rule binds, of the circuits that were asked for."""
    from ledger.reports.binds_table import binds_table
    from ledger.reports.due_table import circuits_wanted

    _, gaps = binds_table(reader, cut, day, circuits_wanted(reader, cut, wanted), True)
    return gaps


def _workbook(
    path: str, table: Table, lines: Sequence[Line], book: Book, gaps: Sequence[ScopeGap]
) -> None:
    from pathlib import Path

    from ledger.reports.definitions import load
    from ledger.reports.due_sheets import due_sheets
    from ledger.reports.workbook import write_workbook

    sheets = due_sheets(table, lines, gaps)
    write_workbook(load("due-list"), sheets, Path(path), {"name": book.name})
    typer.echo(f"Wrote {path}.")


def _open_scopes(gaps: Sequence[ScopeGap]) -> None:
    """A line on the circuits of which it is open whether a rule binds."""
    circuits = list(dict.fromkeys(gap.circuit for gap in gaps))
    if circuits:
        some = ", ".join(circuits[:6])
        more = f" and {len(circuits) - 6} more" if len(circuits) > 6 else ""
        tell([f"Open whether a rule binds: {some}{more}; see tarebook binds --open"])


def case(
    circuit: Circuit, as_of: AsOf = "", known_at: KnownAt = "", explain: Explain = False,
    as_json: AsJson = False, as_csv: AsCsv = False, as_xlsx: AsXlsx = "", book: BookOption = "",
) -> None:  # fmt: skip
    """The repair cases of a circuit as a story: what happened, what it led to, what is open."""
    from ledger.reports.case_story import case_table

    with open_book(book) as opened, opened.reading() as reader:
        day = _day(opened, as_of)
        name = name_of(reader, "circuit", circuit)
        found = case_table(reader, cut_of(reader, "", known_at), name, day)
        if found is None:
            raise refuse("unknown-id", f'Nothing is recorded of "{circuit}".', "Check the name.")
        table, text, workings = found
        if as_json or as_csv or as_xlsx:
            put_table(table, opened, as_json, as_csv, as_xlsx)
        else:
            tell(text)
        if explain and not as_json:
            for working in workings:
                typer.echo("\n".join(working.to_lines()))


def preview(
    circuit: Circuit, amount: Annotated[str, typer.Argument(help="Pounds to be added.")],
    on: On = "", unit: Unit = "lb", explain: Explain = False, book: BookOption = "",
) -> None:  # fmt: skip
    """What an addition would lead to: the leak rate, the clocks it would start. Writes nothing."""
    from ledger.intake.fields import read_mass
    from ledger.reports.preview import preview_lines

    net = good(read_mass(amount, unit))
    if net.mass <= 0:
        raise refuse(
            "amount-not-positive", f"The amount is {net.written}.", "Give an amount above zero."
        )
    with open_book(book) as opened, opened.reading() as reader:
        name = name_of(reader, "circuit", circuit)
        lines = preview_lines(reader, name, net, _day(opened, on), explain)
        tell(lines)


def binds(
    circuits: Annotated[list[str], typer.Argument(help="Units or circuits; all if none.")] = [],  # noqa: B006
    on: On = "", known_at: KnownAt = "",
    gaps: Annotated[
        bool, typer.Option("--open", help="Only where it is open, with both consequences.")
    ] = False,
    as_json: AsJson = False, as_csv: AsCsv = False, as_xlsx: AsXlsx = "", book: BookOption = "",
) -> None:  # fmt: skip
    """Which rules bind a circuit on a day, by which limb, and what settles what is open."""
    from ledger.reports.binds_table import binds_table

    with open_book(book) as opened, opened.reading() as reader:
        names = [name_of(reader, "circuit", one) for one in circuits] or None
        cut = cut_of(reader, "", known_at)
        table, found = binds_table(reader, cut, _day(opened, on), names, gaps)
        if gaps and not (as_json or as_csv or as_xlsx):
            tell([table.answer, *(line for gap in found for line in gap.lines())])
            return
        put_table(table, opened, as_json, as_csv, as_xlsx)
