"""A small shop for the tests of imports: its book, its masters, and ways to put sheets in."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from ledger.book.journal import Book
from ledger.book.known import BookKnown
from ledger.book.record import Outcome, Recorder
from ledger.facts.entry import Draft
from ledger.facts.facts import Described, Evidence, Fact, Setting
from ledger.facts.mass import POUND, Mass, quantity
from ledger.facts.verbs import opening
from ledger.intake.columns import ColumnMap
from ledger.intake.importing import run_import
from ledger.intake.report import ImportReport, RowOutcome

OPENED = "2025-01-02"


@dataclass(slots=True)
class Shop:
    """A book with a folder beside it, and short ways to put sheets in and see what came of it."""

    book: Book
    folder: Path
    moment: datetime

    def csv(self, text: str, name: str = "jobs.csv") -> Path:
        """A text file of separated values; the lines of `text` are stripped of their indent."""
        path = self.folder / name
        lines = [line.strip() for line in text.strip().splitlines()]
        path.write_text("\n".join(lines) + "\n", encoding="utf-8")
        return path

    def xlsx(self, sheets: Mapping[str, Sequence[Sequence[Any]]], name: str = "jobs.xlsx") -> Path:
        """A workbook with these sheets, each a list of rows."""
        from openpyxl import Workbook

        made = Workbook()
        made.remove(made.worksheets[0])
        for title, rows in sheets.items():
            sheet = made.create_sheet(title)
            for row in rows:
                sheet.append(list(row))
        path = self.folder / name
        made.save(path)
        return path

    def take(
        self, path: Path, column_map: ColumnMap | None = None, strict: bool = False,
        provisional: bool = False, dry_run: bool = False, sheets: Sequence[str] = (),
        answers: Path | None = None,
    ) -> ImportReport:  # fmt: skip
        """Import a file."""
        return run_import(
            self.book, path, moment=self.moment, column_map=column_map, strict=strict,
            provisional=provisional, dry_run=dry_run, sheets=sheets, answers=answers,
        )  # fmt: skip

    def record(self, *facts: Fact, key: str = "") -> Outcome:
        """Record facts as a command would."""
        with self.book.writing() as writer:
            known = BookKnown(writer.connection, self.moment, self.book.zone)
            draft = Draft(key or f"test:{writer.head()[0]}", "test", OPENED, facts)
            return Recorder(writer, known, self.moment).must_record(draft)

    def alias(self, kind: str, written: str, means: str) -> None:
        """Keep a name that people write."""
        self.record(Setting("alias", f"{kind}:{written.casefold()}", means))

    def entries(self) -> list[dict[str, Any]]:
        """Day, person, time and body of each entry but those that made the shop."""
        with self.book.reading() as reader:
            return [
                {"day": one.occurred_on, "time": one.occurred_time, "person": one.person,
                 "number": one.number, **one.content()}
                for one in reader.entries()
                if one.content()["verb"] not in ("init", "test", "answer", "import")
            ]  # fmt: skip

    def moves(self) -> list[tuple[str, str, str, str, str]]:
        """Every movement taken in: day, source, target, refrigerant, amount as written."""
        return [
            (entry["day"], fact["source"], fact["target"], fact["refrigerant"], fact["mass"][1])
            for entry in self.entries()
            for fact in entry["facts"]
            if fact["type"] == "movement"
        ]

    def held(self, cylinder: str) -> str:
        """What a cylinder holds by the book, in pounds."""
        from ledger.facts.mass import pounds

        with self.book.reading() as reader:
            known = BookKnown(reader.connection, self.moment, self.book.zone)
            return pounds(known.contents(cylinder).latest.total)

    def master(self, kind: str, name: str) -> dict[str, Any]:
        """The latest values of a record; empty where there is none."""
        with self.book.reading() as reader:
            found = BookKnown(reader.connection, self.moment, self.book.zone).master(kind, name)
        return {} if found is None else {field: found.now(field) for field in found.history}

    def head(self) -> tuple[int, str]:
        """The head of the book."""
        with self.book.reading() as reader:
            return reader.head()


def lb(pounds: int) -> Any:
    """Whole pounds as a quantity."""
    return quantity(Mass(pounds * POUND))


def new(kind: str, name: str, /, **fields: Any) -> Described:
    """A first description."""
    return Described(kind, name, {k.replace("_", " "): v for k, v in fields.items()}, new="yes")


def table(*rows: dict[str, str]) -> str:
    """Rows by heading as separated text; the headings are those of all rows together."""
    headings = list(dict.fromkeys(heading for row in rows for heading in row))
    lines = [headings, *([row.get(heading, "") for heading in headings] for row in rows)]
    return "\n".join(",".join(line) for line in lines)


def masters() -> Iterator[Fact]:
    """Two owners with a site each, four units, six cylinders, two people with cards."""
    universal = {"type": "Universal", "number": "608-1"}
    yield new("party", "Ashdown Foods", role="customer")
    yield new("party", "Bellmoor Offices", role="customer")
    yield new("party", "Pellmore Supply", role="supplier")
    yield new("party", "Quillfen Reclaim", role="reclaimer")
    yield new("site", "Ashdown Market", owner="Ashdown Foods", zone="America/Chicago")
    yield new("site", "Bellmoor Tower", owner="Bellmoor Offices", zone="America/Chicago")
    for unit, site, refrigerant in (
        ("RTU-1", "Ashdown Market", "R-410A"), ("RTU-3", "Bellmoor Tower", "R-410A"),
        ("CH-1", "Bellmoor Tower", "R-22"),
    ):  # fmt: skip
        yield new("unit", unit, site=site)
        yield new("circuit", unit, unit=unit, refrigerant=refrigerant)
    yield new("unit", "RTU-2", site="Ashdown Market")
    for letter in ("A", "B"):
        yield new("circuit", f"RTU-2/{letter}", unit="RTU-2", refrigerant="R-410A")
    yield new("person", "Tamsin Brandvold", certification=universal, initials="TB")
    yield new("person", "Dirk Osei", certification=universal, initials="DO")
    yield new("place", "Truck 4", kind="truck")
    yield new("scale", "S4", place="Truck 4")
    for name, kind, refrigerant, held in (
        ("410-1", "disposable", "R-410A", 25), ("410-2", "disposable", "R-410A", 25),
        ("22-1", "disposable", "R-22", 30), ("RC-1", "recovery", "R-410A", 0),
        ("RC-22", "recovery", "R-22", 0), ("410-3", "refillable", "R-410A", 0),
    ):  # fmt: skip
        yield new("cylinder", name, kind=kind, refrigerant=refrigerant)
        if held:
            yield from opening(name, refrigerant, lb(held), Evidence("stated"), "virgin", "")


def reasons(report: ImportReport) -> dict[int, str]:
    """The code of the first problem of each row held out, in question or rejected, by row."""
    return {one.row: one.problems[0].code for one in held(report)}


def held(report: ImportReport) -> list[RowOutcome]:
    """The rows that wait for a person, in the order of the sheet."""
    return sorted((*report.questions, *report.rejected), key=lambda one: one.row)


def flags(report: ImportReport) -> dict[int, list[str]]:
    """What each flagged row was flagged for: codes, or the words of a gap."""
    return {
        one.row: [p.sentence if p.code == "field-missing" else p.code for p in one.problems]
        for one in report.flagged
    }
