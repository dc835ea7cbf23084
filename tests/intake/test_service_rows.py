"""Rows about repairs and tests: what they record, and what keeps them out."""

from __future__ import annotations

import csv
from datetime import UTC, datetime
from pathlib import Path

import pytest

from ledger.book.engine import BookPlace
from ledger.book.journal import Book
from ledger.facts.facts import Fact, Repair
from ledger.facts.facts import Test as Checked
from ledger.intake.importing import run_import
from ledger.intake.report import ImportReport

MOMENT = datetime(2026, 6, 30, 16, 0, tzinfo=UTC)
UNITS = (("Unit", "Refrigerant", "Full charge"), ("RACK-A", "R-448A", "1350 lb"))
HEADINGS = ("Date", "Unit", "What was done", "Result", "Leaks", "Where", "How", "Evacuated")


@pytest.fixture
def book(tmp_path: Path) -> Book:
    """A book with one rack."""
    place = BookPlace.parse(tmp_path / "book.db")
    made = Book.create(place, "America/Chicago", "Shop", "t", MOMENT)
    _take(made, tmp_path / "units.csv", UNITS)
    return made


def _take(book: Book, file: Path, rows: tuple[tuple[str, ...], ...]) -> ImportReport:
    with file.open("w", encoding="utf-8", newline="") as out:
        csv.writer(out).writerows(rows)
    return run_import(book, file, moment=MOMENT)


def _facts(book: Book, report: ImportReport) -> list[Fact]:
    with book.reading() as reader:
        rows = reader.entries(report.first, report.last)
        return [fact for entry in rows for fact in entry.facts()]


def _row(done: str, *cells: str) -> tuple[tuple[str, ...], ...]:
    row = ("4/2/2026", "RACK-A", done, *cells)
    return HEADINGS, row + ("",) * (len(HEADINGS) - len(row))


def test_a_repair_says_where_how_and_whether_it_was_evacuated(book: Book, tmp_path: Path) -> None:
    rows = _row("Repaired", "", "", "header joint", "brazed", "Y")
    report = _take(book, tmp_path / "service.csv", rows)
    assert _facts(book, report) == [Repair("RACK-A", "header joint", "brazed", "yes")]


@pytest.mark.parametrize(
    ("done", "result", "leaks", "fact"),
    [
        ("initial test", "pass", "all", Checked("RACK-A", "initial", "pass", "all", "bubbles")),
        ("Follow-up test", "Failed", "", Checked("RACK-A", "follow-up", "fail", "all", "bubbles")),
        ("followup test", "OK", "not all", Checked("RACK-A", "follow-up", "pass", "some", "dye")),
    ],
)
def test_a_test_says_which_how_it_went_and_of_which_leaks(
    book: Book, tmp_path: Path, done: str, result: str, leaks: str, fact: Checked
) -> None:
    before = _row("initial test", "pass", "all", "", "bubbles")[1]
    rows = _row(done, result, leaks, "", fact.method)
    if fact.which == "follow-up":
        rows = (rows[0], before, rows[1])
    report = _take(book, tmp_path / "service.csv", rows)
    assert _facts(book, report)[-1] == fact


def test_a_follow_up_without_an_initial_test_is_recorded_and_says_so(
    book: Book, tmp_path: Path
) -> None:
    report = _take(book, tmp_path / "service.csv", _row("follow-up test", "pass", "all"))
    (fact,) = _facts(book, report)
    assert isinstance(fact, Checked)
    assert (fact.because, fact.although) == ("as found in service.csv", ("comes-first",))


@pytest.mark.parametrize(
    ("done", "cells", "code", "cell"),
    [
        ("initial test", ("", "all"), "field-missing", "D2"),
        ("initial test", ("maybe", "all"), "value-unclear", "D2"),
        ("follow-up test", ("pass", "a few"), "value-unclear", "E2"),
        ("repair", ("", "", "joint", "brazed", "partly"), "value-unclear", "H2"),
    ],
)
def test_what_says_neither_is_asked_about(
    book: Book, tmp_path: Path, done: str, cells: tuple[str, ...], code: str, cell: str
) -> None:
    report = _take(book, tmp_path / "service.csv", _row(done, *cells))
    ((problem,),) = [row.problems for row in report.rejected]
    assert (problem.code, problem.where) == (code, f"service.csv!{cell}")
    assert report.recorded == 0


def test_work_on_no_unit_in_particular_is_no_record(book: Book, tmp_path: Path) -> None:
    rows = (HEADINGS, ("4/2/2026", "", "repair", "", "", "joint", "brazed", ""))
    report = _take(book, tmp_path / "service.csv", rows)
    ((problem,),) = [row.problems for row in report.rejected]
    assert problem.code == "field-missing"
