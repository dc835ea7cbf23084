"""The pounds balance: it closes on the cylinders, by year, by stock kind, by owner, by place."""

from __future__ import annotations

import pytest

from ledger.answers.holdings import Placed
from ledger.answers.pounds_balance import PoundsLine, pounds_balance
from tests.oracle.ledgers import Rows, lb

OUT = ("charged", "shipped", "returned", "heel", "released", "transferred_out", "moved_out")
IN = (
    "brought_forward", "received", "recovered", "transferred_in", "moved_in", "differences",
    "put_together",
)  # fmt: skip


def closes(line: PoundsLine) -> bool:
    """Whether the printed columns add up to the closing, and that to the contents."""
    found = line.opening + sum(getattr(line, name) for name in IN)
    found -= sum(getattr(line, name) for name in OUT)
    return found == line.closing == line.contents and line.difference == 0


@pytest.fixture
def year() -> Rows:
    """The R-410A of the six-truck shop over 2025, in totals (trade workflow, 8.A, 2026-01-05)."""
    rows = Rows()
    for number, pounds in enumerate((25, 25, 25, 25, 25, 25, 18.4, 12.0, 7.6, 3.2, 0.9)):
        source, target = "brought-forward:opening", f"cylinder:P-{number}"
        rows.move("2025-01-06", source, target, pounds, "opening")
    for number in range(16):
        rows.receive("2025-03-03", f"N-{number}", 25)
    for number in range(6):
        rows.charge("2025-04-01", f"P-{number}", "homes", 24)
        rows.move("2025-04-02", f"cylinder:P-{number}", "difference:heel", 1, "heel")
    for number in range(9):
        rows.charge("2025-06-01", f"N-{number}", "homes", 23)
        rows.move("2025-06-02", f"cylinder:N-{number}", "difference:heel", 1, "heel")
    rows.charge("2025-07-01", "N-10", "homes", 19.1)
    rows.move("2025-07-02", "cylinder:N-10", "difference:heel", 1.7, "heel")
    rows.move("2025-07-03", "cylinder:N-11", "difference:hoses", 4.4, "difference")
    return rows


def test_the_year_of_the_shop_closes_as_its_office_worked_it_out(year: Rows) -> None:
    (line,) = pounds_balance(year.in_order())
    assert (line.refrigerant, line.period) == ("R-410A", "2025")
    assert (line.brought_forward, line.received) == (lb(192.1), lb(400))
    assert (line.charged, line.heel, line.differences) == (lb(370.1), lb(16.7), -lb(4.4))
    assert line.closing == lb(200.9)
    assert closes(line)


def test_transfers_between_our_cylinders_cancel_out_and_are_shown(year: Rows) -> None:
    year.transfer("2025-08-01", "N-12", "N-13", 5)
    (line,) = pounds_balance(year.in_order())
    assert line.transferred_in == line.transferred_out == lb(5)
    assert line.closing == lb(200.9)


def test_work_by_others_and_releases_from_circuits_never_touch_our_stock(year: Rows) -> None:
    year.move("2025-08-01", "party:Other Firm", "circuit:RTU-1", 6, "addition by others")
    year.move("2025-08-02", "circuit:RTU-1", "air:", 2.5, "release")
    (line,) = pounds_balance(year.in_order())
    assert (line.added_by_others, line.released_from_circuits) == (lb(6), lb(2.5))
    assert line.closing == lb(200.9)
    assert closes(line)


def test_the_next_year_opens_where_this_one_closed(year: Rows) -> None:
    year.charge("2026-02-09", "N-12", "RTU-1", 7)
    first, second = pounds_balance(year.in_order(), last="2026-06-30")
    assert (second.period, second.opening, second.closing) == ("2026", lb(200.9), lb(193.9))
    assert first.closing == second.opening


def test_one_stretch_from_day_to_day(year: Rows) -> None:
    (line,) = pounds_balance(year.in_order(), "", "2025-03-03", "2025-04-02")
    assert (line.opening, line.received, line.charged) == (lb(192.1), lb(400), lb(144))
    assert (line.heel, line.closing) == (lb(6), lb(442.1))


def test_split_by_stock_and_owner_every_line_closes() -> None:
    rows = Rows()
    rows.receive("2025-01-10", "A", 25)
    rows.recover("2025-02-01", "RTU-1", "RC-1", 6, "Harbor Foods")
    rows.recover("2025-02-02", "RTU-2", "RC-1", 3, "Mill Lane Hotel")
    rows.transfer("2025-02-03", "A", "B", 10)
    rows.move(
        "2025-03-01", "cylinder:RC-1", "party:Reclaim", 9, "shipment", stock="recovered",
        owner="shared",
    )  # fmt: skip
    lines = pounds_balance(rows.in_order(), split=("stock", "owner"))
    told = {(line.stock, line.owner): line for line in lines}
    assert set(told) == {
        ("virgin", ""), ("recovered", "Harbor Foods"), ("recovered", "Mill Lane Hotel"),
        ("recovered", "shared"),
    }  # fmt: skip
    assert all(closes(line) for line in lines)
    assert told["recovered", "Harbor Foods"].recovered == lb(6)
    assert told["recovered", "Harbor Foods"].put_together == -lb(6)
    shared = told["recovered", "shared"]
    assert (shared.put_together, shared.shipped, shared.closing) == (lb(9), lb(9), 0)
    assert sum(line.put_together for line in lines) == 0


def test_split_by_place_a_truck_closes_too() -> None:
    rows = Rows()
    rows.receive("2025-01-10", "A", 25)
    rows.charge("2025-02-01", "A", "RTU-1", 6)
    placed = [Placed("", "A", "Warehouse"), Placed("2025-01-20", "A", "Truck 2")]
    lines = pounds_balance(rows.in_order(), split=("place",), placed=placed)
    assert all(closes(line) for line in lines)
    told = {line.place: line for line in lines}
    assert (told["Warehouse"].received, told["Warehouse"].moved_out) == (lb(25), lb(25))
    assert (told["Truck 2"].moved_in, told["Truck 2"].closing) == (lb(25), lb(19))


def test_kept_to_one_refrigerant(year: Rows) -> None:
    year.receive("2025-08-01", "Z", 30, what="R-22")
    lines = pounds_balance(year.in_order(), keep={"refrigerant": "R-22"})
    assert [(line.refrigerant, line.received) for line in lines] == [("R-22", lb(30))]


def test_lines_come_by_refrigerant_and_then_by_period(year: Rows) -> None:
    year.receive("2024-08-01", "Z", 30, what="R-22")
    lines = pounds_balance(year.in_order())
    assert [(line.refrigerant, line.period) for line in lines] == [
        ("R-22", "2024"), ("R-22", "2025"), ("R-410A", "2025"),
    ]  # fmt: skip


def test_a_line_explains_itself(year: Rows) -> None:
    year.transfer("2025-08-01", "N-12", "N-13", 5)
    (line,) = pounds_balance(year.in_order())
    lines = line.working().to_lines()
    assert lines[0] == "Balance of refrigerant R-410A, 2025"
    assert "  transferred out: 5.00 lb (entry 61)" in lines
    assert lines[-1] == "  = 200.90 lb"


def test_what_it_cannot_be_split_by_is_named() -> None:
    with pytest.raises(ValueError, match="not split by circuit"):
        pounds_balance([], split=("circuit",))
