"""What is due on a circuit on a date: its repair cases and every duty, pack by pack.

Pure: the story of the circuit, the law and a date go in. The packs are looked at alone; nothing
of one bears on another.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date
from typing import NamedTuple

from ledger.answers.case_duties import duties_of_case
from ledger.answers.case_events import Story
from ledger.answers.case_states import cases_of
from ledger.answers.case_terms import may_bind, unless_on
from ledger.answers.circuit_duties import YearLoss, circuit_duties, year_losses
from ledger.answers.circuit_records import record_duties
from ledger.answers.duty import Duty
from ledger.answers.duty_law import DutyTable
from ledger.answers.inspections import Schedule, inspection_duties, schedules_of
from ledger.answers.leak_history import CircuitHistory, ScopeFrom
from ledger.answers.leak_law import LawTable
from ledger.answers.leak_rate import Rate, rates
from ledger.answers.mothballs import recharged
from ledger.answers.repair_case import RepairCase

__all__ = ["CircuitDuties", "Duty", "duties_of"]


class CircuitDuties(NamedTuple):
    """One circuit under one pack at the end of a date."""

    pack: str
    circuit: str
    as_of: date
    cases: tuple[RepairCase, ...]
    duties: tuple[Duty, ...]
    schedules: tuple[Schedule, ...]
    losses: tuple[YearLoss, ...]
    rates: tuple[Rate, ...]

    @property
    def schedule_ends_on(self) -> date | None:
        """The day the newest inspection schedule has had its run; None where none runs."""
        return self.schedules[-1].ends_on if self.schedules else None


def duties_of(
    story: Story, law: LawTable, tables: Iterable[DutyTable], as_of: date
) -> list[CircuitDuties]:
    """The cases and duties of a circuit under each pack, as they stand at the end of a date.

    What was recorded later than a reader wants to know is left out of `story` before
    (`case_events.as_known`).
    """
    story = _by_date(story, as_of)
    found = rates(rated_history(story.history, law), law, as_of)
    return [_under(story, found, table, as_of) for table in tables]


def _by_date(story: Story, as_of: date) -> Story:
    """What had happened by the end of a date, in order of date and entry."""
    events = [event for event in story.events if event.on <= as_of]
    additions = [part for part in story.history.additions if part.on <= as_of]
    events.sort(key=lambda event: (event.on, event.entry))
    additions.sort(key=lambda part: (part.on, part.entry, part.line))
    history = recharged(replace(story.history, additions=additions), events)
    return replace(story, events=tuple(events), history=history)


def rated_history(history: CircuitHistory, law: LawTable) -> CircuitHistory:
    """The history with the bindings of the packs that know leak rates alone."""
    scope = tuple(
        ScopeFrom(one.since, tuple(part for part in one.bindings if part.subpart in law.starts))
        for one in history.scope
    )
    return replace(history, scope=scope)


def _under(story: Story, found: Sequence[Rate], table: DutyTable, as_of: date) -> CircuitDuties:
    if not may_bind(story, table.subpart):
        kept = tuple(record_duties(story, [], [], table, as_of))
        return CircuitDuties(table.pack, story.circuit, as_of, (), kept, (), (), ())
    own = [rate for rate in found if table.subpart and rate.subpart == table.subpart]
    cases = cases_of(story, own, table, as_of)
    schedules = schedules_of(story, cases, table, as_of)
    duties = [duty for case in cases for duty in duties_of_case(case, story, as_of)]
    unless = unless_on(story, table.subpart, as_of)
    others = inspection_duties(story, schedules, as_of)
    losses = year_losses(story, own, table.subpart, as_of)
    others += circuit_duties(story, cases, own, losses, table, as_of)
    duties += [duty._replace(unless=unless) for duty in others] if unless else others
    return CircuitDuties(
        pack=table.pack,
        circuit=story.circuit,
        as_of=as_of,
        cases=tuple(cases),
        duties=tuple(duties),
        schedules=tuple(schedules),
        losses=tuple(losses),
        rates=tuple(own),
    )
