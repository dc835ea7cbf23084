"""Dates as the rules count them: local calendar days of the site, months that clamp, years."""

from __future__ import annotations

from calendar import monthrange
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

EARLIEST = date(1930, 1, 1)
"""No refrigerant record is older: the first fluorinated refrigerants were sold in the 1930s."""


def parse_iso(text: str) -> date:
    """A date from its ISO text, "2026-03-30"; ValueError where it is not one."""
    if len(text) != 10 or not text[4] == "-" == text[7]:  # 20260330 and 2026-W14-1 are ISO too
        raise ValueError(f"not a day written like 2026-03-30: {text!r}")
    return date.fromisoformat(text)


def local_date(moment: datetime, zone: str) -> date:
    """The calendar date at a place with time zone `zone` (IANA name) at an aware moment.

    ValueError for a moment without a zone of its own, which would take that of the machine.
    """
    if moment.tzinfo is None:
        raise ValueError("a moment without a time zone has no local date")
    return moment.astimezone(ZoneInfo(zone)).date()


def plus_months(day: date, months: int) -> date:
    """The same day `months` later (or earlier), clamped to the end of a shorter month."""
    years, index = divmod(day.month - 1 + months, 12)
    year, month = day.year + years, index + 1
    return date(year, month, min(day.day, monthrange(year, month)[1]))


def plus_years(day: date, years: int) -> date:
    """The same day `years` later; 29 February becomes 28 February."""
    return plus_months(day, 12 * years)


def plus_days(day: date, days: int) -> date:
    """Calendar days later."""
    return day + timedelta(days=days)


def year_bounds(year: int) -> tuple[date, date]:
    """First and last day of a calendar year."""
    return date(year, 1, 1), date(year, 12, 31)
