"""Sheets of any rows: each row ends as a record, as left out, or as a heading; none is lost."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from ledger.facts.problems import Refused
from ledger.intake.sheets import Merged, Row, Struck
from ledger.intake.spool import Spool
from ledger.intake.survey import Survey, survey
from ledger.intake.tables import is_filled
from tests.intake.reading_sheets import HEAD, csv_of, xlsx_of

CELLS = (
    "", "", "", "6/3/25", "6/4", "RTU-1", "R-410A", "4.5", "2 lb 8 oz", "TB", '"', "do.", "Total",
    "June total", "Date", "Unit", "Added", "lb", "(kg)", "checked", "3 lb left", "7", "Recovered",
    "2025", " ", "'", "Site", "c/f",
)  # fmt: skip
ROWS = st.one_of(
    st.just(list(HEAD)), st.just(["Date", "Unit", "Added"]), st.just(["CHARGED"]),
    st.just(["6/3/25", "RTU-1", "R-410A", "4.5", "410-1", "TB"]), st.just([]),
    st.lists(st.sampled_from(CELLS), min_size=1, max_size=8),
)  # fmt: skip
quiet = settings(
    max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)


def looked_over(path: Path) -> tuple[Survey, list[Row]] | None:
    """The survey and the records of a file; None where it is refused in sentences."""
    with Spool() as spool:
        try:
            found = survey(path, spool, (), None, (), {})
        except Refused as refused:
            assert all(one.sentence and one.remedy for one in refused.problems)
            return None
        return found, [Row(*kept) for _, kept in spool.read(range(len(spool)))]


@quiet
@given(rows=st.lists(ROWS, min_size=1, max_size=14))
def test_no_row_of_a_sheet_is_lost(tmp_path: Path, rows: list[list[str]]) -> None:
    rows = [list(HEAD), ["6/3/25", "RTU-1", "R-410A", "4.5", "410-1", "TB"], *rows]
    if (done := looked_over(csv_of(tmp_path, *rows))) is None:
        return
    found, records = done
    if any(one.last >= 0 for one in found.sheets):
        return  # A row of two tables is counted in both.
    skipped = found.skipped()
    filled = sum(1 for row in rows if any(map(is_filled, row)))
    left = sum(skipped.values()) - skipped["empty"]
    assert len(records) + left + len(found.sheets) == filled
    assert len({row.number for row in records}) == len(records)
    for row in records:
        assert found.reader_of(row).read(row).row is row
        assert not any(isinstance(cell, Merged | Struck) for cell in row.cells)


@quiet
@given(
    rows=st.lists(st.lists(st.sampled_from((*CELLS, 4.5, 7, None)), max_size=6), max_size=10),
    merged=st.lists(
        st.tuples(*(st.integers(1, 6) for _ in range(4))), max_size=4,
    ),
    hidden=st.sets(st.integers(1, 12), max_size=3),
)  # fmt: skip
def test_any_merged_cells(
    tmp_path: Path, rows: list[list[Any]], merged: list[tuple[int, ...]], hidden: set[int]
) -> None:
    def change(sheet: Any) -> None:
        for left, top, right, bottom in merged:
            sheet.merge_cells(
                start_row=min(top, bottom), end_row=max(top, bottom),
                start_column=min(left, right), end_column=max(left, right),
            )  # fmt: skip
        for number in hidden:
            sheet.row_dimensions[number].hidden = True

    first = ["6/3/25", "RTU-1", "R-410A", 4.5, "410-1", "TB"]
    done = looked_over(xlsx_of(tmp_path, HEAD, first, *rows, change=change))
    if done is not None:
        found, records = done
        for row in records:
            assert ("hidden" in row.marks) == (row.number in hidden)
            assert not any(isinstance(cell, Merged | Struck) for cell in row.cells)
            found.reader_of(row).read(row)
