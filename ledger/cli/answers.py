"""Commands that answer: balance, rates, history, cylinders, pounds, list."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

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
from ledger.facts.problems import refuse

if TYPE_CHECKING:
    from collections.abc import Mapping

    from ledger.book.cut import Cut
    from ledger.book.journal import Book
    from ledger.book.reader import Reader
    from ledger.reports.table import Table

PLURALS = {"people": "person", "parties": "party", "customers": "party", "suppliers": "party"}
"""Words for kinds that are not made by taking an s away."""

Site = Annotated[str, typer.Option("--site", help="Only this site.")]
Owner = Annotated[str, typer.Option("--owner", help="Only this owner.")]
Refrigerant = Annotated[str, typer.Option("--refrigerant", "-r", help="Only this refrigerant.")]
Place = Annotated[str, typer.Option("--place", help="Only cylinders at this place.")]
Since = Annotated[str, typer.Option("--from", help="First day.")]
Until = Annotated[str, typer.Option("--to", help="Last day.")]


def register(app: typer.Typer) -> None:
    """Put the commands on the app."""
    for command in (balance, rates, history, cylinders, pounds):
        app.command()(command)
    app.command("list")(list_masters)


def cut_of(reader: Reader, as_of: str, known_at: str) -> Cut:
    """The two times of an answer from what was typed: a day, and an entry number or a day."""
    from ledger.book.cut import Cut, known_by
    from ledger.intake.fields import read_day

    day = good(read_day(as_of)) if as_of else ""
    if not known_at:
        return Cut(day)
    if known_at.isascii() and known_at.isdigit() and len(known_at) < 8:
        last = reader.head()[0]
        if not 0 < int(known_at) <= last:
            raise refuse("no-such-entry", f"Entry {known_at} is not in this book (the last is {last}).",
                         "Give the number of an entry, or a day.")  # fmt: skip
        return Cut(day, int(known_at))
    return Cut(day, known_by(reader, _end_of(reader, good(read_day(known_at)))))


def _end_of(reader: Reader, day: str) -> str:
    """The last moment of a day in the shop's zone, as entries record their moment."""
    from datetime import date, datetime, time, timedelta
    from zoneinfo import ZoneInfo

    from ledger.book.inside import latest_settings
    from ledger.book.journal import utc_text

    zone = ZoneInfo(latest_settings(reader.connection).get("zone") or "UTC")
    next_day = datetime.combine(date.fromisoformat(day) + timedelta(days=1), time(), zone)
    return utc_text(next_day - timedelta(microseconds=1))


def name_of(reader: Reader, kind: str, name: str) -> str:
    """The book's name for what was typed, or the refusal with near matches."""
    from ledger.book.known import BookKnown
    from ledger.facts.problems import Refused
    from ledger.facts.resolve import Resolver

    resolver = Resolver(BookKnown(reader.connection, now(), "UTC"), False, looking=True)
    found = resolver.name(kind, name)
    if resolver.problems:
        raise Refused(resolver.problems)
    return found


def refrigerant_name(reader: Reader, text: str) -> str:
    """A refrigerant as typed, as the register writes it; empty stays empty."""
    from ledger.book.known import BookKnown
    from ledger.intake.fields import read_refrigerant

    if not text:
        return ""
    known = BookKnown(reader.connection, now(), "UTC")
    return good(read_refrigerant(text, known.settings("refrigerant name")))


def put_table(table: Table, book: Book, as_json: bool, as_csv: bool, as_xlsx: str) -> None:
    """Hand a table over in the form asked for, dated in the shop's zone."""
    from ledger.cli.output import Output, put

    put(table, Output(as_json, as_csv, as_xlsx), book.zone)


def balance(
    by: Annotated[
        list[str],
        typer.Option(
            "--by",
            help="cylinder, place, refrigerant, stock, owner; circuit, site; party; year, quarter,"
            " month. Repeat for more.",
        ),
    ] = [],  # noqa: B006
    site: Site = "", owner: Owner = "", refrigerant: Refrigerant = "", place: Place = "",
    stock: Annotated[str, typer.Option("--stock", help="Only this stock kind.")] = "",
    since: Since = "", until: Until = "", as_of: AsOf = "", known_at: KnownAt = "",
    explain: Explain = False, as_json: AsJson = False, as_csv: AsCsv = False,
    as_xlsx: AsXlsx = "", book: BookOption = "",
) -> None:  # fmt: skip
    """What is where: pounds by cylinder, place, refrigerant, stock kind or owner; net added by circuit."""
    from ledger.cli.stock import stock_kind
    from ledger.reports.balance_table import balance_table

    with open_book(book) as opened, opened.reading() as reader:
        filters = {
            "site": name_of(reader, "site", site) if site else "",
            "owner": name_of(reader, "party", owner) if owner else "",
            "refrigerant": refrigerant_name(reader, refrigerant),
            "place": place_name(reader, place),
            "stock": stock_kind(stock) if stock else "",
        }
        table, workings = balance_table(
            reader, cut_of(reader, as_of, known_at), tuple(dict.fromkeys(by)) or ("refrigerant", "stock"),
            filters, day(since), day(until),
        )  # fmt: skip
        put_table(table, opened, as_json, as_csv, as_xlsx)
        if explain and not (as_json or as_csv):
            for working in workings():
                typer.echo("\n".join(("", *working.to_lines())))


def day(text: str) -> str:
    """A day as typed, as an ISO date; empty stays empty."""
    from ledger.intake.fields import read_day

    return good(read_day(text)) if text else ""


def place_name(reader: Reader, text: str) -> str:
    """A place, site or party as the book writes it; empty stays empty."""
    from ledger.book.known import BookKnown
    from ledger.facts.problems import Refused
    from ledger.facts.resolve import Resolver

    if not text:
        return ""
    resolver = Resolver(BookKnown(reader.connection, now(), "UTC"), False, looking=True)
    found = resolver.place(text)
    if resolver.problems:
        raise Refused(resolver.problems)
    return found


def rates(
    circuit: Annotated[str, typer.Argument(help="Unit or circuit; all if left out.")] = "",
    over: Annotated[bool, typer.Option("--over", help="Only rates over their trigger.")] = False,
    latest: Annotated[bool, typer.Option("--latest", help="Only the last rate of each circuit.")] = False,
    site: Site = "", owner: Owner = "", refrigerant: Refrigerant = "", since: Since = "",
    until: Until = "", as_of: AsOf = "", known_at: KnownAt = "", explain: Explain = False,
    as_json: AsJson = False, as_csv: AsCsv = False, as_xlsx: AsXlsx = "", book: BookOption = "",
) -> None:  # fmt: skip
    """The leak rate at each addition, by both methods, the site's method binding."""
    from ledger.reports.rates_table import Wanted, rates_table

    with open_book(book) as opened, opened.reading() as reader:
        wanted = Wanted(
            name_of(reader, "circuit", circuit) if circuit else "",
            name_of(reader, "site", site) if site else "",
            name_of(reader, "party", owner) if owner else "",
            refrigerant_name(reader, refrigerant),
            day(since), day(until),
            over, latest,
        )  # fmt: skip
        table, workings = rates_table(reader, cut_of(reader, as_of, known_at), wanted)
        put_table(table, opened, as_json, as_csv, as_xlsx)
        if explain and not (as_json or as_csv):
            for working in workings():
                typer.echo("\n".join(("", *working.to_lines())))


def history(
    circuit: Annotated[str, typer.Argument(help="Unit or circuit.")],
    as_of: AsOf = "", known_at: KnownAt = "", as_json: AsJson = False, as_csv: AsCsv = False,
    as_xlsx: AsXlsx = "", book: BookOption = "",
) -> None:  # fmt: skip
    """Everything recorded at one circuit; --xlsx writes the history workbook for its owner."""
    from ledger.reports.circuit_tables import circuit_tables

    with open_book(book) as opened, opened.reading() as reader:
        name = name_of(reader, "circuit", circuit)
        tables = circuit_tables(reader, cut_of(reader, as_of, known_at), name)
        if as_xlsx:
            report_workbook("circuit-history", tables, as_xlsx, opened)
        else:
            put_table(tables["history"], opened, as_json, as_csv, "")
            if not (as_json or as_csv):
                put_table(tables["rates"], opened, False, False, "")


def report_workbook(report: str, tables: Mapping[str, Table], path: str, book: Book) -> None:
    """Write tables as the workbook that a report definition lays out, and say where."""
    from ledger.cli.output import dated
    from ledger.reports.definitions import load
    from ledger.reports.workbook import write_workbook

    shown = {key: dated(table, book.zone) for key, table in tables.items()}
    write_workbook(load(report), shown, Path(path), {"name": book.name})
    typer.echo(f"Wrote {path}.")


def cylinders(
    owner: Owner = "", refrigerant: Refrigerant = "", place: Place = "",
    as_of: AsOf = "", known_at: KnownAt = "", every: Annotated[
        bool, typer.Option("--all", help="Also those scrapped, returned or shipped.")
    ] = False,
    as_json: AsJson = False, as_csv: AsCsv = False, as_xlsx: AsXlsx = "", book: BookOption = "",
) -> None:  # fmt: skip
    """Every cylinder: what it holds by the book, last weight, tare, place, owner."""
    from ledger.reports.stock_tables import inventory_tables

    with open_book(book) as opened, opened.reading() as reader:
        filters = {
            "owner": name_of(reader, "party", owner) if owner else "",
            "refrigerant": refrigerant_name(reader, refrigerant),
            "place": place_name(reader, place),
        }
        tables = inventory_tables(reader, cut_of(reader, as_of, known_at), filters, every)
        if as_xlsx:
            report_workbook("cylinder-inventory", tables, as_xlsx, opened)
        else:
            put_table(tables["cylinders"], opened, as_json, as_csv, "")


def pounds(
    year: Annotated[list[int], typer.Option("--year", help="Calendar year; repeat for more.")] = [],  # noqa: B006
    refrigerant: Refrigerant = "", as_of: AsOf = "", known_at: KnownAt = "",
    explain: Explain = False, as_json: AsJson = False, as_csv: AsCsv = False, as_xlsx: AsXlsx = "",
    book: BookOption = "",
) -> None:  # fmt: skip
    """The pounds balance: opening, received, charged, recovered, shipped and so to closing."""
    from ledger.reports.stock_tables import pounds_tables

    with open_book(book) as opened, opened.reading() as reader:
        tables, workings = pounds_tables(
            reader,
            cut_of(reader, as_of, known_at),
            tuple(year),
            refrigerant_name(reader, refrigerant),
        )
        if as_xlsx:
            report_workbook("pounds-balance", tables, as_xlsx, opened)
            return
        table = tables["balance"] if as_json or as_csv else _without_idle(tables["balance"])
        put_table(table, opened, as_json, as_csv, "")
        if explain and not (as_json or as_csv):
            for working in workings():
                typer.echo("\n".join(("", *working.to_lines())))


def _without_idle(table: Table) -> Table:
    """The pounds balance for a terminal: columns in which nothing happened are left out."""
    from dataclasses import replace

    kept = ("year", "refrigerant", "opening", "closing", "in_cylinders", "check")
    columns = [
        column for column in table.columns
        if column.key in kept or any(row.get(column.key) for row in table.rows)
    ]  # fmt: skip
    return replace(table, columns=columns)


def list_masters(
    kind: Annotated[str, typer.Argument(help="site, party, unit, circuit, person, cylinder, place, scale, machine.")],
    provisional: Annotated[bool, typer.Option("--provisional", help="Only what the office has to complete.")] = False,
    as_of: AsOf = "", as_json: AsJson = False, as_csv: AsCsv = False, as_xlsx: AsXlsx = "",
    book: BookOption = "",
) -> None:  # fmt: skip
    """List sites, customers, units, people, cylinders and so on with their fields."""
    from ledger.cli.lookup import masters_of
    from ledger.facts.masters import FIELDS

    kind = PLURALS.get(kind, kind.removesuffix("s"))
    if kind not in FIELDS:
        raise refuse("value-unclear", f'"{kind}" is no kind.', f"Choose {', '.join(FIELDS)}.")
    with open_book(book) as opened, opened.reading() as reader:
        put_table(
            masters_of(reader, kind, day(as_of), provisional), opened, as_json, as_csv, as_xlsx
        )
