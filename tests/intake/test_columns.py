"""Column maps: what plain headings say, what is asked, and maps that a book keeps."""

from __future__ import annotations

import json

import pytest

from ledger.facts.masters import FIELDS
from ledger.intake.columns import ColumnMap, find_header, propose, with_changes
from ledger.intake.headers import (
    MOVEMENTS,
    field_of,
    fields_of,
    header_unit,
    header_words,
    sheet_action,
    sheet_kind,
)

JOBS = {
    "Job date": "date", "RTU": "unit", "lbs added": "added", "Lb out": "recovered",
    "Refrig.": "refrigerant", "Tank": "cylinder", "Recovery tank": "to cylinder",
    "Tech": "technician", "Ticket #": "ticket", "Notes": "note",
}  # fmt: skip


@pytest.mark.parametrize(
    ("header", "field"),
    [
        ("Date", "date"), ("JOB DATE", "date"), ("Job  date:", "date"), ("Time", "time"),
        ("lbs added", "added"), ("Added (lb)", "added"), ("lb in", "added"), ("Charged", "added"),
        ("Recovered", "recovered"), ("Rec", "recovered"), ("lb out", "recovered"),
        ("Recovered, kg", "recovered"), ("Amount", "amount"), ("lb", "amount"), ("Qty", "amount"),
        ("Tank", "cylinder"), ("Cyl #", "cylinder"), ("Cylinder No.", "cylinder"),
        ("Recovery tank", "to cylinder"), ("R-tank", "to cylinder"), ("Tech", "technician"),
        ("Technician", "technician"), ("Ticket #", "ticket"), ("WO", "ticket"), ("W/O", "ticket"),
        ("Work order #", "ticket"), ("Refrig.", "refrigerant"), ("R-type", "refrigerant"),
        ("Gross before", "gross before"), ("Start weight (lb)", "gross before"),
        ("Weight after", "gross after"), ("Unit", "unit"), ("RTU", "unit"), ("Circuit", "circuit"),
        ("Address", "site"), ("Truck", "place"), ("Supplier", "supplier"), ("Invoice #", "invoice"),
        ("Price/lb", "price"), ("UOM", "amount unit"), ("Remarks", "note"), ("Job type", "note"),
    ],
)  # fmt: skip
def test_the_words_of_the_trade(header: str, field: str) -> None:
    assert field_of(MOVEMENTS, header) == field


@pytest.mark.parametrize("header", ["In", "Out", "Charge", "Weather", "Total", "Pressure (lb)", ""])
def test_words_that_say_too_little(header: str) -> None:
    assert field_of(MOVEMENTS, header) == ""


@pytest.mark.parametrize(
    ("kind", "header", "field"),
    [
        ("unit", "Unit", "name"), ("unit", "Customer", "owner"), ("unit", "Charge", "full charge"),
        ("unit", "Location", "location"), ("unit", "Site", "site"), ("cylinder", "Cyl #", "name"),
        ("cylinder", "Type", "kind"), ("cylinder", "TW", "stamped tare"),
        ("cylinder", "WC", "water capacity"), ("person", "Technician", "name"),
        ("person", "608 card", "certification"), ("site", "Location", "name"),
        ("party", "Supplier", "name"), ("circuit", "Unit", "unit"), ("place", "Truck", "name"),
    ],
)  # fmt: skip
def test_the_words_of_the_office(kind: str, header: str, field: str) -> None:
    assert field_of(kind, header) == field


@pytest.mark.parametrize("kind", FIELDS)
def test_every_field_is_named_by_its_own_name(kind: str) -> None:
    for name in fields_of(kind):
        if field_of(kind, name) != "name":
            assert field_of(kind, name) == name


def test_every_movement_field_is_named_by_its_own_name() -> None:
    for name in fields_of(MOVEMENTS):
        assert field_of(MOVEMENTS, name) == name


@pytest.mark.parametrize(
    ("header", "unit"),
    [("Added (lb)", "lb"), ("Recovered, kg", "kg"), ("oz", "oz"), ("Pounds", "lb"),
     ("lb or kg", ""), ("Added", ""), ("Age", "")],
)  # fmt: skip
def test_the_unit_in_a_heading(header: str, unit: str) -> None:
    assert header_unit(header) == unit


def test_headings_are_compared_by_their_words() -> None:
    assert header_words("  Ticket #: ") == header_words("TICKET  #")
    assert header_words("Ｄａｔｅ") == "date"


@pytest.mark.parametrize(
    ("sheet", "action", "kind"),
    [("Charges", "charge", ""), ("charges-2025", "charge", ""), ("Recovery log", "recover", ""),
     ("Purchases June", "receive", ""), ("by-others-2026", "added by others", ""),
     ("Cylinders", "", "cylinder"), ("Equipment list", "", "unit"), ("Techs", "", "person"),
     ("Units changed", "", "unit"), ("Charges and recoveries", "", ""), ("Sheet1", "", "")],
)  # fmt: skip
def test_what_the_name_of_a_sheet_declares(sheet: str, action: str, kind: str) -> None:
    assert (sheet_action(sheet), sheet_kind(sheet)) == (action, kind)


# --- proposals ---------------------------------------------------------------------------
def test_a_sheet_in_plain_words_needs_no_map() -> None:
    proposal = propose(list(JOBS), "June")
    assert proposal.ready
    assert proposal.map == ColumnMap("June", MOVEMENTS, JOBS, header_row=1)


def test_the_name_of_the_sheet_gives_the_action() -> None:
    proposal = propose(["Date", "Unit", "lb", "Tank"], "Charges")
    assert proposal.ready and proposal.map.constants == {"action": "charge"}
    assert not propose(["Date", "Unit", "lb", "Tank"], "Sheet1").ready


@pytest.mark.parametrize(
    ("headers", "sheet", "asked"),
    [
        (["Date", "Unit", "Added", "lb", "Tank"], "x", "which counts"),
        (["Date", "Unit", "Added", "Charge"], "x", '"Charge"'),
        (["Date", "Unit", "Added", "Added"], "x", "Two columns"),
        (["Date", "Unit", "Unit #", "Added"], "x", 'both say unit'),
        (["Unit", "Added"], "Charges", "day"),
        (["Date", "Added"], "x", "unit or the cylinder"),
        (["Date", "Unit", "Tank"], "Charges", "pounds"),
        (["Date", "Unit", "lb"], "x", "action"),
        (["Colour", "Shape"], "x", "Which records"),
    ],
)  # fmt: skip
def test_what_the_words_leave_open_is_asked(headers: list[str], sheet: str, asked: str) -> None:
    questions = propose(headers, sheet).questions
    assert any(asked in question for question in questions), questions


def test_a_proposal_in_words() -> None:
    headers = ["Date", "Unit", "Added (kg)", "Weather", "Charge", "Tarebook reason"]
    lines = propose(headers, "June", 3).lines()
    assert lines == [
        "Sheet June: pounds moved, headings in row 3.",
        "  A Date: date",
        "  B Unit: unit",
        "  C Added (kg): added (in kg)",
        "  D Weather: kept as a note",
        "  E Charge: not understood",
        "  F Tarebook reason: passed over",
        '  To decide: What is in the column "Charge"? Map it, or ignore it.',
    ]


@pytest.mark.parametrize(
    ("headers", "sheet", "kind"),
    [
        (["Unit", "Site", "Refrigerant", "Full charge"], "Equipment", "unit"),
        (["Cyl #", "Type", "Refrigerant", "Tare"], "Sheet1", "cylinder"),
        (["Technician", "Card", "Initials"], "Sheet1", "person"),
        (["Site", "Address", "Owner", "Time zone"], "Sheet1", "site"),
        (["Supplier", "Contact"], "Suppliers", "party"),
    ],
)
def test_sheets_of_masters(headers: list[str], sheet: str, kind: str) -> None:
    proposal = propose(headers, sheet)
    assert proposal.ready and proposal.map.records == kind


def test_suppliers_are_suppliers() -> None:
    assert propose(["Supplier", "Contact"], "Suppliers").map.constants == {"role": "supplier"}
    assert propose(["Supplier", "Role"], "Suppliers").map.constants == {}


def test_headings_are_found_below_a_title() -> None:
    rows: list[list[object]] = [
        ["Refrigerant log 2025"], [], [None, "Date"], ["Date", "Unit", "Added", "Tank"],
        ["6/3/25", "RTU-1", "2", "410-1"],
    ]  # fmt: skip
    assert find_header(rows) == 3
    assert find_header([["a", "b"], ["c"]]) == -1


RECEIVED = ["Received", "Vendor", "Invoice #", "Cylinder", "Refrigerant", "Lbs received"]


def test_a_delivery_list_is_a_sheet_of_receipts() -> None:
    proposal = propose(RECEIVED, "rec")
    assert proposal.ready, proposal.questions
    assert proposal.map.records == MOVEMENTS and proposal.map.constants == {"action": "receive"}
    assert proposal.map.columns == dict(
        zip(RECEIVED, ("date", "supplier", "invoice", "cylinder", "refrigerant", "amount"),
            strict=True)
    )  # fmt: skip
    assert "  every row: action = receive (from the headings)" in proposal.lines()


@pytest.mark.parametrize(
    ("headers", "sheet"),
    [
        (["Date", "Supplier", "Invoice", "Cylinder", "Lbs"], "x"),
        (["Received", "Supplier", "Tank", "Pounds received"], "x"),
        (["Date", "Received (lb)", "Vendor", "Tank"], "x"),
        (["Date received", "Vendor", "Tank", "Qty received"], "Cylinders in May"),
    ],
)
def test_receipts_in_other_words(headers: list[str], sheet: str) -> None:
    proposal = propose(headers, sheet)
    assert proposal.ready and proposal.map.constants == {"action": "receive"}, proposal.lines()


@pytest.mark.parametrize(
    ("headers", "sheet"),
    [
        (["Cylinder", "Refrigerant", "Vendor", "Lbs received"], "x"),
        (["Cylinder", "Type", "Tare", "Added (lb)"], "Cylinders"),
        (["Unit", "Site", "Refrigerant", "Recovered"], "x"),
    ],
)
def test_pounds_that_a_list_would_only_note_are_asked_about(headers: list[str], sheet: str) -> None:
    proposal = propose(headers, sheet)
    asked = [one for one in proposal.questions if one.startswith("Which records are these?")]
    assert len(asked) == 1 and f'"{headers[-1]}"' in asked[0]
    assert f"  D {headers[-1]}: not understood" in proposal.lines()


def test_received_is_no_day_where_nobody_supplied() -> None:
    assert "Received" not in propose(["Received", "Site", "Lbs received"], "x").map.columns


def test_a_list_of_cylinders_with_what_each_cost_stays_one() -> None:
    headers = ["Cylinder", "Date received", "Vendor", "Invoice", "Net", "Tare"]
    assert propose(headers, "Cylinders").map.records == "cylinder"


# --- maps that are kept ------------------------------------------------------------------
def test_a_map_survives_being_kept() -> None:
    kept = ColumnMap(
        "june", MOVEMENTS, JOBS, {"action": "charge"}, ("Weather",), "kg", "dmy", 2025, 3
    )
    body = json.loads(json.dumps(kept.body()))
    assert ColumnMap.from_body("june", body) == kept


@pytest.mark.parametrize(
    ("bad", "code"),
    [
        (ColumnMap("x", "nonsense"), "value-unclear"),
        (ColumnMap("x", MOVEMENTS, {"A": "colour"}), "field-unknown"),
        (ColumnMap("x", MOVEMENTS, {}, {"colour": "red"}), "field-unknown"),
        (ColumnMap("x", "unit", {"A": "added"}), "field-unknown"),
        (ColumnMap("x", MOVEMENTS, {"A": "added", "B": "added"}), "option-unfit"),
        (ColumnMap("x", unit="stone"), "value-unclear"),
        (ColumnMap("x", date_order="ymd"), "value-unclear"),
    ],
)
def test_a_map_that_cannot_be_used_says_why(bad: ColumnMap, code: str) -> None:
    assert [problem.code for problem in bad.problems()] == [code]


def test_two_columns_may_both_be_notes() -> None:
    assert ColumnMap("x", MOVEMENTS, {"A": "note", "B": "note"}).problems() == []


def test_what_a_person_decides_goes_before_what_was_proposed() -> None:
    found = propose(["Date", "Unit", "Added", "Charge", "Weather"], "x").map
    decided = with_changes(found, {"Charge": "added", "Weather": ""}, {"claim": "seasonal"})
    assert decided.columns == {"Date": "date", "Unit": "unit", "Charge": "added"}
    assert decided.ignored == ("Weather",) and decided.constants == {"claim": "seasonal"}


def test_a_map_fits_by_its_headings() -> None:
    kept = ColumnMap("x", MOVEMENTS, {"Job date": "date", "Lbs": "added"})
    assert kept.fits(["LBS", None, "Job  Date:"])
    assert not kept.fits(["Job date"])
    assert not ColumnMap("x").fits(["anything"])
