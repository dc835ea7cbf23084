"""A truck's sheet for a day: what it lets one choose, and how it comes back."""

from __future__ import annotations

from datetime import date, time

import pytest
from openpyxl import load_workbook

from tests.cli.shop import Shop

MADE = 'tarebook day-sheet "Truck 2" --site Hotel --out day.xlsx'


@pytest.fixture
def truck(shop: Shop) -> Shop:
    """The shop with one supply and one recovery cylinder on Truck 2."""
    shop.ok('tarebook issue 410-2 --to "Truck 2" --on 2026-06-29')
    shop.ok('tarebook issue RC-01 --to "Truck 2" --on 2026-06-29')
    return shop


def filled(shop: Shop, rows: int) -> None:
    """Fill in rows of the sheet as a technician would."""
    book = load_workbook(shop.folder / "day.xlsx")
    sheet = book["Jobs"]
    heads = {cell.value: cell.column for row in sheet.iter_rows() for cell in row if cell.value}
    (first,) = [cell.row for row in sheet.iter_rows() for cell in row if cell.value == "Action"]
    for place in range(rows):
        gross = 30.0 - place
        told = {"Date": date(2026, 6, 29), "Time": time(8 + place // 6, 10 * (place % 6)),
                "Action": "charge", "Unit or circuit": "RTU-2/A", "Gross before (lb)": gross,
                "Gross after (lb)": gross - 0.5, "Cylinder": "410-2",
                "Technician": "Dana Field", "Ticket": f"D-{place}"}  # fmt: skip
        for heading, value in told.items():
            sheet.cell(first + 1 + place, heads[heading], value)
    book.save(shop.folder / "day.xlsx")


def choices(shop: Shop) -> set[str]:
    """Every choice that the sheet offers."""
    book = load_workbook(shop.folder / "day.xlsx")
    return {str(cell.value) for sheet in book if sheet.title not in ("Jobs", "Help")
            for row in sheet.iter_rows() for cell in row if cell.value}  # fmt: skip


def test_it_offers_the_cylinders_aboard_and_the_circuits_of_the_day(truck: Shop) -> None:
    assert truck.ok(MADE)[0] == "Wrote day.xlsx: 2 cylinders of Truck 2, 3 circuits."
    offered = choices(truck)
    assert {"410-2", "RC-01", "RTU-2/A", "RTU-2/B", "CHILLER"} <= offered
    assert not {"410-1", "448-1", "RTU-1", "RACK-A"} & offered


def test_without_sites_every_circuit_is_offered(truck: Shop) -> None:
    truck.ok('tarebook day-sheet "Truck 2" --out day.xlsx')
    assert {"RTU-1", "RACK-A", "CHILLER"} <= choices(truck)


def test_it_comes_back_filled_in_and_only_once(truck: Shop) -> None:
    truck.ok(MADE)
    filled(truck, 3)
    number = truck.number()
    truck.ok("tarebook import day.xlsx")
    assert truck.number() > number
    moved = [row for row in truck.rows("tarebook movements") if row["Ticket"].startswith("D-")]
    assert [row["Amount (lb)"] for row in moved] == ["0.50", "0.50", "0.50"]
    again = truck.number()
    truck.ok("tarebook import day.xlsx")
    assert truck.number() == again


def test_more_rows_may_follow_in_the_evening(truck: Shop) -> None:
    truck.ok(MADE)
    filled(truck, 2)
    truck.ok("tarebook import day.xlsx")
    filled(truck, 4)
    truck.ok("tarebook import day.xlsx")
    moved = [row for row in truck.rows("tarebook movements") if row["Ticket"].startswith("D-")]
    assert sorted(row["Ticket"] for row in moved) == ["D-0", "D-1", "D-2", "D-3"]


def test_a_truck_that_is_not_in_the_book_is_asked_about(truck: Shop) -> None:
    assert truck.no('tarebook day-sheet "Truck 3"').startswith('No place "Truck 3" is in the book.')
    assert truck.no('tarebook day-sheet "Truck 2" --out day.csv').startswith("day.csv does not end")
