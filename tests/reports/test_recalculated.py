"""Opens the shipped workbooks in LibreOffice: live figures must be the program's figures."""

from __future__ import annotations

import re
from pathlib import Path
from zipfile import ZipFile

import pytest

from ledger.reports.cells import exact_number, is_text, shown, totals
from ledger.reports.definitions import Sheet, load
from ledger.reports.sheet_cells import address_of, heading_of, is_live
from ledger.reports.table import Column, Table
from ledger.reports.workbook import write_table, write_workbook
from ledger.reports.xlsx_page import HEADING_ROW
from tests.reports.recalculate import printed, recalculate
from tests.reports.report_samples import ALL, LAYOUTS, SETTINGS, lb, table

pytestmark = pytest.mark.office


def _in_order(sheet: Sheet, given: Table) -> list[dict[str, object]]:
    rows = [dict(row) for row in given.rows]
    return sorted(rows, key=lambda row: [str(row[key]) for key in sheet.order])


@pytest.mark.parametrize("name", sorted(ALL))
def test_every_live_figure_is_the_program_s(name: str, tmp_path: Path) -> None:
    definition, tables = load(name, LAYOUTS), ALL[name]()
    cells = recalculate(write_workbook(definition, tables, tmp_path / "report.xlsx", SETTINGS))
    compared = 0
    for sheet in definition.sheets:
        for number, row in enumerate(_in_order(sheet, tables[sheet.key]), HEADING_ROW + 1):
            for index, column in enumerate(sheet.columns):
                place = f"{address_of(index)}{number}"
                found = cells[sheet.title].get(place)
                number_here = exact_number(column, row.get(column.key))
                if number_here is not None:
                    assert isinstance(found, int | float), (sheet.title, place, found)
                    assert found == pytest.approx(float(number_here), rel=1e-12, abs=1e-12)
                    places = 0 if column.kind == "whole" else column.places
                    scale = 100 if column.kind == "percent" else 1
                    assert f"{found * scale:,.{places}f}".replace("-0.00", "0.00") == (
                        f"{float(number_here) * scale:,.{places}f}"
                    )
                    compared += is_live(sheet, column, row) if column.formula else 0
                elif is_text(row.get(column.key)) and column.kind != "date":
                    assert (found or "") == row[column.key]
    assert compared == EXPECTED_LIVE[name]


EXPECTED_LIVE = {
    "circuit-history": 5 + 2 * 5,
    "count": 2 * 2 + 1 + 2,
    "cylinder-inventory": 7 * 2 + 3 * 5,
    "disposal-log": 2,
    "due": 0,
    "due-list": 0,
    "gaps": 0,
    "pounds-balance": 4 * 3,
    "reconciliation": 2 * 9 + 1 + 2,
    "service-record": 1,
}


def test_totals_are_the_exact_sums(tmp_path: Path) -> None:
    definition, tables = load("cylinder-inventory"), ALL["cylinder-inventory"]()
    cells = recalculate(write_workbook(definition, tables, tmp_path / "r.xlsx", SETTINGS))
    for sheet in definition.sheets:
        given = Table("t", sheet.columns, tables[sheet.key].rows)
        row = HEADING_ROW + len(given.rows) + 1
        for index, column in enumerate(sheet.columns):
            if column.total:
                exact = exact_number(column, totals(given)[column.key])
                assert exact is not None
                found = cells[sheet.title][f"{address_of(index)}{row}"]
                assert found == pytest.approx(float(exact), rel=1e-12)


def test_stale_results_are_computed_again(tmp_path: Path) -> None:
    """The comparison above would prove nothing if stored results were simply read back."""
    path = write_workbook(
        load("circuit-history"), ALL["circuit-history"](), tmp_path / "before.xlsx", SETTINGS
    )
    changed = tmp_path / "after.xlsx"
    with ZipFile(path) as old, ZipFile(changed, "w") as new:
        for part in old.namelist():
            content = old.read(part)
            if part == "xl/worksheets/sheet3.xml":
                assert b'<c r="C7" ' in content and b"<v>71</v>" in content
                content = content.replace(b"<v>71</v>", b"<v>142</v>", 1)
            new.writestr(part, content)
    before, after = recalculate(path)["Leak rates"], recalculate(changed)["Leak rates"]
    assert (before["C7"], after["C7"]) == (71, 142)
    assert after["F7"] == pytest.approx(2 * float(str(before["F7"])))


def test_a_single_table_adds_up(tmp_path: Path) -> None:
    given = Table(
        "Issued",
        [Column("who", "Who"), Column("lb", "Issued", "mass", total="SUM")],
        [{"who": "T1", "lb": lb("25")}, {"who": "T2", "lb": lb("7.6")}],
    )
    cells = recalculate(write_table(given, tmp_path / "r.xlsx", {}))["Table"]
    assert cells["B8"] == pytest.approx(32.6)
    assert shown(given.columns[1], totals(given)["lb"]) == "32.60"


HOSTILE = [
    "=1+1",
    '=HYPERLINK("http://example.invalid")',
    "+1",
    "-1",
    "@SUM(A1)",
    "_x0041_",
    "'quoted",
    "0012",
    "2025-06",
    "1e5",
    " spaced ",
    "TRUE",
    "\u200fmark",
    "two\nlines",
]


def test_data_stays_text_in_a_real_spreadsheet(tmp_path: Path) -> None:
    given = table("Hostile", [{"what": text} for text in HOSTILE])
    cells = recalculate(write_table(given, tmp_path / "r.xlsx", {}))["Table"]
    found = [cells[f"A{HEADING_ROW + 1 + number}"] for number in range(len(HOSTILE))]
    assert found == HOSTILE


@pytest.mark.parametrize("name", sorted(ALL))
def test_pages_show_every_column_and_say_where_they_come_from(name: str, tmp_path: Path) -> None:
    definition = load(name, LAYOUTS)
    pages = printed(write_workbook(definition, ALL[name](), tmp_path / "r.xlsx", SETTINGS))
    assert len(pages) == len(definition.sheets)
    for number, (page, sheet) in enumerate(zip(pages, definition.sheets, strict=True), 1):
        words = set(re.split(r"\s+", page))
        for column in sheet.columns:
            assert set(heading_of(column).split()) <= words, (sheet.title, column.heading)
        assert f"Page {number} of {len(pages)}" in page
        assert "As of 2026-12-31; entry 1302, digest 9f2c4a7be01d" in page
        assert "Brindlewick Mechanical, 12 Foundry & Mill Lane, Tarnbrook" in page


def test_headings_repeat_on_every_page(tmp_path: Path) -> None:
    rows: list[dict[str, object]] = [{"cylinder": f"C-{n}", "lb": lb("25")} for n in range(150)]
    columns = [Column("cylinder", "Cylinder id"), Column("lb", "Contents", "mass", total="SUM")]
    given = Table("Many cylinders", columns, rows, as_of="2026-12-31")
    pages = printed(write_table(given, tmp_path / "r.xlsx", {}))
    assert len(pages) > 2
    assert all("Cylinder id" in page and f"of {len(pages)}" in page for page in pages)
    assert "3,750.00" in pages[-1]
