"""Days as people write them, each with what it can mean."""

from __future__ import annotations

import random
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from tests.oracle.messy.paper import ASK, CERTAIN, WRONG, Cell

_ZERO = date(1899, 12, 30)
_WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


@dataclass(frozen=True, slots=True)
class WrittenDay:
    """A cell with the days it may mean; none where it means no day of any calendar."""

    kind: str
    cell: Cell
    sure: str
    days: tuple[str, ...]
    flag_ok: bool = False


def sure_day(rng: random.Random, text: str, text_only: bool) -> WrittenDay:
    """A day nobody can doubt in a shop that writes the month first."""
    day = date.fromisoformat(text)
    if not text_only and rng.random() < 0.5:
        return WrittenDay("true date", day, CERTAIN, (text,))
    if not text_only and rng.random() < 0.06:
        serial = (day - _ZERO).days
        return WrittenDay("serial number", serial, CERTAIN, (text,))
    if not text_only and rng.random() < 0.06:
        moment = datetime(day.year, day.month, day.day, rng.randint(7, 17), 30)
        return WrittenDay("date with time", moment, CERTAIN, (text,))
    form = rng.choice(_FORMS)
    return WrittenDay(form[0], form[1](day), CERTAIN, (text,))


def _us(day: date) -> str:
    return f"{day.month}/{day.day}/{day.year}"


def _us_short(day: date) -> str:
    return f"{day.month}/{day.day}/{day.year % 100}"


_FORMS = (
    ("US text", _us), ("US text", _us),
    ("two-digit year", _us_short), ("two-digit year", _us_short),
    ("two-digit year", lambda day: f"{day.month:02d}-{day.day:02d}-{day.year % 100:02d}"),
    ("US text", lambda day: f"{day.month:02d}-{day.day:02d}-{day.year}"),
    ("month in words", lambda day: f"{day:%b} {day.day}, {day.year}"),
    ("month in words", lambda day: f"{day.day}-{day:%b}-{day:%y}"),
    ("ISO text", lambda day: day.isoformat()),
    ("spaces around", lambda day: f" {_us_short(day)}\u00a0"),
    ("weekday before", lambda day: f"{_WEEKDAYS[day.weekday()]} {_us(day)}"),
)  # fmt: skip


def doubtful_day(rng: random.Random, text: str) -> WrittenDay:
    """A day that has to be asked about, that does not exist, or that contradicts itself."""
    day = date.fromisoformat(text)
    choices = [
        _impossible(rng, day),
        _impossible(rng, day),
        WrittenDay("no year", f"{day.month}/{day.day}", ASK, (text,)),
        WrittenDay("no day of the month", f"{day:%B} {day.year}", ASK, (text,)),
        WrittenDay("year far off", f"{day.month}/{day.day}/{day.year + 27}", WRONG, ()),
        WrittenDay("day with a question mark", f"{_us_short(day)}?", ASK, (text,), True),
        WrittenDay("no day at all", None, ASK, (text,)),
        _other_weekday(day),
    ]
    if day.day > 12:
        choices.append(
            WrittenDay("day before month", f"{day.day}/{day.month}/{day.year}", ASK, (text,), True)
        )
    return rng.choice(choices)


def _impossible(rng: random.Random, day: date) -> WrittenDay:
    year = day.year % 100
    text = rng.choice((f"2/30/{year}", f"13/45/{year}", f"6/31/{year}", f"0/12/{year}"))
    return WrittenDay("impossible day", text, WRONG, ())


def _other_weekday(day: date) -> WrittenDay:
    other = _WEEKDAYS[(day + timedelta(days=2)).weekday()]
    return WrittenDay(
        "weekday that is another", f"{other} {_us(day)}", WRONG, (day.isoformat(),), True
    )
