"""Templates: what is filled in under their headings is recorded, and what they let one choose."""

from __future__ import annotations

import json
import sqlite3
from contextlib import closing
from datetime import date, time
from pathlib import Path
from typing import Any

import pytest
from openpyxl import load_workbook
from openpyxl.worksheet.worksheet import Worksheet

from ledger.facts.masters import FIELDS
from ledger.intake.headers import EXTRA_FIELDS, MOVEMENTS, field_of
from ledger.reports.template_checks import LAST_ROW
from ledger.reports.templates import OTHER_WORDS, kind_of, templates
from tests.cli.shop import Shop

ON = date(2026, 3, 2)

ROWS: dict[str, list[dict[str, Any]]] = {
    "jobs": [
        {"Date": ON, "Time": time(14, 5), "Action": "charge", "Unit or circuit": "RTU-1",
         "Refrigerant": "R-410A", "Gross before (lb)": 37.4, "Gross after (lb)": 34.55,
         "Cylinder": "410-1", "Scale": "B1", "Technician": "Dana Field", "Ticket": "0031"},
        {"Date": ON, "Action": "recover", "Unit or circuit": "RTU-2/B", "Amount (lb)": "4 lb 8 oz",
         "Recovery cylinder": "RC-01", "Technician": "Dana Field", "Ticket": "0032"},
        {"Date": ON, "Action": "recover", "Unit or circuit": "CHILLER", "Amount (lb)": 0,
         "Refrigerant": "R-134a", "Technician": "Dana Field", "Note": "flat on arrival"},
        {"Date": ON, "Action": "charge", "Site": "Hotel", "Unit or circuit": "RTU-2/A",
         "Amount (lb)": 1.25, "Cylinder": "410-1", "Claim": "post-retrofit",
         "Technician": "Dana Field", "Supervised by": "Dana Field"},
    ],
    "receipts": [
        {"Date": ON, "Supplier": "Depot", "Invoice": "INV-7", "Cylinder": "410-9",
         "Cylinder kind": "disposable", "Refrigerant": "R-410A", "Net (lb)": 25,
         "Stock": "reclaimed", "Batch": "L-77", "Reclaimer": "Second Life Reclaim",
         "Price per lb": 11.5, "Deposit": 0, "Place": "Warehouse", "Done by": "Dana Field"},
        {"Date": ON, "Supplier": "Depot", "Cylinder": "410-10", "Cylinder kind": "disposable",
         "Refrigerant": "R-410A", "Gross (lb)": 30.5, "Tare (lb)": 5.5, "Scale": "B1"},
    ],
    "transfers": [
        {"Date": ON, "From cylinder": "410-1", "To cylinder": "RC-01", "Refrigerant": "R-410A",
         "Gross before (lb)": 30, "Gross after (lb)": 27.5, "Scale": "B1", "Done by": "Dana Field",
         "Ticket": "T-1"},
    ],
    "moves": [
        {"Date": ON, "Action": "issue", "Cylinder": "410-1", "Place": "Truck 2",
         "Done by": "Dana Field"},
        {"Date": date(2026, 3, 3), "Action": "move", "Cylinder": "410-1", "Place": "Warehouse"},
    ],
    "weighings": [
        {"Date": ON, "Time": time(17, 20), "Cylinder": "RC-01", "Gross (lb)": 27.5, "Scale": "B1",
         "State": "evacuated", "Done by": "Dana Field"},
    ],
    "shipments": [
        {"Date": ON, "Action": "ship", "Cylinder": "448-1", "Shipped to": "Second Life Reclaim",
         "Refrigerant": "R-448A", "Amount (lb)": 100, "Manifest": "BL-204"},
        {"Date": ON, "Action": "return", "Cylinder": "410-2", "Shipped to": "Depot",
         "Done by": "Dana Field"},
    ],
    "by-others": [
        {"Date": ON, "Unit or circuit": "RACK-A", "Contractor": "Depot", "Refrigerant": "R-448A",
         "Amount (lb)": "unknown", "Ticket": "T-118"},
        {"Date": ON, "Unit or circuit": "RACK-A", "Contractor": "Depot", "Refrigerant": "R-448A",
         "Amount (lb)": "about 5 lb"},
    ],
    "opening": [
        {"Date": ON, "Cylinder": "R5", "Cylinder kind": "recovery", "Refrigerant": "R-22",
         "Net (lb)": 12.5, "Stock": "recovered", "Owner of refrigerant": "Harbor Foods",
         "Place": "Warehouse"},
    ],
    "losses": [
        {"Date": ON, "Action": "release", "Cylinder": "448-1", "Refrigerant": "R-448A",
         "Amount (lb)": 0.5, "Cause": "hose", "Done by": "Dana Field"},
        {"Date": ON, "Action": "heel", "Cylinder": "410-2", "Amount (lb)": 0.85, "Ticket": "E-1"},
    ],
    "repairs": [
        {"Date": ON, "Action": "repair", "Unit or circuit": "RACK-A", "Where": "flare nut",
         "How": "tightened", "Evacuated": "no", "Technician": "Dana Field"},
        {"Date": ON, "Time": time(15, 0), "Action": "initial test", "Unit or circuit": "RACK-A",
         "Result": "pass", "Leaks": "all", "How": "bubbles", "Technician": "Dana Field"},
    ],
    "events": [
        {"Date": ON, "Time": time(9, 30), "Action": "leak inspection", "Unit or circuit": "RACK-A",
         "Leak place": "header joint; case 3 flare", "How": "electronic", "Result": "leak found",
         "All parts": "yes", "Technician": "Dana Field", "Ticket": "0033"},
        {"Date": ON, "Action": "repair extension request", "Unit or circuit": "RACK-A",
         "Ground": "parts", "Signed": "yes", "All parts": "yes",
         "Estimated day": date(2026, 5, 1)},
        {"Date": ON, "Action": "retrofit plan", "Unit or circuit": "RTU-2/B",
         "Replacement": "R-454B", "Signed": "yes"},
        {"Date": ON, "Action": "detector", "Unit or circuit": "RACK-A",
         "Watched part": "motor room", "Detector required": "yes"},
        {"Date": ON, "Action": "site report", "Site": "Store 14", "Report year": "2025"},
    ],
    "sites": [{"Site": "Depot Yard", "Address": "1 Rail St", "State": "TX",
               "Time zone": "America/Chicago", "Leak rate method": "annualizing",
               "Owner": "Harbor Foods", "Note": "gate code"}],
    "customers": [{"Name": "Bay School", "Role": "customer", "Address": "2 Rail St",
                   "Contact": "the office", "Certificate": "C-1", "Note": "none"}],
    "units": [
        {"Unit": "AHU-1", "Site": "Store 14", "Kind of unit": "rooftop", "Model": "GH",
         "Serial": "0071", "Circuit": letter, "Refrigerant": "R-410A",
         "Full charge (lb)": "24 lb maker", "Category": "comfort cooling",
         "Installed": date(2020, 5, 1), "Small": "no", "Last addition": last, "Rate": "12 %",
         "Open case": "none"}
        for letter, last in (("A", date(2025, 10, 6)), ("B", "unknown"))
    ],
    "circuits": [{"Circuit": "RTU-1/B", "Unit": "RTU-1", "Refrigerant": "R-410A",
                  "Full charge (lb)": 12.5, "Category": "comfort cooling"}],
    "people": [{"Name": "Kim Roe", "Certification": "Universal 4712", "Initials": "KR",
                "Since": date(2026, 1, 5)}],
    "cylinders": [{"Cylinder": "RC-09", "Kind": "recovery", "Refrigerant": "R-22",
                   "Stamped tare (lb)": 27.5, "Water capacity (lb)": "47.6 lb",
                   "DOT spec": "DOT-4BA400",
                   "Service pressure (psig)": 400, "Requalified": date(2024, 3, 1),
                   "Requalification due": date(2029, 3, 31), "Deposit": 150, "Flammable": "no",
                   "Place": "Warehouse", "State": "in service", "Net on hand (lb)": 5.25}],
    "places": [{"Place": "Truck 3", "Kind": "truck", "Driver": "Dana Field"}],
    "scales": [{"Scale": "T3", "Resolution (lb)": 0.02, "Kind": "truck", "Place": "Truck 2"}],
    "machines": [{"Machine": "RM-1", "Model": "RX", "Serial": "5", "Made": date(2021, 2, 1)}],
}  # fmt: skip
"""Rows as people fill them in, by kind of template."""

KINDS = sorted(ROWS)
MASTER_KINDS = {"customers": "party", "people": "person", "cylinders": "cylinder"}


def written(shop: Shop, kind: str) -> Path:
    """The template of a kind, just written."""
    shop.ok(f"tarebook template {kind}")
    return shop.folder / f"{kind}.xlsx"


def fill(path: Path, rows: list[dict[str, Any]]) -> None:
    """Fill rows in under the headings, as a person does in a spreadsheet program."""
    book = load_workbook(path)
    sheet = book.worksheets[0]
    heads = {cell.value: cell.column for cell in sheet[1]}
    for number, row in enumerate(rows, 2):
        for heading, value in row.items():
            sheet.cell(number, heads[heading]).value = value
    book.save(path)


def choices(path: Path, heading: str) -> list[str]:
    """What the cells under a heading choose from; empty where anything may be written."""
    book = load_workbook(path)
    sheet = book.worksheets[0]
    (letter,) = (cell.column_letter for cell in sheet[1] if cell.value == heading)
    (check,) = (one for one in checks(sheet) if str(one.sqref).startswith(f"{letter}2:"))
    if check.type != "list":
        return []
    title, cells = next(iter(book.defined_names[check.formula1].destinations))
    assert book[title].sheet_state == "hidden"
    return [cell.value for row in book[title][cells] for cell in row]


def checks(sheet: Worksheet) -> list[Any]:
    """The data validations of a sheet."""
    return list(sheet.data_validations.dataValidation)


def imported(shop: Shop, path: Path) -> dict[str, Any]:
    """What the import of a file reports, outcomes that did not occur left out."""
    found: dict[str, Any] = json.loads("\n".join(shop.ok(f"tarebook import {path.name} --json")))
    found["rows"] = {name: count for name, count in found["rows"].items() if count}
    return found


def test_every_kind_is_listed_and_has_rows_here(shop: Shop) -> None:
    listed = [row["Kind"] for row in rows_of(shop.ok("tarebook template"))]
    assert listed == list(templates())
    assert sorted(listed) == KINDS
    assert all(kind_of(word) == kind for word, kind in OTHER_WORDS.items())
    assert kind_of("Cylinder") == "cylinders"
    assert "[value-unclear]" in shop.no("tarebook template cars")


def rows_of(lines: list[str]) -> list[dict[str, str]]:
    """The rows of the table of kinds."""
    top = next(i for i, line in enumerate(lines) if line.startswith("Kind"))
    return [
        {"Kind": line.split()[0]} for line in lines[top + 2 :] if line and not line.startswith("As")
    ]


@pytest.mark.parametrize("kind", KINDS)
def test_rows_filled_in_are_all_recorded(shop: Shop, kind: str) -> None:
    path = written(shop, kind)
    fill(path, ROWS[kind])
    report = imported(shop, path)
    assert report["rows"] == {"recorded": len(ROWS[kind])}, report
    assert report["notes"] == [], report
    assert imported(shop, path)["rows"] == {"already": len(ROWS[kind])}
    with closing(sqlite3.connect(shop.folder / "shop.db")) as book:
        bodies = book.execute("SELECT body FROM journal WHERE key LIKE 'import:%'").fetchall()
    # A cell that says nothing of its row would be kept in the note.
    notes = {json.loads(body).get("note", "") for (body,) in bodies}
    assert notes <= {"", *(row.get("Note") for row in ROWS[kind])}


@pytest.mark.parametrize("kind", KINDS)
def test_every_heading_means_one_field(kind: str) -> None:
    template = templates()[kind]
    records = MASTER_KINDS.get(kind, kind.removesuffix("s"))
    records = records if records in FIELDS else MOVEMENTS
    found = [field_of(records, one.heading) for one in template.columns]
    assert all(found), list(zip(found, (one.heading for one in template.columns), strict=True))
    assert len(set(found)) == len(found)
    if records != MOVEMENTS:
        known = {"name", *FIELDS[records], *EXTRA_FIELDS.get(records, ()), "since"}
        # What only a change has is no column of a list of what there is.
        assert known - set(found) <= {"since", "why", "decided by"}


@pytest.mark.parametrize("kind", KINDS)
def test_a_template_is_laid_out_to_be_filled_in(shop: Shop, kind: str) -> None:
    book = load_workbook(written(shop, kind))
    sheet, helping, *rest = book.worksheets
    template = templates()[kind]
    assert [cell.value for cell in sheet[1]] == [one.heading for one in template.columns]
    assert sheet.max_row == 1
    assert sheet.freeze_panes in ("A2", "B2")
    assert sheet.print_title_rows == "$1:$1"
    assert "entry 18, digest" in sheet.oddFooter.left.text
    assert [one.title for one in rest] == ["tarebook lists"][: len(rest)]
    assert helping.title == "Help"
    explained = {row[0]: row[1:] for row in helping.iter_rows(min_row=2, values_only=True)}
    for column in template.columns:
        assert all(explained[column.heading]), column.heading
    for check in checks(sheet):
        assert str(check.sqref).endswith(str(LAST_ROW))
        assert check.prompt and len(check.prompt) <= 255 and len(check.promptTitle) <= 32
        assert check.error is None or (len(check.error) <= 225 and check.showErrorMessage)
    assert len(checks(sheet)) == len(template.columns)


def test_the_choices_are_those_of_the_book(shop: Shop) -> None:
    shop.ok("tarebook add cylinder RC-10 --kind recovery --refrigerant R-22")
    shop.ok("tarebook add cylinder RC-2 --kind recovery --refrigerant R-22")
    shop.ok("tarebook add cylinder N2-1 --kind 'other gas' --gas nitrogen")
    shop.ok("tarebook change cylinder RC-10 --state quarantined --from 2026-03-01")
    shop.ok('tarebook add person "Gone Long" --left 2025-01-31')
    shop.ok("tarebook charge RTU-1 25 --from 410-2 --by 'Dana Field'")
    path = written(shop, "jobs")
    assert choices(path, "Action") == ["charge", "recover"]
    assert choices(path, "Cylinder") == ["410-1", "448-1"]
    assert choices(path, "Recovery cylinder") == ["RC-01", "RC-2"]
    assert choices(path, "Unit or circuit") == ["CHILLER", "RACK-A", "RTU-1", "RTU-2/A", "RTU-2/B"]
    assert choices(path, "Site") == ["Hotel", "Store 14"]
    assert choices(path, "Refrigerant")[:4] == ["R-22", "R-134a", "R-410A", "R-448A"]
    assert "R-454B" in choices(path, "Refrigerant")
    assert choices(written(shop, "receipts"), "Supplier") == ["Depot"]
    assert choices(written(shop, "moves"), "Place") == ["Hotel", "Store 14", "Truck 2", "Warehouse"]
    assert choices(path, "Date") == []


def test_a_book_with_nothing_in_it_has_a_template(tmp_path: Path) -> None:
    shop = Shop(tmp_path)
    shop.ok("tarebook init --name Bare --zone America/Chicago")
    for kind in KINDS:
        path = written(shop, kind)
        assert len(checks(load_workbook(path).worksheets[0])) == len(templates()[kind].columns)
    assert choices(tmp_path / "jobs.xlsx", "Cylinder") == []
    assert choices(tmp_path / "jobs.xlsx", "Action") == ["charge", "recover"]
    fill(tmp_path / "people.xlsx", [{"Name": "Kim Roe"}])
    assert shop.ok("tarebook import people.xlsx")[0].startswith("people.xlsx: 1 row recorded")


def test_a_template_that_nobody_filled_in_records_nothing(shop: Shop) -> None:
    written(shop, "jobs")
    before = shop.head()
    said = shop.ok("tarebook import jobs.xlsx")
    assert said[0].startswith("jobs.xlsx: 0 rows recorded")
    assert not [line for line in said if "left out" in line or "Help" in line or "lists" in line]
    assert shop.head() == before


def test_what_is_asked_about_a_template_is_answered_in_its_copy(shop: Shop) -> None:
    path = written(shop, "cylinders")
    fill(path, [{"Cylinder": "RC-07", "Kind": "recovery", "Stamped tare (lb)": "17-8"}])
    report = json.loads(shop.run("tarebook import cylinders.xlsx --json").out)
    assert (report["rows"]["question"], report["notes"]) == (1, [])
    copy = shop.folder / "cylinders.answers.xlsx"
    fill(copy, [{"tarebook answer": "17.8 lb"}])
    said = imported(shop, copy)
    assert (said["rows"], said["notes"]) == ({"recorded": 1}, [])


def test_a_sheet_of_their_own_named_help_is_not_passed_over(shop: Shop) -> None:
    path = written(shop, "people")
    fill(path, [{"Name": "Kim Roe"}])
    book = load_workbook(path)
    del book["Help"]
    book.create_sheet("Help").append(["words", "of theirs"])
    book.save(path)
    assert imported(shop, path)["notes"] == [
        "Sheet Help was left out: it has no headings that are known."
    ]


def test_a_name_that_looks_like_a_formula_stays_a_name(shop: Shop) -> None:
    shop.ok('tarebook add site "=1+1"')
    book = load_workbook(written(shop, "jobs"))
    cells = [cell for row in book["tarebook lists"] for cell in row if cell.value == "=1+1"]
    assert [cell.data_type for cell in cells] == ["s"]


def test_where_a_template_goes(shop: Shop) -> None:
    assert shop.ok("tarebook template charges --out mine.xlsx")[0].startswith("Wrote mine.xlsx")
    assert "[file-exists]" in shop.no("tarebook template jobs --out mine.xlsx")
    assert "[option-unfit]" in shop.no("tarebook template jobs --out mine.csv")
    one = (shop.folder / "mine.xlsx").read_bytes()
    shop.ok("tarebook template jobs --out again.xlsx")
    assert (shop.folder / "again.xlsx").read_bytes() == one
