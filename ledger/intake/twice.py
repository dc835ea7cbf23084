"""A row of an answers file that was recorded and then changed there: asked about, never doubled."""

from __future__ import annotations

import re
from dataclasses import replace

from ledger.book.record import Recorder
from ledger.facts.entry import Draft
from ledger.facts.facts import Described, Reversal
from ledger.facts.problems import Problem
from ledger.intake.answers import Told
from ledger.intake.questions import JOB_CHOICES
from ledger.intake.report import ALREADY, DUPLICATE, FLAGGED, RECORDED

_WENT_IN = (RECORDED, FLAGGED, ALREADY, DUPLICATE)
_ENTRY = re.compile(r"\bentry ([0-9]{1,12})\b", re.IGNORECASE)
_CHANGED = "The row was recorded as entry {} and has been changed since."


def recorded_before(recorder: Recorder, told: Told) -> Problem | None:
    """The question about a row that its file says was recorded, and that reads otherwise now."""
    asked = _CHANGED.format(told.entry)
    if not told.entry or not (told.outcome.startswith(_WENT_IN) or asked in told.question):
        return None
    recorder.append_held()
    if told.entry > recorder.writer.head()[0] or not standing_lines(recorder, told.entry):
        return None
    return Problem(
        "same-job", asked,
        f"Answer instead to take entry {told.entry} back and record the row as it is now, both"
        " to record it beside, same to leave it.",
        choices=JOB_CHOICES, entry=told.entry,
    )  # fmt: skip


def question_told(recorder: Recorder, told: Told) -> Problem | None:
    """The question that an answers file asked about a row and an entry that stands."""
    found = _ENTRY.search(told.question)
    number = int(found[1]) if found else 0
    recorder.append_held()
    if not 0 < number <= recorder.writer.head()[0] or not standing_lines(recorder, number):
        return None
    return Problem("same-job", told.question, "", choices=JOB_CHOICES, entry=number)


def standing_lines(recorder: Recorder, number: int) -> tuple[int, ...]:
    """The lines of an entry that can be taken back: what it recorded, less what it began."""
    entry = recorder.writer.entry(number)
    if entry is None:
        return ()
    gone = {line for line, _ in recorder.writer.reversed_lines(number)}
    return tuple(
        line for line, fact in enumerate(entry.facts())
        if line not in gone and not isinstance(fact, Reversal)
        and not (isinstance(fact, Described) and fact.new)
    )  # fmt: skip


def instead_of(recorder: Recorder, number: int, draft: Draft) -> Draft:
    """The draft of a row in the place of an entry: the entry taken back, the row recorded."""
    recorder.append_held()
    lines = standing_lines(recorder, number)
    reason = f"recorded again as {draft.source}, by answer"
    return replace(draft, verb="correct", facts=(Reversal(number, lines, reason), *draft.facts))
