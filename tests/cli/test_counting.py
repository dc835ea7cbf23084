"""Count sheets and counts from the command line."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.cli.shop import Shop

CUT = '--cut-off "2026-05-29 17:00"'
SHEET = "count-2026-05-29-1700.xlsx"


@pytest.fixture
def sheet(shop: Shop) -> Path:
    """The count sheet of a shop with a cylinder on a truck."""
    shop.ok('tarebook issue 410-1 --to "Truck 2" --on 2026-02-01')
    shop.ok("tarebook mend cylinder 410-1 --stamped-tare 6.6")
    shop.ok(f"tarebook count-sheet {CUT}")
    return shop.folder / SHEET


def filled(path: Path, name: str, cells: dict[tuple[str, str], Any]) -> str:
    """A copy of a workbook with some cells filled in."""
    from openpyxl import load_workbook

    book = load_workbook(path)
    for (title, address), value in cells.items():
        book[title][address] = value
    book.save(path.parent / name)
    return name


def words_of(path: Path) -> list[str]:
    """Every text of a workbook."""
    from openpyxl import load_workbook

    book = load_workbook(path)
    return [str(cell.value) for page in book for row in page.iter_rows() for cell in row
            if cell.value is not None and page.sheet_state == "visible"]  # fmt: skip


def test_a_sheet_lists_what_is_at_each_place_and_no_figure_of_the_book(
    shop: Shop, sheet: Path
) -> None:
    told = words_of(sheet)
    assert {"410-1", "410-2", "448-1", "RC-01", "Truck 2", "Warehouse"} <= set(told)
    assert not [word for word in told if word in ("25", "25.0", "25.00", "100", "6.6")]


def test_a_cylinder_moved_after_the_cut_off_is_listed_where_it_was(shop: Shop) -> None:
    shop.ok('tarebook issue 410-1 --to "Truck 2" --on 2026-06-01')
    shop.ok(f"tarebook count-sheet Warehouse {CUT}")
    assert "410-1" in words_of(shop.folder / SHEET)


def test_a_sheet_that_is_there_is_not_written_over(shop: Shop, sheet: Path) -> None:
    assert "[file-exists]" in shop.no(f"tarebook count-sheet {CUT}")


HALF = {("Truck 2", "B4"): "Dana Field", ("Truck 2", "B5"): "B1", ("Truck 2", "D8"): 28.9}
REST = {("Warehouse", "B4"): "Dana Field", ("Warehouse", "E8"): "sealed",
        ("Warehouse", "D9"): "27 lb 8 oz", ("Warehouse", "E10"): "not there"}  # fmt: skip


def test_a_half_filled_sheet_is_taken_in_and_completed_later(shop: Shop, sheet: Path) -> None:
    said = shop.ok(f"tarebook count {filled(sheet, 'half.xlsx', HALF)}")
    assert said[0] == "half.xlsx: 1 row recorded, 3 left empty."
    assert "Not looked at yet: 410-2, RC-01, 448-1." in said
    said = shop.ok(f"tarebook count {filled(sheet, 'full.xlsx', HALF | REST)}")
    assert said[0] == "full.xlsx: 3 rows recorded, 1 already recorded."


def test_a_sheet_taken_in_twice_is_recorded_once(shop: Shop, sheet: Path) -> None:
    name = filled(sheet, "full.xlsx", HALF | REST)
    shop.ok(f"tarebook count {name}")
    head = shop.head()
    assert shop.ok(f"tarebook count {name}")[0] == "full.xlsx: 0 rows recorded, 4 already recorded."
    assert shop.head() == head


def test_a_dry_run_says_the_same_and_writes_nothing(shop: Shop, sheet: Path) -> None:
    head = shop.head()
    said = shop.ok(f"tarebook count {filled(sheet, 'half.xlsx', HALF)} --dry-run")
    assert said[0] == "Dry run, nothing written: half.xlsx: 1 row recorded, 3 left empty."
    assert shop.head() == head


def test_a_weight_that_reads_two_ways_is_asked_and_the_others_are_recorded(
    shop: Shop, sheet: Path
) -> None:
    said = shop.run(
        f"tarebook count {filled(sheet, 'q.xlsx', HALF | {('Truck 2', 'D8'): '4-8'} | REST)}"
    )
    assert said.code == 4
    assert said.lines()[0] == "q.xlsx: 3 rows recorded, 1 question."
    assert 'q.xlsx!Truck 2!D8: "4-8" can be read two ways' in said.out


def test_what_is_there_and_not_in_the_book_is_asked_or_begun(shop: Shop, sheet: Path) -> None:
    extra = {("Truck 2", "A9"): "410-9", ("Truck 2", "B9"): "410A", ("Truck 2", "D9"): 20}
    name = filled(sheet, "extra.xlsx", HALF | extra)
    said = shop.run(f"tarebook count {name}")
    assert (said.code, "[unknown-id]" in said.out) == (4, True)
    assert "Begun provisionally: cylinder 410-9; complete it with tarebook mend." in shop.ok(
        f"tarebook count {name} --provisional"
    )


def test_another_refrigerant_than_the_book_s_is_asked_about(shop: Shop, sheet: Path) -> None:
    name = filled(sheet, "other.xlsx", HALF | {("Truck 2", "B8"): "R-22"})
    said = shop.run(f"tarebook count {name}")
    assert "Cylinder 410-1 is R-410A by the book, the sheet says R-22." in said.out


def test_a_row_without_a_person_is_asked_for_one(shop: Shop, sheet: Path) -> None:
    name = filled(sheet, "whose.xlsx", {("Truck 2", "D8"): 28.9})
    assert "The row has no person who counted." in shop.run(f"tarebook count {name}").out
    assert shop.ok(f'tarebook count {name} --by "Dana Field"')[0].startswith(
        "whose.xlsx: 1 row rec"
    )


def test_a_shop_s_own_sheet_is_read_by_its_headings(shop: Shop) -> None:
    text = (
        "Date,Cylinder,Found at,Gross,State,By\n6/1/2026,410-1,Warehouse,31.6,sealed,Dana Field\n"
    )
    (shop.folder / "own.csv").write_text(text)
    shop.ok('tarebook count own.csv --cut-off "5/29/2026 5 pm"')
    (row,) = shop.rows("tarebook weighings --csv".removesuffix(" --csv"))
    assert (row["Cylinder"], row["Day"]) == ("410-1", "2026-06-01")


def test_a_file_that_is_no_count_is_refused(shop: Shop) -> None:
    (shop.folder / "jobs.csv").write_text("Date,Unit\n6/1/2026,RTU-1\n")
    assert "[column-map-needed]" in shop.no("tarebook count jobs.csv")


@pytest.mark.parametrize("found", ["", "--gross 28 --not-there", "--sealed --not-there"])
def test_one_cylinder_is_found_in_one_way(shop: Shop, found: str) -> None:
    said = shop.no(
        f'tarebook count --cylinder 410-1 {found} --place Warehouse {CUT} --by "Dana Field"'
    )
    assert "[option-unfit]" in said


def test_a_weight_of_a_count_is_the_last_weight_of_the_cylinder(shop: Shop, sheet: Path) -> None:
    shop.ok(f"tarebook count {filled(sheet, 'half.xlsx', HALF)}")
    rows = {row["Cylinder"]: row for row in shop.rows("tarebook cylinders")}
    assert rows["410-1"]["Last gross (lb)"] == "28.90"
    assert shop.ok("tarebook verify")[0].startswith("Verified: ")


def test_a_count_of_tomorrow_is_refused(shop: Shop) -> None:
    where = '--place Warehouse --cut-off 2026-07-01 --by "Dana Field"'
    said = shop.run(f"tarebook count --cylinder 410-1 --sealed {where}")
    assert (said.code, "[date-future]" in said.out) == (2, True)
