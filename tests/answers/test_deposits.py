"""Deposits against a supplier's statement: the four results (trade workflow 3.11)."""

from __future__ import annotations

from ledger.answers.deposits import (
    AGREE,
    NOT_OURS,
    NOT_THEIRS,
    UNCREDITED,
    Deposit,
    Listed,
    compared,
)


def ours(name: str, back: str = "", credited: int = 0) -> Deposit:
    """A deposit of $150 paid to Depot on 10 January."""
    return Deposit(name, "Depot", 15_000, "2026-01-10", 19, back=back, credited=credited)


def theirs(name: str, cylinder: str = "") -> Listed:
    """A line of Depot's statement."""
    return Listed("Depot", name, cylinder or name, 15_000, "", "S-1", 30)


def results(deposits: list[Deposit], listed: list[Listed]) -> dict[str, str]:
    """The result of each cylinder."""
    return {one.cylinder: one.result for one in compared(deposits, listed)}


def test_each_cylinder_comes_to_one_of_four_results() -> None:
    found = results(
        [ours("R1"), ours("R2", "2026-03-01"), ours("R3"), ours("R4", "2026-03-01", 15_000)],
        [theirs("R1"), theirs("ZZ-9")],
    )
    assert found == {"R1": AGREE, "ZZ-9": NOT_OURS, "R3": NOT_THEIRS, "R2": UNCREDITED}


def test_what_was_credited_and_is_still_listed_is_theirs_to_mend() -> None:
    assert results([ours("R4", "2026-03-01", 15_000)], [theirs("R4")]) == {"R4": NOT_OURS}


def test_what_was_credited_in_part_is_open() -> None:
    assert results([ours("R4", "2026-03-01", 14_999)], [theirs("R1")])["R4"] == UNCREDITED


def test_a_supplier_without_a_statement_is_compared_with_nothing() -> None:
    assert compared([ours("R1")], []) == []


def test_days_out_run_to_the_return_or_to_the_day_of_the_answer() -> None:
    assert ours("R1").days("2026-01-20") == 10
    assert ours("R1", "2026-01-15").days("2026-01-20") == 5
