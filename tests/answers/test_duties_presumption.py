"""When a verified repair is presumed good: the parts differ (40 CFR 82.157(d)(2), 84.106(d)(2)).

The repair is of 12 June 2026, the follow-up test of 20 June 2026; what else is there is stated.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from ledger.answers.case_events import Event, Story
from ledger.answers.leak_history import UnknownAddition
from ledger.law.loader import FEDERAL_82F, FEDERAL_84C
from tests.answers.one_circuit import REPAIRED, adding, at, state, story

QUARTERS = (date(2026, 9, 1), date(2026, 12, 1), date(2027, 3, 1), date(2027, 6, 1))


def _told(subpart: str, *events: Event, unsaid: bool = True) -> Story:
    """The repaired rack; an addition of an unknown amount says nothing of its rate."""
    told = story(*REPAIRED, subpart=subpart)
    history = told.history
    if unsaid:
        history = replace(history, unknown_additions=(UnknownAddition(50, date(2026, 8, 1)),))
    return replace(told, events=(*told.events, *events), history=history)


def _inspections(*days: date, clean: bool = True) -> tuple[Event, ...]:
    return tuple(
        Event(60 + place, "leak-inspection", day, complete=True, clean=clean)
        for place, day in enumerate(days)
    )


PARTS = [("82", FEDERAL_82F, date(2027, 6, 12)), ("84", FEDERAL_84C, date(2027, 6, 20))]


@pytest.mark.parametrize(("part", "pack", "last"), PARTS)
def test_twelve_months_without_an_addition(part: str, pack: str, last: date) -> None:
    """Part 82 counts from the repair, part 84 from the follow-up test."""
    told = _told(part, unsaid=False)
    assert state(at(told, last.replace(day=last.day - 1), pack)) == "verified"
    found = at(told, last, pack)
    assert (state(found), found.cases[-1].since) == ("presumed", last)


@pytest.mark.parametrize(("part", "pack", "last"), PARTS)
def test_any_addition_blocks_it(part: str, pack: str, last: date) -> None:
    assert state(at(_told(part), last, pack)) == "verified"


@pytest.mark.parametrize(("part", "pack", "last"), PARTS)
def test_clean_inspections_presume_it_all_the_same(part: str, pack: str, last: date) -> None:
    told = _told(part, *_inspections(*QUARTERS))
    assert state(at(told, last.replace(day=last.day - 1), pack)) == "verified"
    found = at(told, last, pack)
    assert (state(found), found.cases[-1].since) == ("presumed", last)
    assert found.cases[-1].trail[-1].entry == 63


@pytest.mark.parametrize(("part", "pack", "last"), PARTS)
def test_a_quarter_without_an_inspection_presumes_nothing(part: str, pack: str, last: date) -> None:
    told = _told(part, *_inspections(*QUARTERS[:1], *QUARTERS[2:]))
    assert state(at(told, last, pack)) == "verified"


@pytest.mark.parametrize(("part", "pack", "last"), PARTS)
def test_an_inspection_that_found_a_leak_presumes_nothing(part: str, pack: str, last: date) -> None:
    told = _told(part, *_inspections(*QUARTERS))
    leaking = Event(70, "leak-inspection", date(2026, 10, 1), complete=False, clean=False)
    told = replace(told, events=(*told.events, leaking))
    assert state(at(told, last, pack)) == "verified"


def test_a_required_detector_without_an_alert_counts_under_part_84_alone() -> None:
    monitor = Event(60, "monitor", date(2026, 6, 1), required=True)
    for part, pack, last in PARTS:
        wanted = "presumed" if part == "84" else "verified"
        assert state(at(_told(part, monitor), last, pack)) == wanted


def test_a_voluntary_detector_or_an_alert_presumes_nothing() -> None:
    voluntary = Event(60, "monitor", date(2026, 6, 1))
    required = voluntary._replace(required=True)
    alarm = Event(61, "alarm", date(2027, 1, 4))
    last = date(2027, 6, 20)
    assert state(at(_told("84", voluntary), last)) == "verified"
    assert state(at(_told("84", required, alarm), last)) == "verified"


def test_a_rate_below_confirms_before_any_presumption() -> None:
    told = adding(_told("84", unsaid=False), date(2026, 12, 1), 1)
    found = at(told, date(2027, 6, 20))
    assert (state(found), found.cases[-1].since) == ("confirmed", date(2026, 12, 1))
