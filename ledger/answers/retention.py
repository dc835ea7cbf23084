"""Until when a record is kept: years from its date, as the law counts them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date
from typing import NamedTuple

from ledger.answers.facility_law import Retention
from ledger.answers.working import Input, RuleRef, Working
from ledger.facts.calendar import plus_days


class Recorded(NamedTuple):
    """One record that is kept: the entry it stands in, what it is, its date."""

    entry: int
    what: str
    on: date


class Kept(NamedTuple):
    """A record, the last day it has to be kept (`through`) and where.

    From the day after, it may be dropped from the files; the book itself keeps everything.
    """

    record: Recorded
    through: date
    place: str
    cite: str
    as_of: date
    rules: tuple[RuleRef, ...]
    years: str

    @property
    def required(self) -> bool:
        """Whether it still has to be kept on the day asked."""
        return self.as_of <= self.through

    def working(self) -> Working:
        """The whole explanation: the date of the record, the years, the rules."""
        entries = (self.record.entry,) if self.record.entry else ()
        where = f", {self.place}" if self.place else ""
        return Working(
            title=f"Keep the record: {self.record.what} ({self.cite})",
            formula=f"{self.record.on.isoformat()} and {self.years}",
            inputs=(Input(self.record.what, self.record.on.isoformat(), entries),),
            result=f"kept through {self.through.isoformat()}{where}",
            rules=self.rules,
        )


def kept(records: Iterable[Recorded], law: Retention, as_of: date) -> Iterator[Kept]:
    """Each record with the last day it is kept, oldest first (RETAIN_DAY).

    The anniversary of the record is its last day. A record of 29 February has none in most
    years: it is kept through 1 March, because the later day is the safe one.
    """
    for record in sorted(records, key=lambda one: (one.on, one.entry)):
        yield Kept(
            record=record,
            through=_anniversary(law, record.on),
            place=law.place,
            cite=law.cite,
            as_of=as_of,
            rules=law.rules,
            years=law.years.words(),
        )


def _anniversary(law: Retention, on: date) -> date:
    found = law.years.after(on)
    return plus_days(found, 1) if found.day < on.day else found
