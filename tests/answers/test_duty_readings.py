"""A book's other reading of silent text moves what it speaks of, and is named in the working."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from ledger.answers.case_events import Event
from ledger.answers.duties import duties_of
from ledger.answers.duty_readings import FOLLOWED, NOT_FOLLOWED
from ledger.law.for_duties import law_for_duties
from ledger.law.for_rates import law_for_rates
from ledger.law.loader import SHIPPED, Pack, load_pack
from ledger.law.overrides import Override, with_overrides
from tests.answers.told_cases import cases, told

LAW = law_for_rates()
CASES = {case["id"]: case for case in cases()}

MOVED_BY: dict[str, str] = {
    "ald-audit-year": "H12", "ald-lapse": "H12", "ca-addition-inspection-day": "H23",
    "ca-ald-start": "H22", "ca-grid": "H23", "detection-inspection": "H23",
    "equal-at-confirm": "T04e", "ext-late": "H05",
    "ext-unsigned": "H05", "inspect-mothballed": "H08", "mothball-carry": "T10",
    "plan-cap-82": "T14d", "plan-cap-84": "T14d", "quarter-chain": "H10", "reanchor": "H09",
    "reanchor-82": "H10", "retire-18-anchor": "late plan", "stop-82-calendar": "T09d",
    "window-closed": "H04",
}  # fmt: skip
"""The worked case whose answers each reading changes."""

OF_A_SITE = {"facility-year-class"}
"""Readings of what a whole site owes; `test_facility_duties` moves them."""


def _offered() -> dict[str, tuple[str, ...]]:
    packs = [load_pack(name) for name in SHIPPED]
    return {
        name: value.choices
        for pack in packs
        for name in pack.rules
        for value in pack.rules[name].values
        if len(value.choices) > 1
    }


def _offers(pack: Pack, name: str) -> bool:
    return name in pack.rules and any(len(v.choices) > 1 for v in pack.rules[name].values)


def _seen(case: dict[str, Any], overrides: list[Override]) -> list[Any]:
    """Dates, states and statuses of every expected day, without the rules behind them."""
    facts, out = told(case), []
    packs = [
        with_overrides(pack, [one for one in overrides if _offers(pack, one.name)])
        for pack in map(load_pack, SHIPPED)
    ]
    tables = [law_for_duties(pack) for pack in packs]
    for expect in case["expect"]:
        for story in facts.stories.values():
            for one in duties_of(story, LAW, tables, expect["as_of"]):
                out += [(each.day0, each.state, each.since) for each in one.cases]
                out += [(d.duty, d.start, d.due, d.status, d.no_date) for d in one.duties]
    return out


def _case(name: str) -> dict[str, Any]:
    if MOVED_BY[name] in CASES:
        return CASES[MOVED_BY[name]]
    plan = {**CASES["T14f"]}
    events = [{**e, "on": e["on"].replace(month=9)} if e["what"] == "plan" else e
              for e in plan["events"]]  # fmt: skip
    as_of = max(event["on"] for event in events)
    return {**plan, "events": events, "expect": [{"as_of": as_of}]}


def test_every_reading_that_is_offered_is_followed_or_named() -> None:
    offered = _offered()
    assert FOLLOWED.keys() | NOT_FOLLOWED.keys() == offered.keys()
    assert not FOLLOWED.keys() & NOT_FOLLOWED.keys()
    assert all(FOLLOWED[name] in offered[name][1:] for name in FOLLOWED)
    assert MOVED_BY.keys() | OF_A_SITE == FOLLOWED.keys()


@pytest.mark.parametrize("name", sorted(MOVED_BY))
def test_the_other_reading_moves_something(name: str) -> None:
    case = _case(name)
    before = _seen(case, [])
    assert _seen(case, [Override(name, FOLLOWED[name], "as the owner reads it", 7)]) != before


def test_a_reading_of_the_book_is_named_in_the_working() -> None:
    case = CASES["T10"]
    override = Override("mothball-carry", FOLLOWED["mothball-carry"], "as the owner reads it", 7)
    table = law_for_duties(with_overrides(load_pack("us-federal-84c"), [override]))
    (story,) = told(case).stories.values()
    (found,) = duties_of(story, LAW, [table], case["expect"][-1]["as_of"])
    (repair,) = [duty for duty in found.duties if duty.duty == "repair"]
    assert repair.due is not None and repair.due.isoformat() == "2026-10-01"
    assert "MOTHBALL_CARRY" in repair.readings
    assert any("a new clock" in line for line in repair.working().to_lines())


def test_a_third_reading_of_equality_asks_for_a_plan() -> None:
    case = CASES["T04e"]
    override = Override("equal-at-confirm", "plan due", "as the owner reads it", 7)
    table = law_for_duties(with_overrides(load_pack("us-federal-84c"), [override]))
    (story,) = told(case).stories.values()
    (found,) = duties_of(story, LAW, [table], case["expect"][-1]["as_of"])
    assert [duty.limb for duty in found.duties if duty.duty == "plan"] == ["(iii)"]


def test_events_of_unknown_kinds_change_nothing() -> None:
    (story,) = told(CASES["T10"]).stories.values()
    as_of = CASES["T10"]["expect"][0]["as_of"]
    strange = replace(story, events=(*story.events, Event(99, "painted", as_of)))
    tables = [law_for_duties(load_pack("us-federal-84c"))]
    one, other = (duties_of(each, LAW, tables, as_of)[0] for each in (story, strange))
    assert (one.cases, one.duties) == (other.cases, other.duties)
