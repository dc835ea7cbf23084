"""The law as the duty answers see it: clocks, calendars and reports as plain dated values.

`ledger.law.for_duties` fills these records from a rule pack. Nothing here names a jurisdiction:
what starts a clock, how long it runs and what ends it is data.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from typing import NamedTuple

from ledger.answers.working import RuleRef
from ledger.facts.calendar import plus_days, plus_months

_MONTHS = {"month": 1, "quarter": 3, "year": 12}
_DAYS = {"day": 1, "week": 7}


class Span(NamedTuple):
    """A length of time as the law counts it: "30 days", "3 months", "1 year"."""

    number: int
    unit: str
    rule: RuleRef

    @property
    def months(self) -> int:
        """The span in months; 0 where it is counted in days."""
        return self.number * _MONTHS.get(self.unit, 0)

    def after(self, day: date, times: int = 1) -> date:
        """The date so much later: calendar days, or months clamped to the end of the month."""
        if self.unit in _MONTHS:
            return plus_months(day, self.months * times)
        if self.unit == "hour":  # by the end of the next calendar date
            return plus_days(day, -(-self.number * times // 24))
        return plus_days(day, self.number * _DAYS[self.unit] * times)

    def words(self, times: int = 1) -> str:
        """The span in words, counted `times` over."""
        return counted(self.number * times, self.unit)


def counted(number: int, unit: str) -> str:
    """A number of units in words: "1 day", "20 days"."""
    return f"{number} {unit}" if number == 1 else f"{number} {unit}s"


class Limit(NamedTuple):
    """A size line in counts of mass; `inclusive` where the line itself is at or over it."""

    counts: int
    inclusive: bool
    rule: RuleRef

    def reached(self, charge: Fraction) -> bool:
        """Whether a full charge lies at or over (over) the line."""
        return charge >= self.counts if self.inclusive else charge > self.counts


class When(NamedTuple):
    """To which circuits a clock or calendar applies; None means that it does not ask."""

    size: Limit | None = None
    size_under: Limit | None = None
    category: frozenset[str] | None = None
    not_category: frozenset[str] | None = None
    indoors: bool | None = None
    added: Limit | None = None
    added_percent: int | None = None
    federal_owner: bool | None = None

    def calls(self, mass: int, charge: Fraction | None) -> bool | None:
        """Whether an addition is large enough: both the pounds and the part of the charge."""
        if self.added is not None and not self.added.reached(Fraction(mass)):
            return False
        if self.added_percent is None:
            return True
        return None if charge is None else 100 * mass >= self.added_percent * charge

    def holds(
        self, category: str, charge: Fraction | None, indoors: bool | None = None,
        federal_owner: bool = False,
    ) -> bool | None:  # fmt: skip
        """Whether a circuit is meant; None where what it asks is not known of the circuit."""
        if self.federal_owner is not None and federal_owner is not self.federal_owner:
            return False
        if self.indoors is not None and indoors is not self.indoors:
            return None if indoors is None else False
        if self.category is not None or self.not_category is not None:
            if not category:
                return None
            if self.category is not None and category not in self.category:
                return False
            if self.not_category is not None and category in self.not_category:
                return False
        if self.size is None and self.size_under is None:
            return True
        if charge is None:
            return None
        over = self.size is None or self.size.reached(charge)
        under = self.size_under is None or not self.size_under.reached(charge)
        return over and under


EVERY_CIRCUIT = When()


class Longer(NamedTuple):
    """What makes a clock run longer or from another day, by ground."""

    ground: str
    starts: str
    length: Span | None
    cap: Span | None
    cap_shutdown: Span | None
    rules: tuple[RuleRef, ...]


class Clock(NamedTuple):
    """What runs once from an event: a duty, or a last day to ask (`kind` option).

    `starts`, `ends` and `suspended_by` name events, `given` what must be so for it to start.
    `day` is a fixed date in place of a length, `floor` the earliest installation it is for.
    `cap` bounds the date from the event `cap_starts`; `also_by` names what else of itself brings
    about what a clock brings about (a presumption). `limbs` are the limbs of the scope it is
    for (None: all). `rules` are the figures and readings.
    """

    name: str
    title: str
    duty: str
    kind: str
    who: str
    cite: str
    begins: date
    ends_after: date | None
    starts: str
    ends: frozenset[str]
    given: str = ""
    length: Span | None = None
    day: date | None = None
    floor: date | None = None
    cap: Span | None = None
    cap_starts: str = ""
    also_by: frozenset[str] = frozenset()
    longer: tuple[Longer, ...] = ()
    suspended_by: frozenset[str] = frozenset()
    when: When = EVERY_CIRCUIT
    limbs: frozenset[str] | None = None
    rules: tuple[RuleRef, ...] = ()

    def longer_by(self, ground: str) -> Longer | None:
        """The longer run on a ground, or None where the clock knows none."""
        return next((one for one in self.longer if one.ground == ground), None)


class Calendar(NamedTuple):
    """What recurs. `grid` is "anchor", "calendar year" or "last".

    `stops_after` is how long the rate must not have been over; `upkeep` how old the last audit
    of a detector may be that stands in for it (`waived_by` monitor). `floor` is the earliest day
    a grid hangs on, `apart` the longest time between two, `begins` the first day of the rule.
    """

    name: str
    title: str
    duty: str
    who: str
    cite: str
    starts: str
    every: Span
    grid: str
    when: When = EVERY_CIRCUIT
    stops_after: Span | None = None
    waived_by: frozenset[str] = frozenset()
    upkeep: Span | None = None
    floor: date | None = None
    apart: Span | None = None
    begins: date = date.min
    limbs: frozenset[str] | None = None
    rules: tuple[RuleRef, ...] = ()


class YearlyReport(NamedTuple):
    """A report that falls due after a calendar year whose loss reached a percentage."""

    title: str
    duty: str
    who: str
    cite: str
    percent: int
    month: int
    day: int
    first_year: int
    rules: tuple[RuleRef, ...] = ()


class Record(NamedTuple):
    """A record that is kept of something; who owes it, by which paragraph, of which circuits.

    `scope` names the scope that has to bind; empty where the record is asked for beside it.
    """

    title: str
    duty: str
    who: str
    cite: str
    rules: tuple[RuleRef, ...] = ()
    scope: str = ""
    when: When = EVERY_CIRCUIT


class DutyLaw(NamedTuple):
    """Every value of one pack that a repair case and its duties need, over one period.

    `extension_signed` and `plan_extension_signed` say whether a request for more time, to repair
    or for a plan, must be signed.
    `readings` gives the chosen answer of each interpretation by name.
    """

    pack: str
    subpart: str
    clocks: tuple[Clock, ...]
    calendars: tuple[Calendar, ...]
    yearly: YearlyReport | None
    records: tuple[Record, ...]
    extension_signed: bool
    plan_extension_signed: bool
    readings: Mapping[str, str]
    rules: Mapping[str, RuleRef]
    by_name: Mapping[str, Clock]
    by_duty: Mapping[str, tuple[Clock, ...]]

    def record(self, duty: str) -> Record | None:
        """The record of a duty, or None where the pack asks for none."""
        return next((one for one in self.records if one.duty == duty), None)

    def clock(self, name: str) -> Clock | None:
        """A clock by name, or None where the pack has none in this period."""
        return self.by_name.get(name)

    def clocks_of(self, duty: str) -> tuple[Clock, ...]:
        """The clocks of a duty."""
        return self.by_duty.get(duty, ())


@dataclass(frozen=True, slots=True)
class DutyTable:
    """The duty law of one pack by period: ordinals of first days beside the laws.

    `by_rate`: a leak rate over a trigger opens a case; else the detection of a leak does.
    """

    pack: str
    subpart: str
    starts: tuple[int, ...]
    laws: tuple[DutyLaw, ...]
    by_rate: bool

    def at(self, day: date) -> DutyLaw:
        """The law on a day; the first known one for an earlier day."""
        return self.laws[max(bisect_right(self.starts, day.toordinal()) - 1, 0)]
