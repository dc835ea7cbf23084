"""Random stories of one circuit for the duty answers: crowded dates, and scripts that go far.

Noise alone seldom gets past the first repair; a script takes a case along one of its ways, each
step moved a little, left out or spoilt now and then, with some noise between.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from random import Random

from ledger.answers.case_events import KINDS, Event, Story
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

BEGIN, END = date(2026, 1, 1), date(2028, 12, 31)
SCOPES = (("82",), ("84",), ("82", "84"), ("84", "RMP"), ("RMP",))
REPAIRS = ("leak-inspection", "repair", "initial-test", "follow-up-test", "normal-conditions")
GROUNDS = (
    "parts", "other law", "radiological", "custom-built", "procurement", "plan extension",
    "purge-report", "mothball-record",
)  # fmt: skip
Step = tuple[int, str, str]
"""Days after the exceedance, kind of event (or "add" and pounds), ground."""

REPAIRED: tuple[Step, ...] = (
    (1, "leak-inspection", ""), (5, "repair", ""), (6, "initial-test", ""),
    (8, "normal-conditions", ""), (12, "follow-up-test", ""),
)  # fmt: skip
PLANNED: tuple[Step, ...] = ((3, "choose-retrofit", ""), (20, "plan", ""))
SCRIPTS: tuple[tuple[Step, ...], ...] = (
    REPAIRED,
    (*REPAIRED, (100, "add", "1")),
    (*REPAIRED, (100, "add", "150")),
    (*REPAIRED, (100, "add", "150"), (120, "plan", ""), (300, "retrofit", "")),
    (*REPAIRED, (40, "monitor", ""), (400, "monitor-audit", ""), (450, "alarm", "")),
    (*REPAIRED, (90, "leak-inspection", ""), (180, "leak-inspection", "")),
    (*REPAIRED[:3], (13, "follow-up-test", "fail"), (14, "repair", ""), (15, "initial-test", ""),
     (20, "follow-up-test", "")),
    (*REPAIRED[:4], (12, "follow-up-test", "some")),
    (*REPAIRED[:2], (6, "initial-test", "fail"), (9, "repair", ""), (10, "initial-test", "")),
    ((2, "leak-inspection", ""), (10, "extension-request", "parts"), (90, "delivery", "")),
    ((2, "leak-inspection", ""), (3, "shutdown", ""), (10, "extension-request", "parts"),
     (70, "new-estimate", ""), (80, "notice", "")),
    ((1, "leak-inspection", ""), (10, "mothball", ""), (90, "add", "60"), (95, "repair", "")),
    (*PLANNED, (40, "mothball", ""), (200, "add", "60")),
    (*PLANNED, (100, "plan-relief", "")),
    (*PLANNED, (100, "plan-relief", ""), (130, "objection", ""), (300, "retire", "")),
    (*PLANNED, (180, "plan-extension-request", "custom-built"), (300, "delivery", "")),
    (*PLANNED, (180, "plan-extension-request", "procurement"),
     (600, "plan-extension-request", "procurement")),
    (*PLANNED, (180, "plan-extension-request", "other law"),
     (200, "objection", "plan extension")),
)  # fmt: skip


def day(rng: Random, begin: date = BEGIN) -> date:
    return begin + timedelta(days=rng.choice((0, 1, 9, 10, 11, 29, 30, 31, 60, 90, 120, 365)))


def event(rng: Random, entry: int, on: date, kinds: tuple[str, ...]) -> Event:
    coin = (True, True, False)
    return Event(
        entry=entry,
        kind=rng.choice(kinds),
        on=on,
        passed=rng.choice(coin),
        all_leaks=rng.choice(coin),
        complete=rng.choice(coin),
        evacuated=rng.choice((True, False)),
        ground=rng.choice(GROUNDS),
        signed=rng.choice(coin),
        conditions=rng.choice(coin),
        part=rng.choice(("all", "motor room")),
        required=rng.choice(coin),
        clean=rng.choice(coin),
    )


def story(rng: Random, size: int) -> Story:
    """A circuit with additions and events on crowded dates, half of the time by a script."""
    if rng.random() < 0.5:
        return scripted(rng)
    days = [day(rng, day(rng)) for _ in range(4)]
    additions, events = [], []
    for entry in range(1, size + 1):
        on = rng.choice(days) + timedelta(days=rng.choice((0, 0, 1, 10, 30)))
        if rng.random() < 0.35:
            pounds = rng.choice((1, 10, 60, 150)) * POUND
            additions.append(Addition(entry, 1, on, "", pounds))
            continue
        events.append(event(rng, entry, on, KINDS if rng.random() < 0.5 else REPAIRS))
    return _circuit(rng, additions, events)


def _circuit(rng: Random, additions: list[Addition], events: list[Event]) -> Story:
    tests = [
        FollowUp(one.entry, one.on, "", one.all_leaks, one.passed)
        for one in events
        if one.kind == "follow-up-test"
    ]
    history = CircuitHistory(
        circuit="C-1",
        additions=tuple(additions),
        full_charges=(FullCharge(0, None, rng.choice((300, 500, 1600)) * POUND),),
        methods=(MethodFrom(None, rng.choice((ANNUALIZING, ROLLING)), 1),),
        categories=(CategoryFrom(None, rng.choice(CATEGORIES)),),
        scope=scope(rng),
        follow_ups=tuple(tests),
    )
    return Story(
        "C-1", history, tuple(events), rng.choice((None, BEGIN, date(2020, 1, 1))),
        federal_owner=rng.random() < 0.3,
    )  # fmt: skip


def scope(rng: Random) -> tuple[ScopeFrom, ...]:
    binds = rng.choice(("yes", "yes", "undecided"))
    found = tuple(
        Binding(part, "", binds, "CA-medium", "", "", "read") for part in rng.choice(SCOPES)
    )
    gone = (ScopeFrom(date(2027, 3, 1), ()),) if rng.random() < 0.2 else ()
    return (ScopeFrom(None, found), *gone)


def scripted(rng: Random) -> Story:
    """A case that goes over on a date and takes one of the ways of SCRIPTS."""
    over = BEGIN + timedelta(days=rng.choice((30, 120, 150, 200)))
    additions = [Addition(1, 1, over, "", rng.choice((60, 150, 200)) * POUND)]
    events: list[Event] = []
    for entry, (days, kind, ground) in enumerate(rng.choice(SCRIPTS), start=2):
        on = over + timedelta(days=days + rng.choice((0, 0, 0, 0, 1, -1)))
        if rng.random() < 0.04:
            continue
        if kind == "add":
            additions.append(Addition(entry, 1, on, "", int(ground) * POUND))
            continue
        good = rng.random() < 0.9
        events.append(
            event(rng, entry, on, (kind,))._replace(
                passed=ground != "fail" and good, all_leaks=good and ground != "some",
                complete=good, signed=good,
                conditions=good, ground=ground,
                evacuated=rng.random() < 0.2,
            )
        )  # fmt: skip
    for entry in range(20, 20 + rng.choice((0, 0, 1, 3))):
        events.append(event(rng, entry, over + timedelta(days=rng.randint(0, 500)), KINDS))
    told = _circuit(rng, additions, events)
    asks = {event.ground for event in events if event.kind == "plan-extension-request"}
    return _may_ask(told, rng, "procurement" in asks) if asks and rng.random() < 0.8 else told


def _may_ask(told: Story, rng: Random, federal: bool) -> Story:
    """A circuit whose owner may ask for more time for a plan."""
    category = "commercial refrigeration" if federal else "industrial process refrigeration"
    parts = ("82",) if federal else rng.choice((("82",), ("84",)))
    history = replace(
        told.history,
        categories=(CategoryFrom(None, category),),
        full_charges=(FullCharge(0, None, 150 * POUND),),
        scope=(ScopeFrom(None, tuple(Binding(p, "", "yes", "", "", "", "read") for p in parts)),),
    )
    return replace(told, history=history, federal_owner=federal)
