"""Until when a cylinder may be filled: 49 CFR 180.205(c), 180.209(a), 173.301(a)(2) and (a)(6)."""

from __future__ import annotations

import calendar
from datetime import date
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.facts.masters import Master
from ledger.facts.requalification import condition_of, due_from, due_of, filling_problems


def cylinder(*told: tuple[str, dict[str, Any]]) -> Master:
    """A cylinder of which things were said, each on a day (empty: from the beginning)."""
    made = Master("cylinder", "RC-06")
    for entry, (since, fields) in enumerate(told, 1):
        made.describe(fields, since, False, entry, 0)
    return made


def codes(one: Master, day: str) -> list[str]:
    """The codes of what bars filling on a day."""
    return [problem.code for problem in filling_problems(one, day)]


@given(st.dates(date(1990, 1, 1), date(2040, 12, 31)))
def test_it_is_due_at_the_end_of_the_month_five_years_on(done: date) -> None:
    """180.205(c): any time up to and including the month it is due."""
    due = date.fromisoformat(due_from(done.isoformat()))
    assert (due.year, due.month) == (done.year + 5, done.month)
    assert due.day == calendar.monthrange(due.year, due.month)[1]


@pytest.mark.parametrize(
    ("day", "barred"), [("2025-07-31", []), ("2025-08-01", ["requalification-due"])]
)
def test_the_whole_month_it_is_due_may_still_fill(day: str, barred: list[str]) -> None:
    """The story's RC-06: requalification due July 2025 (trade_workflow 8.A)."""
    assert codes(cylinder(("", {"requalified": "2020-07-06"})), day) == barred


def test_a_day_that_was_recorded_goes_before_five_years() -> None:
    """180.209(a) lists 5, 7, 10 or 12 years by method: the requalifier's own day counts."""
    one = cylinder(("", {"requalified": "2020-07-06", "requalification due": "2032-07-31"}))
    assert due_of(one).day == "2032-07-31"


def test_a_later_requalification_ends_the_day_recorded_before_it() -> None:
    one = cylinder(
        ("", {"requalification due": "2025-07-31"}), ("2025-03-10", {"requalified": "2025-03-10"})
    )
    assert (due_of(one, "2025-03-09").day, due_of(one).day) == ("2025-07-31", "2030-03-31")


def test_what_nobody_knows_is_not_computed() -> None:
    assert due_of(cylinder(("", {"requalified": "unknown"}))).day == ""


def test_damage_bars_filling_until_a_requalification_after_it() -> None:
    """180.205(d): requalified before further use."""
    one = cylinder(
        ("", {"requalified": "2024-05-01"}),
        ("2026-03-01", {"condition": "dents"}),
        ("2026-04-02", {"requalified": "2026-04-02"}),
    )
    assert [codes(one, day) for day in ("2026-02-28", "2026-03-01", "2026-04-02")] == [
        [], ["cylinder-condition"], [],
    ]  # fmt: skip


def test_a_good_look_bars_nothing() -> None:
    assert condition_of(cylinder(("2026-03-01", {"condition": "good"}))) is None
