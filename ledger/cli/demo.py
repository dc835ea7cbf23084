"""The demo shops: invented contractors' sheets taken into a book, and a day's answers from it.

Everything is made from the spreadsheet files under `fixtures/`, through the same import and
the same commands a shop uses; nothing shown is stored.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from ledger.cli.demo_sheets import Shop, take_in
from ledger.facts.problems import refuse

if TYPE_CHECKING:
    from ledger.book.cut import Cut
    from ledger.book.journal import Book
    from ledger.book.reader import Reader

BRINDLEWICK = Shop(
    "brindlewick", "Brindlewick Mechanical", "America/Chicago",
    datetime(2026, 11, 25, 15, 0, tzinfo=UTC),
    ("office.xlsx", "receipts.csv", "jobs-2025.xlsx", "count-2026.xlsx", "jobs-2026.xlsx",
     "by-others-2026.csv"),
    {"count-2026.xlsx": "2026-01-05"},
)  # fmt: skip
"""Two years at a shop of six trucks. The moment keeps its answers the same on every day."""
SALTGRASS = Shop(
    "saltgrass", "Saltgrass Home Comfort", "America/New_York",
    datetime(2026, 3, 16, 14, 0, tzinfo=UTC), ("office.xlsx", "june-2025.xlsx"),
)  # fmt: skip
"""Four trucks that were asked for three years of disposal records: one month of what they have."""
SHOPS = {one.folder: one for one in (BRINDLEWICK, SALTGRASS)}
DEMO_DAY = BRINDLEWICK.moment
MONTH = "2025-06"
"""The month of the second shop."""
_URGENT = 5
"""Lines of the due list that the demo shows."""
WORKBOOKS = (("A-101", "A-101-history.xlsx"), ("A-302", "A-302-history.xlsx"))


def register(app: typer.Typer) -> None:
    """Put the command on the app."""
    app.command()(demo)


def demo(
    folder: Annotated[Path, typer.Argument(help="Folder to make the demo shop in.")] = Path(
        "demo-shop"
    ),
    shop: Annotated[
        str, typer.Option("--shop", help=f"Which of them: {', '.join(SHOPS)}.")
    ] = BRINDLEWICK.folder,
) -> None:
    """Build the book of an invented contractor from its sheets, and show a day's answers."""
    from ledger.book.engine import BookPlace
    from ledger.book.journal import Book

    chosen = SHOPS.get(shop.strip().casefold())
    if chosen is None:
        raise refuse("value-unclear", f'There is no demo shop "{shop}".',
                     f"Choose {' or '.join(SHOPS)}.")  # fmt: skip
    _make(folder)
    place = BookPlace.parse(folder / "tarebook.db")
    with Book.create(place, chosen.zone, chosen.name, "demo", chosen.moment) as book:
        typer.echo(f"{chosen.name}, an invented shop, as on {chosen.moment.date()}.\n")
        for line in take_in(book, chosen, folder):
            typer.echo(line)
        for line in day(book, folder) if chosen is BRINDLEWICK else letter(book, folder):
            typer.echo(line)
    typer.echo("\nTry next:")
    for words in _NEXT[chosen.folder]:
        typer.echo(f"  tarebook {words.format(folder=folder)} --book {folder}/tarebook.db")


_NEXT = {
    "brindlewick": ("due --as-of 2026-11-25", "case A-101", "rates A-101 --explain", "balance --by place --by refrigerant",
                    "history A-104"),
    "saltgrass": (f"disposals --month {MONTH} --explain", "show 60",
                  "import {folder}/june-2025.answers-3.xlsx"),
}  # fmt: skip


def _make(folder: Path) -> None:
    """Make the folder of the shop, refused where anything is in the way."""
    remedy = "Name another (tarebook demo FOLDER), or move that one away."
    if folder.exists() and not folder.is_dir():
        raise refuse("file-exists", f"{folder} is there and is no folder.", remedy)
    if (folder / "tarebook.db").exists():
        raise refuse("file-exists", f"The folder {folder} holds a demo shop already.",
                     f"Look into it (tarebook rates --book {folder}/tarebook.db), or name another"
                     " folder (tarebook demo FOLDER).")  # fmt: skip
    if folder.exists() and any(folder.iterdir()):
        raise refuse("file-exists", f"The folder {folder} is there and is not empty.", remedy)
    folder.mkdir(parents=True, exist_ok=True)


def letter(book: Book, folder: Path) -> Iterator[str]:
    """The month's disposals of the second shop, with what is still open, and the workbook."""
    from datetime import date

    from ledger.book.cut import Cut
    from ledger.cli.disposals import open_rows
    from ledger.cli.output import dated
    from ledger.reports.definitions import load
    from ledger.reports.disposals_table import disposal_tables
    from ledger.reports.workbook import write_workbook

    copies = sorted(folder.glob("*.answers*.xlsx"), key=lambda path: path.stat().st_mtime_ns)
    still = list(open_rows(copies[-1])) if copies else []
    with book.reading() as reader:
        today = date.fromisoformat(SALTGRASS.moment.date().isoformat())
        tables, _ = disposal_tables(reader, Cut(), (MONTH,), today, open_rows=still)
    yield f"\n{tables['months'].answer}"
    for row in tables["months"].rows:
        yield f"  {row['refrigerant']!s:8} {_lb(row['recovered']):>7} lb"
    for note in tables["months"].notes:
        yield f"  {note}"
    shown = {key: dated(table, book.zone, SALTGRASS.moment) for key, table in tables.items()}
    write_workbook(load("disposal-log"), shown, folder / "disposals.xlsx", {"name": book.name})
    yield f"\nWorkbooks in {folder}: disposals.xlsx"


def _lb(mass: Any) -> str:
    from ledger.facts.mass import pounds

    return pounds(mass)


def day(book: Book, folder: Path) -> Iterator[str]:
    """A day's answers in a few lines, and the workbooks behind them."""
    from ledger.book.cut import Cut
    from ledger.reports.rates_table import Wanted, rates_table
    from ledger.reports.stock_tables import inventory_tables, pounds_tables

    cut = Cut()
    with book.reading() as reader:
        stock = pounds_tables(reader, cut, (DEMO_DAY.year,), "")[0]
        over, _ = rates_table(reader, cut, Wanted(since="2026-01-01", over=True))
        cylinders = inventory_tables(reader, cut, {}, False)
        yield f"\nPounds: {stock['balance'].answer}"
        yield from _pounds(stock["balance"].rows)
        yield f"\nLeak rates of 2026 over the trigger: {len(over.rows)}"
        yield from _rates(over.rows)
        yield from _due(reader, cut)
        yield f"\nCylinders: {cylinders['cylinders'].answer}"
        yield from _attention(cylinders["cylinders"].rows)
        names = ", ".join(_workbooks(reader, cut, book, folder, stock, cylinders))
        yield f"\nWorkbooks in {folder}: {names}"


def _due(reader: Reader, cut: Cut) -> Iterator[str]:
    """The most urgent lines of the due list, overdue first."""
    from ledger.answers.due_list import OWED
    from ledger.reports.due_table import Wanted, due_table

    table, _, lines = due_table(reader, cut, Wanted(DEMO_DAY.date()))
    yield f"\nDue: {table.answer}"
    urgent = [
        row for row, line in zip(table.rows, lines, strict=True) if line.duty.status in OWED
    ]  # fmt: skip
    for row in urgent[:_URGENT]:
        yield (
            f"  {row['circuit']:8} {row['due'] or 'no date':10}  {row['status']}: {row['title']}"
            f" ({row['citation']})"
        )


def _pounds(rows: Any) -> Iterator[str]:
    from ledger.facts.mass import pounds

    for row in rows:
        yield (
            f"  {row['refrigerant']:7} opening {pounds(row['opening']):>7}, received"
            f" {pounds(row['received']):>7}, recovered {pounds(row['recovered_in']):>6}, charged"
            f" {pounds(row['charged_out']):>7}, shipped {pounds(row['shipped']):>7}, returned and"
            f" heels {pounds(row['returned'] + row['heels']):>4}, closing"
            f" {pounds(row['closing']):>7} lb"
        )


def _rates(rows: Any) -> Iterator[str]:
    from ledger.facts.mass import half_up

    for row in rows:
        yield (
            f"  {row['circuit']:8} {row['date']}  {half_up(100 * row['annualizing'], 1):>7} % a year"
            f" (rolling {_floor(row)}{half_up(100 * row['rolling'], 1)} %), {row['verdict']}, repair due"
            f" {row['repair_by']}{_undecided(row)}"
        )


def _floor(row: Any) -> str:
    return "at least " if "rolling rate is at least this" in " ".join(row["remark"].split()) else ""


def _undecided(row: Any) -> str:
    return ", if the rule binds: undecided" if "is for a person to decide" in row["remark"] else ""


def _attention(rows: Any) -> Iterator[str]:
    for row in rows:
        due = row["requalification_due"]
        if row["state"] not in ("", "in service"):
            yield f"  {row['cylinder']}: {row['state']}"
        elif due and due < DEMO_DAY.date().isoformat() and row["book_lb"]:
            yield f"  {row['cylinder']}: requalification was due {due}; do not fill"


def _workbooks(
    reader: Reader, cut: Cut, book: Book, folder: Path, stock: Any, cylinders: Any
) -> Iterator[str]:
    from ledger.cli.output import dated
    from ledger.reports.circuit_tables import circuit_tables
    from ledger.reports.definitions import load
    from ledger.reports.workbook import write_workbook

    wanted = [
        ("circuit-history", name, circuit_tables(reader, cut, circuit))
        for circuit, name in WORKBOOKS
    ]
    wanted += [
        ("cylinder-inventory", "cylinders.xlsx", cylinders),
        ("pounds-balance", "pounds-balance.xlsx", stock),
    ]
    for report, name, tables in wanted:
        shown = {key: dated(table, book.zone, DEMO_DAY) for key, table in tables.items()}
        write_workbook(load(report), shown, folder / name, {"name": book.name})
        yield name
