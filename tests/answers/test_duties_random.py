"""Random stories of a circuit: what must never move a case, a duty or a date."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from datetime import date, timedelta
from random import Random

from hypothesis import given, settings
from hypothesis import strategies as st

from ledger.answers import repair_case as at
from ledger.answers.case_events import KINDS, Reversal, Story, as_known
from ledger.answers.due_list import OWED, lines_of
from ledger.answers.duties import CircuitDuties, Duty, duties_of
from ledger.answers.leak_history import (
    Addition,
    CategoryFrom,
    CircuitHistory,
    FullCharge,
    MethodFrom,
    ScopeFrom,
)
from ledger.answers.leak_law import ANNUALIZING, Binding
from ledger.facts.mass import POUND
from ledger.law.for_duties import law_for_duties
from ledger.law.for_rates import law_for_rates
from ledger.law.loader import SHIPPED, load_pack
from tests.answers.random_stories import BEGIN, END, SCOPES
from tests.answers.random_stories import day as _day
from tests.answers.random_stories import event as _event
from tests.answers.random_stories import story as _story

LAW = law_for_rates()
TABLES = [law_for_duties(load_pack(name)) for name in SHIPPED]
STATUSES = {
    "open", "done", "done late", "overdue", "missed", "frozen", "lapsed", "superseded",
}  # fmt: skip
WINDOWS = (
    "locate-leaks", "repair", "initial-test", "repair-extension-request", "plan",
    "plan-extension-request",
)  # fmt: skip


def _answer(story: Story, as_of: date) -> list[CircuitDuties]:
    """The answers without the rates, which have tests of their own."""
    return [one._replace(rates=()) for one in duties_of(story, LAW, TABLES, as_of)]


def _duties(story: Story, as_of: date) -> list[Duty]:
    return [duty for one in _answer(story, as_of) for duty in one.duties]


STORIES = st.builds(
    lambda seed, size: _story(Random(seed), size), st.integers(0, 10**9), st.integers(1, 14)
)
DAYS = st.integers(0, 900).map(lambda days: BEGIN + timedelta(days=days))


@given(STORIES, DAYS)
@settings(max_examples=400)
def test_a_status_fits_its_dates(story: Story, as_of: date) -> None:
    for duty in _duties(story, as_of):
        assert duty.status in STATUSES
        assert (duty.ended is None) == (duty.status in ("open", "overdue", "missed"))
        assert (duty.due is None) == bool(duty.no_date)
        assert duty.start is None or duty.due is None or duty.start <= duty.due
        assert duty.ended is None or duty.ended <= as_of
        if duty.status == "open":
            assert duty.due is None or as_of <= duty.due
        if duty.status in ("overdue", "missed", "done late"):
            assert duty.due is not None and duty.due < (duty.ended or as_of)
        if duty.status == "done":
            assert duty.due is None or (duty.ended is not None and duty.ended <= duty.due)
        assert duty.working().to_lines()[0].startswith(duty.title)
        assert duty.cite


@given(STORIES, DAYS)
@settings(max_examples=200)
def test_the_owed_come_overdue_first(story: Story, as_of: date) -> None:
    duties = [duty for one in _answer(story, as_of) for duty in one.duties]
    owed = lines_of(duty for duty in duties if duty.status in OWED)
    late = [line.duty.status == "overdue" for line in owed]
    assert late == sorted(late, reverse=True)


@given(STORIES, DAYS, DAYS, st.randoms(use_true_random=False))
@settings(max_examples=300)
def test_what_is_recorded_later_changes_no_earlier_answer(
    story: Story, as_of: date, known_at: date, rng: Random
) -> None:
    entries = [part.entry for part in story.history.additions]
    entries += [event.entry for event in story.events]
    recorded = {entry: rng.choice((known_at, known_at + timedelta(days=1))) for entry in entries}
    reversals = [
        Reversal(entry, known_at + timedelta(days=rng.choice((0, 1))))
        for entry in rng.sample(entries, min(2, len(entries)))
    ]
    then = {entry for entry in entries if recorded[entry] <= known_at}
    later = set(entries) - then
    before = as_known(story, dict.fromkeys(later, BEGIN), [Reversal(e, BEGIN) for e in later], None)
    taken = [one for one in reversals if one.recorded <= known_at]
    told_then = _answer(as_known(before, recorded, taken, known_at), as_of)
    assert _answer(as_known(story, recorded, reversals, known_at), as_of) == told_then


@given(STORIES, DAYS, st.randoms(use_true_random=False))
@settings(max_examples=300)
def test_a_reversal_restores_everything(story: Story, as_of: date, rng: Random) -> None:
    entry = 1000
    on = _day(rng)
    if rng.random() < 0.5:
        new = Addition(entry, 1, on, "", 90 * POUND)
        history = replace(story.history, additions=(*story.history.additions, new))
        more = replace(story, history=history)
    else:
        more = replace(story, events=(*story.events, _event(rng, entry, on, KINDS)))
    back = as_known(more, {entry: BEGIN}, [Reversal(entry, BEGIN)], None)
    whole = replace(back, history=replace(back.history, additions=story.history.additions))
    assert [part.entry for part in back.history.additions] == [
        part.entry for part in story.history.additions
    ]
    assert _answer(whole, as_of) == _answer(story, as_of)


@given(STORIES, DAYS, st.randoms(use_true_random=False))
@settings(max_examples=200)
def test_the_order_of_the_records_changes_nothing(story: Story, as_of: date, rng: Random) -> None:
    events = list(story.events)
    additions = list(story.history.additions)
    rng.shuffle(events)
    rng.shuffle(additions)
    mixed = replace(
        story, events=tuple(events), history=replace(story.history, additions=tuple(additions))
    )
    assert _answer(mixed, as_of) == _answer(story, as_of)


@given(STORIES, DAYS, st.randoms(use_true_random=False))
@settings(max_examples=200)
def test_another_circuit_changes_nothing(story: Story, as_of: date, rng: Random) -> None:
    before = _answer(story, as_of)
    other = replace(_story(rng, 8), circuit="C-2")
    _answer(other, as_of)
    entries = range(1000, 1009)
    strange = dict.fromkeys(entries, BEGIN), [Reversal(entry, BEGIN) for entry in entries]
    assert _answer(as_known(story, *strange, END), as_of) == before


@given(STORIES, DAYS, st.randoms(use_true_random=False))
@settings(max_examples=200)
def test_what_happens_later_changes_no_earlier_date(story: Story, as_of: date, rng: Random) -> None:
    day = as_of + timedelta(days=rng.choice((1, 30, 400)))
    later = _event(rng, 1000, day, KINDS)
    new = Addition(1001, 1, day, "", 90 * POUND)
    history = replace(story.history, additions=(*story.history.additions, new))
    more = replace(story, events=(later, *story.events), history=history)
    assert _answer(more, as_of) == _answer(story, as_of)


@given(STORIES, DAYS)
@settings(max_examples=200)
def test_a_pack_bears_on_no_other(story: Story, as_of: date) -> None:
    both = _answer(story, as_of)
    alone = [duties_of(story, LAW, [table], as_of)[0] for table in TABLES]
    assert both == [one._replace(rates=()) for one in alone]


def test_the_random_stories_go_everywhere() -> None:
    """Every state, status, ground and portion that the laws below are to hold for is reached."""
    states: Counter[str] = Counter()
    statuses: Counter[str] = Counter()
    marks: Counter[str] = Counter()
    for seed in range(1500):
        rng = Random(seed)
        story = _story(rng, rng.randint(1, 14))
        for one in _answer(story, BEGIN + timedelta(days=rng.randint(0, 900))):
            states.update(case.state for case in one.cases)
            marks.update(f"failed {r.outcome}" for case in one.cases for r in case.rounds)
            marks.update("plan (" + d.limb for d in one.duties if d.limb)
            marks.update(f"more time: {d.extended}" for d in one.duties if d.extended)
            marks.update("portion" for d in one.duties if d.portion)
            marks.update(d.by for d in one.duties if d.by.startswith("watched"))
            marks.update("further" for d in one.duties if "NINTH_MONTH" in d.readings)
            statuses.update(f"{d.duty} {d.status}" for d in one.duties)
    every = {
        at.OPEN, at.INSPECTED, at.REPAIRED, at.INITIAL_PASS, at.FOLLOWUP_PART, at.VERIFIED,
        at.CONFIRMED, at.PRESUMED, at.PLAN_DUE, at.IMPLEMENTING, at.RELIEVED, at.RETROFITTED,
        at.RETIRED, at.MOTHBALLED,
    }  # fmt: skip
    assert {state for state in every if states[state] < 3} == set(), states
    reached = {
        "failed fail", "failed pass", "more time: parts", "more time: other law",
        "more time: radiological", "more time: custom-built", "more time: procurement",
        "plan ((i)", "plan ((ii)", "plan ((iii)", "portion", "further",
        "watched by an audited detector",
    }  # fmt: skip
    assert {mark for mark in reached if marks[mark] < 2} == set(), marks
    wanted = {
        "repair frozen", "finish-plan frozen", "repair missed", "repair superseded",
        "relief-request done", "monitor-audit done", "new-estimate-notice done",
        "periodic-inspection lapsed", "plan done late", "alarm-response overdue",
    }  # fmt: skip
    assert {one for one in wanted if not statuses[one]} == set(), statuses


@given(st.integers(0, 10**9), st.integers(1, 40), st.sampled_from(SCOPES))
@settings(max_examples=400)
def test_an_earlier_trigger_makes_no_deadline_later(
    seed: int, earlier: int, subparts: tuple[str, ...]
) -> None:
    """What happens later stays where it is; the first addition over the trigger moves.

    It holds for the clocks that run from day 0 with a length of their own: find, repair, initial
    test, the last days to ask for time, and the plan of limbs (i) and (ii). It cannot hold for a
    clock that a mothballing restarted (an earlier day 0 has more of its days behind it, but a
    stop that came too late for it restarts nothing), nor for what runs from a later event: tests
    from tests, the finish from the plan, limb (iii) from the addition that showed it again.
    """
    rng = Random(seed)
    late = date(2026, 6, 1)
    found = tuple(Binding(part, "", "yes", "", "", "", "read") for part in subparts)
    events = tuple(
        _event(rng, entry, _day(rng, late + timedelta(days=1)), (*KINDS, "shutdown", "mothball"))
        for entry in range(2, rng.randint(2, 9))
    )

    def due(trigger: date) -> dict[tuple[str, ...], date | None]:
        history = CircuitHistory(
            circuit="C-1",
            additions=(Addition(1, 1, trigger, "", 200 * POUND),),
            full_charges=(FullCharge(0, None, 300 * POUND),),
            methods=(MethodFrom(None, ANNUALIZING, 1),),
            categories=(CategoryFrom(None, "industrial process refrigeration"),),
            scope=(ScopeFrom(None, found),),
        )
        answers = duties_of(Story("C-1", history, events), LAW, TABLES, END)
        return {
            (duty.pack, duty.duty, duty.limb, duty.cite): duty.due
            for one in answers
            for duty in one.duties
            if duty.duty in WINDOWS and duty.day0 == trigger and duty.limb != "(iii)"
            and (duty.start == trigger or duty.due is None)
        }  # fmt: skip

    first, moved = due(late), due(late - timedelta(days=earlier))
    for key in first.keys() & moved.keys():
        before, after = first[key], moved[key]
        if before is not None:
            assert after is not None and after <= before, key
