"""One circuit of 600 lb that went over its trigger on 1 June 2026, for short tests."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from ledger.answers.case_events import Event, Story
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
from ledger.law.loader import FEDERAL_84C, load_pack

RACK, INDUSTRY = "commercial refrigeration", "industrial process refrigeration"
DAY0 = date(2026, 6, 1)
"""150 lb of 600 lb: 25 percent by the first calculation, over 20 and not over 30."""


def story(*told: tuple[str, date], category: str = RACK, subpart: str = "84") -> Story:
    """A 600 lb circuit with 150 (industrial 200) lb added on DAY0; events by kind and date."""
    events = tuple(
        Event(entry, kind, on, passed=True, complete=True, signed=True, ground="parts")
        for entry, (kind, on) in enumerate(told, start=2)
    )
    binding = Binding(subpart, "", "yes", "", "", "", "read")
    history = CircuitHistory(
        circuit="C-1",
        additions=(Addition(1, 1, DAY0, "", (150 if category == RACK else 200) * POUND),),
        full_charges=(FullCharge(0, None, 600 * POUND),),
        methods=(MethodFrom(None, ANNUALIZING, 1),),
        categories=(CategoryFrom(None, category),),
        scope=(ScopeFrom(None, (binding,)),),
    )
    return Story("C-1", history, events, date(2020, 5, 4))


def at(one: Story, as_of: date, pack: str = FEDERAL_84C) -> CircuitDuties:
    """The answers under one pack."""
    return duties_of(one, law_for_rates(), [law_for_duties(load_pack(pack))], as_of)[0]


def of(found: CircuitDuties, duty: str) -> list[Duty]:
    """The duties of a name."""
    return [one for one in found.duties if one.duty == duty]


def state(found: CircuitDuties) -> str:
    """How the last case stands."""
    return found.cases[-1].state


def adding(one: Story, on: date, pounds: int, entry: int = 90) -> Story:
    """The story with one more addition."""
    new = Addition(entry, 1, on, "", pounds * POUND)
    history = replace(one.history, additions=(*one.history.additions, new))
    return replace(one, history=history)


REPAIRED = (
    ("leak-inspection", date(2026, 6, 10)), ("repair", date(2026, 6, 12)),
    ("initial-test", date(2026, 6, 12)), ("follow-up-test", date(2026, 6, 20)),
)  # fmt: skip
