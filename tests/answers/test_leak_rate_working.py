"""The working of a leak rate: nothing left out, nothing made up, the doubtful values marked."""

from __future__ import annotations

import json
from datetime import date
from random import Random

import pytest

from ledger.answers.leak_history import (
    Addition,
    CategoryFrom,
    CircuitHistory,
    FullCharge,
    MethodFrom,
    Removal,
    ScopeFrom,
)
from ledger.answers.leak_law import METHODS, Binding
from ledger.answers.leak_rate import Rate, rates
from ledger.answers.working import Figure, Input, RuleRef, Working
from ledger.facts.mass import POUND
from ledger.law.for_rates import law_for_rates
from ledger.law.overrides import Override
from tests.answers.leak_cases import Case, answer, load
from tests.answers.random_histories import random_history


def _rate(file: str, name: str, on: date) -> Rate:
    case = next(case for case in load(file) if case["name"].startswith(name))
    return next(rate for rate in answer(case) if rate.on == on)


def test_the_working_of_an_annualized_rate() -> None:
    rate = _rate("leak_rate_shop.toml", "A-101 rack", date(2026, 3, 30))
    lines = rate.working().to_lines()
    assert lines[:7] == [
        "Leak rate, annualizing, 2026-03-30 (40 CFR part 84 subpart C)",
        "  pounds added / full charge, divided by days since the last addition / 365",
        "  pounds added: 71.00 lb (entry 6)",
        "  last addition before: 2026-02-09 (entry 5)",
        "  days: 49, at most 365",
        "  full charge: 1,350.00 lb, midpoint of 1,250.00 to 1,450.00 lb",
        "  = 39.2 % = 71.00 lb / 1,350.00 lb x 365 / 49 days; over 20 %; repair by 2026-04-29"
        " (2026-07-28 where an industrial process shutdown is required)",
    ]
    assert (
        "  rule: Most days the annualizing method counts between additions: 365 days;"
        " 40 CFR 84.102, leak rate [from memory, text not read] (us-federal-84c/annual-days-cap)."
        in lines
    )
    assert (
        "  rule: Applicable leak rate, commercial refrigeration: 20 % a year;"
        " 40 CFR 84.106(c)(2)(i) (us-federal-84c/trigger-commercial-refrigeration)." in lines
    )


def test_the_other_method_is_shown_beside_it_without_a_verdict() -> None:
    rate = _rate("leak_rate_shop.toml", "A-101 rack", date(2026, 3, 30))
    lines = rate.working(rate.other_method).to_lines()
    assert "  pounds added in the window: 215.00 lb (entries 3, 5, 6)" in lines
    assert "  window: 2025-03-31 to 2026-03-30" in lines
    assert "  = 15.9 % = 215.00 lb / 1,350.00 lb" in lines
    assert "  note: The site's method is annualizing: this figure is shown beside it." in lines
    assert not any("trigger" in line for line in lines)


def test_the_working_of_an_episode() -> None:
    rate = _rate("leak_rate_points.toml", "point 2: one leak", date(2026, 5, 11))
    lines = rate.working().to_lines()
    assert "  pounds added for the same leak so far: 10.00 lb (entries 2, 3)" in lines
    assert "  first part of the leak episode: 2026-05-10" in lines
    assert "  last addition before: 2026-01-10 (entry 1)" in lines
    assert any("us-federal-84c/episode)" in line for line in lines)


def test_the_working_names_what_was_set_off_and_what_was_exempt() -> None:
    net = _rate("leak_rate_points.toml", "recover 80", date(2026, 5, 5)).working().to_lines()
    assert (
        "  recovered and put back in the same event: 80.00 lb, taken off the pounds added (entry 1)"
        in net
    )
    assert any("us-federal-84c/net-same-event" in line and "Reason:" in line for line in net)
    two = _rate("leak_rate_shop.toml", "A-101 rack", date(2026, 11, 3)).working().to_lines()
    assert "  not counted, seasonal: 80.00 lb (entry 13)" in two
    assert any("us-federal-84c/seasonal-unit" in line for line in two)


def test_the_first_calculation_says_so() -> None:
    lines = _rate("leak_rate_shop.toml", "A-104", date(2026, 1, 12)).working().to_lines()
    assert "  last addition before: 2025-08-25, from the older records" in lines
    assert "  days: 365, as for every first calculation" in lines
    assert any("us-federal-84c/first-calc-annualizing" in line for line in lines)


def test_a_skipped_date_needs_no_sum() -> None:
    working = _rate("leak_rate_points.toml", "further: a month", date(2026, 6, 1)).working()
    assert working.result == "no calculation required: new charge"
    assert working.inputs == (Input("not counted, new charge", "200.00 lb", (1,)),)


def test_what_cannot_be_computed_says_why() -> None:
    rate = _rate("leak_rate_edges.toml", "full charge unknown", date(2026, 2, 1))
    assert rate.working().result == "cannot be computed: full charge unknown"
    band = _rate("leak_rate_edges.toml", "full charge between", date(2027, 2, 1)).working()
    assert band.result == "18.0 to 22.5 %; whether that is over 20 % cannot be said"
    assert Input("full charge", "between 40.00 and 50.00 lb") in band.inputs
    unknown = _rate("leak_rate_edges.toml", "an unknown addition ends", date(2026, 3, 1)).working()
    assert Input("added besides", "amount unknown", (2,)) in unknown.inputs


ALL = [case for name in ("leak_rate_points", "leak_rate_shop") for case in load(f"{name}.toml")]


@pytest.mark.parametrize("case", ALL, ids=[case["name"] for case in ALL])
def test_every_working_is_whole(case: Case) -> None:
    known = range(1, len(case["events"]) + 1)
    for rate in answer(case):
        for method in METHODS:
            _whole(rate.working(method), known)


def test_random_workings_are_whole() -> None:
    scope = (ScopeFrom(None, (Binding("82", "p", "yes", "A1", "It binds.", "40 CFR", "read"),)),)
    for seed in range(300):
        history = random_history(Random(seed))
        bound = CircuitHistory(
            **{name: getattr(history, name) for name in history.__slots__ if name != "scope"},
            scope=scope,
        )
        for rate in rates(bound, law_for_rates()):
            for method in METHODS:
                _whole(rate.working(method), range(1, 13))


def _whole(working: Working, known: range) -> None:
    assert working.title and working.formula and working.result and working.rules
    for part in working.inputs:
        assert set(part.entries) <= set(known), part
    for rule in working.rules:
        assert rule.cite and rule.value and rule.title
    names = [rule.rule for rule in working.rules]
    assert len(names) == len(set(names))
    as_json = working.to_json()
    assert json.loads(json.dumps(as_json)) == as_json
    assert len(working.to_lines()) == 3 + len(working.inputs) + len(working.rules) + len(
        working.notes
    )


def test_gross_leaves_recovered_pounds_in() -> None:
    history = CircuitHistory(
        "R-1",
        additions=[Addition(2, 0, date(2026, 5, 5), "", 100 * POUND, "", "visit")],
        removals=(Removal(1, 0, date(2026, 5, 5), "", 80 * POUND, False, "visit"),),
        full_charges=(FullCharge(0, None, 100 * POUND),),
    )
    chosen = [law_for_rates([Override("net-same-event", one)]) for one in ("net", "gross")]
    net, gross = (rates(history, law)[0] for law in chosen)
    assert (net.text(), gross.text()) == ("20.0 %", "100.0 %")


def test_notes_on_other_peoples_work_and_estimates() -> None:
    history = CircuitHistory(
        "R-1",
        additions=[
            Addition(7, 0, date(2026, 5, 5), "", POUND, "", "", estimated=True, by_others=True)
        ],
        full_charges=(FullCharge(3, None, 100 * POUND),),
    )
    rate = rates(history, law_for_rates())[0]
    assert [note.code for note in rate.notes] == [
        "no-earlier-addition", "method-not-recorded", "amount-estimated", "by-others",
    ]  # fmt: skip
    assert "The amount of entry 7 is an estimate." in rate.working().notes


def test_method_and_category_name_the_entries_that_recorded_them() -> None:
    history = CircuitHistory(
        "R-1",
        additions=[Addition(7, 0, date(2026, 5, 5), "", POUND)],
        full_charges=(FullCharge(3, None, 100 * POUND),),
        methods=(MethodFrom(None, METHODS[1], 4),),
        categories=(CategoryFrom(None, "other", 5),),
        scope=(ScopeFrom(None, (Binding("84", "p", "yes", "A6", "It binds.", "c", "read"),)),),
    )
    inputs = rates(history, law_for_rates())[0].working().inputs
    assert Input("method of the site", "rolling average", (4,)) in inputs
    assert Input("category", "other", (5,)) in inputs
    assert Input("full charge", "100.00 lb", (3,)) in inputs


def test_a_figure_builds_its_working_only_on_request() -> None:
    built: list[int] = []

    def explain() -> Working:
        built.append(1)
        return Working("t", "f", (Input("a", "1 lb", (4, 5)),), "1 lb")

    figure = Figure("1 lb", explain)
    assert figure.text == "1 lb" and not built
    assert figure.working().to_lines() == ["t", "  f", "  a: 1 lb (entries 4, 5)", "  = 1 lb"]
    assert built == [1]


def test_a_rule_line_names_title_value_paragraph_and_mark() -> None:
    assert RuleRef("p/x", "3 years", "40 CFR 82.157(l)", "read", "", "Kept").line() == (
        "Kept: 3 years; 40 CFR 82.157(l) (p/x)."
    )
    assert RuleRef("p/y", "net", "40 CFR 82.152", "interpretation", "it was not lost").line() == (
        "net; 40 CFR 82.152 [this project's choice where the text is silent] (p/y)."
        " Reason: it was not lost."
    )
