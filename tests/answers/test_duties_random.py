"""Random stories of a circuit: what must never move a case, a duty or a date."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from random import Random

from hypothesis import given, settings
from hypothesis import strategies as st

from ledger.answers.case_events import KINDS, Event, Reversal, Story, as_known
from ledger.answers.duties import CircuitDuties, Duty, due_first, duties_of
from ledger.answers.leak_history import (
    Addition,
    CategoryFrom,
    CircuitHistory,
    FollowUp,
    FullCharge,
    MethodFrom,
    ScopeFrom,
)
from ledger.answers.leak_law import ANNUALIZING, CATEGORIES, ROLLING, Binding
from ledger.facts.mass import POUND
from ledger.law.for_duties import law_for_duties
from ledger.law.for_rates import law_for_rates
from ledger.law.loader import SHIPPED, load_pack

LAW = law_for_rates()
TABLES = [law_for_duties(load_pack(name)) for name in SHIPPED]
BEGIN, END = date(2026, 1, 1), date(2028, 12, 31)
SCOPES = (("82",), ("84",), ("82", "84"), ("84", "RMP"), ("RMP",))
STATUSES = {
    "open", "done", "done late", "overdue", "missed", "frozen", "lapsed", "superseded",
}  # fmt: skip
WINDOWS = ("locate-leaks", "repair", "initial-test", "repair-extension-request")
REPAIRS = ("leak-inspection", "repair", "initial-test", "follow-up-test", "normal-conditions")


def _day(rng: Random, begin: date = BEGIN) -> date:
    return begin + timedelta(days=rng.choice((0, 1, 9, 10, 11, 29, 30, 31, 60, 90, 120, 365)))


def _event(rng: Random, entry: int, on: date, kinds: tuple[str, ...]) -> Event:
    coin = (True, True, False)
    return Event(
        entry=entry,
        kind=rng.choice(kinds),
        on=on,
        passed=rng.choice(coin),
        all_leaks=rng.choice(coin),
        complete=rng.choice(coin),
        evacuated=rng.choice((True, False)),
        ground=rng.choice(("parts", "other law", "radiological")),
        signed=rng.choice(coin),
        conditions=rng.choice(coin),
        part=rng.choice(("all", "motor room")),
        required=rng.choice(coin),
    )


def _story(rng: Random, size: int) -> Story:
    """A circuit with additions and events on crowded dates; entries from 1."""
    days = [_day(rng, _day(rng)) for _ in range(4)]
    additions, events, tests = [], [], []
    for entry in range(1, size + 1):
        on = rng.choice(days) + timedelta(days=rng.choice((0, 0, 1, 10, 30)))
        if rng.random() < 0.35:
            pounds = rng.choice((1, 10, 60, 150)) * POUND
            additions.append(Addition(entry, 1, on, "", pounds))
            continue
        event = _event(rng, entry, on, KINDS if rng.random() < 0.5 else REPAIRS)
        events.append(event)
        if event.kind == "follow-up-test":
            tests.append(FollowUp(entry, on, "", event.all_leaks, event.passed))
    history = CircuitHistory(
        circuit="C-1",
        additions=tuple(additions),
        full_charges=(FullCharge(0, None, rng.choice((300, 500, 1600)) * POUND),),
        methods=(MethodFrom(None, rng.choice((ANNUALIZING, ROLLING)), 1),),
        categories=(CategoryFrom(None, rng.choice(CATEGORIES)),),
        scope=_scope(rng),
        follow_ups=tuple(tests),
    )
    return Story("C-1", history, tuple(events), rng.choice((None, BEGIN, date(2020, 1, 1))))


def _scope(rng: Random) -> tuple[ScopeFrom, ...]:
    binds = rng.choice(("yes", "yes", "undecided"))
    found = tuple(
        Binding(part, "", binds, "CA-medium", "", "", "read") for part in rng.choice(SCOPES)
    )
    gone = (ScopeFrom(date(2027, 3, 1), ()),) if rng.random() < 0.2 else ()
    return (ScopeFrom(None, found), *gone)


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
    owed = due_first(_answer(story, as_of))
    late = [duty.status == "overdue" for duty in owed]
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


@given(st.integers(0, 10**9), st.integers(1, 40), st.sampled_from(SCOPES))
@settings(max_examples=400)
def test_an_earlier_trigger_makes_no_deadline_later(
    seed: int, earlier: int, subparts: tuple[str, ...]
) -> None:
    """What happens later stays where it is; the first addition over the trigger moves."""
    rng = Random(seed)
    late = date(2026, 6, 1)
    found = tuple(Binding(part, "", "yes", "", "", "", "read") for part in subparts)
    events = tuple(
        _event(rng, entry, _day(rng, late + timedelta(days=1)), (*KINDS, "shutdown", "mothball"))
        for entry in range(2, rng.randint(2, 9))
    )

    def due(trigger: date) -> dict[tuple[str, str], date | None]:
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
            (duty.pack, duty.duty): duty.due
            for one in answers
            for duty in one.duties
            if duty.duty in WINDOWS and duty.day0 == trigger
            and (duty.start == trigger or duty.due is None)
        }  # fmt: skip

    first, moved = due(late), due(late - timedelta(days=earlier))
    for key in first.keys() & moved.keys():
        before, after = first[key], moved[key]
        if before is not None:
            assert after is not None and after <= before, key
