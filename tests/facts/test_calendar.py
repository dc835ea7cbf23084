"""Days as the rules count them: the site's own days, months that clamp, whole years."""

from __future__ import annotations

from calendar import monthrange
from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.facts.calendar import (
    EARLIEST,
    local_date,
    parse_iso,
    plus_days,
    plus_months,
    plus_years,
    year_bounds,
)

days = st.dates(min_value=EARLIEST, max_value=date(2100, 12, 31))


@given(day=days)
def test_iso_text_comes_back(day: date) -> None:
    assert parse_iso(day.isoformat()) == day


@pytest.mark.parametrize(
    "text",
    [
        *("", "2026-3-30", "2026-02-29", "2026-13-01", "20260330", "2026-W14-1", "2026-089"),
        *("30-03-2026", "2026/03/30", "2026-03-30 ", "2026-03-30T00:00", "２026-03-30"),
    ],
)
def test_only_plain_iso_days_are_iso_days(text: str) -> None:
    with pytest.raises(ValueError):
        parse_iso(text)


@pytest.mark.parametrize(
    ("moment", "zone", "day"),
    [
        ("2026-02-21T05:30+00:00", "America/Chicago", date(2026, 2, 20)),
        ("2026-02-21T06:00+00:00", "America/Chicago", date(2026, 2, 21)),
        ("2026-07-01T04:59+00:00", "America/Chicago", date(2026, 6, 30)),
        ("2026-07-01T05:00+00:00", "America/Chicago", date(2026, 7, 1)),
        ("2026-02-20T23:30-06:00", "UTC", date(2026, 2, 21)),
        ("2026-02-20T12:00+00:00", "Pacific/Auckland", date(2026, 2, 21)),
    ],
)
def test_the_day_is_the_day_at_the_site(moment: str, zone: str, day: date) -> None:
    assert local_date(datetime.fromisoformat(moment), zone) == day


def test_thirty_days_from_late_evening_count_local_days() -> None:
    evening = datetime(2026, 2, 21, 5, 30, tzinfo=UTC)  # 23:30 on 20 February in Chicago
    assert plus_days(local_date(evening, "America/Chicago"), 30) == date(2026, 3, 22)
    assert plus_days(evening.date(), 30) == date(2026, 3, 23)


def test_a_moment_without_a_zone_has_no_local_date() -> None:
    with pytest.raises(ValueError, match="time zone"):
        local_date(datetime(2026, 2, 20, 23, 30), "America/Chicago")


@pytest.mark.parametrize(
    ("day", "months", "expected"),
    [
        (date(2025, 1, 31), 1, date(2025, 2, 28)),
        (date(2024, 1, 31), 1, date(2024, 2, 29)),
        (date(2025, 3, 31), -1, date(2025, 2, 28)),
        (date(2025, 12, 15), 1, date(2026, 1, 15)),
        (date(2026, 1, 15), -1, date(2025, 12, 15)),
        (date(2025, 2, 24), 13, date(2026, 3, 24)),
        (date(2026, 4, 10), 3, date(2026, 7, 10)),
        (date(2025, 5, 31), 0, date(2025, 5, 31)),
    ],
)
def test_months_clamp_to_the_end_of_a_shorter_one(day: date, months: int, expected: date) -> None:
    assert plus_months(day, months) == expected


@given(day=days, months=st.integers(min_value=-600, max_value=600))
def test_months_move_the_month_by_their_number_and_the_day_only_by_clamping(
    day: date, months: int
) -> None:
    moved = plus_months(day, months)
    assert (moved.year * 12 + moved.month) - (day.year * 12 + day.month) == months
    assert moved.day == min(day.day, monthrange(moved.year, moved.month)[1])


@given(day=days, more=days, months=st.integers(min_value=0, max_value=60))
def test_a_later_day_is_never_due_earlier(day: date, more: date, months: int) -> None:
    first, last = sorted((day, more))
    assert plus_months(first, months) <= plus_months(last, months)


@pytest.mark.parametrize(
    ("day", "years", "expected"),
    [
        (date(2024, 2, 29), 1, date(2025, 2, 28)),
        (date(2024, 2, 29), 4, date(2028, 2, 29)),
        (date(2025, 9, 18), 1, date(2026, 9, 18)),
        (date(2026, 7, 1), -5, date(2021, 7, 1)),
    ],
)
def test_years(day: date, years: int, expected: date) -> None:
    assert plus_years(day, years) == expected


@given(day=days, count=st.integers(min_value=-20_000, max_value=20_000))
def test_days_are_calendar_days(day: date, count: int) -> None:
    assert plus_days(day, count) - day == timedelta(days=count)


@given(day=days)
def test_a_day_lies_in_its_year_and_the_bounds_touch_the_neighbours(day: date) -> None:
    first, last = year_bounds(day.year)
    assert first <= day <= last
    assert plus_days(first, -1).year == day.year - 1
    assert plus_days(last, 1).year == day.year + 1
