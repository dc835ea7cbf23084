"""The truth of a year: true pounds at every count, and every pound of difference with its cause.

The difference of a month is the change in (counted - recorded), where recorded is the sum of the
movements that the shop typed, without the shortages that the book posts by itself. A cause is
positive where more is counted than recorded. Summed over causes, places and the months so far,
the causes are the difference exactly; `test_generator` holds them to it.

A cause belongs to the place where the cylinder truly was: a charge on its truck, a heel in the
warehouse, where empties are scrapped, a charge written on a wrong cylinder on the truck that made
it and the other way where the written cylinder stood. What a count itself misreads is a scale
difference of the month and place counted, and goes the other way in the next month as
far as the next count does not repeat it; so a leak from a cylinder that was counted sealed and not
weighed has a scale difference against it until it is weighed.
"""

from __future__ import annotations

from calendar import monthrange
from collections import defaultdict
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import NamedTuple

HEEL, HOSE, SCALE, FORGOTTEN, DOUBLED, UNRECEIVED, WRONG, LEAK, THEFT = CAUSES = (
    "heel", "hose", "scale", "forgotten ticket", "doubled ticket", "un-received invoice",
    "wrong cylinder", "storage leak", "theft",
)  # fmt: skip
EXPLAINABLE = tuple(one for one in CAUSES if one != THEFT)
RESIDUAL = "residual"
"""What an attribution calls the pounds it cannot explain; the right answer to theft."""

AT_CLOSE, AT_END = "at close", "at end"
"""Two views: each month as it was known when it was closed, or all months as known in the end.

At close, a ticket that comes in after its month was closed is a forgotten ticket in that month
and the same pounds the other way in the month it is posted to. In the end it never was a
difference. What was never typed is one in both.
"""
CLOSED_AFTER = 3
"""Days from the cut-off until a month is closed."""


class Key(NamedTuple):
    """Where a difference arose: month ("2025-03"), place, refrigerant."""

    month: str
    place: str
    refrigerant: str


class Lost(NamedTuple):
    """One theft: what a truck lost in a night, in counts."""

    day: str
    cylinder: str
    refrigerant: str
    mass: int
    whole: bool


@dataclass(slots=True)
class Flows:
    """True counts of one refrigerant over the year: where all of it came from and went."""

    opening: int = 0
    bought: int = 0
    recovered: int = 0
    into_circuits: int = 0
    shipped: int = 0
    heel: int = 0
    hose: int = 0
    leaked: int = 0
    stolen: int = 0

    def left(self) -> int:
        """What has to be in our cylinders."""
        came = self.opening + self.bought + self.recovered
        went = self.into_circuits + self.shipped + self.heel + self.hose + self.leaked
        return came - went - self.stolen


Causes = dict[Key, dict[str, int]]


@dataclass(slots=True)
class Truth:
    """The truth of a year; masses in counts of 1.25 ng.

    `held` is what every place truly held at a count. `causes` holds for each view what made the
    differences of a month; `cylinders` the same by cylinder, to look into. `theft_at` is the
    truck of the theft, empty where there was none.
    """

    held: dict[Key, int] = field(default_factory=lambda: defaultdict(int))
    causes: dict[str, Causes] = field(default_factory=lambda: {AT_CLOSE: {}, AT_END: {}})
    cylinders: dict[str, dict[tuple[str, str], dict[str, int]]] = field(
        default_factory=lambda: {AT_CLOSE: {}, AT_END: {}}
    )
    flows: dict[str, Flows] = field(default_factory=lambda: defaultdict(Flows))
    theft_at: str = ""
    thefts: list[Lost] = field(default_factory=list)

    def add(self, view: str, key: Key, cylinder: str, cause: str, counts: int) -> None:
        """Note pounds of difference in one view."""
        if counts:
            for of in (
                self.causes[view].setdefault(key, {}),
                self.cylinders[view].setdefault((key.month, cylinder), {}),
            ):
                of[cause] = of.get(cause, 0) + counts

    def both(self, key: Key, cylinder: str, cause: str, counts: int) -> None:
        """Note pounds of difference that do not depend on when anything was typed."""
        self.add(AT_CLOSE, key, cylinder, cause, counts)
        self.add(AT_END, key, cylinder, cause, counts)

    def typed(
        self, key: Key, cylinder: str, typed_on: str, omitted: tuple[str, int],
        causes: dict[str, int],
    ) -> None:  # fmt: skip
        """Note an event that was typed on a day, or never (an empty day).

        `omitted` is the cause and the difference as long as it was not typed, `causes` the
        differences it leaves once it was.
        """
        missing, counts = omitted
        posted = month_posted(key.month, typed_on)
        if posted != key.month:
            self.add(AT_CLOSE, key, cylinder, missing, counts)
        if posted:
            late = key._replace(month=posted)
            if posted != key.month:
                self.add(AT_CLOSE, late, cylinder, missing, -counts)
            for cause, difference in causes.items():
                self.add(AT_CLOSE, late, cylinder, cause, difference)
        if not typed_on:
            self.add(AT_END, key, cylinder, missing, counts)
            return
        for cause, difference in causes.items():
            self.add(AT_END, key, cylinder, cause, difference)

    def total(self, view: str, cause: str) -> int:
        """Counts of one cause without regard to sign, key by key."""
        return sum(abs(of.get(cause, 0)) for of in self.causes[view].values())


def last_day(month: str) -> date:
    """The last day of a month "2025-03"."""
    year, number = int(month[:4]), int(month[5:])
    return date(year, number, monthrange(year, number)[1])


def closed_on(month: str) -> str:
    """The day at the end of which a month was closed."""
    return (last_day(month) + timedelta(CLOSED_AFTER)).isoformat()


def month_posted(month: str, typed_on: str) -> str:
    """The month whose closing first knew what happened in `month` and was typed on a day.

    Empty where it was never typed, or after the year was closed.
    """
    year = month[:4]
    for number in range(int(month[5:]), 13):
        candidate = f"{year}-{number:02d}"
        if typed_on and typed_on <= closed_on(candidate):
            return candidate
    return ""
