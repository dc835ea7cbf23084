"""A file as a whole: its sheets and their order, its maps, dry runs, and what is said of it."""

from __future__ import annotations

import json

import pytest

from ledger.facts.facts import Setting
from ledger.facts.problems import Refused
from ledger.intake.columns import SETTING, ColumnMap
from ledger.intake.importing import look_at, run_import
from tests.intake.shop import Shop
from tests.intake.test_import import FAULTS, GAPS, JOBS


# --- the file as a whole -----------------------------------------------------------------
def test_rows_that_are_none_are_counted(shop: Shop) -> None:
    report = shop.take(shop.csv("""
        Refrigerant log 2026,,,,
        ,,,,
        Date,Unit,Added,Tank,Tech
        3/1/26,RTU-1,1,410-1,TB

        Date,Unit,Added,Tank,Tech
        3/2/26,RTU-1,2,410-1,TB
        ,,,,
    """))  # fmt: skip
    assert report.counts == {"recorded": 2}
    assert +report.skipped == {"above the headings": 1, "empty": 2, "headings repeated": 1}


def test_masters_go_in_before_what_names_them_whatever_the_order_of_the_tabs(shop: Shop) -> None:
    path = shop.xlsx({
        "Charges": [["Date", "Unit", "lb", "Tank", "Tech"], ["3/5/26", "AC-7", 2, "410-9", "Nell"]],
        "Received": [["Date", "Supplier", "Tank", "Net lb", "Refrigerant"],
                     ["3/1/26", "Dale Gases", "410-9", 25, "410a"]],
        "Cylinders": [["Cyl #", "Type", "Refrigerant"], ["410-9", "disposable", "R-410A"]],
        "Units": [["Unit", "Site", "Refrigerant"], ["AC-7", "Quarry Rd 2", "410A"]],
        "Techs": [["Name", "Card"], ["Nell", "Universal 5"]],
        "Sites": [["Site", "Owner"], ["Quarry Rd 2", "Jo Merriden"]],
        "Suppliers": [["Supplier"], ["Dale Gases"]],
        "Customers": [["Customer", "Note"], ["Jo Merriden", ""]],
    })  # fmt: skip
    report = shop.take(path, strict=True)
    assert report.counts == {"recorded": 8}
    assert shop.held("410-9") == "23.00"


def test_only_the_sheets_that_are_asked_for(shop: Shop) -> None:
    head = ["Date", "Unit", "lb", "Tank", "Tech"]
    path = shop.xlsx({
        "Charges": [head, ["3/5/26", "RTU-1", 2, "410-1", "TB"]],
        "Charges 2": [head, ["3/6/26", "RTU-1", 2, "410-1", "TB"]],
        "Colours": [["a", "b"]],
    })  # fmt: skip
    report = shop.take(path, sheets=["charges 2"])
    assert [move[0] for move in shop.moves()] == ["2026-03-06"]
    assert report.sheets == [("Charges 2", "movements", 1)]
    assert shop.take(path).notes == [
        "Sheet Colours was left out: it has no headings that are known."
    ]
    with pytest.raises(Refused) as caught:
        shop.take(path, sheets=["Charges 3"])
    assert caught.value.problems[0].code == "option-unfit"
    with pytest.raises(Refused) as caught:
        shop.take(path, sheets=["Colours"])
    assert caught.value.problems[0].code == "column-map-needed"


def test_a_hidden_sheet_is_not_taken_in_unasked(shop: Shop) -> None:
    head = ["Date", "Unit", "lb", "Tank", "Tech"]
    path = shop.xlsx({"Charges": [head, ["3/5/26", "RTU-1", 2, "410-1", "TB"]],
                      "Charges old": [head, ["3/6/25", "RTU-1", 2, "410-1", "TB"]]})  # fmt: skip
    from openpyxl import load_workbook

    book = load_workbook(path)
    book["Charges old"].sheet_state = "hidden"
    book.save(path)
    (note,) = shop.take(path).notes
    assert note.startswith("Sheet Charges old is hidden and was left out; it holds 2 rows.")
    assert len(shop.moves()) == 1
    assert shop.take(path, sheets=["Charges old"]).recorded == 1


@pytest.mark.parametrize(
    "text",
    ["Colour,Shape\nred,round\n", "Date,Unit,lb,Tank\n3/1/26,RTU-1,1,410-1\n", "just words\n"],
)
def test_a_sheet_that_cannot_be_read_by_its_headings_is_asked_about(shop: Shop, text: str) -> None:
    before = shop.head()
    with pytest.raises(Refused) as caught:
        shop.take(shop.csv(text))
    assert {problem.code for problem in caught.value.problems} == {"column-map-needed"}
    assert shop.head() == before


ODD = "Wann,Wo,Wieviel,Flasche,Wer\n01.03.26,RTU-1,2.5,410-1,TB\n"
ODD_MAP = ColumnMap(
    "odd", "movements",
    {"Wann": "date", "Wo": "unit", "Wieviel": "amount", "Flasche": "cylinder", "Wer": "technician"},
    {"action": "charge"}, unit="kg", date_order="dmy",
)  # fmt: skip


def test_a_map_makes_any_headings_readable(shop: Shop) -> None:
    assert shop.take(shop.csv(ODD), ODD_MAP).recorded == 1
    assert shop.moves() == [("2026-03-01", "cylinder:410-1", "circuit:RTU-1", "R-410A", "2.5 kg")]


def test_a_map_kept_in_the_book_is_used_where_its_headings_are(shop: Shop) -> None:
    shop.record(Setting(SETTING, "odd", ODD_MAP.body()))
    assert shop.take(shop.csv(ODD)).recorded == 1
    assert shop.take(shop.csv(JOBS + "\n3/2/26,RTU-1,1,,410-1,,TB,", "two.csv")).recorded == 1


def test_a_map_that_has_no_sheet_or_is_wrong_is_refused(shop: Shop) -> None:
    with pytest.raises(Refused) as caught:
        shop.take(shop.csv(ODD), ColumnMap("bad", "movements", {"Wann": "moon"}))
    assert caught.value.problems[0].code == "field-unknown"


def test_a_dry_run_says_the_same_and_writes_nothing(shop: Shop) -> None:
    path, before = shop.csv(FAULTS + GAPS.partition("\n")[2]), shop.head()
    planned = shop.take(path, dry_run=True)
    assert shop.head() == before and shop.entries() == []
    done = shop.take(path)
    assert planned.counts == done.counts and planned.flagged == done.flagged
    assert (planned.first, planned.last) == (done.first, done.last)


def test_nothing_is_recorded_of_a_file_that_breaks_off(shop: Shop) -> None:
    before = shop.head()
    rows = "".join(f"3/{day}/26,RTU-1,1,,410-1,,TB,\n" for day in range(1, 20))
    with pytest.raises(Refused) as caught:
        shop.take(shop.csv(JOBS + "\n" + rows + '3/20/26,"RTU-1,1,,410-1,,TB,'))
    assert caught.value.problems[0].code == "file-unfit"
    assert shop.head() == before


def test_progress_is_told(shop: Shop) -> None:
    told: list[tuple[int, int]] = []
    path = shop.csv(JOBS + "\n3/1/26,RTU-1,1,,410-1,,TB,\n3/2/26,RTU-1,x,,410-1,,TB,")
    run_import(shop.book, path, moment=shop.moment, progress=lambda *at: told.append(at))
    assert told == [(2, 2)]


def test_the_report_as_plain_values(shop: Shop) -> None:
    body = shop.take(shop.csv(GAPS + "3/4/26,RTU-1,4-8,,410-1,,TB,")).body()
    assert json.loads(json.dumps(body)) == body
    assert body["rows"] == {
        "recorded": 0, "flagged": 3, "question": 1, "duplicate": 0, "already": 0, "rejected": 0,
        "skipped": 0,
    }  # fmt: skip
    assert body["questions"][0]["problems"][0]["code"] == "quantity-unclear"


def test_a_look_says_how_each_sheet_would_be_read_and_records_nothing(shop: Shop) -> None:
    shop.record(Setting(SETTING, "odd", ODD_MAP.body()))
    head = ["Date", "Unit", "lb", "Weather"]
    odd_rows = [["a title"], *(line.split(",") for line in ODD.split())]
    mine_rows = [head, ["3/1/26", "RTU-1", 1, "hot"]]
    path = shop.xlsx({"Odd": odd_rows, "Mine": mine_rows, "Words": [["nothing"]]})
    before = shop.head()
    odd, mine, words = look_at(shop.book, path, moment=shop.moment)
    assert odd.proposal is not None and odd.proposal.lines() == [
        "Sheet Odd: pounds moved, headings in row 2.",
        "  A Wann: date",
        "  B Wo: unit",
        "  C Wieviel: amount",
        "  D Flasche: cylinder",
        "  E Wer: technician",
        "  every row: action = charge",
    ]
    assert mine.proposal is not None and "  D Weather: kept as a note" in mine.proposal.lines()
    assert not mine.proposal.ready and words.proposal is None
    assert shop.head() == before
