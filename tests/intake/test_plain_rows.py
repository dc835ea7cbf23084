"""The rows of a table: records, totals and notes told apart, ditto marks and merges filled in."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from ledger.intake.ditto import DITTO
from ledger.intake.questions import doubts
from ledger.intake.reading import Reading
from ledger.intake.sheets import Unread
from tests.intake.reading_sheets import HEAD, Taken, csv_of, taken, xlsx_of

ONE = ("6/3/25", "RTU-1", "R-410A", "4.5", "410-1", "TB")
TWO = ("6/4/25", "RTU-2", "R-22", "2 lb 8 oz", "22-1", "DO")


def doubts_of(found: Taken, at: int) -> list[tuple[str, str, tuple[str, ...]]]:
    """What is asked about a row as a whole: the sentence, the remedy, the answers."""
    row = found.rows[at]
    asked = doubts(Reading(row, found.found.reader_of(row).plan))
    return [(one.sentence, one.remedy, one.choices) for _, one in asked]


# --- ditto marks -------------------------------------------------------------------------
@pytest.mark.parametrize(
    "sign",
    ['"', "''", "″", "〃", "”", "“", "„", "do", "do.", "Ditto", "ditto", '-"-', ",,", ' " ', '" "'],
)
def test_a_ditto_mark_repeats_the_cell_above(tmp_path: Path, sign: str) -> None:
    path = csv_of(tmp_path, HEAD, ONE, (sign, sign, "", "3", sign, "TB"))
    assert taken(path).cells(0, 1, 2, 3, 4)[3] == ["6/3/25", "RTU-1", "", "3", "410-1"]


def test_initials_are_no_ditto_mark(tmp_path: Path) -> None:
    path = csv_of(tmp_path, HEAD, ONE, TWO, ("6/5/25", "RTU-1", "", "1", "", "Do"))
    assert [cells for (cells,) in taken(path).cells(5).values()] == ["TB", "DO", "Do"]
    assert not {"DO", "same", "-", "0"} & DITTO


def test_a_ditto_mark_repeats_the_row_above_and_not_what_stands_between(tmp_path: Path) -> None:
    rows = (ONE, TWO, ("", "Total", "", "7"), ("checked",), HEAD, ('"', '"', '"', '"', '"', '"'))
    assert taken(csv_of(tmp_path, HEAD, *rows)).cells(*range(6))[7] == list(TWO)


@pytest.mark.parametrize(
    ("rows", "cells"),
    [
        ([('"', "RTU-1", "", "4", "", "TB")], {2: ["?", "RTU-1"]}),
        ([("6/3/25", "", "", "4", "", "TB"), ("6/3/25", '"', "", "4", "", "TB")],
         {2: ["6/3/25", ""], 3: ["6/3/25", "?"]}),
    ],
)  # fmt: skip
def test_a_ditto_mark_below_nothing_is_asked_about(
    tmp_path: Path, rows: list[tuple[str, ...]], cells: dict[int, list[str]]
) -> None:
    found = taken(csv_of(tmp_path, HEAD, *rows))
    assert found.cells(0, 1) == cells
    asked = [cell for row in found.rows for cell in row.cells if isinstance(cell, Unread)]
    assert len(asked) == 1 and asked[0].asks and "ditto" in asked[0].why


def test_a_ditto_mark_below_a_hidden_row_is_asked_about(tmp_path: Path) -> None:
    def hide(sheet: Any) -> None:
        sheet.row_dimensions[3].hidden = True

    rows = (ONE, TWO, ('"', "RTU-2", "R-22", 1, '"', '"'))
    assert taken(xlsx_of(tmp_path, HEAD, *rows, change=hide)).cells(0, 1)[4] == ["?", "RTU-2"]


# --- merged cells ------------------------------------------------------------------------
def test_a_merged_cell_holds_for_each_of_its_rows(tmp_path: Path) -> None:
    def merge(sheet: Any) -> None:
        sheet.merge_cells("A2:A4")
        sheet.merge_cells("F2:F3")

    rows = (ONE, (None, "RTU-2", "R-22", 1, "22-1", None), (None,) * 6, TWO)
    found = taken(xlsx_of(tmp_path, HEAD, *rows, change=merge))
    assert found.cells(0, 1, 5) == {
        2: ["6/3/25", "RTU-1", "TB"], 3: ["6/3/25", "RTU-2", "TB"], 5: ["6/4/25", "RTU-2", "DO"],
    }  # fmt: skip
    assert found.found.skipped()["empty"] == 1


def test_an_amount_merged_over_rows_is_asked_about_in_each_of_them(tmp_path: Path) -> None:
    rows = [("6/3/25", "RTU-1", "R-410A", 12, "410-1", "TB"), ONE, ONE, TWO]
    path = xlsx_of(tmp_path, HEAD, *rows, change=lambda sheet: sheet.merge_cells("D2:D4"))
    found = taken(path)
    assert [cells for (cells,) in found.cells(3).values()] == ["?", "?", "?", "2 lb 8 oz"]
    why = found.rows[1].cells[3]
    assert isinstance(why, Unread) and why.asks
    assert why.why == (
        "holds 12 lb for rows 2 to 4, in one merged cell; say how much belongs to each row"
    )
    assert {number: len(one.problems) for number, one in found.read().items()} == {
        2: 1, 3: 1, 4: 1, 5: 0,
    }  # fmt: skip


def test_cells_merged_over_columns_hold_for_the_first(tmp_path: Path) -> None:
    rows = [("6/3/25", "RTU-1", None, 4.5, "410-1", "TB")]
    path = xlsx_of(tmp_path, HEAD, *rows, change=lambda sheet: sheet.merge_cells("B2:C2"))
    assert taken(path).cells(1, 2) == {2: ["RTU-1", ""]}


# --- rows that may not count -------------------------------------------------------------
def test_hidden_and_struck_rows_are_marked(tmp_path: Path) -> None:
    from openpyxl.styles import Font

    def mark(sheet: Any) -> None:
        sheet.row_dimensions[2].hidden = True
        for cell in sheet[3]:
            cell.font = Font(strike=True)

    found = taken(xlsx_of(tmp_path, HEAD, ONE, TWO, ONE, change=mark))
    assert found.marks() == {2: ("hidden",), 3: ("struck",)}
    assert doubts_of(found, 0) == [
        ("Row 2 is hidden in the sheet.", "Answer take or leave.", ("take", "leave")),
    ]  # fmt: skip
    assert doubts_of(found, 2) == []


def test_an_amount_alone_that_is_struck_through_is_asked_about(tmp_path: Path) -> None:
    from openpyxl.styles import Font

    def strike(sheet: Any) -> None:
        sheet["B2"].font = sheet["D3"].font = Font(strike=True)

    found = taken(xlsx_of(tmp_path, HEAD, ONE, TWO, change=strike))
    assert found.cells(1, 3) == {2: ["RTU-1", "4.5"], 3: ["RTU-2", "?"]}
    assert found.marks() == {} and "struck through" in str(found.rows[1].cells[3])


# --- totals ------------------------------------------------------------------------------
@pytest.mark.parametrize(
    "total",
    [
        ("Total", "", "", "7"),
        ("", "Total", "", "7"),
        ("June total", "", "", "7 lb"),
        ("", "", "Subtotal:", "7"),
        ("6/30/25", "Page total", "", "7"),
        ("Total", "", "", ""),
        ("carried forward", "", "", "7"),
        ("6/30/25", "", "", "7", "", "TOTAL"),
        ("", "", "", "7"),
        ("", "", "", "7.00 lb"),
        ("Grand total 2025", "", "", "7"),
        ("Total R-410A", "", "", "99"),
        ("RTU-1 Total", "", "", "7"),
        ("", "Sum", "lbs", "7"),
        ("", "", "", "0"),
        ("Brought forward", "", "", "120.5"),
        ("", "c/f", "", "7"),
    ],
)
def test_rows_that_add_others_up_are_left_out(tmp_path: Path, total: tuple[str, ...]) -> None:
    found = taken(csv_of(tmp_path, HEAD, ONE, TWO, total, ONE))
    assert found.left() == [(4, "totals")]
    assert [row.number for row in found.rows] == [2, 3, 5]


@pytest.mark.parametrize(
    "row",
    [
        ("6/5/25", "RTU-1", "", "7", "410-1", "Total"),
        ("6/5/25", "Total Fitness", "", "7"),
        ("6/5/25", "", "R-410A", "7"),
        ("6/5/25", "Summit 4", "", "7"),
        ("6/5/25", "RTU-1", "total", "7"),
        ("", "RTU-1", "R-410A", "7", "410-1", "TB"),
        ("6/5/25", "", "", "7"),
        ("", "RTU-1", "", "7"),
    ],
)
def test_a_real_row_is_no_total(tmp_path: Path, row: tuple[str, ...]) -> None:
    found = taken(csv_of(tmp_path, HEAD, ONE, TWO, row))
    assert found.left() == [] and found.marks() == {}
    assert [one.number for one in found.rows] == [2, 3, 4]


@pytest.mark.parametrize(
    "row", [("", "", "", "5"), ("", "", "", "4 lb"), ("", "", "RTU-1 total", "5")]
)
def test_an_amount_alone_that_is_no_sum_is_asked_about(
    tmp_path: Path, row: tuple[str, ...]
) -> None:
    found = taken(csv_of(tmp_path, HEAD, ONE, TWO, row))
    assert found.left() == [] and found.marks() == {4: ("alone",)}
    ((sentence, _, choices),) = doubts_of(found, 2)
    assert "is no sum of the rows above it" in sentence and choices == ("leave",)


def test_an_amount_alone_below_one_row_may_be_a_second_charge(tmp_path: Path) -> None:
    found = taken(csv_of(tmp_path, HEAD, ONE, ("", "", "", "4.5")))
    assert found.marks() == {3: ("alone",)}


def test_sums_count_from_the_last_sum_the_last_headings_or_the_top(tmp_path: Path) -> None:
    one, two = (("6/3/25", "RTU-1", "", one, "", "TB") for one in ("1", "2"))
    sums = [("", "", "", total) for total in ("3", "3", "6")]
    found = taken(csv_of(tmp_path, HEAD, one, two, sums[0], one, two, sums[1], sums[2]))
    assert found.left() == [(4, "totals"), (7, "totals"), (8, "totals")]
    found = taken(csv_of(tmp_path, HEAD, one, one, HEAD, one, two, sums[1]))
    assert found.left() == [(7, "totals")]


def test_formulas_that_add_rows_up_need_no_stored_result(tmp_path: Path) -> None:
    rows = [ONE, TWO, (None, None, None, "=SUM(D2:D3)"), ("6/5/25", "RTU-1", None, 2)]
    found = taken(xlsx_of(tmp_path, HEAD, *rows))
    assert found.left() == [(4, "totals")] and len(found.rows) == 3


def test_numbers_alone_are_what_a_formula_adds_up(tmp_path: Path) -> None:
    rows = [("6/3/25", "RTU-1", None, 2.5), ("6/3/25", "RTU-1", None, "1 lb"),
            ("6/3/25", "RTU-1", None, 1.5), (None, None, None, 4.0)]  # fmt: skip
    assert taken(xlsx_of(tmp_path, HEAD, *rows)).left() == [(5, "totals")]


def test_a_total_that_differs_says_so(tmp_path: Path) -> None:
    notes = taken(csv_of(tmp_path, HEAD, ONE, TWO, ("Total", "", "", "8"))).found.notes
    assert notes == [
        "Row 4 adds others up and was left out.",
        "The total in row 4: it says 8.00 lb, the rows above it come to 7.00 lb.",
    ]


WEIGHED = ("Date", "Unit", "Added", "Weight before", "Weight after", "Scale readings", "Tank")


@pytest.mark.parametrize(
    "row",
    [
        ("6/4/25", "RTU-2", "", "30", "26.5", "", "22-1"),
        ("6/4/25", "RTU-2", "", "", "", "30; 28; 26.5", "22-1"),
        ("6/4/25", "RTU-2", "4-8", "", "", "", "22-1"),
    ],
)
@pytest.mark.parametrize("before", [(), ("Total", "", "99")])
def test_a_total_is_not_compared_where_rows_give_weights_instead_of_the_amount(
    tmp_path: Path, row: tuple[str, ...], before: tuple[str, ...]
) -> None:
    one, total = ("6/3/25", "RTU-1", "4.9", "", "", "", "410-1"), ("Total", "", "178.80")
    found = taken(csv_of(tmp_path, WEIGHED, one, row, before, total)).found
    assert any(note.endswith("left out.") for note in found.notes)
    assert not any("it says" in note for note in found.notes)


def test_a_total_is_compared_where_each_row_gives_an_amount_or_none(tmp_path: Path) -> None:
    head = ("Date", "Unit", "Added", "Recovered", "Weight before", "Weight after")
    rows = (("6/3/25", "RTU-1", "4.9", "", "30", "25.1"), ("6/4/25", "RTU-1", "", "2"),
            ("6/5/25", "RTU-1", "-", ""), ("Total", "", "9", "2"))  # fmt: skip
    notes = taken(csv_of(tmp_path, head, *rows)).found.notes
    assert notes[-1] == (
        "The total in row 5: it says 9.00 lb, the rows above it come to 4.90 lb."
    )  # fmt: skip


def test_a_total_of_one_refrigerant_is_not_compared_with_all_rows(tmp_path: Path) -> None:
    found = taken(csv_of(tmp_path, HEAD, ONE, TWO, ("Total R-410A", "", "", "4.5")))
    assert found.found.notes == ["Row 4 adds others up and was left out."]


def test_a_total_is_not_compared_where_each_row_has_its_unit(tmp_path: Path) -> None:
    head = ("Date", "Unit", "Amount", "UOM", "Action")
    rows = (("6/3/25", "RTU-1", "8", "oz", "added"), ("6/4/25", "RTU-1", "2", "lb", "added"),
            ("Total", "", "2.5", "lb", ""))  # fmt: skip
    notes = taken(csv_of(tmp_path, head, *rows)).found.notes
    assert notes == ["Row 4 adds others up and was left out."]


# --- notes -------------------------------------------------------------------------------
@pytest.mark.parametrize("note", ["truck 2 in the shop", "below here: summer", "* warranty"])
@pytest.mark.parametrize("at", [0, 1, 3, 5])
def test_notes_are_left_out_and_said(tmp_path: Path, note: str, at: int) -> None:
    found = taken(csv_of(tmp_path, HEAD, ONE, ("",) * at + (note,), TWO))
    assert found.left() == [(3, "notes")] and len(found.rows) == 2
    assert found.found.notes == [f'Row 3 is a note and was left out: "{note}".']


@pytest.mark.parametrize(
    "note", ["also put 3 lb in RTU-4", "5# into RTU-2", "left half lb in hose"]
)
def test_a_note_that_names_pounds_is_asked_about(tmp_path: Path, note: str) -> None:
    found = taken(csv_of(tmp_path, HEAD, ONE, (note,), TWO))
    assert found.left() == [] and found.marks() == {3: ("pounds",)}


@pytest.mark.parametrize(
    "note",
    [
        "448-19 not found, look again", "2 trucks in the shop", "6/3/25 - office closed",
        "Monday: holiday", "March on, new form", "1st quarter", "June 2025", "June", "2025",
        "14 of them were flat",
    ],
)  # fmt: skip
def test_a_note_that_begins_like_a_day_is_a_note(tmp_path: Path, note: str) -> None:
    found = taken(csv_of(tmp_path, HEAD, ONE, (note,), TWO))
    assert found.left() == [(3, "notes")] and len(found.rows) == 2
    assert any(note in said for said in found.found.notes)


def test_a_note_that_begins_like_a_day_and_names_pounds_is_asked_about(tmp_path: Path) -> None:
    found = taken(csv_of(tmp_path, HEAD, ONE, ("448-19 not found, took 3 lb out",), TWO))
    assert found.left() == [] and found.marks() == {3: ("pounds",)}


@pytest.mark.parametrize(
    "day",
    [
        "6/31/25", "June 3", "Wed 6/4/25", "3 June 2025", "6/3/25 14:30", "6/3?", "45811", "6-3",
        "Tues. June 3rd, 2025 at 2 pm",
    ],
)  # fmt: skip
def test_a_day_alone_is_no_note(tmp_path: Path, day: str) -> None:
    found = taken(csv_of(tmp_path, HEAD, ONE, (day,), TWO))
    assert found.left() == [] and [row.number for row in found.rows] == [2, 3, 4]


@pytest.mark.parametrize("figure", ["12.5", "7 lb", "$1,250.00", "3", "-"])
@pytest.mark.parametrize("total", ["Total R-410A", "June total", "Totals"])
@pytest.mark.parametrize("kind", ["csv", "xlsx"])
def test_a_total_whose_figure_stands_in_a_column_of_no_meaning(
    tmp_path: Path, total: str, figure: str, kind: str
) -> None:
    rows = ((*HEAD, "Paid"), (*ONE, "x"), TWO, (total, "", "", "", "", "", figure), TWO)
    found = taken((csv_of if kind == "csv" else xlsx_of)(tmp_path, *rows))
    assert found.left() == [(4, "totals")] and [row.number for row in found.rows] == [2, 3, 5]


def test_a_lone_name_in_a_list_is_no_note(tmp_path: Path) -> None:
    path = csv_of(tmp_path, ("Site", "Address"), ("North St 4",), ("* closed",), ("Dock 2", "x"))
    found = taken(path)
    assert [row.number for row in found.rows] == [2, 4] and found.left() == [(3, "notes")]


def test_columns_that_this_program_added_do_not_count(tmp_path: Path) -> None:
    head = (*HEAD, "tarebook outcome", "tarebook answer")
    rows = ((*ONE, "recorded", ""), ("", "", "", "", "", "", "skipped", ""), TWO,
            ("Total", "", "", "7", "", "", "skipped", ""))  # fmt: skip
    found = taken(csv_of(tmp_path, head, *rows))
    assert found.left() == [(5, "totals")] and [row.number for row in found.rows] == [2, 4]
