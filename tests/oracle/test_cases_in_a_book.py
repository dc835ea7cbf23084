"""Every worked case recorded in a book comes out as it does from the story that is told.

The stories of `tests/answers/told_cases.py` go into the duty answers without a book; here the same
cases are entered as a shop enters them, and read back at each day and state of knowledge a case
asks about. Entry numbers apart, every state, duty, schedule, yearly loss and rate is the same, so
that nothing is lost between the book and the answers.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from ledger.answers.duties import CircuitDuties, Duty
from ledger.answers.facility_duties import FacilityDuties
from ledger.book.engine import BookPlace
from ledger.book.journal import Book
from tests.answers.told_cases import cases, facilities, told
from tests.conftest import FixedClock
from tests.oracle.recorded_cases import LONG_AGO, record

Row = dict[str, Any]
Sites = dict[str, list[FacilityDuties]]
CASES = [case for case in cases() if case.get("circuits")]


SAID = {"T13e"}
"""Cases whose recovery on the last day is a record of the disposal in a book, without a word."""


def states(one: CircuitDuties) -> Iterator[tuple[object, ...]]:
    """The cases of a circuit under a pack: day 0, and every step with its day."""
    for case in one.cases:
        steps = tuple((step.on, step.state) for step in case.trail)
        yield case.day0, case.state, case.since, case.relieved_on, steps


def duties(one: CircuitDuties) -> list[tuple[object, ...]]:
    """The duties, all that is told of them but entry numbers."""
    return [
        (*duty._replace(inputs=(), rules=()), tuple(rule.rule for rule in duty.rules),
         tuple((part.label, part.value) for part in duty.inputs))
        for duty in one.duties
    ]  # fmt: skip


def rates(one: CircuitDuties) -> list[tuple[object, ...]]:
    """The leak rates, with both sums and what they are compared with."""
    return [
        (rate.on, rate.counted, rate.annual_pounds, rate.days, rate.window_pounds,
         rate.window_start, rate.over, rate.skipped, rate.cannot, rate.trigger, rate.method,
         rate.full_charge, rate.text(), rate.text(rate.other_method))
        for rate in one.rates
    ]  # fmt: skip


def others(one: CircuitDuties) -> list[tuple[object, ...]]:
    """Schedules and the losses of the years."""
    runs: list[tuple[object, ...]] = [
        (run.calendar.duty, run.anchor.on, run.run_from, run.ends_on, run.bound_until)
        for run in one.schedules
    ]
    return runs + [(loss.year, loss.lost, loss.charge) for loss in one.losses]


def differences(mine: CircuitDuties, theirs: CircuitDuties) -> Iterator[str]:
    for say in (states, duties, rates, others):
        ours, told_ = list(say(mine)), list(say(theirs))
        for one in ours:
            if one not in told_:
                yield f"{mine.pack} {mine.circuit} {say.__name__}: in the book only: {one}"
        for one in told_:
            if one not in ours:
                yield f"{mine.pack} {mine.circuit} {say.__name__}: as told only: {one}"


def of_sites(ours: Sites, theirs: Sites) -> Iterator[str]:
    """What differs about sites: their class, and every duty."""
    for name, several in theirs.items():
        found = {one.pack: one for one in ours[name]}
        for other in several:
            mine = found.get(other.pack)
            if mine is None:
                assert not other.duties, f"{other.pack} asks something of sites"
                continue
            if mine.of.limb != other.of.limb or {*mine.of.by} != {*other.of.by}:
                yield f"{name}: class {mine.of} in the book, {other.of} as told"
            made, told_ = ([_sorted(one) for one in x.duties] for x in (mine, other))
            yield from (f"{name}: in the book only: {one}" for one in made if one not in told_)
            yield from (f"{name}: as told only: {one}" for one in told_ if one not in made)


def _sorted(duty: Duty) -> Duty:
    """A duty of a site, its circuits in order of their names."""
    return duty._replace(inputs=(), rules=(), systems=tuple(sorted(duty.systems)))


@pytest.mark.parametrize("case", CASES, ids=[case["id"] for case in CASES])
def test_a_case_in_a_book_comes_out_as_it_is_told(case: Row, tmp_path: Path) -> None:
    facts = told(case)
    place = BookPlace.parse(tmp_path / "case.tarebook")
    clock = FixedClock()
    clock.moment = clock.moment.replace(LONG_AGO.year - 1)
    found: list[str] = []
    with Book.create(place, "America/Chicago", "Example", "office", clock()) as book:
        there = record(book, case, facts)
        for expect in case["expect"]:
            as_of: date = expect["as_of"]
            ours = there.at(as_of, expect.get("known_at"))
            theirs = facts.at(as_of, expect.get("known_at"))
            assert ours.keys() >= theirs.keys()
            for name, several in theirs.items():
                for mine, other in zip(ours[name], several, strict=True):
                    found += [f"{as_of}: {line}" for line in differences(mine, other)]
            told_ = facilities(case, as_of, there.kept_from)
            found += [f"{as_of}: {line}" for line in of_sites(there.sites_at(as_of), told_)]
    by_itself = [line for line in found if "'disposal-" in line] if case["id"] in SAID else []
    assert bool(by_itself) is (case["id"] in SAID)
    assert [line for line in found if line not in by_itself] == []
    assert not there.flags, "a shop could enter it only with a reason"
