"""The demo shop: a contractor's sheets taken into a book, and a day's answers from it.

Everything is made from the spreadsheet files under `fixtures/`, through the same import and
the same commands a shop uses; nothing shown is stored.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from ledger.facts.problems import refuse

if TYPE_CHECKING:
    from ledger.book.cut import Cut
    from ledger.book.journal import Book
    from ledger.book.reader import Reader
    from ledger.intake.report import ImportReport

SHOP = "brindlewick"
DEMO_DAY = datetime(2026, 11, 25, 15, 0, tzinfo=UTC)
"""The moment the demo shop lives in, so that its answers are the same on every day."""
SHEETS = (
    "office.xlsx", "receipts.csv", "jobs-2025.xlsx", "jobs-2026.xlsx", "by-others-2026.csv",
    "charges-mended.csv",
)  # fmt: skip
WORKBOOKS = (("A-101", "A-101-history.xlsx"), ("A-302", "A-302-history.xlsx"))


def register(app: typer.Typer) -> None:
    """Put the command on the app."""
    app.command()(demo)


def demo(
    folder: Annotated[Path, typer.Argument(help="Folder to make the demo shop in.")] = Path(
        "demo-shop"
    ),
) -> None:
    """Build the book of an invented contractor from its sheets, and show a day's answers."""
    from ledger.book.engine import BookPlace
    from ledger.book.journal import Book

    _make(folder)
    place = BookPlace.parse(folder / "tarebook.db")
    with Book.create(place, "America/Chicago", "Brindlewick Mechanical", "demo", DEMO_DAY) as book:
        typer.echo(f"Brindlewick Mechanical, an invented shop, as on {DEMO_DAY.date()}.\n")
        for line in take_in(book):
            typer.echo(line)
        for line in day(book, folder):
            typer.echo(line)
    typer.echo(
        f"\nTry next:\n  tarebook rates A-101 --explain --book {folder}/tarebook.db\n"
        f"  tarebook balance --by place --by refrigerant --book {folder}/tarebook.db\n"
        f"  tarebook history A-104 --book {folder}/tarebook.db"
    )


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


def take_in(book: Book) -> Iterator[str]:
    """Import the sheets in the order the shop wrote them, each with its corrections after it."""
    from ledger.intake.importing import run_import
    from ledger.resources import folder

    fixtures = folder("fixtures") / SHOP
    with (fixtures / "corrections.toml").open("rb") as file:
        corrections = tomllib.load(file)
    _aliases(book, corrections.get("alias", []))
    for name in SHEETS:
        report = run_import(book, fixtures / name, moment=DEMO_DAY)
        counts = report.counts
        rows = f"{report.recorded} row{'' if report.recorded == 1 else 's'} recorded"
        yield f"{name}: {rows}, {counts['flagged']} of them flagged, {counts['rejected']} rejected."
        yield from _looked_at(report)
        for correction in corrections.get("reverse", []):
            if correction["after"] == name:
                yield f"  corrected: {_reverse(book, correction)}"


def _looked_at(report: ImportReport) -> Iterator[str]:
    """The rows a person has to look at, those that say the same on one line."""
    said: dict[tuple[str, str], list[str]] = {}
    for row in (*report.rejected, *report.flagged):
        for problem in row.problems:
            where = problem.where or f"{report.file}!{row.sheet}!{row.row}"
            said.setdefault((row.outcome, problem.sentence), []).append(where)
    for (outcome, sentence), places in said.items():
        others = "".join(f", {place.rpartition('!')[2]}" for place in places[1:])
        yield f"  {outcome}: {places[0]}{others}: {sentence}"


def _aliases(book: Book, aliases: list[dict[str, Any]]) -> None:
    from ledger.facts.entry import Draft
    from ledger.facts.facts import Setting
    from ledger.facts.masters import folded

    facts = [
        Setting("alias", f"{one['kind']}:{folded(one['written'])}", one["means"]) for one in aliases
    ]
    for number, fact in enumerate(facts, 1):
        _record(book, Draft(f"demo:alias:{number}", "alias", DEMO_DAY.date().isoformat(), (fact,)))


def _record(book: Book, draft: Any) -> int:
    from ledger.book.known import BookKnown
    from ledger.book.record import Recorder

    with book.writing() as writer:
        known = BookKnown(writer.connection, DEMO_DAY, book.zone)
        outcome = Recorder(writer, known, DEMO_DAY).must_record(draft)
        return outcome.entry.number if outcome.entry else outcome.already


def _reverse(book: Book, correction: dict[str, Any]) -> str:
    """Reverse the addition a correction names, and record it again where it belongs."""
    from dataclasses import replace

    from ledger.facts.entry import Draft
    from ledger.facts.facts import Fact, Movement, Reversal, holder

    with book.reading() as reader:
        rows = list(reader.rows(
            "SELECT m.entry, m.line FROM movement m WHERE m.target_kind = 'circuit' AND"
            " m.target_name = ? AND m.occurred_on = ? AND m.ticket = ? ORDER BY m.entry",
            (correction["circuit"], correction["occurred"].isoformat(), correction["ticket"]),
        ))  # fmt: skip
        entry, line = rows[-1]
        found = reader.entry(entry)
    assert found is not None
    facts: list[Fact] = [Reversal(entry, (line,), correction["because"])]
    day, person = correction["on"].isoformat(), correction["by"]
    move = found.facts()[line]
    if "again" in correction and isinstance(move, Movement):
        facts.append(replace(move, target=holder("circuit", correction["again"]), stock="",
                             owner="", because="", although=()))  # fmt: skip
        # Who did the work stays who did it; who mended the record is in the note.
        day, person = found.occurred_on, found.person
    draft = Draft(
        f"demo:reverse:{correction['name']}", "correct" if len(facts) > 1 else "reverse", day,
        tuple(facts), person, ticket=correction["ticket"],
        note=f"put right by {correction['by']} on {correction['on'].isoformat()}",
    )  # fmt: skip
    number = _record(book, draft)
    return f"entry {entry} by entry {number}: {correction['because']}"


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
        yield f"\nCylinders: {cylinders['cylinders'].answer}"
        yield from _attention(cylinders["cylinders"].rows)
        names = ", ".join(_workbooks(reader, cut, book, folder, stock, cylinders))
        yield f"\nWorkbooks in {folder}: {names}"


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
