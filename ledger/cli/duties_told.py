"""What an entry does to duties, told right after it: what it ended, what is due next."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import typer

from ledger.facts.facts import Movement

if TYPE_CHECKING:
    from ledger.answers.duties import Duty
    from ledger.book.record import Outcome, Recorder

SHOWN = 4
"""As many open duties are told after an entry; tarebook due shows them all."""


def tell_duties(recorder: Recorder, outcome: Outcome) -> None:
    """The duties an entry ended, and the next ones of each circuit it speaks of."""
    from ledger.answers.duties import due_first
    from ledger.book.bound import duties_in
    from ledger.book.reading import Cut, masters_at

    number = outcome.entry.number if outcome.entry else outcome.already
    circuits = _circuits(outcome)
    if not circuits:
        return
    recorder.writer.flush()
    cut = Cut()
    masters = masters_at(recorder.writer, cut)
    today = date.fromisoformat(recorder.known.today(outcome.draft.zone or recorder.known.zone))
    for story, found in duties_in(recorder.writer, cut, masters, today, circuits):
        ended = [duty for one in found for duty in one.duties if ended_by(duty, number)]
        for duty in ended:
            typer.echo(f"Ends: {what(duty)}: {duty.status}{_late(duty)}.")
        owed = due_first(found)
        for duty in owed[:SHOWN]:
            typer.echo(f"Due: {what(duty)}: {when(duty, today)}.")
        if len(owed) > SHOWN:
            typer.echo(f"{len(owed) - SHOWN} more: tarebook due --circuit {_typed(story.circuit)}")
        if not owed and not ended:
            typer.echo(f"Nothing is due at {story.circuit} by the rules in this program.")


def ended_by(duty: Duty, number: int) -> bool:
    """Whether an entry is what ended a duty."""
    last = duty.inputs[-1] if duty.inputs else None
    return bool(duty.ended and last is not None and number in last.entries)


def when(duty: Duty, today: date) -> str:
    """The day it is due and how far off that is, in words."""
    if duty.due is None:
        return duty.no_date or "no date"
    days = (duty.due - today).days
    far = "today" if not days else f"in {days} days" if days > 0 else f"{-days} days ago"
    if abs(days) == 1:
        far = far.replace("days", "day")
    option = "last day to ask " if duty.kind == "option" else ""
    unless = f"; unless {duty.unless}" if duty.unless else ""
    return f"{option}{duty.due.isoformat()} ({far}){unless}"


def what(duty: Duty) -> str:
    """A duty with its circuit and paragraph."""
    return f"{duty.circuit}, {duty.title} ({duty.cite})"


def _late(duty: Duty) -> str:
    if duty.status != "done late" or duty.due is None or duty.ended is None:
        return ""
    days = (duty.ended - duty.due).days
    return f", {days} {'day' if days == 1 else 'days'} after {duty.due.isoformat()}"


def _typed(name: str) -> str:
    from ledger.facts.checks import quoted

    return quoted(name)


def _circuits(outcome: Outcome) -> list[str]:
    found: dict[str, None] = {}
    for fact in outcome.draft.facts:
        if isinstance(fact, Movement):
            for end in (fact.source, fact.target):
                kind, _, name = end.partition(":")
                if kind == "circuit":
                    found[name] = None
        elif name := getattr(fact, "circuit", ""):
            found[name] = None
    return list(found)
