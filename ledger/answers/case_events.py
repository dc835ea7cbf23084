"""What a repair case is told: dated service events of one circuit beside its leak-rate history.

An adapter fills these records from the book; nothing here knows how they are stored. Some kinds
(inspection, plan, extension, mothballing, detector) have no stored fact yet: `Event` says what
such a fact has to hold.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import NamedTuple

from ledger.answers.leak_history import CircuitHistory

KINDS = (
    "detection", "leak-inspection", "repair", "initial-test", "follow-up-test",
    "normal-conditions", "shutdown", "decline", "choose-retrofit", "choose-retire", "plan",
    "plan-relief", "objection", "retrofit", "retire", "mothball", "extension-request",
    "plan-extension-request", "delivery", "new-estimate", "notice", "alarm", "monitor",
    "monitor-audit", "delay-evidence", "record", "method-change",
    "purge-exclusion", "start-up",
)  # fmt: skip
"""The kinds of events the answers look at; an event of another kind changes nothing."""


class Event(NamedTuple):
    """One dated event of a circuit.

    `all_leaks`: a repair or test of all identified leaks; `passed`: of a test. `complete`: an
    inspection of all parts that can be seen and reached, `clean`: one that found no leak.
    `evacuated`: for a repair. `ground`: why more time is asked for ("parts", "other law",
    "radiological"; for a plan "custom-built", "other law", "radiological", "procurement",
    "federal owner"), what is objected to ("plan extension", else relief), or which record was made.
    `signed` and `conditions`: of a request, whether an authorized official signed it and whether
    what the rule asks besides is there. `exempt_substitute`: a plan to retire for one exempt
    from the venting ban. `part`: what a detector watches, "all" or a portion; `required`: the
    rule asks for that detector.
    """

    entry: int
    kind: str
    on: date
    passed: bool = False
    all_leaks: bool = True
    complete: bool = False
    evacuated: bool = False
    ground: str = ""
    signed: bool = False
    conditions: bool = True
    exempt_substitute: bool = False
    part: str = "all"
    required: bool = False
    clean: bool = False


@dataclass(frozen=True, slots=True)
class Story:
    """All that the duties of one circuit rest on.

    `installed` is the day it was installed, `indoors` whether it stands in a building; None
    where that is not known. `reports_gases`: its owner is under mandatory reporting of
    greenhouse gases. `exempt_substitute`: its refrigerant is exempt from the venting ban in
    this use, so its disposal goes into no log. `federal_owner`: its owner is a federal agency.
    `purge_first`: when the facility first used the purge exclusion, on whichever circuit.
    `recorded` says when an entry came into the book; one it does not name was always there, as
    all were where it is None.
    """

    circuit: str
    history: CircuitHistory
    events: tuple[Event, ...] = ()
    installed: date | None = None
    indoors: bool | None = None
    reports_gases: bool = False
    exempt_substitute: bool = False
    federal_owner: bool = False
    purge_first: date | None = None
    recorded: Mapping[int, date] | None = None


class Reversal(NamedTuple):
    """An entry taken back by a later one, and the date that was recorded."""

    entry: int
    recorded: date


def as_known(
    story: Story,
    recorded: Mapping[int, date],
    reversals: Iterable[Reversal],
    known_at: date | None,
) -> Story:
    """The story from what was recorded by the end of a date, with what was taken back by then.

    An entry that `recorded` does not name was always known. None: all that is recorded now.
    """
    gone = {one.entry for one in reversals if known_at is None or one.recorded <= known_at}
    if known_at is not None:
        gone |= {entry for entry, day in recorded.items() if day > known_at}
    return without(replace(story, recorded=recorded), gone)


def without(story: Story, gone: Iterable[int]) -> Story:
    """The story without some entries."""
    out = frozenset(gone)
    if not out:
        return story
    told = story.history
    history = replace(
        told,
        additions=[part for part in told.additions if part.entry not in out],
        removals=tuple(part for part in told.removals if part.entry not in out),
        unknown_additions=tuple(p for p in told.unknown_additions if p.entry not in out),
        follow_ups=tuple(part for part in told.follow_ups if part.entry not in out),
        repairs=tuple(part for part in told.repairs if part.entry not in out),
        full_charges=tuple(p for p in told.full_charges if p.entry not in out),
    )
    events = tuple(event for event in story.events if event.entry not in out)
    return replace(story, history=history, events=events)
