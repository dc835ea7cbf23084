"""The generator of messy papers itself: the same each time, and its truth is what is written."""

from __future__ import annotations

import csv
import io
from collections import Counter
from collections.abc import Iterator
from datetime import date, datetime
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from tests.oracle.messy.cases import case_of
from tests.oracle.messy.damaged import damaged_files
from tests.oracle.messy.held import Moved, sums_above
from tests.oracle.messy.paper import (
    ASK,
    CERTAIN,
    GRAMS_PER_POUND,
    NOTHING,
    WRONG,
    Amount,
    Case,
    Formula,
    Line,
    Says,
    Tab,
)
from tests.oracle.messy.workbook import write_paper

SEEDS = (0, 1, 2, 3, 4, 5)


@pytest.fixture(params=SEEDS)
def case(request: pytest.FixtureRequest) -> Case:
    """One case each."""
    return case_of(int(request.param))


def lines(case: Case) -> Iterator[Line]:
    """Every line of every paper."""
    for paper in (*case.papers, *case.again):
        yield from (line for _, _, line in paper.rows())


def test_a_seed_gives_the_same_case_and_the_same_bytes(case: Case, tmp_path: Path) -> None:
    other = case_of(case.seed)
    assert other == case
    for number, papers in enumerate((case.papers, other.papers)):
        (tmp_path / str(number)).mkdir()
        for paper in papers:
            write_paper(paper, tmp_path / str(number))
    for paper in case.papers:
        first, second = (tmp_path / one / paper.name for one in "01")
        assert first.read_bytes() == second.read_bytes()


def test_seeds_differ() -> None:
    assert case_of(0).papers != case_of(1).papers


def test_a_shop_has_40_to_120_movements_and_some_added_later(case: Case) -> None:
    assert 40 <= len(case.shop.jobs) <= 150
    numbers = [job.number for job in case.shop.jobs]
    assert numbers == list(range(1, len(numbers) + 1))


def test_every_row_has_one_truth_of_the_four_words(case: Case) -> None:
    for line in lines(case):
        truth = line.truth
        assert truth.sure in (CERTAIN, ASK, WRONG, NOTHING)
        assert bool(truth.says) == (truth.sure != NOTHING)
        assert bool(truth.doubt) == (truth.sure in (ASK, WRONG))
        if truth.sure == CERTAIN:
            for says in truth.says:
                parts = (says.days, says.circuits, says.refrigerants, says.grams)
                assert all(len(part) == 1 for part in parts), line


def test_rows_say_what_really_happened(case: Case) -> None:
    """What a row is sure of is its true movement, but where it is a second record or a change."""
    jobs = {job.number: job for job in case.shop.jobs}
    for line in lines(case):
        differing = line.truth.kind.startswith(("second record", "again"))
        for says in line.truth.says:
            job = jobs[says.job]
            assert says.direction == job.direction
            if line.truth.sure != CERTAIN or differing:
                continue
            assert (says.days, says.circuits) == ((job.day,), (job.circuit,))
            assert says.refrigerants == (job.refrigerant,)
            assert says.grams == (job.amount.grams,)
            assert job.cylinder in says.cylinders


def test_the_certain_rows_add_up_to_the_true_pounds(case: Case) -> None:
    """Each true movement once, by whichever first row says it: the sum is that of the shop."""
    jobs = {job.number: job for job in case.shop.jobs}
    first: dict[int, Fraction] = {}
    for _, _, line in (row for paper in case.papers for row in paper.rows()):
        if line.truth.sure == CERTAIN and not line.truth.kind.startswith("second record"):
            for says in line.truth.says:
                first.setdefault(says.job, says.grams[0])
    assert first
    assert sum(first.values()) == sum(jobs[number].amount.grams for number in first)


def test_amounts_are_exact() -> None:
    assert Amount("tenth", 4, 8).grams == Fraction(48, 10) * GRAMS_PER_POUND
    assert Amount("ounce", 4, 8).grams == Fraction(9, 2) * GRAMS_PER_POUND
    assert Amount("hundredth", 4, 5).figures == "4.05"
    assert Amount("ounce", 4, 8).figures == "4.5"
    assert Amount("ounce", 0, 1).figures == "0.0625"
    assert Amount("kilo", 2, 6).grams == 2600
    assert Amount("gram", 3120).grams == 3120


def test_the_workbooks_hold_what_the_truth_was_written_beside(case: Case, tmp_path: Path) -> None:
    from openpyxl import load_workbook

    for paper in case.papers:
        path = write_paper(paper, tmp_path)
        if path.suffix != ".xlsx":
            continue
        written, kept = load_workbook(path), load_workbook(path, data_only=True)
        assert written.sheetnames == [tab.name for tab in paper.tabs]
        for tab in paper.tabs:
            _same(written[tab.name], kept[tab.name], tab)


def _same(written: Any, kept: Any, tab: Tab) -> None:
    assert (written.sheet_state == "hidden") == tab.hidden
    assert {str(area) for area in written.merged_cells.ranges} == set(tab.merged)
    for number, line in enumerate(tab.lines, start=1):
        assert bool(written.row_dimensions[number].hidden) == line.hidden
        for index, cell in enumerate(line.cells, start=1):
            there, result = written.cell(number, index), kept.cell(number, index).value
            if isinstance(cell, Formula):
                assert there.value == cell.text
                assert result == cell.result
            elif isinstance(cell, date) and not isinstance(cell, datetime):
                assert there.value.date() == cell
            else:
                assert there.value == cell
            if line.struck and cell is not None:
                assert there.font.strike
        if line.comment:
            assert written.cell(number, 1).comment.text == line.comment


def test_texts_are_written_with_a_cell_for_each_column(tmp_path: Path) -> None:
    paper = case_of(3).papers[-1]
    text = write_paper(paper, tmp_path).read_text(encoding="utf-8")
    rows = list(csv.reader(io.StringIO(text, newline="")))
    assert len(rows) == len(paper.tabs[0].lines)
    assert len({len(row) for row in rows}) == 1


def test_twenty_seeds_hold_every_kind_of_mess() -> None:
    found = Counter(line.truth.kind for seed in range(20) for line in lines(case_of(seed)))
    wanted = {
        "plain", "number", "merged date", "merged ticket", "merged unit", "total", "note row",
        "ditto mark for the date", "headings repeated", "headings of a second table", "blank row",
        "hidden row", "hidden struck-out copy", "hidden sheet", "title row", "tab of sums",
        "formula with its result", "formula without result", "serial number", "impossible day",
        "two-digit year", 'two numbers "4-8"', 'two numbers "4,8"', "letter for figure",
        "marked as not exact", "# for lb", "4lb8oz", "4 lb 8 oz", "kg spelled", "g spelled",
        "non-breaking space", "full-width figures", "visit without pounds",
        "nickname of a cylinder", "initials nobody knows", "number without letter",
        "another refrigerant than the unit's", "unit nobody knows", "nickname of a unit",
        "second record: ounce pattern", "second record: rounded", "second record: day shifted",
        "second record: no ticket", "second record: same", "same row twice",
        "second job, another ticket", "again: unchanged", "again: corrected",
        "again: amount changed", "again: new row", "again: moved to another file",
    } - {"number", "two-digit year"}  # fmt: skip
    assert not wanted - found.keys()


def test_a_second_job_is_no_copy(case: Case) -> None:
    """Rows of one job are its copies by design; two jobs that look alike have two tickets."""
    jobs = case.shop.jobs
    seen: dict[tuple[object, ...], str] = {}
    for job in jobs:
        key = (job.day, job.circuit, job.direction)
        if key in seen:
            assert job.ticket != seen[key]
        seen[key] = job.ticket


def _moved(grams: int, day: str = "2025-06-03") -> Moved:
    return Moved(
        "a.xlsx", "A", 3, "added", day, "RTU-1", "R-22", Fraction(grams), f"{grams} g", "", 1,
        frozenset(),
    )  # fmt: skip


def test_sums_above_the_truth_are_seen_without_asking_for_rows() -> None:
    says = {
        1: [
            Says(1, "added", ("2025-06-03",), ("RTU-1",), ("R-22",), (Fraction(900),), ("",)),
            Says(1, "added", ("2025-06-04",), ("RTU-1",), ("R-22",), (Fraction(950),), ("",)),
        ]
    }
    assert not sums_above(says, [_moved(900)])
    assert not sums_above(says, [_moved(950, "2025-06-04")])
    assert sums_above(says, [_moved(900), _moved(900)])
    assert sums_above(says, [_moved(900, "2025-06-05")])


def test_damaged_files_are_the_same_each_time() -> None:
    first, second = list(damaged_files(1)), list(damaged_files(1))
    assert [(why, name) for why, name, _ in first] == [(why, name) for why, name, _ in second]
    sound = {name: data for _, name, data in first if name.endswith(".csv")}
    assert sound == {name: data for _, name, data in second if name.endswith(".csv")}
    assert len(first) > 25
