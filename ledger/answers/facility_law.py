"""The law of a facility as the answers see it: its classes, papers and retention as dated values.

`ledger.law.for_facilities` fills these records from a rule pack. Nothing here names a
jurisdiction: which class owes what by when, and what ends it, is data.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import NamedTuple

from ledger.answers.duty_law import Span
from ledger.answers.working import RuleRef

ON_A_DAY, AT_START, AT_YEAR_END = "day", "system-start", "year-end"
"""What a paper of a facility is due after: a fixed date, the start of a system, a year."""


class FieldList(NamedTuple):
    """The words for what one part of a report states, and the rule that lists them."""

    words: tuple[str, ...]
    rule: RuleRef


class Paper(NamedTuple):
    """A registration, report or fee that the classes `limbs` of a facility owe.

    `starts` says what it is due after. `day` is a fixed date, `month_day` a date in the year
    after, `length` a span from the start of a system; one of the three stands. `first_year` is
    the first calendar year it is asked for (0: any), by `first_rules`. `ends` are the kinds of
    events that meet it, `waived_by` those that take it away for a year. `amount` is what is
    paid, in words.
    `items` is what it holds, `fields` the columns of a report (`facility_report.FIELDS`).
    """

    name: str
    title: str
    duty: str
    who: str
    cite: str
    starts: str
    ends: frozenset[str]
    limbs: frozenset[str]
    day: date | None = None
    month_day: tuple[int, int] | None = None
    length: Span | None = None
    first_year: int = 0
    amount: str = ""
    waived_by: frozenset[str] = frozenset()
    items: tuple[str, ...] = ()
    fields: tuple[FieldList, ...] = ()
    rules: tuple[RuleRef, ...] = ()
    first_rules: tuple[RuleRef, ...] = ()

    def due_after(self, start: date) -> date | None:
        """The last day for what started on a date; None where it does not count from one."""
        if self.length is not None:
            return self.length.after(start)
        if self.month_day is not None:
            return date(start.year + 1, *self.month_day)
        return None


class Retention(NamedTuple):
    """How long records are kept: `years` after the date of the record, `place` in words."""

    title: str
    cite: str
    years: Span
    place: str
    rules: tuple[RuleRef, ...] = ()


class FacilityLaw(NamedTuple):
    """Every value of one pack that the duties of a facility need, over one period.

    `classes` are the limbs of a facility in the order of the pack, the largest class first,
    `class_rules` the size line of each that has one.
    `retention` is how long its records are kept; None where the pack does not say.
    """

    pack: str
    subpart: str
    classes: tuple[str, ...]
    papers: tuple[Paper, ...]
    retention: Retention | None
    readings: Mapping[str, str]
    class_rules: Mapping[str, RuleRef]

    def of(self, starts: str, limb: str) -> list[Paper]:
        """The papers a class owes after something."""
        return [one for one in self.papers if one.starts == starts and limb in one.limbs]

    def rank(self, limb: str) -> int:
        """The place of a class, the largest 0; what is no class comes last."""
        return self.classes.index(limb) if limb in self.classes else len(self.classes)


@dataclass(frozen=True, slots=True)
class FacilityTable:
    """The facility law of one pack by period: ordinals of first days beside the laws."""

    pack: str
    subpart: str
    starts: tuple[int, ...]
    laws: tuple[FacilityLaw, ...]

    def at(self, day: date) -> FacilityLaw:
        """The law on a day; the first known one for an earlier day."""
        return self.laws[max(bisect_right(self.starts, day.toordinal()) - 1, 0)]
