"""Until when a cylinder may be filled: its requalification date and what was seen on it.

49 CFR 180.205 and 180.209, 173.301(a)(2) and (a)(6); the official text decides. A cylinder that
was filled before the day may stay in service and be shipped until it is empty.
"""

from __future__ import annotations

from calendar import monthrange
from collections.abc import Iterator
from datetime import date
from typing import NamedTuple

from ledger.facts.masters import UNKNOWN, Master, Value
from ledger.facts.problems import Problem

YEARS = 5
"""49 CFR 180.209(a) lists 5, 7, 10 or 12 years by method (read). Recovered gas carries moisture and
acid, so five are taken where the requalifier gave no later day (this project's choice)."""
METHODS = ("volumetric", "proof pressure", "external visual")
"""How a cylinder is requalified: no letter, S or E after the date (49 CFR 180.213)."""
CITE = "49 CFR 180.205(c)"


class Due(NamedTuple):
    """The last ISO day of filling, why that day, and the entry it is from; no day: unknown."""

    day: str = ""
    basis: str = ""
    entry: int = 0


def month_end(year: int, month: int) -> date:
    """The last day of a month: a cylinder may be requalified in the month it is due."""
    return date(year, month, monthrange(year, month)[1])


def due_from(requalified: str, years: int = YEARS) -> str:
    """The last day of the month, so many years after a requalification on an ISO day."""
    done = date.fromisoformat(requalified)
    return month_end(done.year + years, done.month).isoformat()


def due_of(cylinder: Master, day: str | None = None) -> Due:
    """Until when a cylinder may be filled, as known on an ISO day (the latest where none is given).

    A day that was recorded holds until a later requalification; then five years count.
    """
    said, done = _value(cylinder, "requalification due", day), _value(cylinder, "requalified", day)
    if said and (done is None or (said.since, said.entry) >= (done.since, done.entry)):
        return Due(said.value, "as recorded", said.entry)
    if done is None:
        return Due()
    basis = f"{YEARS} years from {done.value}, end of the month (49 CFR 180.209(a))"
    return Due(due_from(done.value), basis, done.entry)


def condition_of(cylinder: Master, day: str | None = None) -> Value | None:
    """What was last seen on the outside and bars filling; None where nothing does.

    A requalification recorded after it clears it; what was condemned is a state of its own.
    """
    seen = _value(cylinder, "condition", day)
    if seen is None or seen.value == "good":
        return None
    done = _value(cylinder, "requalified", day)
    if done is not None and (done.value, done.entry) > (seen.since, seen.entry):
        return None
    return seen


def _value(cylinder: Master, field: str, day: str | None) -> Value | None:
    found = None
    for value in cylinder.history.get(field, ()):
        if day is not None and value.since > day:
            break
        found = value
    return found if found is not None and found.value not in (UNKNOWN, "") else None


def filling_problems(cylinder: Master, day: str) -> Iterator[Problem]:
    """Why a cylinder may not be filled on an ISO day: past its date, or damaged outside."""
    due = due_of(cylinder, day)
    if due.day and day > due.day:
        yield Problem(
            "requalification-due",
            f"Cylinder {cylinder.name} was due for requalification by {due.day}: do not fill.",
            f"Use another cylinder ({CITE}).",
        )
    seen = condition_of(cylinder, day)
    if seen is not None:
        since = f" since {seen.since}" if seen.since else ""
        yield Problem(
            "cylinder-condition",
            f"Cylinder {cylinder.name} has {seen.value} on record{since}: do not fill.",
            "Use another cylinder; this one is requalified or condemned first (49 CFR"
            " 173.301(a)(2), 180.205(d)).",
        )
