"""What a workbook says beside its cells: merged, hidden, struck through, summed, commented."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook
from openpyxl.comments import Comment
from openpyxl.styles import Font

from ledger.intake.sheet_scan import _BLOCK, adds_rows_up, scan_sheet
from ledger.intake.sheets import (
    HIDDEN,
    MERGED,
    STRUCK,
    SUM,
    Merged,
    Row,
    Struck,
    Unread,
    open_sheets,
)

STRIKE = Font(strike=True)


@pytest.fixture
def sheet() -> Any:
    made = Workbook().active
    for number in range(1, 8):
        made.append([f"day {number}", "RTU-1", float(number)])
    return made


def rows(sheet: Any, folder: Path) -> dict[int, Row]:
    sheet.parent.save(folder / "jobs.xlsx")
    with open_sheets(folder / "jobs.xlsx") as file:
        return {row.number: row for row in file.rows(file.sheets[0])}


def test_a_cell_merged_over_rows_says_so_in_each_of_them(sheet: Any, tmp_path: Path) -> None:
    sheet.merge_cells("B2:B4")
    sheet.merge_cells("C3:C5")
    sheet.merge_cells("A7:C7")
    found = rows(sheet, tmp_path)
    unit, pounds = Merged("RTU-1", 2, 4), Merged(3, 3, 5)
    assert [found[one].cells[1] for one in range(1, 6)] == ["RTU-1", unit, unit, unit, "RTU-1"]
    assert [found[one].cells[2] for one in (2, 3, 4, 5, 6)] == [2, pounds, pounds, pounds, 6]
    assert found[7].cells[0] == "day 7" and not any(found[7].cells[1:])


def test_hidden_and_struck_rows_are_marked(sheet: Any, tmp_path: Path) -> None:
    sheet.row_dimensions[2].hidden = True
    for row in (2, 3):
        for cell in sheet[row]:
            cell.font = STRIKE
    sheet["A4"].font = STRIKE
    found = rows(sheet, tmp_path)
    assert {number: row.marks for number, row in found.items() if row.marks} == {
        2: (HIDDEN, STRUCK), 3: (STRUCK,), 4: (MERGED,),
    }  # fmt: skip
    assert found[4].cells[:2] == [Struck("day 4"), "RTU-1"]


def test_formulas_that_add_rows_up_are_marked(sheet: Any, tmp_path: Path) -> None:
    sheet["C8"] = "=SUM(C1:C7)"
    sheet["C9"] = "=C7+1"
    found = rows(sheet, tmp_path)
    assert found[8].marks == (SUM,) and isinstance(found[8].cells[2], Unread)
    assert found[9].marks == ()


def test_what_stands_around_the_cells(sheet: Any, tmp_path: Path) -> None:
    sheet.merge_cells("B2:B4")
    sheet.column_dimensions["B"].hidden = True
    sheet.auto_filter.ref = "A1:C7"
    sheet["A2"].comment = Comment("ask Walt", "office")
    sheet["A3"].comment = Comment("ask Walt", "office")
    rows(sheet, tmp_path)
    with open_sheets(tmp_path / "jobs.xlsx") as file:
        seen = file.seen(file.sheets[0])
    assert (seen.merged, seen.hidden_columns, seen.filtered, seen.comments) == (1, (1,), True, 2)


@pytest.mark.parametrize("before", [0, _BLOCK - 40, _BLOCK - 20, 2 * _BLOCK - 30])
@pytest.mark.parametrize("prefix", ["", "x:"])
def test_tags_cut_between_two_blocks(before: int, prefix: str) -> None:
    xml = (
        f"<{prefix}w xmlns:x='u'><{prefix}sheetData>{'<c></c>' * (before // 7)}</{prefix}sheetData>"
        f"<{prefix}mergeCells><{prefix}mergeCell ref='A1:B2'/></{prefix}mergeCells></{prefix}w>"
    )
    assert len(scan_sheet(io.BytesIO(xml.encode())).merges) == 1


def test_a_sheet_without_cells() -> None:
    xml = b"<w><sheetData/><mergeCells><mergeCell ref='A1:B2'/></mergeCells></w>"
    assert len(scan_sheet(io.BytesIO(xml)).merges) == 1


@pytest.mark.parametrize(
    ("formula", "sums"),
    [
        ("SUM(F3:F9)", True), ("SUBTOTAL(9,F3:F9)", True), ("SUM($F$3:$F$9)", True),
        ("F3+F4+F5", True), ("SUM(F3,F6)", True), ("ROUND(SUM(F3:F9),2)", True),
        ("sum(f3:f9)", True), ("SUM(F3:G3)", False), ("SUM(F10:H10)", False), ("F9", False),
        ("G9-F10", False), ("SUM(F3:F9)/16", False), ("VLOOKUP(A1,A2:A9,1)", False),
        ("SUM(F3:F12)", False), ("4+8", False), ("Sheet2!F3+Sheet2!F4", False),
    ],
)  # fmt: skip
def test_a_sum_of_rows_above(formula: str, sums: bool) -> None:
    assert adds_rows_up(formula, 10) is sums
