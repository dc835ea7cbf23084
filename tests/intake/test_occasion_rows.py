"""Rows about inspections, leaks, plans, mothballing and other dated events.

The words of a shop's sheets are common practice, no source.
"""

from __future__ import annotations

import csv
from collections.abc import Iterable
from datetime import UTC, datetime
from pathlib import Path

import pytest

from ledger.book.engine import BookPlace
from ledger.book.journal import Book
from ledger.facts.facts import Described, Fact, Movement, Repair, ServiceEvent
from ledger.facts.facts import Test as Checked
from ledger.facts.occasions import OCCASIONS, SITE
from ledger.intake.actions import ACTIONS, EVENTS, action_of, meanings
from ledger.intake.importing import run_import
from ledger.intake.occasion_words import FIELD_OF, SAID, TWO_WAYS
from ledger.intake.report import ImportReport

MOMENT = datetime(2026, 6, 30, 16, 0, tzinfo=UTC)
UNITS = (
    ("Unit", "Site", "Refrigerant", "Full charge"),
    ("RACK-A", "Store 14", "R-448A", "1350 lb"),
)
CYLINDERS = (("Cylinder", "Kind", "Refrigerant"), ("RC-1", "recovery", "R-448A"))
Cells = dict[str, str]


@pytest.fixture
def book(tmp_path: Path) -> Book:
    """A book with one rack and one recovery cylinder."""
    place = BookPlace.parse(tmp_path / "book.db")
    made = Book.create(place, "America/Chicago", "Shop", "t", MOMENT)
    for name, rows in (
        ("sites", (("Site",), ("Store 14",))), ("units", UNITS), ("cylinders", CYLINDERS),
    ):  # fmt: skip
        assert not _take(made, tmp_path / f"{name}.csv", rows).rejected
    return made


def _take(book: Book, file: Path, rows: Iterable[Iterable[str]]) -> ImportReport:
    with file.open("w", encoding="utf-8", newline="") as out:
        csv.writer(out).writerows(rows)
    return run_import(book, file, moment=MOMENT)


def _rows(*rows: Cells) -> list[list[str]]:
    whole = [{"Date": "4/2/2026", "Unit": "RACK-A", **row} for row in rows]
    heads = list(dict.fromkeys(head for row in whole for head in row))
    return [heads, *([row.get(head, "") for head in heads] for row in whole)]


def _facts(book: Book, report: ImportReport) -> list[Fact]:
    with book.reading() as reader:
        rows = reader.entries(report.first, report.last)
        return [fact for entry in rows for fact in entry.facts()]


def _event(what: str, **members: object) -> ServiceEvent:
    return ServiceEvent(what, "RACK-A", **members)  # type: ignore[arg-type]


SHOP_ROWS: list[tuple[Cells, list[Fact]]] = [
    (
        {"Action": "Leak check", "All parts": "yes", "Method": "electronic", "Result": "none"},
        [_event("leak inspection", how="electronic", complete="yes", ground="no leak")],
    ),
    (
        {"Action": "no leak found", "How": "bubbles"},
        [_event("leak inspection", how="bubbles", ground="no leak")],
    ),
    (
        {"Action": "inspection", "Result": "leak found", "Where": "header joint; case 3 flare"},
        [
            _event("leak inspection", places=("header joint", "case 3 flare")),
            _event("leak found", places=("header joint", "case 3 flare"), how="inspection"),
        ],
    ),
    (
        {"Action": "inspected", "Result": "leaks found"},
        [_event("leak inspection"), _event("leak found", how="inspection")],
    ),
    (
        {"Action": "leak found", "Where": "liquid header", "How": "oil stain"},
        [_event("leak found", places=("liquid header",), how="oil stain")],
    ),
    ({"Action": "owner declined repair"}, [_event("no repair")]),
    (
        {"Action": "retrofit plan", "Signed": "yes", "Replacement": "449a"},
        [_event("plan", ground="retrofit", signed="yes", refrigerant="R-449A")],
    ),
    (
        {"Action": "owner chose retrofit", "New refrigerant": "R-449A"},
        [_event("retrofit chosen", refrigerant="R-449A")],
    ),
    ({"Action": "back to normal operation"}, [_event("normal conditions")]),
    (
        {"Action": "process shutdown", "How": "the ice has to go first"},
        [_event("process shutdown", how="the ice has to go first")],
    ),
    (
        {"Action": "repair extension asked", "Ground": "Waiting for parts", "All parts": "yes",
         "Expected by": "7/1/2026"},
        [_event("repair extension request", ground="parts", complete="yes", due="2026-07-01")],
    ),
    (
        {"Action": "leak detector installed", "Watched part": "machine room",
         "Detector required": "y"},
        [_event("detector", part="machine room", required="yes")],
    ),
    ({"Action": "leak alarm", "How": "80 ppm"}, [_event("alarm", how="80 ppm")]),
    ({"Action": "mothballed", "How": "to 0 psig"}, [_event("mothballed", how="to 0 psig")]),
    (
        {"Action": "retired"},
        [_event("retired"),
         Described("circuit", "RACK-A", {"retired": "2026-04-02"}, why="retired")],
    ),
    (
        {"Action": "site report", "Unit": "", "Site": "Store 14", "Report year": "2025"},
        [ServiceEvent("site report", "", "Store 14", period="2025")],
    ),
]  # fmt: skip
"""What a shop writes, and the facts it is."""


@pytest.mark.parametrize(("row", "facts"), SHOP_ROWS, ids=lambda one: str(one)[:50])
def test_a_row_is_the_event_it_says(
    book: Book, tmp_path: Path, row: Cells, facts: list[Fact]
) -> None:
    report = _take(book, tmp_path / "events.csv", _rows(row))
    assert _facts(book, report) == facts, [one.problems for one in report.questions]
    again = _take(book, tmp_path / "events.csv", _rows(row))
    assert (again.recorded, again.counts["already"]) == (0, 1)


def test_what_is_taken_out_for_mothballing_is_a_recovery(book: Book, tmp_path: Path) -> None:
    row = {"Action": "mothballed", "Amount": "8.5", "To cylinder": "RC-1", "Ticket": "7"}
    move, stop = _facts(book, _take(book, tmp_path / "events.csv", _rows(row)))
    assert isinstance(move, Movement)
    assert (move.target, move.claim, stop) == ("cylinder:RC-1", "mothballing", _event("mothballed"))


def test_a_leak_is_repaired_and_tested_by_its_place(book: Book, tmp_path: Path) -> None:
    rows = _rows(
        {"Action": "leak found", "Leak place": "liquid header"},
        {"Action": "repair", "Leak place": "liquid header"},
        {"Action": "initial test", "Result": "pass", "Leak place": "liquid header"},
    )
    _, repair, test = _facts(book, _take(book, tmp_path / "events.csv", rows))
    assert isinstance(repair, Repair) and isinstance(test, Checked)
    assert (repair.places, repair.leaks, repair.although) == (("liquid header",), "some", ())
    assert (test.places, test.leaks, test.although) == (("liquid header",), "some", ())


def test_where_nobody_was_said_to_find_a_leak_is_no_place_of_one(
    book: Book, tmp_path: Path
) -> None:
    row = {"Action": "leak check", "Result": "no leak", "Where": "motor room"}
    report = _take(book, tmp_path / "events.csv", _rows(row))
    assert _facts(book, report) == [_event("leak inspection", ground="no leak")]
    with book.reading() as reader:
        (entry,) = reader.entries(report.first, report.last)
    assert entry.content()["note"] == "where: motor room"


ASKED: list[tuple[Cells, tuple[str, ...]]] = [
    ({"Action": "shutdown"}, ("process shutdown", "mothballed")),
    ({"Action": "plan"}, ("retrofit plan", "retirement plan")),
    ({"Action": "extension asked"}, ("repair extension request", "plan extension request")),
    ({"Action": "leak check", "Where": "header joint"}, ("leak found", "no leak")),
    ({"Action": "leak check", "All parts": "most"}, ("yes", "no")),
    ({"Action": "leak check", "Result": "so so"}, ("leak found", "no leak")),
    ({"Action": "repair extension asked"}, ("parts", "other law", "radiological")),
    (
        {"Action": "repair extension asked", "Ground": "money"},
        ("parts", "other law", "radiological"),
    ),
]  # fmt: skip


@pytest.mark.parametrize(("row", "choices"), ASKED, ids=lambda one: str(one)[:50])
def test_what_can_be_read_two_ways_is_asked(
    book: Book, tmp_path: Path, row: Cells, choices: tuple[str, ...]
) -> None:
    report = _take(book, tmp_path / "events.csv", _rows(row))
    ((problem,),) = [one.problems for one in report.questions]
    assert (report.recorded, problem.choices) == (0, choices)


@pytest.mark.parametrize(
    "row",
    [
        {"Action": "leak check", "Amount": "4"},
        {"Action": "no leak found", "Leak place": "header joint"},
        {"Action": "site report", "Unit": "RACK-A", "Report year": "2025"},
    ],
    ids=str,
)
def test_what_contradicts_itself_is_kept_out(book: Book, tmp_path: Path, row: Cells) -> None:
    report = _take(book, tmp_path / "events.csv", _rows(row))
    assert (report.recorded, len(report.rejected)) == (0, 1)


def test_a_sheet_of_inspections_needs_no_column_that_says_so(book: Book, tmp_path: Path) -> None:
    rows = [("Date", "Unit", "Result"), ("4/2/2026", "RACK-A", "none")]
    report = _take(book, tmp_path / "leak inspections.csv", rows)
    assert _facts(book, report) == [_event("leak inspection", ground="no leak")]


def test_every_event_that_is_kept_has_a_word_a_row_can_use() -> None:
    assert {said.what for said in SAID.values()} == set(OCCASIONS)
    for name, said in SAID.items():
        assert action_of(name) == name
        row = OCCASIONS[said.what]
        known = EVENTS[name].known
        assert ("site" in known) and (("unit" in known) is (row.about != SITE))
        for member in row.takes:
            if not (member == "ground" and said.ground):
                assert known >= set(FIELD_OF[member])


def test_a_word_with_two_meanings_is_no_action() -> None:
    for word, several in TWO_WAYS.items():
        assert action_of(word) == "" and meanings(word) == several
        assert set(several) <= set(ACTIONS)
