"""The letter: sixteen rows of a small shop's June, each with what is to become of it.

Scenario 8.B of the trade notes, invented.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from ledger.facts.facts import Evidence
from ledger.facts.mass import POUND, half_up
from ledger.facts.verbs import opening
from ledger.intake.columns import ColumnMap
from ledger.intake.report import ImportReport
from tests.intake.shop import Shop, flags, held, lb, new, reasons

AS_FOUND = [
    ["Date", "Tech", "Address", "Job", "Refrig", "Rec", "Tank"],
    ["6/3/25", "TB", "411 Cordwain Ln", "changeout", "410", "7 lb 6 oz", "R-tank 4"],
    ["06-03-2025", "T. Brandvold", "411 Cordwain Lane", "", "R410A", 7.4, None],
    ["6/5/25", "TB", "20 Saltern Rd", "", "r22", "5.8", "4"],
    ["6/31/25", "TB", "20 Saltern Rd", "", "410A", 6.2, "R-tank 4"],
    ["2025-06-12", "TB", "20 Saltern Rd", "", "410A", "8", None],
    ["6/13", "TB", "20 Saltern Rd", "", "R22", "0 - flat", None],
    ["6/14", "TB", "20 Saltern Rd", "", "410A", "4-8", "R-tank 4"],
    ["6/16", "TB", "5 Weir St", "window unit", "R-410A", 1.9, "RC-05"],
    ["6/17", "TB", "5 Weir St", "rooftop 62 lb, disposed", "R-410A", 58.5, "RC-05"],
    ["6/18", "TB", "5 Weir St", "", "410A", "2.6 kg", "RC-05"],
    ["6/20", "TB", "5 Weir St", "", "410A", "3120 g", "RC-05"],
    ["6/20", "TB", "5 Weir St", "", "the blue one", 3, "RC-05"],
    ["6/24", "TB", "5 Weir St", "", "22/410?", 5, "RC-05"],
    ["6/25", "TB", "5 Weir St", "", "R454B", 6.6, "RC-02"],
    ["6/27", "TB", None, "", "410A", "7.0", "RC-05"],
    ["6/30", "TB", "5 Weir St", "", "410A", "O.7", "RC-05"],
]
JUNE = ColumnMap(
    "june", "movements",
    {"Date": "date", "Tech": "technician", "Address": "site", "Job": "note",
     "Refrig": "refrigerant", "Rec": "recovered", "Tank": "to cylinder"},
    year=2025,
)  # fmt: skip
HEADER_ROWS = 1


@pytest.fixture
def letter(shop: Shop) -> tuple[Shop, ImportReport]:
    """The letter taken in, with the names the shop uses kept as aliases first."""
    shop.record(
        new("cylinder", "RC-04", kind="recovery", refrigerant="R-410A"),
        new("cylinder", "RC-05", kind="half-ton", refrigerant="R-410A"),
        new("cylinder", "RC-02", kind="recovery", refrigerant="R-410A"),
        *opening("RC-02", "R-410A", lb(3), Evidence("stated"), "recovered", ""),
        new("site", "411 Cordwain Ln"), new("unit", "SG-1", site="411 Cordwain Ln"),
        new("circuit", "SG-1", unit="SG-1"),
    )  # fmt: skip
    for written in ("R-tank 4", "4"):
        shop.alias("cylinder", written, "RC-04")
    shop.alias("person", "T. Brandvold", "Tamsin Brandvold")
    shop.alias("site", "411 Cordwain Lane", "411 Cordwain Ln")
    return shop, shop.take(shop.xlsx({"June": AS_FOUND}), JUNE, provisional=True)


def row_of(number: int) -> int:
    """The row of the sheet that holds row `number` of the scenario."""
    return number + HEADER_ROWS


def test_what_cannot_be_read_is_held_out_and_said(letter: tuple[Shop, ImportReport]) -> None:
    _, report = letter
    assert reasons(report) == {
        row_of(2): "same-job", row_of(4): "date-unclear", row_of(7): "quantity-unclear",
        row_of(12): "refrigerant-unknown", row_of(16): "quantity-unclear",
    }  # fmt: skip
    assert [one.row for one in report.rejected] == [row_of(4)]
    problems = {one.row: one.problems[0] for one in held(report)}
    assert "(0.03 lb and 0 days apart)" in problems[row_of(2)].sentence
    assert "June has 30 days" in problems[row_of(4)].sentence
    assert "4.8 lb or 4 lb 8 oz" in problems[row_of(7)].sentence
    assert problems[row_of(16)].where == "jobs.xlsx!June!F17"


def test_what_happened_is_recorded_and_flagged(letter: tuple[Shop, ImportReport]) -> None:
    shop, report = letter
    said = flags(report)
    assert said[row_of(5)] == ["No cylinder is named."]
    assert said[row_of(3)] == ["second-refrigerant"]
    assert said[row_of(14)] == ["second-refrigerant", "flammable-unmarked"]
    assert said[row_of(13)] == ["refrigerant-unknown", "second-refrigerant"]
    assert said[row_of(15)] == [
        "No unit is named.",
        "second-refrigerant",
        "cylinder-quarantined",
    ]
    assert report.counts == {"recorded": 6, "flagged": 5, "question": 4, "rejected": 1}
    assert shop.master("cylinder", "RC-04")["state"] == "quarantined"
    assert shop.master("cylinder", "RC-02")["state"] == "quarantined"


def test_the_pounds_of_june(letter: tuple[Shop, ImportReport]) -> None:
    """39.79 lb of R-410A, row 2 held out as a second record; 58.5 and 1.9 stand apart by size."""
    shop, _ = letter
    pounds: dict[str, Fraction] = {}
    for entry in shop.entries():
        row = int(entry["source"].rpartition("!")[2]) - HEADER_ROWS
        for fact in entry["facts"]:
            if fact["type"] == "movement" and fact["purpose"] == "recovery":
                name = f"{fact['refrigerant']} row {row}"
                pounds[name] = Fraction(fact["mass"][0], POUND)
    counted = [1, 5, 7, 10, 11, 15]
    total = sum(pounds.get(f"R-410A row {row}", Fraction(0)) for row in counted)
    # Row 7 is confirmed as 4.8 lb by its technician once it was asked about.
    assert half_up(total + Fraction(48, 10), 2) == "39.79"
    assert pounds["R-22 row 3"] == Fraction(58, 10) and pounds["R-454B row 14"] == Fraction(66, 10)
    assert pounds["unknown row 13"] == 5
    assert "R-410A row 2" not in pounds
    assert pounds["R-410A row 9"] == Fraction(585, 10) and pounds["R-410A row 8"] == Fraction(
        19, 10
    )


def test_a_flat_unit_is_a_record_with_its_reason(letter: tuple[Shop, ImportReport]) -> None:
    shop, _ = letter
    (flat,) = [e for e in shop.entries() if e["source"] == f"jobs.xlsx!June!{row_of(6)}"]
    assert [fact["type"] for fact in flat["facts"]][-1] == "attempt"
    assert flat["note"] == "flat" and flat["day"] == "2025-06-13"


def test_each_row_says_who_and_where_it_is_from(letter: tuple[Shop, ImportReport]) -> None:
    shop, _ = letter
    assert {entry["person"] for entry in shop.entries()} == {"Tamsin Brandvold"}
    first = shop.entries()[0]
    assert first["facts"][-1]["source"] == "circuit:SG-1"
    assert first["facts"][-1]["target"] == "cylinder:RC-04"
    assert first["note"] == "changeout"


def test_taken_in_again_nothing_is_added(letter: tuple[Shop, ImportReport]) -> None:
    shop, report = letter
    head = shop.head()
    again = shop.take(shop.xlsx({"June": AS_FOUND}), JUNE, provisional=True)
    assert again.counts == {"already": 11, "question": 4, "rejected": 1}
    assert shop.head() == head
    assert again.rejected == report.rejected and again.questions == report.questions
