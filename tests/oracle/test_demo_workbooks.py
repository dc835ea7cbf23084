"""The demo shop's workbooks, computed afresh by LibreOffice, show the program's own figures."""

from __future__ import annotations

from pathlib import Path

import pytest
from openpyxl import load_workbook

from ledger.cli.demo import demo
from tests.reports.recalculate import recalculate

pytestmark = pytest.mark.office


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("demo") / "shop"
    demo(made)
    return made


@pytest.mark.parametrize(
    ("name", "least"),
    [
        ("A-101-history.xlsx", 30),
        ("A-302-history.xlsx", 5),
        ("cylinders.xlsx", 60),
        ("pounds-balance.xlsx", 21),
    ],
)
def test_every_formula_comes_to_the_stored_result(folder: Path, name: str, least: int) -> None:
    path = folder / name
    formulas, stored = load_workbook(path), load_workbook(path, data_only=True)
    afresh = recalculate(path)
    compared = 0
    for sheet in formulas:
        for row in sheet.iter_rows():
            for cell in row:
                if cell.data_type != "f":
                    continue
                program = stored[sheet.title][cell.coordinate].value
                office = afresh[sheet.title].get(cell.coordinate)
                where = (name, sheet.title, cell.coordinate, cell.value)
                assert isinstance(office, int | float), where
                assert office == pytest.approx(program, rel=1e-12, abs=1e-9), where
                compared += 1
    assert compared >= least
