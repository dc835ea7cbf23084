"""Calendar periods of a balance: years, quarters, months, or one stretch from day to day."""

from __future__ import annotations

from calendar import monthrange
from datetime import date, timedelta
from typing import NamedTuple

UNITS = ("", "year", "quarter", "month")
"""What a balance can be cut into; empty for one stretch."""
FOREVER = "9999-12-31"
"""The last day of a stretch that has no end."""


class Period(NamedTuple):
    """A stretch of ISO days, both ends included; `first` is empty where it has no beginning."""

    label: str
    first: str
    last: str


def period_with(day: str, unit: str) -> Period:
    """The year, quarter or month that holds an ISO day; everything where there is no unit."""
    year, month = day[:4], int(day[5:7])
    if unit == "year":
        return Period(year, f"{year}-01-01", f"{year}-12-31")
    if unit == "quarter":
        number = (month + 2) // 3
        return _months(f"{year}-Q{number}", int(year), 3 * number - 2, 3 * number)
    if unit == "month":
        return _months(day[:7], int(year), month, month)
    if unit:
        raise ValueError(f"{unit!r} is not one of {', '.join(UNITS[1:])}")
    return Period("", "", FOREVER)


def _months(label: str, year: int, first: int, last: int) -> Period:
    end = monthrange(year, last)[1]
    return Period(label, f"{year:04d}-{first:02d}-01", f"{year:04d}-{last:02d}-{end:02d}")


def following(period: Period, unit: str, last: str) -> Period:
    """The period after one, not past `last` where that is given."""
    begins = _after(period.last)
    if not unit:
        return Period(f"{begins} to {last}" if last else f"from {begins}", begins, last or FOREVER)
    whole = period_with(begins, unit)
    return _cut_short(whole._replace(first=begins), last)


def starting(day: str, unit: str, first: str, last: str) -> Period:
    """The period a fold begins with: what came before `first`, else the one that holds `day`."""
    if first:
        return Period("before", "", (date.fromisoformat(first) - timedelta(1)).isoformat())
    if not unit:
        return Period(f"to {last}" if last else "", "", last or FOREVER)
    return _cut_short(period_with(day, unit), last)


def _cut_short(period: Period, last: str) -> Period:
    return period._replace(last=last) if last and last < period.last else period


def _after(day: str) -> str:
    return (date.fromisoformat(day) + timedelta(1)).isoformat()
