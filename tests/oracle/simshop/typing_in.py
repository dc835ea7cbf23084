"""Types a year's entries into a book with the program's own recorder, in the order typed."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import UTC, datetime
from itertools import groupby
from pathlib import Path

from ledger.book.engine import BookPlace
from ledger.book.journal import Book, utc_text
from ledger.book.known import BookKnown
from ledger.book.record import Recorder
from tests.oracle.simshop.paper import Command
from tests.oracle.simshop.parameters import YEAR
from tests.oracle.simshop.shop import ZONE

STARTED = datetime(YEAR, 1, 1, 6, tzinfo=UTC)
TODAY = datetime(YEAR + 1, 6, 30, 16, tzinfo=UTC)
"""Now, while all of it is typed: no day of the year is in the future."""


@dataclass(slots=True)
class Typed:
    """What came of typing: entries, refusals that no reason could answer, and by code those that
    were recorded over."""

    entries: int = 0
    refused: list[str] = field(default_factory=list)
    overridden: Counter[str] = field(default_factory=Counter)


def new_book(file: Path) -> Book:
    """An empty book for a year; close it, or use it in a `with`."""
    return Book.create(BookPlace(file=file), ZONE, "Simulated shop", "office", STARTED)


def type_in(book: Book, commands: Iterable[Command]) -> Typed:
    """Record all commands; each entry is recorded late on the day it was typed."""
    typed = Typed()
    with book.writing() as writer:
        known = BookKnown(writer.connection, TODAY, ZONE)
        recorder = Recorder(writer, known, TODAY, hold=True)
        for day, some in groupby(commands, key=lambda one: one.typed_on):
            recorder.append_held()
            recorder.recorded_at = utc_text(datetime.fromisoformat(f"{day}T23:30:00+00:00"))
            for one in some:
                _type(recorder, one, typed)
        recorder.append_held()
    return typed


def _type(recorder: Recorder, one: Command, typed: Typed) -> None:
    recorder.because, recorder.provisional = one.because, one.provisional
    outcome = recorder.record(one.draft, check_key=False)
    typed.entries += 1
    typed.overridden.update(problem.code for problem in outcome.flags)
    typed.refused += [f"{one.draft.key} {problem.line()}" for problem in outcome.problems]
