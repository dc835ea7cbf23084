"""A book's other reading of silent text moves what it speaks of, and is named in the working."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from datetime import date
from fractions import Fraction
from typing import Any

import pytest

from ledger.answers.case_events import Event, as_known
from ledger.answers.duties import duties_of
from ledger.answers.duty_readings import FOLLOWED, NOT_FOLLOWED
from ledger.law.for_duties import law_for_duties
from ledger.law.for_rates import law_for_rates
from ledger.law.loader import SHIPPED, Pack, load_pack
from ledger.law.overrides import Override, with_overrides
from tests.answers.told_cases import cases, told

LAW = law_for_rates()
CASES = {case["id"]: case for case in cases()}

MOVED_BY: dict[str, tuple[str, str]] = {
    "ald-audit-year": ("H12", "monitor-audit"),
    "ald-lapse": ("H12", "periodic-inspection"),
    "ca-addition-inspection-day": ("H23", "addition-inspection"),
    "ca-ald-start": ("H22", "install-monitor"),
    "ca-grid": ("H23", "periodic-inspection"),
    "ca-weekend": ("a Saturday", "repair"),
    "detection-inspection": ("H23", "periodic-inspection"),
    "equal-at-confirm": ("T04e", "case"),
    "ext-late": ("H05", "repair"),
    "ext-unsigned": ("H05", "repair"),
    "inspect-mothballed": ("H08", "periodic-inspection"),
    "late-found-plan": ("H26", "plan"),
    "late-inspection": ("A-2026-10-30", "periodic-inspection"),
    "mothball-carry": ("T10", "repair"),
    "old-cases": ("H16", "repair"),
    "plan-cap-82": ("T14d", "finish-plan"),
    "plan-cap-84": ("T14d", "finish-plan"),
    "quarter-chain": ("H10", "periodic-inspection"),
    "quarter-no-addition": ("T09d", "periodic-inspection"),
    "reanchor": ("H09", "periodic-inspection"),
    "reanchor-82": ("H10", "periodic-inspection"),
    "retire-18-anchor": ("late plan", "finish-plan"),
    "stop-82-calendar": ("T09d", "periodic-inspection"),
    "window-closed": ("H04", "plan"),
}
"""The worked case whose answers each reading changes, and what of it changes: a duty, or the
state of its "case"."""

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
        for told_ in facts.stories.values():
            story = as_known(told_, facts.recorded, facts.reversals, expect.get("known_at"))
            for one in duties_of(story, LAW, tables, expect["as_of"]):
                out += [(each.day0, each.state, each.since) for each in one.cases]
                out += [(d.duty, d.start, d.due, d.status, d.no_date) for d in one.duties]
    return out


def _moved(name: str, case: dict[str, Any]) -> set[str]:
    """What of a case the other choice of a reading changes."""
    before = Counter(_seen(case, []))
    after = Counter(_seen(case, [Override(name, FOLLOWED[name], "as the owner reads it", 7)]))
    told = (before - after) + (after - before)
    return {row[0] if isinstance(row[0], str) else "case" for row in told}


def _case(name: str) -> dict[str, Any]:
    case = MOVED_BY[name][0]
    if case in CASES:
        return CASES[case]
    if case == "a Saturday":  # 14 days after Saturday 2 May 2026
        found = CASES["H23"]
        events = [{"on": date(2026, 5, 2), "what": "detection"}]
        circuits = found["circuits"][:1]
        return {
            **found,
            "circuits": circuits,
            "events": events,
            "expect": [{"as_of": events[0]["on"]}],
        }
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
    assert MOVED_BY[name][1] in _moved(name, _case(name))


def test_gross_pounds_move_the_leak_rates() -> None:
    """T13c: 80 lb out and 100 lb back on a 100 lb circuit, 20 % net and 100 % gross."""
    facts = told(CASES["T13c"])
    (story,) = facts.stories.values()
    gross = law_for_rates(overrides=(Override("net-same-event", "gross", "", 7),))
    as_of = CASES["T13c"]["expect"][0]["as_of"]
    table = law_for_duties(load_pack("us-federal-84c"))
    net, whole = (duties_of(story, law, [table], as_of)[0].rates[-1].rate for law in (LAW, gross))
    assert (net, whole) == (Fraction(1, 5), Fraction(1))


def test_a_number_that_is_a_reading_moves_its_dates() -> None:
    """Part 82 says "every three months" and names no first day: the figure is a reading there."""
    rule = "us-federal-82f/inspect-big"
    pack = with_overrides(load_pack("us-federal-82f"), [Override(rule, "2", "", 7)])
    case = CASES["H10"]
    found = []
    for each in (load_pack("us-federal-82f"), pack):
        table = law_for_duties(each)
        for story in told(case).stories.values():
            for one in duties_of(story, LAW, [table], case["expect"][-1]["as_of"]):
                found.append([d.due for d in one.duties if d.duty == "periodic-inspection"])
    half = len(found) // 2
    assert found[:half] != found[half:]


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
