"""Reads days and times of day as people write them: one calendar day, or a question.

No clock is read: a day without a year needs the year handed in, and words such as
"yesterday" are asked about. The spellings are common practice, no source.
"""

from __future__ import annotations

import math
import re
from calendar import monthrange
from collections.abc import Iterable
from dataclasses import replace
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from functools import lru_cache

from ledger.facts.calendar import EARLIEST
from ledger.intake.unclear import (
    MAX_TEXT,
    Unclear,
    foreign,
    letters_to_figures,
    plain,
    too_long,
    ways,
)

LATEST_YEAR = 2100
"""No record and no due date lies later."""

_IS_NUMBER = "is a number, not a date"
_ORDERS = ("mdy", "dmy")
_SHEET_DAY_ZERO = date(1899, 12, 30)
"""Day 0 of spreadsheet serial numbers (1900 system), right from 1 March 1900 on; from memory."""

_MONTHS = (
    *("january", "february", "march", "april", "may", "june"),
    *("july", "august", "september", "october", "november", "december"),
)
_MONTH = {name[:3]: number for number, name in enumerate(_MONTHS, 1)}
_WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")

# --- the grammar, for lower-case text with single spaces ---------------------------------
_NAME = "(" + "|".join(f"{name}|{name[:3]}\\.?" for name in _MONTHS) + r"|sept\.?)"
_DAY = r"([0-9]{1,2})(?:st|nd|rd|th)?"
_YEAR = r"([0-9]{4}|'?[0-9]{2})"
_three = re.compile(r"([0-9]{1,4})([-/.])([0-9]{1,2})\2([0-9]{4}|[0-9]{1,2})").fullmatch
_two = re.compile(r"([0-9]{1,2})[-/.]([0-9]{1,2})").fullmatch
_month_first = re.compile(rf"{_NAME}[- ]?{_DAY}(?:(?:, ?|[- ]){_YEAR})?").fullmatch
_day_first = re.compile(rf"{_DAY}[- ]?(?:of )?{_NAME}(?:(?:, ?|[- ]?){_YEAR})?").fullmatch
_month_and_two = re.compile(rf"{_NAME}-([0-9]{{2}})").fullmatch
_month_and_year = re.compile(rf"{_NAME}[-, /]*[0-9]{{4}}|[0-9]{{1,2}}/[0-9]{{4}}").fullmatch
_weekday = re.compile(
    "(" + "|".join(f"{name}|{name[:3]}\\.?" for name in _WEEKDAYS) + r"|tues\.?|thurs?\.?),? (.+)"
).fullmatch
_with_time = re.compile(r"(.*[0-9])(?:t| |, )([0-9]{1,2}:[0-9]{2}.*)").fullmatch
_zone = re.compile(r"(.*[0-9]) ?(?:z|utc|gmt|[-+][0-9]{2}:?[0-9]{2})").fullmatch
_slash_spaces = re.compile(r" ?/ ?")
_digits = re.compile(r"[0-9]+(?:\.[0-9]+)?").fullmatch

_usual = re.compile(r"([0-9]{1,2})/([0-9]{1,2})/([0-9]{4}|[0-9]{2})").fullmatch
_clock = re.compile(
    r"([0-9]{1,2}):([0-9]{2})(?::([0-9]{2})(?:\.[0-9]+)?)?(?: ?([ap])\.?(?:m\.?)?)?"
)
_hour = re.compile(r"([0-9]{1,2}) ?([ap])\.?(?:m\.?)?").fullmatch
_bare_clock = re.compile(r"([0-9]{1,2})[.h]?([0-9]{2}) ?(?:h|hrs?|hours)?( ?[ap]\.?(?:m\.?)?)?")


def parse_day(value: object, order: str = "mdy", default_year: int | None = None) -> date | Unclear:
    """The calendar day in a text or a spreadsheet cell, or `Unclear` where it has to be asked.

    `order` ("mdy" or "dmy") settles figures such as 6/3/25; four figures first are always a
    year. Years of two figures: 00-79 are 2000-2079, 80-99 are 1980-1999. `default_year`
    serves a day without a year. A time of day beside the day is dropped. Days before 1930
    or after 2100, days that do not exist and bare numbers are asked about. Never raises,
    except ValueError for another `order`.
    """
    if type(value) is str and len(value) <= MAX_TEXT:
        return _day(value, order, default_year)
    if order not in _ORDERS:
        raise ValueError(f"no such order of day and month: {order!r}")
    if isinstance(value, str):
        text = str.__str__(value)
        return too_long(text) if len(text) > MAX_TEXT else _day(text, order, default_year)
    if isinstance(value, date):
        return _cell_day(value)
    if isinstance(value, (int, float, Decimal)) and not isinstance(value, bool):
        return _number(value, order)
    if value is None:
        return Unclear("", "holds no date")
    return Unclear(type(value).__name__, "is not a date")


@lru_cache(maxsize=8192)
def _day(text: str, order: str, default_year: int | None) -> date | Unclear:
    """The day in a text of bounded length."""
    if order not in _ORDERS:
        raise ValueError(f"no such order of day and month: {order!r}")
    quick = _quick_day(text, order)
    if quick is not None:
        return quick
    answer = _slow_day(plain(text), order, default_year)
    return replace(answer, text=text) if isinstance(answer, Unclear) else answer


def _quick_day(text: str, order: str) -> date | None:
    """The two usual spellings, for speed; None leaves the text to the full grammar."""
    try:
        if len(text) == 10 and text[4] == "-" == text[7]:
            day = date.fromisoformat(text)
        elif (match := _usual(text)) is not None:
            first, second, year = match.groups()
            if order == "dmy":
                first, second = second, first
            day = date(_full_year(year), int(first), int(second))
        else:
            return None
    except ValueError:
        return None
    return day if EARLIEST.year <= day.year <= LATEST_YEAR else None


def _slow_day(text: str, order: str, default_year: int | None) -> date | Unclear:
    """The day in a plain text, spelling by spelling."""
    text = _slash_spaces.sub("/", text)
    if not text:
        return Unclear(text, "holds no date")
    strange = foreign(text)
    if strange is not None:
        return Unclear(text, strange)
    if (match := _with_time(text)) is not None:
        return _day_with_time(text, match[1], match[2], order, default_year)
    if (match := _weekday(text)) is not None:
        return _day_of_week(text, match[1], match[2], order, default_year)
    answer = _figures(text, order, default_year) or _named(text, default_year)
    if answer is not None:
        return answer
    if _digits(text) is not None:
        return _bare_number(text, order)
    figures = letters_to_figures(text)
    if figures != text:
        meant = _figures(figures, order, default_year)
        if isinstance(meant, date):
            return Unclear(text, "has a letter where a figure belongs", (_spelled(meant),))
    if _month_and_year(text) is not None:
        return Unclear(text, "has no day of the month")
    return Unclear(text, "is not a date; write it like 2025-06-03")


def _figures(text: str, order: str, default_year: int | None) -> date | Unclear | None:
    """A day written in figures with signs between: 6/3/25, 2025-06-03, 6/13."""
    if (match := _three(text)) is not None:
        first, sign, second, third = match.groups()
        if len(first) == 4:
            if len(third) > 2:
                return None
            return _built(text, int(first), int(second), int(third))
        if len(first) > 2:
            return None
        return _in_order(text, (first, second, third), order, year_first=sign == "-")
    if (match := _two(text)) is not None:
        if default_year is None:
            return Unclear(text, "has no year")
        return _in_order(text, (match[1], match[2], f"{default_year:04}"), order)
    return None


def _in_order(
    text: str, parts: tuple[str, str, str], order: str, *, year_first: bool = False
) -> date | Unclear:
    """A day from three figures in the order of the shop; where that fails, the other orders.

    `year_first` lets two figures in front be the year as well ("25-06-03").
    """
    first, second, last = parts
    month, day = (first, second) if order == "mdy" else (second, first)
    year = _full_year(last)
    if 1 <= int(month) <= 12:
        return _built(text, year, int(month), int(day))
    others = [(year, int(day), int(month))]
    if year_first and len(first) == 2 and len(last) <= 2:
        others.append((_full_year(first), int(second), int(last)))
    found = [meant for other in others if isinstance(meant := _built(text, *other), date)]
    which = "month first" if order == "mdy" else "day first"
    why = f"is not a date {which}, for there is no month {int(month)}"
    return Unclear(text, why, _all_spelled(found))


def _named(text: str, default_year: int | None) -> date | Unclear | None:
    """A day with the month as a word: Jun 3, 2025; 3 June 2025; 3-Jun-25."""
    if (match := _month_first(text)) is not None:
        name, day, year = match.groups()
    elif (match := _day_first(text)) is not None:
        day, name, year = match.groups()
    else:
        return None
    month = _MONTH[name[:3]]
    if year is None:
        if _month_and_two(text) is not None:
            found = [] if default_year is None else [_built(text, default_year, month, int(day))]
            days = [meant for meant in found if isinstance(meant, date)]
            why = "may be a day of the month or the year of a month"
            return Unclear(text, why, _all_spelled(days))
        if default_year is None:
            return Unclear(text, "has no year")
        return _built(text, default_year, month, int(day))
    return _built(text, _full_year(year.removeprefix("'")), month, int(day))


def _full_year(figures: str) -> int:
    """The year of its figures; of two figures, 00-79 belong to 2000 and 80-99 to 1900."""
    year = int(figures)
    if len(figures) > 2:
        return year
    return year + (2000 if year < 80 else 1900)


def _built(text: str, year: int, month: int, day: int) -> date | Unclear:
    """The day of its numbers, or what is wrong with them."""
    if not EARLIEST.year <= year <= LATEST_YEAR:
        why = f"is in the year {year}, outside {EARLIEST.year} to {LATEST_YEAR}"
        return Unclear(text, why)
    if not 1 <= month <= 12:
        return Unclear(text, f"is not a date: there is no month {month}")
    length = monthrange(year, month)[1]
    if 1 <= day <= length:
        return date(year, month, day)
    if day < 1:
        return Unclear(text, "is not a date: there is no day 0")
    name = _MONTHS[month - 1].capitalize()
    when = f"{name} {year}" if month == 2 else name
    return Unclear(text, f"is not a date: {when} has {length} days")


def _day_with_time(
    text: str, day: str, clock: str, order: str, default_year: int | None
) -> date | Unclear:
    """The day of a text that has a time of day after it."""
    answer = _slow_day(day, order, default_year)
    if isinstance(answer, Unclear):
        return answer
    if _zone(clock) is not None:
        why = "names a time zone; write the day at the site"
        return Unclear(text, why, (_spelled(answer),))
    read = _time(clock)
    # Which half of the day is meant does not change the day; what is no time at all does.
    if isinstance(read, Unclear) and not read.readings:
        return Unclear(text, "is not a date and a time of day", (_spelled(answer),))
    return answer


def _day_of_week(
    text: str, name: str, rest: str, order: str, default_year: int | None
) -> date | Unclear:
    """The day of a text that begins with a day of the week, which has to agree."""
    answer = _slow_day(rest, order, default_year)
    if isinstance(answer, Unclear) or _WEEKDAYS[answer.weekday()].startswith(name[:3]):
        return answer
    why = f"does not agree with the calendar: that day is a {_WEEKDAYS[answer.weekday()].title()}"
    return Unclear(text, why, (_spelled(answer),))


# --- bare numbers and cells --------------------------------------------------------------
def _cell_day(value: date) -> date | Unclear:
    """The day of a date cell; cells that look like dates but hold none are empty ones."""
    if not isinstance(value.year, int):  # a "not a time" of a data frame passes for a datetime
        return Unclear("", "holds no date")
    return _built(date.__str__(value), value.year, value.month, value.day)


def _number(value: float | Decimal, order: str) -> Unclear:
    """The question about a number cell."""
    if isinstance(value, float) and not math.isfinite(value):
        return Unclear(float.__repr__(value), "is not a date")
    if isinstance(value, Decimal) and not value.is_finite():
        return Unclear(Decimal.__str__(value)[:MAX_TEXT], "is not a date")
    if not 0 <= value < 10**8:
        return Unclear("a number", "is not a date: it is out of range")
    whole = int(value)
    text = str(whole) if whole == value else str(value)[:MAX_TEXT]
    answer = _bare_number(str(whole), order)
    if isinstance(answer, date):
        return Unclear(text, _IS_NUMBER, (_spelled(answer),))
    return replace(answer, text=text)


def _bare_number(text: str, order: str) -> date | Unclear:
    """Figures without signs: 20250603 is a day; others may be a spreadsheet's day number."""
    found: list[date | Unclear] = []
    if len(text) == 8 and text.isdigit():
        answer = _built(text, int(text[:4]), int(text[4:6]), int(text[6:]))
        if isinstance(answer, date):
            return answer
        found.append(_in_order(text, (text[:2], text[2:4], text[4:]), order))
    elif len(text) == 6 and text.isdigit():
        found.append(_in_order(text, (text[:2], text[2:4], text[4:]), order))
    serial = text.partition(".")[0]
    if len(serial) <= 6:
        day = _SHEET_DAY_ZERO + timedelta(days=int(serial))
        found.append(_built(text, day.year, day.month, day.day))
    days = [meant for meant in found if isinstance(meant, date)]
    return Unclear(text[:MAX_TEXT], _IS_NUMBER, _all_spelled(days))


def _spelled(day: date) -> str:
    """A day as a reading: 2025-06-03 (3 June 2025)."""
    return f"{day.isoformat()} ({day.day} {_MONTHS[day.month - 1].capitalize()} {day.year})"


def _all_spelled(days: Iterable[date]) -> tuple[str, ...]:
    """Days as readings, each once."""
    return tuple(dict.fromkeys(_spelled(day) for day in days))


# --- times of day ------------------------------------------------------------------------
def parse_time(value: object) -> str | Unclear:
    """The time of day as HH:MM, or `Unclear` where it has to be asked.

    Seconds are dropped. An hour of one figure without am or pm ("2:05") may be either half
    of the day and is asked about; two figures ("02:05", "14:05") count from midnight.
    Never raises.
    """
    if isinstance(value, str):
        text = str.__str__(value)
        return too_long(text) if len(text) > MAX_TEXT else _time(text)
    if isinstance(value, (time, datetime)):
        try:
            return f"{value.hour:02d}:{value.minute:02d}"
        except (TypeError, ValueError):  # a "not a time" of a data frame passes for a datetime
            return Unclear("", "holds no time")
    if value is None:
        return Unclear("", "holds no time")
    return Unclear(type(value).__name__, "is not a time of day")


@lru_cache(maxsize=8192)
def _time(text: str) -> str | Unclear:
    """The time in a text of bounded length."""
    words = plain(text)
    if not words:
        return Unclear(text, "holds no time")
    strange = foreign(words)
    if strange is not None:
        return Unclear(text, strange)
    if words in ("noon", "12 noon"):
        return "12:00"
    if (match := _clock.fullmatch(words)) is not None:
        hour, minute, second, half = match.groups()
        if int(second or 0) > 59:
            return Unclear(text, "is not a time of day")
        return _minute_of_day(text, hour, minute, half)
    if (match := _hour(words)) is not None:
        return _minute_of_day(text, match[1], "00", match[2])
    if (match := _bare_clock.fullmatch(words)) is not None:
        half = (match[3] or "").strip()[:1] or None
        answer = _minute_of_day(text, match[1], match[2], half)
        readings = answer.readings if isinstance(answer, Unclear) else (answer,)
        why = ways(len(readings)) if len(readings) > 1 else "has no colon"
        return Unclear(text, why, readings)
    return Unclear(text, "is not a time of day; write it like 14:05")


def _minute_of_day(text: str, hour: str, minute: str, half: str | None) -> str | Unclear:
    """HH:MM of an hour, a minute and the half of the day (a, p or not given)."""
    number = int(hour)
    if number > 23 or int(minute) > 59:
        return Unclear(text, "is not a time of day")
    if half is not None:
        if not 1 <= number <= 12:
            why = "has am or pm beside an hour of the 24-hour day"
            return Unclear(text, why, (f"{number:02d}:{minute}",))
        return f"{number % 12 + (12 if half == 'p' else 0):02d}:{minute}"
    if len(hour) == 1 and number > 0:
        return Unclear(text, ways(2), (f"0{number}:{minute}", f"{number + 12}:{minute}"))
    return f"{number:02d}:{minute}"
