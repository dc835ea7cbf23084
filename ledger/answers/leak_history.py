"""What a leak rate is computed from: one circuit's additions, removals, tests and settings.

An adapter fills these records from the book; nothing here knows how they were stored. Every
mass is a count of 1.25 ng (`ledger.facts.mass`), every date a calendar date at the site, every
time "HH:MM" or empty. A caller who wants the answer as known earlier leaves out what was
recorded later.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import NamedTuple

from ledger.answers.leak_law import Binding


class Addition(NamedTuple):
    """Refrigerant put into the circuit by one movement.

    `exempt` is what a person declared it to be: empty, "new charge", "post-retrofit" or
    "seasonal". `event` names the service event (recover and charge of one event are set off
    against each other); empty means that it stands alone.
    """

    entry: int
    line: int
    on: date
    time: str
    mass: int
    exempt: str = ""
    event: str = ""
    estimated: bool = False
    by_others: bool = False


class Removal(NamedTuple):
    """Refrigerant taken out of the circuit; `seasonal` where a person declared it so."""

    entry: int
    line: int
    on: date
    time: str
    mass: int
    seasonal: bool = False
    event: str = ""


class UnknownAddition(NamedTuple):
    """An addition by another contractor of an amount nobody knows."""

    entry: int
    on: date


class FollowUp(NamedTuple):
    """A follow-up verification test; only a passed one on all identified leaks resets."""

    entry: int
    on: date
    time: str
    all_leaks: bool
    passed: bool


class Repair(NamedTuple):
    """A leak repair; until 2018-12-31 it is what reset the rolling window."""

    entry: int
    on: date


class FullCharge(NamedTuple):
    """A full-charge determination in force from `since` (None: from the beginning).

    `mass` is the charge where it is one figure. With `low` and `high` and the method "range"
    it is an established range, whose midpoint is the full charge (40 CFR 82.152); with any
    other method the two only bound an unknown charge. All None: unknown.
    """

    entry: int
    since: date | None
    mass: int | None
    low: int | None = None
    high: int | None = None
    method: str = ""

    def halves(self) -> int | None:
        """Twice the full charge in counts, so that every midpoint is whole; None if unknown."""
        if self.mass is not None:
            return 2 * self.mass or None
        if self.method == "range" and self.low is not None and self.high is not None:
            return self.low + self.high or None
        return None

    def band(self) -> tuple[int, int] | None:
        """Least and greatest full charge in halves of a count, where only those are known."""
        if self.halves() is None and self.low and self.high:
            return 2 * self.low, 2 * self.high
        return None


class MethodFrom(NamedTuple):
    """The site's leak-rate method from a date on (None: from the beginning)."""

    since: date | None
    method: str
    entry: int = 0


class CategoryFrom(NamedTuple):
    """The circuit's equipment category from a date on; empty where not recorded."""

    since: date | None
    category: str
    entry: int = 0


class ScopeFrom(NamedTuple):
    """Which subparts bind from a date on (made by `ledger.law.scope.scope_over`)."""

    since: date | None
    bindings: tuple[Binding, ...]


@dataclass(frozen=True, slots=True)
class CircuitHistory:
    """Everything a circuit's leak rates rest on, in any order unless said.

    `full_charges`, `methods`, `categories` and `scope` are series in order of `since`.
    `episodes` are sets of entry numbers whose additions a person declared to be one leak.
    `carried_last_addition` is the last addition before the book starts, from older records.
    """

    circuit: str
    additions: tuple[Addition, ...] | list[Addition]
    full_charges: tuple[FullCharge, ...] = ()
    methods: tuple[MethodFrom, ...] = ()
    categories: tuple[CategoryFrom, ...] = ()
    scope: tuple[ScopeFrom, ...] = ()
    removals: tuple[Removal, ...] = ()
    unknown_additions: tuple[UnknownAddition, ...] = ()
    follow_ups: tuple[FollowUp, ...] = ()
    repairs: tuple[Repair, ...] = ()
    episodes: tuple[frozenset[int], ...] = ()
    carried_last_addition: date | None = None
