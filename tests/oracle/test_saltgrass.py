"""The letter: sixteen rows of a small shop's June, what becomes of each, and the sum of the month.

What is expected of each row stands in `fixtures/saltgrass/expected/rows.toml`, worked by hand from
the shop's story. The rows are as found; the answers are those its people gave.
"""

from __future__ import annotations

import json
import tempfile
import tomllib
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from ledger.answers.disposals import Disposals, Limits, disposals
from ledger.book.engine import BookPlace
from ledger.book.journal import Book
from ledger.book.reading import Cut
from ledger.book.verify import verify
from ledger.cli.demo import MONTH, SALTGRASS
from ledger.cli.demo_sheets import answers_of, take_in
from ledger.cli.disposals import open_rows
from ledger.facts.entry import Entry
from ledger.facts.facts import Attempt, Movement
from ledger.facts.mass import half_up, in_unit, of_decimal
from ledger.intake.importing import run_import
from ledger.intake.report import ImportReport, RowOutcome
from ledger.reports.disposals_table import log_limits, recoveries
from tests.oracle.fixtures_brindlewick import FIXTURES as OTHER
from tests.oracle.fixtures_brindlewick import contents

FIXTURES = OTHER.parent / "saltgrass"
EXPECTED = tomllib.loads((FIXTURES / "expected" / "rows.toml").read_text(encoding="utf-8"))
ROWS: list[dict[str, Any]] = EXPECTED["row"]
SHEET = "june-2025.xlsx"
Case = dict[str, Any]


class Letter:
    """The book after the first import, and after the answers; and both reports by row."""

    def __init__(self, folder: Path) -> None:
        self.first = _first(folder / "first")
        self.folder = folder / "answered"
        self.folder.mkdir()
        place = BookPlace.parse(self.folder / "tarebook.db")
        self.book = Book.create(place, SALTGRASS.zone, SALTGRASS.name, "test", SALTGRASS.moment)
        self.said = list(take_in(self.book, SALTGRASS, self.folder))
        self.last = _again(self.book)
        with self.book.reading() as reader:
            self.entries = list(reader.entries())
            self.taken = list(recoveries(reader, Cut()))

    def entry(self, case: Case) -> Entry:
        """The entry that the row of a case was recorded as."""
        number = self.last[case["sheet"], case["row"]].entry
        return next(one for one in self.entries if one.number == number)

    def log(self) -> Disposals:
        """The disposal log of the month."""
        return disposals(self.taken, limits(), (MONTH,))


def limits() -> Limits:
    """The limits of the log on the shop's day."""
    return log_limits(date(2026, 3, 16))


def _first(folder: Path) -> dict[tuple[str, int], RowOutcome]:
    """What becomes of each row when the sheet comes in as found."""
    folder.mkdir()
    place = BookPlace.parse(folder / "tarebook.db")
    with Book.create(place, SALTGRASS.zone, SALTGRASS.name, "test", SALTGRASS.moment) as book:
        run_import(book, FIXTURES / "office.xlsx", moment=SALTGRASS.moment)
        return _by_row(run_import(book, FIXTURES / SHEET, moment=SALTGRASS.moment, every_row=True))


def _again(book: Book) -> dict[tuple[str, int], RowOutcome]:
    """What becomes of each row when the first sheet comes in once more after the answers."""
    return _by_row(run_import(book, FIXTURES / SHEET, moment=SALTGRASS.moment, every_row=True))


def _by_row(report: ImportReport) -> dict[tuple[str, int], RowOutcome]:
    """The outcome of each row, with what was said of it where something was."""
    said = (*report.flagged, *report.questions, *report.rejected)
    return {(one.sheet, one.row): one for one in (*report.every, *said)}


@cache
def made() -> Letter:
    """The letter taken in once in this process; its folder goes with the process."""
    folder = tempfile.TemporaryDirectory(prefix="saltgrass")
    letter = Letter(Path(folder.name))
    letter.keep = folder  # type: ignore[attr-defined]
    return letter


@pytest.fixture
def letter() -> Letter:
    """The letter before and after its answers."""
    return made()


def _number(case: Case) -> str:
    return f"row {case['number']}"


# -- the sheets -------------------------------------------------------------------------------


def test_the_sheets_are_those_the_data_gives() -> None:
    import io

    from openpyxl import load_workbook

    typed = contents("saltgrass")
    assert {path.name for path in FIXTURES.glob("*.xlsx")} == set(typed)
    for name, content in typed.items():
        files = (io.BytesIO(content), FIXTURES / name)
        one, other = (load_workbook(file, read_only=True) for file in files)
        for page, there in zip(one, other, strict=True):
            assert list(page.iter_rows(values_only=True)) == list(there.iter_rows(values_only=True))


def test_sixteen_rows_and_no_two_alike() -> None:
    assert [case["number"] for case in ROWS] == list(range(1, 17))
    assert len({(case["sheet"], case["row"]) for case in ROWS}) == 16


# -- row by row -------------------------------------------------------------------------------


@pytest.mark.parametrize("case", ROWS, ids=_number)
def test_what_the_import_says_of_the_row_as_found(letter: Letter, case: Case) -> None:
    found = letter.first[case["sheet"], case["row"]]
    assert found.outcome == case["first"]
    if "code" in case:
        assert found.problems[0].code == case["code"]
    if case["first"] == case["then"]:
        _says(case, found)


def _says(case: Case, found: RowOutcome) -> None:
    said = " ".join(problem.sentence for problem in found.problems)
    for words in case.get("says", ()):
        assert words in said


@pytest.mark.parametrize(
    "case", [one for one in ROWS if one["then"] in ("recorded", "flagged")], ids=_number
)
def test_the_row_is_recorded_as_the_story_says(letter: Letter, case: Case) -> None:
    outcome = letter.last[case["sheet"], case["row"]]
    assert outcome.outcome == "already"
    entry = letter.entry(case)
    assert entry.occurred_on == case["on"].isoformat()
    if case.get("attempt"):
        (tried,) = [fact for fact in entry.facts() if isinstance(fact, Attempt)]
        assert (tried.refrigerant, "flat" in entry.content()["note"]) == (case["refrigerant"], True)
        return
    (move,) = [fact for fact in entry.facts() if isinstance(fact, Movement)]
    exact = in_unit(move.mass.mass, "lb")
    assert half_up(exact, len(case["lb"].partition(".")[2])) == case["lb"]
    assert move.refrigerant == case["refrigerant"]
    assert move.target.partition(":")[2] == (case["into"] or "no cylinder named")
    if "written" in case:
        assert move.mass.written == case["written"]


@pytest.mark.parametrize("case", [one for one in ROWS if one["then"] == "flagged"], ids=_number)
def test_what_is_wrong_with_a_recorded_row_is_said(letter: Letter, case: Case) -> None:
    where = [line for line in letter.said if line.startswith("  flagged")]
    for words in case["says"]:
        assert any(words in line for line in where), words


def test_the_office_row_of_the_same_job_is_a_duplicate(letter: Letter) -> None:
    (case,) = [one for one in ROWS if one["then"] == "duplicate"]
    found = letter.last[case["sheet"], case["row"]]
    first = next(one for one in ROWS if one["number"] == case["of"])
    assert found.outcome == "duplicate"
    assert found.entry == letter.entry(first).number


@pytest.mark.parametrize(
    "case", [one for one in ROWS if one["then"] in ("question", "rejected")], ids=_number
)
def test_a_row_nobody_answered_stays_open(letter: Letter, case: Case) -> None:
    found = letter.last[case["sheet"], case["row"]]
    assert (found.outcome, found.entry) == (case["then"], 0)
    _says(case, found)


@pytest.mark.parametrize("case", [one for one in ROWS if "quarantined" in one], ids=_number)
def test_a_mixed_cylinder_is_quarantined(letter: Letter, case: Case) -> None:
    with letter.book.reading() as reader:
        (last,) = list(reader.rows(
            "SELECT d.fields FROM described d WHERE d.kind = 'cylinder' AND d.name = ? AND"
            " d.fields LIKE '%quarantined%'", (case["quarantined"],),
        ))  # fmt: skip
    assert json.loads(last[0])["state"] == "quarantined"


# -- the month --------------------------------------------------------------------------------


@pytest.mark.parametrize("case", EXPECTED["month"], ids=lambda one: one["refrigerant"])
def test_the_total_of_the_month(letter: Letter, case: Case) -> None:
    totals = {(one.month, one.refrigerant): one for one in letter.log().totals}
    total = totals[case["month"], case["refrigerant"]]
    assert half_up(in_unit(total.mass, "lb"), 2) == case["lb"]
    wanted = {letter.entry(one).number for one in ROWS if one["number"] in case["rows"]}
    assert {one.entry for one in total.recoveries} == wanted


def test_the_month_has_no_other_line(letter: Letter) -> None:
    there = {(one.month, one.refrigerant) for one in letter.log().totals}
    assert there == {(case["month"], case["refrigerant"]) for case in EXPECTED["month"]}


def test_the_parts_of_the_r_410a_figure(letter: Letter) -> None:
    """32.79 lb of clean rows and 7.00 lb without a place; 47.19 would count the copy too."""
    (total,) = [one for one in letter.log().totals if one.refrigerant == "R-410A"]
    part = EXPECTED["part"]
    lost = total.without("no location")
    assert half_up(in_unit(lost, "lb"), 2) == part["without_a_place"]["lb"]
    assert half_up(in_unit(total.mass - lost, "lb"), 2) == part["clean"]["lb"]
    copy = of_decimal("7.4", "lb")
    assert copy is not None
    assert half_up(in_unit(total.mass + copy, "lb"), 2) == part["counted_twice"]["lb"]


@pytest.mark.parametrize("case", EXPECTED["apart"], ids=lambda one: one["what"])
def test_other_sizes_stand_apart(letter: Letter, case: Case) -> None:
    rows = {letter.entry(one).number: one for one in ROWS if one["number"] in case["rows"]}
    found = [one for _, one in letter.log().apart if one.entry in rows]
    assert len(found) == len(rows)
    assert half_up(in_unit(sum(one.recovered.mass for one in found), "lb"), 2) == case["lb"]


def test_the_open_rows_stand_in_the_copy(letter: Letter) -> None:
    copies = sorted(letter.folder.glob("*.answers*.xlsx"), key=lambda one: one.stat().st_mtime_ns)
    found = {(one.sheet, one.row) for one in open_rows(copies[-1])}
    numbers = EXPECTED["open"]["rows"]
    assert found == {(one["sheet"], one["row"]) for one in ROWS if one["number"] in numbers}


# -- the book ---------------------------------------------------------------------------------


def test_taken_in_again_nothing_is_recorded_twice(letter: Letter) -> None:
    with letter.book.reading() as reader:
        head = reader.head()
    for name in SALTGRASS.sheets:
        report = run_import(letter.book, FIXTURES / name, moment=SALTGRASS.moment)
        assert report.recorded == 0
    with letter.book.reading() as reader:
        assert reader.head() == head
    assert verify(letter.book) == []


def test_every_answer_belongs_to_a_row_and_none_was_made_up() -> None:
    given = answers_of(FIXTURES / "answers.toml")
    told = tomllib.loads((FIXTURES / "answers.toml").read_text(encoding="utf-8"))["answer"]
    assert len(given) == len(told)
    assert {one["number"] for one in told}.isdisjoint(EXPECTED["open"]["rows"])


def test_the_command_shows_the_letter(tmp_path: Path) -> None:
    from tests.cli.shop import Shop

    shop = Shop(tmp_path)
    said = shop.run("tarebook demo letter --shop saltgrass")
    assert said.code == 0, said.err
    for words in ("R-410A 39.79 lb", "2 rows still open", "6/31/25", "O.7", "duplicate"):
        assert words in said.out
    assert "47.19" not in said.out
    assert (tmp_path / "letter" / "disposals.xlsx").exists()
    assert "[value-unclear]" in shop.run("tarebook demo other --shop nowhere").err
