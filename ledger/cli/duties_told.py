"""What an entry does to duties, told right after it: what it ended, what is due next."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import typer

from ledger.facts.facts import Movement

if TYPE_CHECKING:
    from ledger.answers.due_list import Line
    from ledger.answers.duties import Duty
    from ledger.book.record import Outcome, Recorder

SHOWN = 4
"""As many open duties are told after an entry; tarebook due shows them all."""
STARTED = 6
"""As many clocks that an addition starts are told."""


def tell_duties(recorder: Recorder, outcome: Outcome, told: bool = False) -> None:
    """The duties an entry ended, and the next ones of each circuit it speaks of.

    `told` where `tell_started` has said already what the entry ended.
    """
    from ledger.answers.due_list import OWED, lines_of, next_of_each
    from ledger.book.bound import duties_in
    from ledger.book.reading import Cut, masters_at
    from ledger.reports.duty_words import late_by

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
        for duty in () if told else ended:
            typer.echo(f"Ends: {what(duty)}: {duty.status}{late_by(duty)}.")
        open_ = (duty for one in found for duty in one.duties if duty.status in OWED)
        owed, _ = next_of_each(lines_of(open_))
        for line in owed[:SHOWN]:
            typer.echo(f"Due: {what(line.duty)}: {when(line.duty, today)}.")
        if len(owed) > SHOWN:
            typer.echo(f"{len(owed) - SHOWN} more: tarebook due --circuit {_typed(story.circuit)}")
        if not owed and not ended:
            typer.echo(f"Nothing is due at {story.circuit} by the rules in this program.")


def tell_started(recorder: Recorder, outcome: Outcome) -> None:
    """The clocks that refrigerant put in or taken out starts, ends and makes void, in short."""
    from ledger.answers.case_events import without
    from ledger.answers.due_list import changed_by
    from ledger.answers.duties import duties_of
    from ledger.book.bound import law_of, stories_of
    from ledger.book.reading import Cut, masters_at
    from ledger.reports.duty_words import late_by

    number = outcome.entry.number if outcome.entry else outcome.already
    if not (circuits := _circuits(outcome)):
        return
    recorder.writer.flush()
    cut = Cut()
    law = law_of(recorder.writer, cut)
    masters = masters_at(recorder.writer, cut)
    today = date.fromisoformat(recorder.known.today(outcome.draft.zone or recorder.known.zone))
    for story in stories_of(recorder.writer, cut, law, masters, circuits):
        if not any(part.binds != "no" for one in story.history.scope for part in one.bindings):
            continue
        before = duties_of(without(story, {number}), law.rates, law.tables, today)
        after = duties_of(story, law.rates, law.tables, today)
        started, gone = changed_by(before, after)
        for line in started[:STARTED]:
            typer.echo(f"Starts: {_whole(line, today)}.")
        if len(started) > STARTED:
            typer.echo(
                f"{len(started) - STARTED} more: tarebook due --circuit {_typed(story.circuit)}"
            )
        ended = [duty for one in after for duty in one.duties if ended_by(duty, number)]
        for duty in ended:
            if duty.start is not None and duty.start.isoformat() < outcome.draft.occurred_on:
                typer.echo(f"Ends: {what(duty)}: {duty.status}{late_by(duty)}.")
        names = {(duty.pack, duty.duty, duty.start) for duty in ended}
        for line in gone:
            if (line.duty.pack, line.duty.duty, line.duty.start) not in names:
                typer.echo(f"No longer due: {_whole(line, today)}.")
        for one in after:
            for case in one.cases:
                if (step := case.trail[-1]).entry == number and step.state == "confirmed":
                    typer.echo(
                        f"Confirms: {story.circuit}, the repairs of the case of {case.day0}."
                    )


def _whole(line: Line, today: date) -> str:
    """A line of the due list in words: what, who, when, by which paragraphs."""
    duty = line.duty
    also = f"; also {line.others_due}" if line.others_due else ""
    return f"{duty.circuit}, {duty.title} ({line.cites}): {when(duty, today)}, {duty.who}{also}"


def ended_by(duty: Duty, number: int) -> bool:
    """Whether an entry is what ended a duty."""
    last = duty.inputs[-1] if duty.inputs else None
    return bool(duty.ended and last is not None and number in last.entries)


def when(duty: Duty, today: date) -> str:
    """The day it is due and how far off that is, in words."""
    from ledger.reports.duty_words import by_when, far_off, unless

    if duty.due is None:
        return duty.no_date or "no date"
    # A unit with one circuit goes by the name of the unit; the line speaks of no circuit then.
    told = unless(duty).replace("this circuit", "it")
    return f"{by_when(duty).removeprefix('by ')} ({far_off(duty, today)}){told}"


def what(duty: Duty) -> str:
    """A duty with its circuit and paragraph."""
    return f"{duty.circuit}, {duty.title} ({duty.cite})"


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
