"""Several tables on a sheet, titles that speak for all rows, and maps that fit no sheet."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from ledger.facts.problems import Refused
from ledger.intake.columns import ColumnMap, with_changes
from ledger.intake.survey import look
from tests.intake.reading_sheets import HEAD, csv_of, taken, xlsx_of

ONE = ("6/3/25", "RTU-1", "R-410A", "4.5", "410-1", "TB")
OTHER = ("Unit", "Job date", "Pulled out", "Rec tank", "Tech")
OUT = ("RTU-1", "6/4/25", "2.5", "RC-1", "TB")


def columns(found: Any) -> dict[int, dict[str, Any]]:
    return {number: one.values | {"day": one.day} for number, one in found.read().items()}


# --- below each other --------------------------------------------------------------------
def test_tables_below_each_other_are_read_each_by_its_headings(tmp_path: Path) -> None:
    found = taken(csv_of(tmp_path, HEAD, ONE, (), ("Recovered in June",), OTHER, OUT))
    assert [row.table for row in found.rows] == [0, 1]
    read = columns(found)
    assert read[2]["amount"].written == "4.5 lb" and read[6]["amount"].written == "2.5 lb"
    assert read[6]["day"] == "2025-06-04" and read[6]["to cylinder"] == "RC-1"
    assert [one.rows for one in found.found.sheets] == [1, 1]
    assert found.left() == [] and found.found.sheets[1].titles[0].text == "Recovered in June"


def test_the_same_headings_under_another_title_are_another_table(tmp_path: Path) -> None:
    head = ("Date", "Unit", "Pounds", "Tank", "Tech")
    row = ("6/3/25", "RTU-1", "4.5", "410-1", "TB")
    path = csv_of(tmp_path, ("CHARGED",), head, row, (), ("RECOVERED",), head, row, head, row)
    found = taken(path)
    assert {number: one.action for number, one in found.read().items()} == {
        3: "charge", 7: "recover", 9: "recover",
    }  # fmt: skip


def test_a_first_table_with_fewer_headings_is_not_lost(tmp_path: Path) -> None:
    short = ("Date", "Unit", "Added")
    found = taken(csv_of(tmp_path, short, ("6/3/25", "RTU-1", "2"), (), HEAD, ONE))
    assert [row.number for row in found.rows] == [2, 5]


def test_a_table_of_sums_below_is_left_out_and_said(tmp_path: Path) -> None:
    path = csv_of(tmp_path, HEAD, ONE, (), ("Refrigerant", "Lbs"), ("R-410A", "4.5"))
    found = taken(path)
    assert [row.number for row in found.rows] == [2]
    assert any("headings in row 4 (Refrigerant, Lbs)" in note for note in found.found.notes)


def test_a_table_left_out_for_an_undecided_column_names_it(tmp_path: Path) -> None:
    path = csv_of(tmp_path, ("Date", "Unit", "Added", "Charge"), ("6/3/25", "RTU-1", "4", "2"))
    said = [line for looked in look(path) for line in looked.lines()]
    assert any(
        'waits, its 1 row was left out: What is in the column "Charge"?' in line for line in said
    ), said
    assert not any("names neither a day" in line for line in said)


def test_another_table_that_is_not_understood_is_asked_about(tmp_path: Path) -> None:
    path = csv_of(tmp_path, HEAD, ONE, (), ("Date", "Unit", "Lbs"), ("6/3/25", "RTU-1", "4"))
    with pytest.raises(Refused) as caught:
        taken(path)
    assert {one.code for one in caught.value.problems} == {"column-map-needed"}


def test_headings_over_two_rows(tmp_path: Path) -> None:
    found = taken(csv_of(tmp_path, HEAD, ("", "", "", "(kg)"), ONE))
    assert columns(found)[3]["amount"].written == "4.5 kg"


def test_a_unit_in_the_title_is_asked_about(tmp_path: Path) -> None:
    path = csv_of(tmp_path, ("All weights in kg",), HEAD, ONE)
    with pytest.raises(Refused) as caught:
        taken(path)
    assert "names kg" in caught.value.problems[0].sentence
    chosen = with_changes(ColumnMap(""), {}, {"unit of weight": "kg"})
    assert columns(taken(path, chosen))[3]["amount"].written == "4.5 kg"


def test_a_unit_over_several_headings_is_asked_about(tmp_path: Path) -> None:
    path = csv_of(tmp_path, ("", "", "", "Kilograms", "by"), HEAD, ONE)
    with pytest.raises(Refused) as caught:
        taken(path)
    assert "names kg" in caught.value.problems[0].sentence


# --- side by side ------------------------------------------------------------------------
def test_tables_side_by_side(tmp_path: Path) -> None:
    left, right = ("Date", "Unit", "Added", "Tech"), ("Date", "Unit", "Recovered", "Tech")
    rows = [
        (*left, None, *right),
        ("6/3/25", "RTU-1", 2, "TB", None, "6/5/25", "RTU-2", 3, "DO"),
        ("6/4/25", "RTU-1", 1, "TB"),
        (None, "Total", 3, None, None, "Total", None, 3),
        (None, None, None, None, None, "6/6/25", '"', 4, '"'),
    ]
    found = taken(xlsx_of(tmp_path, *rows))
    said = [(row.number, row.table, *(one for one in row.cells if one)) for row in found.rows]
    assert said == [
        (2, 0, "6/3/25", "RTU-1", 2, "TB"), (2, 1, "6/5/25", "RTU-2", 3, "DO"),
        (3, 0, "6/4/25", "RTU-1", 1, "TB"), (5, 1, "6/6/25", "RTU-2", 4, "DO"),
    ]  # fmt: skip
    assert found.left() == [(4, "totals"), (4, "totals")]
    reader = found.found.reader_of(found.rows[1])
    assert reader.read(found.rows[1]).action == "recover"


def test_an_empty_column_inside_a_table_does_not_cut_it(tmp_path: Path) -> None:
    head = ("Date", "Unit", "", "Added", "Tech")
    found = taken(csv_of(tmp_path, head, ("6/3/25", "RTU-1", "", "4", "TB")))
    assert len(found.found.sheets) == 1 and columns(found)[2]["amount"].written == "4 lb"


# --- years -------------------------------------------------------------------------------
@pytest.mark.parametrize(
    "title",
    [
        "Disposal log 2025", "June 2025", "2025", "JUNE, 2025", "June 2025, exported 7/2",
        "June 2025 (office)", "(June 2025)", "June,2025", "Log of 2025.", "June [2025]",
        "2025: June", "June 2025; shop", "June 2025 - final", "June 2025-office",
    ],
)  # fmt: skip
def test_the_year_of_a_title_serves_days_without_one(tmp_path: Path, title: str) -> None:
    path = csv_of(tmp_path, (title,), HEAD, ("6/3", *ONE[1:]), ("6/14/25", *ONE[1:]))
    found = taken(path)
    assert {number: one.day for number, one in found.read().items()} == {
        3: "2025-06-03", 4: "2025-06-14",
    }  # fmt: skip
    assert found.found.notes == ["Year = 2025 (from the title in row 1) for 1 day without one."]
    assert found.found.movements == [0, 1]


def test_the_year_of_the_sheet_name(tmp_path: Path) -> None:
    path = xlsx_of(tmp_path, HEAD, ("6/14/25", *ONE[1:]), ("6/3", *ONE[1:]), title="June 2025")
    found = taken(path)
    assert found.read()[3].day == "2025-06-03"
    assert found.found.movements == [1, 0]


def test_a_year_alone_in_the_name_of_the_sheet_is_asked_about(tmp_path: Path) -> None:
    path = xlsx_of(tmp_path, HEAD, ("6/14/25", *ONE[1:]), ("6/3", *ONE[1:]), title="2025")
    found = taken(path)
    assert found.read()[3].day == ""
    assert "the name of the sheet says 2025" in found.found.notes[0]
    assert "--set year=2025" in found.found.notes[0]


@pytest.mark.parametrize(
    ("titles", "row"),
    [
        (["Log 2025"], ("6/14/24", *ONE[1:])), (["June 2025"], ("7/3", *ONE[1:])),
        (["Log 2025-26"], ONE), (["Log 2024", "Log 2025"], ONE), (["Form rev. 2019"], ONE),
        (["Log"], ONE), (["Job 1,2025"], ONE), (["No. 2025.4"], ONE),
        (["June 2025, not 2024"], ONE),
    ],
)  # fmt: skip
def test_a_year_that_something_speaks_against_is_not_used(
    tmp_path: Path, titles: list[str], row: tuple[str, ...]
) -> None:
    path = csv_of(tmp_path, *((one,) for one in titles), HEAD, ("6/3", *ONE[1:]), row)
    first = next(iter(taken(path).read().values()))
    assert first.day == "" and [one.code for _, one in first.problems] == ["date-unclear"]


def test_the_year_of_a_title_serves_a_kept_map_too(tmp_path: Path) -> None:
    path = csv_of(tmp_path, ("Log 2025",), ("Wann", "Wo"), ("6/3", "RTU-1"))
    kept = ColumnMap("x", columns={"Wann": "date", "Wo": "unit"}, constants={"action": "charge"})
    assert taken(path, kept).read()[3].day == "2025-06-03"


def test_what_is_set_without_columns_holds_for_every_table(tmp_path: Path) -> None:
    head = ("Date", "Unit", "Lbs")
    path = csv_of(tmp_path, head, ("6/3", "RTU-1", "4"), (),
                  ("Unit", "Date", "Net"), ("RTU-1", "6/4", "5"), (),
                  ("Site", "Address"), ("North", "4 Elm St"))  # fmt: skip
    chosen = with_changes(ColumnMap(""), {}, {"year": "2025", "action": "charge"})
    read = taken(path, chosen).read()
    assert [one.action for one in read.values()] == ["charge", "charge", "site"]
    assert [one.day for one in read.values()] == ["2025-06-03", "2025-06-04", ""]


def test_a_year_that_is_set_is_used(tmp_path: Path) -> None:
    path = csv_of(tmp_path, HEAD, ("6/3", *ONE[1:]))
    chosen = with_changes(ColumnMap(""), {}, {"year": "2025"})
    assert taken(path, chosen).read()[2].day == "2025-06-03"
    with pytest.raises(Refused):
        with_changes(ColumnMap(""), {}, {"year": "25"})


# --- maps --------------------------------------------------------------------------------
def test_a_map_whose_headings_no_sheet_has_is_refused(tmp_path: Path) -> None:
    path = csv_of(tmp_path, HEAD, ONE)
    chosen = ColumnMap("x", columns={"Nope": "added", "Date": "date"})
    for read in (lambda: taken(path, chosen), lambda: look(path, (), chosen)):
        with pytest.raises(Refused) as caught:
            read()
        (problem,) = caught.value.problems
        assert problem.code == "option-unfit"
        assert problem.sentence == 'No sheet of jobs.csv has the heading "Nope".'


def test_hidden_columns_and_comments_are_said(tmp_path: Path) -> None:
    from openpyxl.comments import Comment

    def change(sheet: Any) -> None:
        sheet.column_dimensions["D"].hidden = True
        sheet["A2"].comment = Comment("ask", "office")

    found = taken(xlsx_of(tmp_path, HEAD, ONE, change=change))
    assert len(found.rows) == 1
    assert found.found.notes == [
        "Sheet Sheet: column D is hidden; it was read like the others.",
        "1 comment stands at a cell of jobs.xlsx; comments are not read.",
    ]


# --- a look ------------------------------------------------------------------------------
def test_a_look_says_what_was_found_in_all_rows(tmp_path: Path) -> None:
    rows = [ONE] * 40
    path = csv_of(
        tmp_path, ("Log 2025",), HEAD, *rows, ("Total", "", "", "180"), ("ask Walt",),
        ("6/3", "RTU-1", "407", "4-8", "410-1", "TB"),
    )  # fmt: skip
    (looked,) = look(path)
    lines = looked.lines()
    for said in (
        'the title in row 1: "Log 2025"', "41 rows to take in", "row 43 adds others up",
        'row 44 is a note and was left out: "ask Walt"', "year = 2025", "(refrigerant, row 45)",
        "(added, row 45)",
    ):  # fmt: skip
        assert any(said in line for line in lines), (said, lines)


def test_a_look_says_that_a_sheet_is_hidden(tmp_path: Path) -> None:
    def add(sheet: Any) -> None:
        old = sheet.parent.create_sheet("Old")
        old.append(["Date"])
        old.sheet_state = "hidden"

    found = look(xlsx_of(tmp_path, HEAD, ONE, change=add))
    assert [one.sheet for one in found] == ["Sheet", "Old"]
    assert 'Take it in with --sheet "Old".' in found[1].lines()[1]


# --- rows whose words are headings -------------------------------------------------------
PLACES = ("Place", "Kind", "Note")
CYLINDERS = ("Cylinder", "Kind", "Refrigerant", "Location")


@pytest.mark.parametrize("gap", [False, True])
@pytest.mark.parametrize(
    ("head", "row"),
    [
        (PLACES, ("Warehouse", "warehouse", "cage and yard")),
        (PLACES, ("Truck", "truck", "")),
        (("Warehouse", "Kind"), ("Van", "other")),
        (CYLINDERS, ("Tank", "recovery", "R-22", "Truck")),
        (CYLINDERS, ("Drum", "drum", "R-22", "Location")),
        (CYLINDERS, ("Bottle", "", "R-410A", "Place")),
    ],
)
def test_a_row_of_a_list_whose_words_are_headings_is_a_row(
    tmp_path: Path, head: tuple[str, ...], row: tuple[str, ...], gap: bool
) -> None:
    other = ("Truck 4", "truck", *[""] * (len(head) - 2))
    space: list[tuple[str, ...]] = [()] if gap else []
    found = taken(csv_of(tmp_path, head, other, *space, row, name="list.csv"))
    assert [one.cells[0] for one in found.rows] == ["Truck 4", row[0]]
    found = taken(csv_of(tmp_path, head, row, other, name="list.csv"))
    assert [one.cells[0] for one in found.rows] == [row[0], "Truck 4"]


@pytest.mark.parametrize("between", [[()], [("Crew",)], [(), ("Crew",), ()]])
def test_two_headings_begin_a_list_below_an_empty_row_or_a_title(
    tmp_path: Path, between: list[tuple[str, ...]]
) -> None:
    crew = [("Technician", "Initials"), ("Tamsin Brandvold", "TB")]
    found = taken(csv_of(tmp_path, PLACES, ("Truck 4", "truck"), *between, *crew))
    assert [one.plan and one.plan.map.records for one in found.found.sheets] == ["place", "person"]


def test_three_headings_begin_a_list_right_below_another(tmp_path: Path) -> None:
    units = [("Unit", "Site", "Refrigerant"), ("RTU-1", "North", "R-410A")]
    found = taken(csv_of(tmp_path, ("Site", "Address"), ("North", "4 Elm St"), *units))
    assert [one.plan and one.plan.map.records for one in found.found.sheets] == ["site", "unit"]


def test_two_words_of_headings_in_a_list_are_a_row(tmp_path: Path) -> None:
    found = taken(csv_of(tmp_path, ("Site", "Address"), ("North", "4 Elm St"), ("Place", "Street")))
    assert [one.cells[0] for one in found.rows] == ["North", "Place"]
