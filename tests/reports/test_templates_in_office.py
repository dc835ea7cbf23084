"""Templates as another spreadsheet program has them: checked, saved anew, and taken in."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook, load_workbook

from ledger.reports.template_checks import checks_of
from ledger.reports.templates import TemplateColumn, templates
from tests.cli.shop import START, Shop
from tests.cli.test_templates import KINDS, ROWS, checks, choices, fill, imported, written
from tests.reports.recalculate import printed, recalculate, saved_again

pytestmark = pytest.mark.office


@pytest.fixture(scope="module")
def saved(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a shop, and every template filled in and saved anew by LibreOffice."""
    shop = Shop(tmp_path_factory.mktemp("office"))
    shop.all(START)
    filled = []
    for kind in KINDS:
        filled.append(written(shop, kind))
        fill(filled[-1], ROWS[kind])
    for made in saved_again(filled, "xlsx", shop.folder):
        shutil.copy(made, shop.folder / f"{made.stem}-again.xlsx")
    return shop.folder


@pytest.mark.parametrize("kind", KINDS)
def test_what_another_program_saved_is_taken_in(saved: Path, kind: str, tmp_path: Path) -> None:
    shutil.copytree(saved, tmp_path / "shop", ignore=shutil.ignore_patterns("user", "made"))
    shop = Shop(tmp_path / "shop")
    said = imported(shop, shop.folder / f"{kind}-again.xlsx")
    assert said["rows"] == {"recorded": len(ROWS[kind])}, said
    assert said["notes"] == [], said
    # The rows are those of the file as it was filled in, to the last cell.
    assert imported(shop, shop.folder / f"{kind}.xlsx")["rows"] == {"already": len(ROWS[kind])}


@pytest.mark.parametrize("kind", KINDS)
def test_checks_and_lists_live_on(saved: Path, kind: str) -> None:
    before, after = saved / f"{kind}.xlsx", saved / f"{kind}-again.xlsx"
    ours, theirs = (checks(load_workbook(file).worksheets[0]) for file in (before, after))
    assert {(one.type, one.prompt) for one in ours if one.type} <= {
        (one.type, one.prompt) for one in theirs
    }
    for column in templates()[kind].columns:
        if found := choices(before, column.heading):
            assert choices(after, column.heading) == found, column.heading


PLAIN = TemplateColumn("Amount (lb)", "", "", shape="mass")
RECOVERED = TemplateColumn("Amount (lb)", "", "", shape="amount", also="recover")
OTHERS = TemplateColumn("Amount (lb)", "", "", shape="amount", also="unknown")
LAST = TemplateColumn("Last addition", "", "", shape="past or unknown")


CELLS: tuple[tuple[TemplateColumn, object, str, bool], ...] = (
    (PLAIN, 4.5, "", True), (PLAIN, 0.001, "", True), (PLAIN, 0, "", False),
    (PLAIN, -3, "", False), (PLAIN, 46_085, "", False), (PLAIN, "4 lb 8 oz", "", True),
    (PLAIN, "3120 g", "", True), (PLAIN, "4-8", "", False), (PLAIN, "4.8", "", False),
    (PLAIN, "some", "", False), (RECOVERED, 0, "recover", True),
    (RECOVERED, 0, "charge", False), (RECOVERED, 2.5, "charge", True),
    (OTHERS, "unknown", "", True), (OTHERS, "about 5 lb", "", True), (OTHERS, "lots", "", False),
    (LAST, "unknown", "", True), (LAST, 45_000, "", True), (LAST, 99_999, "", False),
    (LAST, "6/31/2025", "", False),
)  # fmt: skip
"""A column, what is typed into it, the action on the row, and whether it is let through."""


def test_a_cell_is_checked_as_it_says(tmp_path: Path) -> None:
    book = Workbook()
    sheet: Any = book.active
    for number, (column, cell, action, _) in enumerate(CELLS, 2):
        (check,) = checks_of(column, "A", "B", {})
        formula = check.formula1.replace("A2", f"A{number}").replace("B2", f"B{number}")
        sheet[f"A{number}"], sheet[f"B{number}"] = cell, action
        sheet[f"C{number}"] = f"={formula}"
    book.save(tmp_path / "check.xlsx")
    found = recalculate(tmp_path / "check.xlsx")["Sheet"]
    for number, (column, cell, action, good) in enumerate(CELLS, 2):
        assert found[f"C{number}"] is good, (column.heading, column.also, cell, action)


def test_help_prints_on_one_page(saved: Path) -> None:
    pages = printed(saved / "jobs.xlsx")
    assert len(pages) == 2
    assert "What to write" in pages[1]
    assert "49 CFR 173.304a" in pages[1]
