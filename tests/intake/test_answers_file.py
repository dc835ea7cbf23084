"""The copy of a sheet in which a person answers: what stands in it, and what it keeps."""

from __future__ import annotations

import csv
import datetime
from pathlib import Path
from typing import Any

import pytest

from ledger.facts.problems import Refused
from ledger.intake import answers_file, answers_workbook
from ledger.intake.columns import ColumnMap
from tests.intake.answering import beside, fill, headings, lines_of
from tests.intake.shop import Shop, held, new

HEADINGS = ["Date", "Unit", "Added", "Recovered", "Tank", "Recovery tank", "Tech", "Ticket #",
            "Notes"]  # fmt: skip
ROWS: list[list[Any]] = [
    ["3/1/26", "RTU-1", "4 lb 8 oz", "", "410-1", "", "TB", "T-1", ""],
    ["3/2/26", "RTU-2/B", "", "2.6 kg", "", "RC-1", "DO", "T-2", "flat"],
    ["3/5/26", "RTU-1", "4-8", "", "410-1", "", "TB", "T-5", ""],
    ["6/31/25", "RTU-1", "1", "", "410-1", "", "TB", "T-6", "see ticket"],
    ["3/6/26", "RTU-1", "1", "", "", "", "TB", "T-7", ""],
]
OURS = ["tarebook outcome", "tarebook entry", "tarebook question", "tarebook answer",
        "tarebook row"]  # fmt: skip
ASKED = (
    'added (C4): "4-8" can be read two ways: 4.8 lb or 4 lb 8 oz (4.5 lb); write the one you'
    " mean. Answer 4.8 lb or 4 lb 8 oz."
)


def sheet(shop: Shop, kind: str, rows: list[list[Any]] = ROWS, name: str = "jobs") -> Path:
    if kind == "xlsx":
        return shop.xlsx({"Charges": [HEADINGS, *rows]}, f"{name}.xlsx")
    path = shop.folder / f"{name}.csv"
    with path.open("w", newline="", encoding="utf-8") as file:
        csv.writer(file).writerows([HEADINGS, *rows])
    return path


# --- what stands in it -------------------------------------------------------------------
@pytest.mark.parametrize("kind", ["csv", "xlsx"])
def test_every_row_stands_in_it_with_what_became_of_it(shop: Shop, kind: str) -> None:
    out = shop.folder / f"jobs.answers.{kind}"
    report = shop.take(sheet(shop, kind), answers=out)
    assert report.counts == {"recorded": 2, "flagged": 1, "question": 1, "rejected": 1}
    lines = lines_of(out)
    assert lines[0] == [*HEADINGS, *OURS]
    assert [[str(cell) for cell in line[: len(HEADINGS)]] for line in lines[1:]] == ROWS
    told = [beside(out, number) for number in range(2, 7)]
    assert [one["outcome"] for one in told] == [
        "recorded", "recorded", "question", "rejected", "flagged",
    ]  # fmt: skip
    assert [str(one["entry"]) for one in told] == ["3", "4", "", "", "5"]
    assert told[2]["question"] == ASKED and told[2]["answer"] == ""
    assert told[3]["question"].startswith('date (A5): "6/31/25" is not a date')
    assert [bool(one["row"]) for one in told] == [False, False, True, True, False]


def test_nothing_is_written_where_nothing_is_left(shop: Shop) -> None:
    out = shop.folder / "out.csv"
    report = shop.take(sheet(shop, "csv", ROWS[:2]), answers=out)
    assert report.answers_file == "" and not out.exists()
    report = shop.take(sheet(shop, "csv"), answers=out, dry_run=True)
    assert report.left == 2 and report.answers_file == "" and not out.exists()


def test_it_is_never_written_over_and_never_without_its_folder(shop: Shop) -> None:
    out = shop.folder / "out.csv"
    out.write_text("mine")
    before = shop.head()
    for place, code in ((out, "file-exists"), (shop.folder / "no" / "x.csv", "file-unwritable")):
        with pytest.raises(Refused) as caught:
            shop.take(sheet(shop, "csv"), answers=place)
        assert caught.value.problems[0].code == code
    assert out.read_text() == "mine" and shop.head() == before
    assert sorted(path.name for path in shop.folder.iterdir() if "out" in path.name) == ["out.csv"]


def test_where_it_cannot_be_written_the_report_is_not_given_up(
    shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    from ledger.facts.problems import refuse
    from ledger.intake import importing

    def full(*_: object) -> None:
        raise refuse("file-unwritable", "The disk is full.", "Make room.")

    monkeypatch.setattr(importing, "write_answers", full)
    report = shop.take(sheet(shop, "csv"), answers=shop.folder / "out.csv")
    assert report.recorded == 3 and report.answers_file == ""
    assert report.notes[-1] == "The disk is full. Make room. [file-unwritable]"


def test_it_carries_what_the_name_of_its_sheet_said(shop: Shop) -> None:
    out = shop.folder / "out.csv"
    path = shop.csv("Date,Unit,lb,Tank,Tech\n3/1/26,RTU-1,4-8,410-1,TB", "charges.csv")
    shop.take(path, answers=out)
    fill(out, 2, "4.8")
    assert shop.take(out).recorded == 1
    assert shop.entries()[0]["verb"] == "charge"
    assert shop.take(path).counts == {"already": 1}


def test_it_carries_what_was_set_by_the_map(shop: Shop) -> None:
    odd = ColumnMap("odd", "movements", {"Wann": "date", "Wo": "unit", "lb": "amount",
                    "Tank": "cylinder"}, {"action": "charge"}, date_order="dmy")  # fmt: skip
    out = shop.folder / "x.answers.csv"
    path = shop.csv("Wann,Wo,lb,Tank\n01/03/26,RTU-1,4-8,410-1", "x.csv")
    assert shop.take(path, odd, answers=out).counts == {"question": 1}
    fill(out, 2, "4.8")
    assert shop.take(out, odd).counts == {"flagged": 1}
    assert shop.take(path, odd).counts == {"already": 1}


# --- text --------------------------------------------------------------------------------
def test_a_text_file_keeps_its_lines_its_separator_and_its_accents(shop: Shop) -> None:
    text = "Refrigerant log;;;;\n\nDate;Unit;Added;Tank;Tech\n3/1/26;RTU-1;4-8;410-1;TB\n;;;;\n"
    path = shop.folder / "jobs.csv"
    path.write_bytes((text + "3/2/26;RTU-1;1;410-1;Zoë\n").encode("utf-8"))
    out = shop.folder / "jobs.answers.csv"
    shop.take(path, answers=out)
    raw = out.read_bytes()
    assert raw.startswith(b"\xef\xbb\xbf")
    lines = raw.decode("utf-8-sig").splitlines()
    assert lines[0].startswith("Refrigerant log;;;;") and lines[1] == ""
    assert lines[2] == "Date;Unit;Added;Tank;Tech;" + ";".join(OURS)
    assert lines[3].startswith("3/1/26;RTU-1;4-8;410-1;TB;question;;")
    assert lines[-1].startswith("3/2/26;RTU-1;1;410-1;Zoë;question;;")


def test_a_text_that_looks_like_a_formula_does_not_act_as_one(shop: Shop) -> None:
    odd = ['=HYPERLINK("x")', "+1 for lunch", "-2+3", "@sum", "\t=1", "-", "-4.5", "'=kept"]
    rows = [[f"3/{n}/26", "RTU-1", "4-8", "", "410-1", "", "TB", f"T-{n}", text]
            for n, text in enumerate(odd, 1)]  # fmt: skip
    path, out = sheet(shop, "csv", rows), shop.folder / "jobs.answers.csv"
    shop.take(path, answers=out)
    notes = [line[8] for line in lines_of(out)[1:]]
    assert notes == ["'=HYPERLINK(\"x\")", "'+1 for lunch", "'-2+3", "'@sum", "'=1", "-", "-4.5",
                     "'=kept"]  # fmt: skip
    for number in range(2, 10):
        fill(out, number, "4.8")
    again = shop.folder / "jobs.answers-2.csv"
    report = shop.take(out, answers=again)
    assert report.recorded == 8 and report.left == 0, held(report)
    assert shop.take(path).counts == {"already": 8}


def test_a_comma_out_of_place_is_still_told_in_the_copy(shop: Shop) -> None:
    path = shop.csv("Date,Unit,Added,Tank,Tech\n3/1/26,RTU-1,1,410-1,Brandvold, Tamsin")
    out, again = shop.folder / "a.csv", shop.folder / "b.csv"
    assert shop.take(path, answers=out).counts == {"rejected": 1}
    assert shop.take(out, answers=again).counts == {"rejected": 1}
    assert beside(again, 2)["row"] == beside(out, 2)["row"]


# --- workbooks ---------------------------------------------------------------------------
def formatted(shop: Shop) -> Path:
    """A workbook as a shop formats it: title, widths, colours, a formula, merged cells."""
    from openpyxl import Workbook
    from openpyxl.styles import Font, PatternFill

    book = Workbook()
    made = book.worksheets[0]
    made.title = "Charges"
    made.append(["Refrigerant log"])
    made.merge_cells("A1:F1")
    made.append(["Date", "Unit", "lb", "Tank", "Tech", "Cost"])
    made.append([datetime.date(2026, 3, 1), "RTU-1", "4-8", "410-1", "TB", "=2*12.5"])
    made.append([datetime.date(2026, 3, 2), "RTU-1", 1.5, "410-1", "TB", None])
    made["A3"].number_format = "mm/dd/yy"
    made["B3"].font = Font(bold=True, color="FFFF0000")
    made["C4"].fill = PatternFill("solid", fgColor="FFFFFF00")
    made.column_dimensions["B"].width = 31
    made.freeze_panes = "A3"
    book.create_sheet("Notes").append(["just words"])
    path = shop.folder / "jobs.xlsx"
    book.save(path)
    return path


def test_a_workbook_keeps_its_formats_and_formulas(shop: Shop) -> None:
    from openpyxl import load_workbook

    out = shop.folder / "jobs.answers.xlsx"
    report = shop.take(formatted(shop), answers=out)
    assert report.counts == {"recorded": 1, "question": 1}, held(report)
    book = load_workbook(out)
    assert book.sheetnames == ["Charges", "Notes"]
    made = book["Charges"]
    assert [str(one) for one in made.merged_cells.ranges] == ["A1:F1"]
    assert made["F3"].value == "=2*12.5" and made["C3"].value == "4-8"
    assert made["A3"].number_format == "mm/dd/yy" and made["B3"].font.color.rgb == "FFFF0000"
    assert made["C4"].fill.fgColor.rgb == "FFFFFF00" and made["C4"].value == 1.5
    assert made.column_dimensions["B"].width == 31 and made.freeze_panes == "A3"
    assert [cell.value for cell in made[2]][6:] == OURS
    assert made["G4"].value == "recorded" and made["G1"].value is None


def drop_downs(path: Path, name: str = "Charges") -> dict[str, str]:
    """The drop-downs of a sheet: where each stands and what it offers."""
    from openpyxl import load_workbook

    found = load_workbook(path)[name].data_validations.dataValidation
    assert all(one.type == "list" and not one.showErrorMessage for one in found)
    return {str(one.sqref): one.formula1 for one in found}


def test_answers_that_can_be_chosen_are_a_drop_down(shop: Shop) -> None:
    out = shop.folder / "jobs.answers.xlsx"
    twice = [*ROWS, ["3/9/26", "RTU-1", "4-8", "", "410-1", "", "TB", "T-9", ""]]
    shop.take(sheet(shop, "xlsx", twice), answers=out)
    assert drop_downs(out) == {"M4 M7": '"4.8 lb,4 lb 8 oz"'}


def test_choices_with_commas_are_a_list_on_a_hidden_sheet_that_is_passed_over(shop: Shop) -> None:
    from openpyxl import load_workbook

    shop.record(new("site", "12 Larkspur Ct, Unit 4"))
    shop.record(new("unit", "Walk-in, rear", site="12 Larkspur Ct, Unit 4"))
    shop.record(new("circuit", "Walk-in, rear", unit="Walk-in, rear", refrigerant="R-410A"))
    path = shop.xlsx({"Charges": [["Date", "Unit", "lb", "Tank", "Tech"],
                                  ["3/1/26", "Walk in rear", 1, "410-1", "TB"]]})  # fmt: skip
    out = shop.folder / "jobs.answers.xlsx"
    shop.take(path, answers=out)
    assert drop_downs(out) == {"I2": "'tarebook lists'!$A$1:$A$2"}
    book = load_workbook(out)
    assert book["tarebook lists"].sheet_state == "hidden"
    assert [cell.value for cell in book["tarebook lists"]["A"]] == ["Walk-in, rear", "new"]
    fill(out, 2, "Walk-in, rear")
    report = shop.take(out, answers=shop.folder / "jobs.answers-2.xlsx")
    assert report.counts == {"recorded": 1} and report.notes == []


def test_a_formula_whose_result_went_with_the_copy_is_asked_about_and_not_lost(shop: Shop) -> None:
    """A copy that no spreadsheet program has opened holds no results; nothing goes in twice."""
    path = formatted(shop)
    from openpyxl import load_workbook

    book = load_workbook(path)
    book["Charges"]["F3"].value = 25
    book["Charges"]["C4"].value = "=3/2"
    book.save(path)
    out = shop.folder / "jobs.answers.xlsx"
    assert shop.take(path, answers=out).counts == {"question": 1, "rejected": 1}
    fill(out, 3, "4.8")
    fill(out, 4, "amount: 1.5")
    assert shop.take(out).counts == {"recorded": 2}


# --- large files -------------------------------------------------------------------------
@pytest.mark.parametrize("kind", ["csv", "xlsx"])
def test_of_a_large_file_only_the_rows_that_wait_are_written(
    shop: Shop, kind: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(answers_file, "LARGEST_COPY_ROWS", 4)
    path, out = sheet(shop, kind), shop.folder / f"jobs.answers.{kind}"
    shop.take(path, answers=out)
    lines = lines_of(out)
    assert lines[0] == [*HEADINGS, *OURS] and len(lines) == 3
    assert [line[: len(HEADINGS)] for line in lines[1:]] == ROWS[2:4]
    assert beside(out, 2)["question"] == ASKED
    if kind == "xlsx":
        assert drop_downs(out) == {"M2": '"4.8 lb,4 lb 8 oz"'}
    fill(out, 2, "4.8")
    fill(out, 3, "6/30/25", "Date")
    assert shop.take(out).counts == {"recorded": 2}
    assert shop.take(path).counts == {"already": 5}


def test_a_workbook_too_large_to_copy_is_answered_by_its_rows(
    shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(answers_workbook, "LARGEST_COPY_BYTES", 10)
    out = shop.folder / "jobs.answers.xlsx"
    shop.take(sheet(shop, "xlsx"), answers=out)
    assert len(lines_of(out)) == 3
    fill(out, 2, "4.8")
    assert shop.take(out).counts == {"recorded": 1, "rejected": 1}


# --- the copy of a copy ------------------------------------------------------------------
@pytest.mark.parametrize("kind", ["csv", "xlsx"])
def test_a_copy_of_a_copy_has_the_same_columns_and_marks(shop: Shop, kind: str) -> None:
    first = shop.folder / f"jobs.answers.{kind}"
    second = shop.folder / f"jobs.answers-2.{kind}"
    shop.take(sheet(shop, kind), answers=first)
    fill(first, 4, "4-9")
    report = shop.take(first, answers=second)
    assert report.counts == {"already": 3, "question": 1, "rejected": 1}
    assert headings(second) == headings(first)
    assert [beside(second, n)["row"] for n in range(2, 7)] == [
        beside(first, n)["row"] for n in range(2, 7)
    ]
    assert (
        beside(second, 4)["answer"] == "4-9" and beside(second, 2)["outcome"] == "already (entry 3)"
    )
    fill(second, 4, "4.8")
    fill(second, 5, "6/30/25", "Date")
    assert shop.take(second).counts == {"already": 3, "recorded": 2}


def test_the_names_of_copies(shop: Shop) -> None:
    from ledger.cli.importing import Choices, _answers

    made = shop.folder
    assert _answers(made / "jobs.xlsm", Choices()).name == "jobs.answers.xlsx"
    (made / "jobs.answers.csv").touch()
    assert _answers(made / "jobs.csv", Choices()).name == "jobs.answers-2.csv"
    assert _answers(made / "jobs.answers.csv", Choices()).name == "jobs.answers-2.csv"
    (made / "jobs.answers-2.csv").touch()
    assert _answers(made / "jobs.answers-2.csv", Choices()).name == "jobs.answers-3.csv"


# --- a row that was recorded and then changed in the copy ---------------------------------
def changed(shop: Shop) -> Path:
    out = shop.folder / "jobs.answers.csv"
    shop.take(sheet(shop, "csv"), answers=out)
    fill(out, 2, "5 lb", "Added")
    return out


def test_a_recorded_row_that_is_changed_in_the_copy_is_not_recorded_twice_unasked(
    shop: Shop,
) -> None:
    out = changed(shop)
    report = shop.take(out)
    assert report.counts["question"] == 2
    (problem,) = report.questions[0].problems
    assert (problem.code, problem.entry) == ("same-job", 3)
    assert problem.choices == ("same", "both", "instead")


@pytest.mark.parametrize(
    ("answer", "counts", "held_lb"),
    [
        ("instead", {"already": 2, "recorded": 1}, "20.00"),
        ("Keep both", {"already": 2, "recorded": 1}, "15.50"),
        ("entry 3", {"already": 2, "duplicate": 1}, "20.50"),
    ],
)
def test_its_answer_is_kept(shop: Shop, answer: str, counts: dict[str, int], held_lb: str) -> None:
    out = changed(shop)
    second = shop.folder / "jobs.answers-2.csv"
    shop.take(out, answers=second)
    fill(second, 2, answer)
    assert shop.take(second).counts == {**counts, "question": 1, "rejected": 1}
    assert shop.held("410-1") == held_lb
    head = shop.head()
    again = shop.take(second)
    assert (again.recorded, again.counts["duplicate"]) == (0, counts.get("duplicate", 0))
    assert shop.take(sheet(shop, "csv")).counts == {"already": 3, "question": 1, "rejected": 1}
    assert shop.head() == head


# --- several tables on a sheet ------------------------------------------------------------
CHARGES = ["Date", "Unit", "Added", "Tank", "Tech"]
RECOVERED = ["Date", "Unit", "Recovered", "Recovery tank", "Tech"]


def test_two_tables_one_below_the_other_have_our_columns_each(shop: Shop) -> None:
    path = shop.xlsx({"Jobs": [
        CHARGES, ["3/1/26", "RTU-1", "4-8", "410-1", "TB"], [],
        RECOVERED, ["3/2/26", "RTU-1", "2-4", "RC-1", "TB"],
    ]})  # fmt: skip
    out = shop.folder / "jobs.answers.xlsx"
    report = shop.take(path, answers=out)
    assert report.counts == {"question": 2}, held(report)
    fill(out, 2, "4.8")
    fill(out, 5, "2.4")
    assert shop.take(out).counts == {"recorded": 2}
    assert shop.take(path).counts == {"already": 2}


def test_two_tables_side_by_side_are_answered_by_their_rows(shop: Shop) -> None:
    path = shop.xlsx({"Jobs": [
        [*CHARGES, None, *RECOVERED],
        ["3/1/26", "RTU-1", "4-8", "410-1", "TB", None, "3/2/26", "RTU-1", "2-4", "RC-1", "TB"],
    ]})  # fmt: skip
    out = shop.folder / "jobs.answers.xlsx"
    report = shop.take(path, answers=out)
    assert report.counts == {"question": 2}, held(report)
    from openpyxl import load_workbook

    for name in load_workbook(out).sheetnames:
        fill(out, 2, "4.8" if "Added" in lines_of(out, name)[0] else "2.4", sheet=name)
    assert shop.take(out).counts == {"recorded": 2}
    assert shop.take(path).counts == {"already": 2}


def test_a_hidden_row_is_taken_or_left_by_its_answer(shop: Shop) -> None:
    from openpyxl import load_workbook

    path = shop.xlsx({"Charges": [["Date", "Unit", "lb", "Tank", "Tech"],
                                  ["3/1/26", "RTU-1", 1, "410-1", "TB"],
                                  ["3/2/26", "RTU-1", 2, "410-1", "TB"]]})  # fmt: skip
    book = load_workbook(path)
    for number in (2, 3):
        book["Charges"].row_dimensions[number].hidden = True
    book.save(path)
    out = shop.folder / "jobs.answers.xlsx"
    report = shop.take(path, answers=out)
    assert report.counts == {"question": 2}, held(report)
    assert report.questions[0].problems[0].code == "row-doubtful"
    fill(out, 2, "take")
    fill(out, 3, "leave")
    for again, counts in ((out, "recorded"), (out, "already"), (path, "already")):
        assert shop.take(again).counts == {counts: 1, "skipped": 1}


# --- headings that stand again ------------------------------------------------------------
@pytest.mark.parametrize("kind", ["csv", "xlsx"])
@pytest.mark.parametrize("name", ["Jobs", "Charges"])
@pytest.mark.parametrize("again", [["DATE", "unit", "Lbs ", "Tank", "Tech"], []])
def test_answers_below_repeated_headings_are_heard(
    shop: Shop, kind: str, name: str, again: list[str]
) -> None:
    head = ["Date", "Unit", "lb" if name == "Charges" else "Added", "Tank", "Tech"]
    again = [*again[:2], head[2], *again[3:]] if again else head
    rows = [head, ["3/1/26", "RTU-1", "4-8", "410-1", "TB"], [], again,
            ["3/9/26", "RTU-1", "2-4", "410-1", "TB"]]  # fmt: skip
    if kind == "xlsx":
        path = shop.xlsx({name: rows})
    else:
        path = shop.folder / f"{name}.csv"
        with path.open("w", newline="", encoding="utf-8") as file:
            csv.writer(file).writerows(rows)
    out, second = (shop.folder / f"jobs.answers{n}.{kind}" for n in ("", "-2"))
    assert shop.take(path, answers=out).counts == {"question": 2}
    fill(out, 2, "4.8")
    assert shop.take(out, answers=second).counts == {"recorded": 1, "question": 1}
    assert lines_of(second)[3][-5:] == OURS
    fill(second, 5, "2.4")
    assert shop.take(second).counts == {"already": 1, "recorded": 1}
    assert shop.take(path).counts == {"already": 2}


def test_answers_below_headings_without_our_columns_are_heard(shop: Shop) -> None:
    """A person may have put the headings in again, or taken ours away."""
    rows = [CHARGES, ["3/1/26", "RTU-1", "4-8", "410-1", "TB"], CHARGES,
            ["3/9/26", "RTU-1", "2-4", "410-1", "TB"]]  # fmt: skip
    out = shop.folder / "jobs.answers.xlsx"
    assert shop.take(shop.xlsx({"Jobs": rows}), answers=out).counts == {"question": 2}
    from openpyxl import load_workbook

    book = load_workbook(out)
    for cell in book["Jobs"][3][len(CHARGES) :]:
        cell.value = None
    book.save(out)
    fill(out, 4, "2.4")
    assert shop.take(out).counts == {"recorded": 1, "question": 1}
