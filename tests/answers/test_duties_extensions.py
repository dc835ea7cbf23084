"""More time for a plan: 40 CFR 82.157(i), 84.106(i); relief from it and mothballing besides.

The circuit went over on 1 June 2026, the plan is of 20 June; its year ends on 20 June 2027.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from ledger.answers.case_events import Event, Story
from ledger.answers.duty import Duty
from ledger.law.loader import FEDERAL_82F, FEDERAL_84C
from tests.answers.one_circuit import DAY0, INDUSTRY, RACK, adding, at, of, state, story

PLANNED = (("choose-retrofit", DAY0), ("plan", date(2026, 6, 20)))
ASKED = date(2026, 12, 1)
GRANTED = date(2027, 1, 30)
"""Sixty days after the request: 30 left in December, 30 in January."""


def _plan(
    *events: Event, category: str = INDUSTRY, subpart: str = "84", federal: bool = False
) -> Story:
    told = story(*PLANNED, category=category, subpart=subpart)
    return replace(told, events=(*told.events, *events), federal_owner=federal)


def _request(ground: str, on: date = ASKED, entry: int = 40, signed: bool = True) -> Event:
    return Event(entry, "plan-extension-request", on, ground=ground, signed=signed)


def _finish(told: Story, as_of: date, pack: str = FEDERAL_84C) -> Duty:
    (duty,) = of(at(told, as_of, pack), "finish-plan")
    return duty


def test_until_the_sixty_days_are_over_the_date_of_the_plan_stands() -> None:
    told = _plan(_request("other law"))
    assert _finish(told, date(2027, 1, 29)).due == date(2027, 6, 20)
    granted = _finish(told, GRANTED)
    assert (granted.due, granted.no_date) == (None, "as long as needed")
    assert granted.extended == "other law" and "PLAN_EXT_DAY" in granted.readings


def test_an_objection_within_the_sixty_days_takes_it_away() -> None:
    against = Event(41, "objection", GRANTED, ground="plan extension")
    late = against._replace(on=date(2027, 1, 31))
    told = _request("other law")
    assert _finish(_plan(told, against), date(2027, 3, 1)).due == date(2027, 6, 20)
    assert _finish(_plan(told, late), date(2027, 3, 1)).due is None


def test_an_objection_that_names_nothing_is_to_the_one_request_there_is() -> None:
    against = Event(41, "objection", GRANTED)
    assert _finish(_plan(_request("other law"), against), GRANTED).due == date(2027, 6, 20)


def test_who_asks_as_a_federal_owner_is_one() -> None:
    told = _plan(_request("federal owner"), category=RACK, subpart="82")
    assert _finish(told, GRANTED, FEDERAL_82F).due == date(2028, 6, 20)


def test_custom_built_equipment_is_installed_120_days_after_delivery() -> None:
    asked = _request("custom-built")
    waiting = _finish(_plan(asked), date(2027, 3, 1))
    assert (waiting.due, waiting.no_date) == (None, "120 days after delivery")
    delivery = Event(41, "delivery", date(2027, 7, 1))
    done = _finish(_plan(asked, delivery), date(2027, 7, 1))
    # 30 left in July, 31 = 61, 30 = 91, 29 in October
    assert (done.start, done.due) == (date(2027, 7, 1), date(2027, 10, 29))


def test_an_early_delivery_never_shortens_the_year() -> None:
    told = _plan(_request("custom-built"), Event(41, "delivery", date(2026, 12, 2)))
    assert _finish(told, date(2027, 3, 1)).due == date(2027, 6, 20)


@pytest.mark.parametrize(
    ("on", "signed", "stands"),
    [
        (date(2027, 1, 1), True, True),  # seven months after 1 June 2026
        (date(2027, 1, 2), True, False),
        (date(2027, 1, 1), False, False),
    ],
)
def test_a_request_is_in_its_months_and_signed(on: date, signed: bool, stands: bool) -> None:
    told = _plan(_request("other law", on, signed=signed))
    assert (_finish(told, date(2027, 4, 1)).due is None) is stands


def test_part_82_asks_for_no_signature() -> None:
    told = _plan(_request("other law", signed=False), subpart="82")
    assert _finish(told, date(2027, 4, 1), FEDERAL_82F).due is None


@pytest.mark.parametrize("ground", ["procurement", "radiological"])
def test_a_federal_owner_has_one_additional_year_under_part_82(ground: str) -> None:
    told = _plan(_request(ground), category=RACK, subpart="82", federal=True)
    assert _finish(told, GRANTED, FEDERAL_82F).due == date(2028, 6, 20)
    (asked,) = of(at(told, GRANTED, FEDERAL_82F), "plan-extension-request")[:1]
    assert asked.cite == "40 CFR 82.157(i)(3)" and asked.due == date(2027, 1, 1)


def test_who_may_ask() -> None:
    """A supermarket: nothing under either part, unless its owner is federal (part 82 alone)."""
    asked = _request("procurement")
    for part, pack, federal, may in (
        ("82", FEDERAL_82F, False, False), ("82", FEDERAL_82F, True, True),
        ("84", FEDERAL_84C, True, False),
    ):  # fmt: skip
        told = _plan(asked, category=RACK, subpart=part, federal=federal)
        assert (_finish(told, GRANTED, pack).due != date(2027, 6, 20)) is may
        assert bool(of(at(told, ASKED, pack), "plan-extension-request")) is may


def test_the_radiological_ground_is_of_industry_in_84_and_of_federal_owners_in_82() -> None:
    asked = _request("radiological")
    assert _finish(_plan(asked), GRANTED).due is None
    assert _finish(_plan(asked, subpart="82"), GRANTED, FEDERAL_82F).due == date(2027, 6, 20)


def test_a_further_extension_is_asked_for_by_the_end_of_the_ninth_month() -> None:
    """The first extension begins as the plan's year ends, 20 June 2027; nine months are over on
    19 March 2028."""
    told = _plan(_request("procurement"), category=RACK, subpart="82", federal=True)
    again = of(at(told, date(2027, 7, 1), FEDERAL_82F), "plan-extension-request")[-1]
    assert (again.due, again.kind) == (date(2028, 3, 19), "option")
    assert "NINTH_MONTH" in again.readings
    for day, stands in ((date(2028, 3, 19), True), (date(2028, 3, 20), False)):
        more = _request("procurement", day, entry=45)
        longer = replace(told, events=(*told.events, more))
        due = _finish(longer, date(2028, 6, 1), FEDERAL_82F).due
        assert due == (None if stands else date(2028, 6, 20))


def test_other_law_knows_no_further_extension() -> None:
    found = at(_plan(_request("other law")), date(2027, 7, 1))
    assert all(duty.start == DAY0 for duty in of(found, "plan-extension-request"))


def test_mothballing_freezes_the_days_to_ask_for_relief() -> None:
    """180 days from 20 June 2026 end on 17 December; 30 days stand still."""
    stopped = (("mothball", date(2026, 8, 1)),)
    told = story(*PLANNED, *stopped, ("plan-relief", date(2027, 1, 16)))
    told = adding(told, date(2026, 8, 31), 1)
    assert state(at(told, date(2027, 3, 17))) == "relieved"
    late = story(*PLANNED, *stopped, ("plan-relief", date(2027, 1, 17)))
    late = adding(late, date(2026, 8, 31), 1)
    assert state(at(late, date(2027, 3, 18))) == "implementing"


def test_the_first_use_of_the_purge_exclusion_is_reported() -> None:
    """60 days: 28 left in June from 2 June, 31 = 59, 1 in August."""
    used = Event(60, "purge-exclusion", date(2026, 6, 2))
    told = replace(story(), events=(used, used._replace(entry=61, on=date(2026, 7, 2))))
    (report,) = of(at(told, date(2026, 8, 1)), "purge-report")
    assert (report.due, report.status) == (date(2026, 8, 1), "open")
    sent = Event(62, "record", date(2026, 8, 1), ground="purge-report")
    told = replace(told, events=(*told.events, sent))
    (report,) = of(at(told, date(2026, 8, 2)), "purge-report")
    assert report.status == "done"
    earlier = replace(told, purge_first=date(2026, 5, 1))
    assert not of(at(earlier, date(2026, 8, 2)), "purge-report")
