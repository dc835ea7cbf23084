"""Random histories: the program against the naive version, and what must never change a rate."""

from __future__ import annotations

import dataclasses
from datetime import date
from random import Random
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from ledger.answers.leak_history import CircuitHistory, ScopeFrom
from ledger.answers.leak_law import ANNUALIZING, ROLLING, Binding
from ledger.answers.leak_rate import Rate, rates
from ledger.law.for_rates import law_for_rates
from tests.answers.naive import Plain, naive_rates
from tests.answers.random_histories import DAYS, histories, random_history

LAW = law_for_rates()


def _scope(*subparts: str) -> tuple[ScopeFrom, ...]:
    found = tuple(Binding(part, "", "yes", "", "", "", "read") for part in subparts)
    return (ScopeFrom(None, found),)


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


def test_agrees_with_the_naive_version() -> None:
    for seed in range(6000):
        history = random_history(Random(seed))
        for subpart, begins in (("82", date.min), ("84", date(2026, 1, 1))):
            found = {
                rate.on: _figures(rate)
                for rate in rates(_bound(history, subpart), LAW)
                if rate.subpart == subpart
            }
            assert found == naive_rates(history, subpart, begins), f"seed {seed}, {subpart}"


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
    shuffler = Random(seed)

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
@given(histories(), st.integers(0, 2**32))
def test_the_numbers_of_one_days_entries_change_no_figure(
    history: CircuitHistory, seed: int
) -> None:
    """As if the same tickets of a day had been keyed in another order."""
    alone = dataclasses.replace(history, episodes=())
    numbers = [addition.entry for addition in alone.additions]
    renamed: dict[int, int] = {}
    for day in {addition.on for addition in alone.additions}:
        own = [addition.entry for addition in alone.additions if addition.on == day]
        renamed.update(zip(own, Random(seed).sample(own, len(own)), strict=True))
    other = dataclasses.replace(
        alone,
        additions=[part._replace(entry=renamed[part.entry]) for part in alone.additions],
    )
    assert sorted(renamed[number] for number in numbers) == sorted(numbers)
    for subpart in ("82", "84"):
        found = [_sums(rate) for rate in rates(_bound(alone, subpart), LAW)]
        assert [_sums(rate) for rate in rates(_bound(other, subpart), LAW)] == found


def _sums(rate: Rate) -> tuple[Any, ...]:
    return rate.on, rate.counted, rate.rate, rate.other, rate.over, rate.skipped, rate.cannot


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
