"""Random histories: the program against the naive version, and what must never change a rate."""

from __future__ import annotations

import dataclasses
import random
from datetime import date, timedelta
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from ledger.answers.leak_history import (
    Addition,
    CategoryFrom,
    CircuitHistory,
    FollowUp,
    FullCharge,
    MethodFrom,
    Removal,
    Repair,
    ScopeFrom,
    UnknownAddition,
)
from ledger.answers.leak_law import ANNUALIZING, METHODS, ROLLING, Binding
from ledger.answers.leak_rate import Rate, rates
from ledger.law.for_rates import law_for_rates
from tests.answers.naive import Plain, naive_rates

LAW = law_for_rates()
DAYS = [
    date(2018, 1, 1), date(2018, 12, 30), date(2018, 12, 31), date(2019, 1, 1),
    date(2024, 2, 29), date(2025, 2, 28), date(2025, 3, 1), date(2025, 12, 31),
    *(date(2025, 12, 28) + timedelta(days=n) for n in range(9)),
    *(date(2026, 3, 1) + timedelta(days=n) for n in (0, 1, 2, 30, 100, 250, 363, 364, 365, 366)),
]  # fmt: skip
TIMES = ["", "", "08:00", "12:00"]
VISITS = ["", "", "v1", "v2"]
CLAIMS = ["", "", "", "", "seasonal", "new charge", "post-retrofit"]


def _scope(*subparts: str) -> tuple[ScopeFrom, ...]:
    found = tuple(Binding(part, "", "yes", "", "", "", "read") for part in subparts)
    return (ScopeFrom(None, found),)


@st.composite
def histories(draw: st.DrawFn) -> CircuitHistory:
    days = st.sampled_from(DAYS)
    kinds = draw(st.lists(st.sampled_from("aaaaaarrtpu"), min_size=1, max_size=12))
    additions, removals, tests, repairs, unknown = [], [], [], [], []
    for entry, kind in enumerate(kinds, 1):
        on, time = draw(days), draw(st.sampled_from(TIMES))
        if kind == "a":
            mass, claim = draw(st.integers(1, 9)), draw(st.sampled_from(CLAIMS))
            visit = draw(st.sampled_from(VISITS))
            additions.append(Addition(entry, 0, on, time, mass, claim, visit))
        elif kind == "r":
            seasonal, visit = draw(st.booleans()), draw(st.sampled_from(VISITS))
            removals.append(Removal(entry, 0, on, time, draw(st.integers(1, 9)), seasonal, visit))
        elif kind == "t":
            tests.append(FollowUp(entry, on, time, draw(st.booleans()), draw(st.booleans())))
        elif kind == "p":
            repairs.append(Repair(entry, on))
        else:
            unknown.append(UnknownAddition(entry, on))
    entries = st.integers(1, len(kinds))
    groups = st.frozensets(entries, min_size=2, max_size=4) if len(kinds) > 1 else st.nothing()
    episodes = draw(st.lists(groups, max_size=2)) if len(kinds) > 1 else []
    return CircuitHistory(
        circuit="random",
        additions=additions,
        full_charges=(
            FullCharge(0, None, draw(st.sampled_from([None, 20, 50]))),
            FullCharge(0, date(2026, 1, 1), None, 20, draw(st.integers(21, 40)), "range"),
        ),
        methods=(MethodFrom(None, draw(st.sampled_from(METHODS))),),
        categories=(CategoryFrom(None, "commercial refrigeration"),),
        removals=tuple(removals),
        unknown_additions=tuple(unknown),
        follow_ups=tuple(tests),
        repairs=tuple(repairs),
        episodes=tuple(episodes),
        carried_last_addition=draw(st.sampled_from([None, None, date(2017, 6, 1), DAYS[7]])),
    )


def _bound(history: CircuitHistory, subpart: str) -> CircuitHistory:
    """The history with one subpart binding wherever it has rules at all."""
    yes = _scope(subpart)
    if subpart == "84":
        yes = (ScopeFrom(None, ()), ScopeFrom(date(2026, 1, 1), yes[0].bindings))
    return dataclasses.replace(history, scope=yes)


def _figures(rate: Rate) -> Plain | str:
    if rate.skipped:
        return "no calculation required"
    return Plain(
        rate.rate_by(ANNUALIZING) if not rate.cannot else None,
        rate.rate_by(ROLLING) if not rate.cannot else None,
        rate.annual_at_least,
        rate.window_at_least,
    )


@settings(max_examples=400, deadline=None)
@given(histories(), st.sampled_from(["82", "84"]))
def test_agrees_with_the_naive_version(history: CircuitHistory, subpart: str) -> None:
    begins = date(2026, 1, 1) if subpart == "84" else date.min
    found = {
        rate.on: _figures(rate)
        for rate in rates(_bound(history, subpart), LAW)
        if rate.subpart == subpart
    }
    expected = naive_rates(history, subpart, begins)
    assert found == expected


@settings(max_examples=150, deadline=None)
@given(histories(), st.sampled_from(["82", "84"]))
def test_over_is_the_exact_comparison(history: CircuitHistory, subpart: str) -> None:
    for rate in rates(_bound(history, subpart), LAW):
        value, trigger = rate.rate, rate.trigger
        if rate.skipped or rate.cannot or trigger is None or value is None:
            assert rate.over is None
        elif 100 * value > trigger:
            assert rate.over is True
        else:
            assert rate.over is (None if rate.at_least else False)


def _told(rate: Rate) -> dict[str, Any]:
    """Everything a rate says, without what it was built from."""
    told = rate._asdict()
    told.pop("columns")
    told.pop("position")
    return {**told, "working": rate.working().to_lines()}


@settings(max_examples=150, deadline=None)
@given(histories(), st.integers(0, 2**32))
def test_the_order_of_entries_changes_nothing(history: CircuitHistory, seed: int) -> None:
    shuffler = random.Random(seed)

    def shuffled(rows: Any) -> Any:
        return tuple(shuffler.sample(list(rows), len(rows)))

    other = dataclasses.replace(
        history,
        additions=shuffled(history.additions),
        removals=shuffled(history.removals),
        unknown_additions=shuffled(history.unknown_additions),
        follow_ups=shuffled(history.follow_ups),
        repairs=shuffled(history.repairs),
        episodes=shuffled(history.episodes),
    )
    for subpart in ("82", "84"):
        found = [_told(rate) for rate in rates(_bound(history, subpart), LAW)]
        assert [_told(rate) for rate in rates(_bound(other, subpart), LAW)] == found


@settings(max_examples=150, deadline=None)
@given(histories(), st.integers(2, 10**12))
def test_the_rate_has_no_unit(history: CircuitHistory, factor: int) -> None:
    def times(mass: int | None) -> int | None:
        return None if mass is None else mass * factor

    larger = dataclasses.replace(
        history,
        additions=[part._replace(mass=part.mass * factor) for part in history.additions],
        removals=tuple(part._replace(mass=part.mass * factor) for part in history.removals),
        full_charges=tuple(
            part._replace(mass=times(part.mass), low=times(part.low), high=times(part.high))
            for part in history.full_charges
        ),
    )
    for subpart in ("82", "84"):
        small = [(r.rate, r.other, r.over) for r in rates(_bound(history, subpart), LAW)]
        large = [(r.rate, r.other, r.over) for r in rates(_bound(larger, subpart), LAW)]
        assert small == large


@settings(max_examples=150, deadline=None)
@given(histories(), st.sampled_from(DAYS))
def test_a_later_fact_does_not_change_an_earlier_answer(
    history: CircuitHistory, as_of: date
) -> None:
    """`as_of` is the same as not having what happened later."""
    bound = _bound(history, "82")
    told = [_told(rate) for rate in rates(bound, LAW, as_of)]
    assert all(rate["on"] <= as_of for rate in told)
    kept = dataclasses.replace(
        bound,
        additions=[part for part in bound.additions if part.on <= as_of],
        removals=tuple(part for part in bound.removals if part.on <= as_of),
        unknown_additions=tuple(p for p in bound.unknown_additions if p.on <= as_of),
        follow_ups=tuple(part for part in bound.follow_ups if part.on <= as_of),
        repairs=tuple(part for part in bound.repairs if part.on <= as_of),
    )
    assert told == [_told(rate) for rate in rates(kept, LAW)]
