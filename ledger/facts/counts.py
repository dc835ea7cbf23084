"""Counts and closing as facts: cut-offs, causes of a difference, and what they have to hold."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import NamedTuple

from ledger.facts.calendar import parse_iso
from ledger.facts.checks import weighing_problems
from ledger.facts.entry import Draft
from ledger.facts.facts import Closed, Counted, Explained, Weighing
from ledger.facts.known import Known
from ledger.facts.problems import Problem

WEIGHED, SEALED, NOT_THERE = FOUND = ("weighed", "sealed", "not there")
"""What a count can say about a cylinder."""

THEFT, UNEXPLAINED = "theft", "unexplained"
CAUSES = (
    "appliance leak", "heel", "hose", "known release", "cylinder leak in storage",
    "recovery shortfall", "purge unit discharge", "oil-borne", "reclaimer weight difference",
    "reclaimer process loss", THEFT, "lost cylinder", "count/scale difference",
    "data correction", UNEXPLAINED,
)  # fmt: skip
"""The causes a difference can have; the fixed list of the trade (common practice, no source)."""

_CUT_OFF = re.compile(r"(\d{4}-\d\d-\d\d)(?: ([01]\d|2[0-3]):([0-5]\d))?", re.A)


class CutOff(NamedTuple):
    """The moment a count or a close is for: an ISO day, and HH:MM or empty for its end."""

    day: str
    time: str = ""

    @classmethod
    def parse(cls, text: str) -> CutOff:
        """A cut-off from its canonical text; ValueError where it is none."""
        match = _CUT_OFF.fullmatch(text)
        if match is None:
            raise ValueError(f"no cut-off: {text!r}")
        parse_iso(match[1])
        return cls(match[1], text[11:])

    @property
    def text(self) -> str:
        """The canonical text: "2026-01-30 17:00", or the day alone for its end."""
        return f"{self.day} {self.time}" if self.time else self.day

    @property
    def order(self) -> tuple[str, str]:
        """What cut-offs are ordered by."""
        return self.day, self.time or "24:00"

    def covers(self, day: str, time: str) -> bool:
        """Whether what occurred then counts: on the day itself, what has no time does."""
        if day != self.day:
            return day < self.day
        return not (self.time and time) or time <= self.time


def cut_off_problems(known: Known, draft: Draft, text: str) -> Iterator[Problem]:
    """A cut-off that is none, or is still to come."""
    try:
        cut_off = CutOff.parse(text)
    except ValueError:
        yield Problem(
            "date-unclear", f'"{text}" is no cut-off.', 'Write it as "2026-01-30 17:00", or a day.'
        )
        return
    today = known.today(draft.zone or known.shop_zone())
    if cut_off.day > today:
        yield Problem(
            "date-future", f"The cut-off {text} is after today ({today}).",
            "Give the moment the count is for.",
        )  # fmt: skip


def counted_problems(known: Known, draft: Draft, fact: Counted) -> Iterator[Problem]:
    """A cylinder that cannot have been counted so."""
    yield from cut_off_problems(known, draft, fact.cut_off)
    if fact.found not in FOUND:
        yield Problem(
            "value-unclear", f'"{fact.found}" is nothing a count can find.',
            f"Write {', '.join(FOUND)}.",
        )  # fmt: skip
    if (fact.gross is None) if fact.found == WEIGHED else (fact.gross and fact.found == NOT_THERE):
        yield Problem(
            "option-unfit", f"Cylinder {fact.cylinder} is {fact.found} and has"
            f" {'a' if fact.gross else 'no'} gross weight.",
            "Give the gross weight where it was on a scale, and only there.",
        )  # fmt: skip
    if fact.gross is not None:
        yield from weighing_problems(known, Weighing(fact.cylinder, fact.gross, fact.scale))
    cylinder = known.master("cylinder", fact.cylinder)
    if cylinder is not None and cylinder.text("kind") == "other gas":
        yield Problem(
            "not-refrigerant",
            f"Cylinder {fact.cylinder} holds {cylinder.text('gas') or 'another gas'}.",
            "Leave it out: only refrigerant is counted in pounds.",
        )


def explained_problems(known: Known, draft: Draft, fact: Explained) -> Iterator[Problem]:
    """A cause that is not of the list, or lacks what it needs."""
    yield from cut_off_problems(known, draft, fact.cut_off)
    if fact.cause not in CAUSES:
        yield Problem(
            "value-unclear", f'"{fact.cause}" is no cause.', f"Choose {', '.join(CAUSES)}."
        )
    if not fact.mass.mass:
        yield Problem(
            "amount-not-positive", f"The difference is {fact.mass.written}.",
            "Give the pounds that have this cause.",
        )  # fmt: skip
    if fact.cause == THEFT and not fact.document:
        yield Problem(
            "field-missing", "A theft has no report number.", "Add it with --document NUMBER."
        )
    yield from _person(draft, "A cause")


def closed_problems(known: Known, draft: Draft, fact: Closed) -> Iterator[Problem]:
    """A close that nobody signs, or that ends before it begins."""
    yield from cut_off_problems(known, draft, fact.cut_off)
    if fact.since and CutOff.parse(fact.since).order >= CutOff.parse(fact.cut_off).order:
        yield Problem(
            "already-closed", f"What happened up to {fact.since} is closed already.",
            "Give a later cut-off; what was late counts in the next period.",
        )  # fmt: skip
    yield from _person(draft, "A close")


def _person(draft: Draft, what: str) -> Iterator[Problem]:
    if not draft.person:
        yield Problem("field-missing", f"{what} names no person.", "Add --by PERSON.")
