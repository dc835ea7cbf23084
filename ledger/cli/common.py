"""What every command shares: where the book is, who types, what time it is, how it ends."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager, redirect_stdout
from dataclasses import dataclass
from datetime import UTC, datetime
from io import StringIO
from typing import TYPE_CHECKING, Annotated, NoReturn, TypeVar
from uuid import uuid4

import typer

from ledger.facts.problems import Problem, Refused, refuse

if TYPE_CHECKING:
    from ledger.book.journal import Book
    from ledger.book.known import BookKnown
    from ledger.book.reader import Reader
    from ledger.book.record import Outcome, Recorder
    from ledger.facts.entry import Draft, Entry

T = TypeVar("T")

DEFAULT_BOOK = "tarebook.db"
BOOK_CODES = frozenset({
    "book-missing", "book-exists", "book-older", "book-newer", "book-damaged", "book-busy",
    "book-read-only", "not-a-book",
})  # fmt: skip
"""Refusals that are about the book itself: exit code 3; all others: 2."""

BookOption = Annotated[
    str,
    typer.Option(
        "--book", "-b", envvar="TAREBOOK_BOOK", help="Book file, or a database URL.",
        show_default=DEFAULT_BOOK,
    ),
]  # fmt: skip
DryRun = Annotated[
    bool, typer.Option("--dry-run", help="Say what would be recorded; write nothing.")
]
Because = Annotated[
    str, typer.Option("--because", help="Reason: record what a check refuses but really happened.")
]
Provisional = Annotated[
    bool, typer.Option("--provisional", help="Begin units, cylinders and people not in the book.")
]
Key = Annotated[
    str, typer.Option("--key", help="Your own key for this entry; a retry is then safe.")
]
AsOf = Annotated[str, typer.Option("--as-of", help="Count what happened up to this day.")]
KnownAt = Annotated[
    str, typer.Option("--known-at", help="Count what was recorded up to this entry number or day.")
]
AsJson = Annotated[bool, typer.Option("--json", help="Print JSON.")]
AsCsv = Annotated[bool, typer.Option("--csv", help="Print CSV.")]
AsXlsx = Annotated[str, typer.Option("--xlsx", help="Write a workbook to this file.")]
Explain = Annotated[bool, typer.Option("--explain", help="Show formula, numbers, entries, rules.")]


def now() -> datetime:
    """The moment it is, in UTC; TAREBOOK_CLOCK (ISO, with zone) fixes it for a rehearsal."""
    fixed = os.environ.get("TAREBOOK_CLOCK")
    if not fixed:
        return datetime.now(UTC)
    try:
        moment = datetime.fromisoformat(fixed)
    except ValueError:
        raise refuse(
            "option-unfit",
            f'TAREBOOK_CLOCK is "{fixed}", which is not a moment.',
            "Write it as 2026-03-30T16:05:00+00:00, or unset it.",
        ) from None
    try:
        return moment.astimezone(UTC) if moment.tzinfo else moment.replace(tzinfo=UTC)
    except OverflowError:
        raise refuse("option-unfit", f'TAREBOOK_CLOCK is "{fixed}", which is out of reach.',
                     "Give a moment of our times, or unset it.") from None  # fmt: skip


def actor() -> str:
    """Who types: the name of the system login."""
    import getpass

    try:
        return getpass.getuser()
    except (KeyError, OSError):
        return "unknown login"


def open_book(place: str) -> Book:
    """The book at a place; refused in one sentence where there is none or it is not ours."""
    from ledger.book.engine import BookPlace
    from ledger.book.journal import Book

    return Book.open(BookPlace.parse(place or DEFAULT_BOOK), actor())


@contextmanager
def recording(
    place: str, because: str = "", provisional: bool = False
) -> Iterator[tuple[Recorder, BookKnown]]:
    """One unit of work: everything recorded inside is committed, or nothing is."""
    from ledger.book.known import BookKnown
    from ledger.book.record import Recorder

    moment = now()
    with open_book(place) as book, book.writing() as writer:
        known = BookKnown(writer.connection, moment, book.zone)
        yield Recorder(writer, known, moment, because, provisional), known


@dataclass(slots=True)
class Writing:
    """The options every write has in common."""

    book: str
    key: str = ""
    dry_run: bool = False
    because: str = ""
    provisional: bool = False


def write(
    options: Writing,
    draft_of: Callable[[BookKnown], Draft],
    tell: Callable[[Recorder, Outcome], None],
) -> None:
    """Record one draft and tell what came of it; a dry run tells the same and writes nothing.

    `draft_of` builds the draft from what is known; `tell` prints, still inside the unit of
    work, so that what the entry leads to is answered from the book with it in.
    """
    told = StringIO()
    with recording(options.book, options.because.strip(), options.provisional) as (recorder, known):
        outcome = _retried(options, recorder, draft_of) or recorder.must_record(draft_of(known))
        recorder.writer.flush()
        with redirect_stdout(told):
            tell(recorder, outcome)
            _tell_late(recorder, outcome)
        if options.dry_run:
            recorder.writer.rollback()
    # Nothing is said to be recorded before the commit has come back.
    typer.echo(told.getvalue(), nl=False)


def _tell_late(recorder: Recorder, outcome: Outcome) -> None:
    """Say of pounds that moved in a period that is closed where they count."""
    from ledger.facts.facts import Explained, Movement

    facts = outcome.draft.facts
    moved = any(isinstance(fact, Movement) for fact in facts)
    if outcome.already or not moved or any(isinstance(fact, Explained) for fact in facts):
        return
    from ledger.book.counting import recorded
    from ledger.book.cut import Cut
    from ledger.facts.counts import CutOff

    day, time = outcome.draft.occurred_on, outcome.draft.occurred_time
    for entry, _, _, _, _, body in recorded(recorder.writer, Cut(), "closed"):
        if CutOff.parse(body["cut_off"]).covers(day, time):
            typer.echo(
                f"Late, affects prior period: {body['period']} was closed at {body['cut_off']}"
                f" (entry {entry}); it counts in the next one."
            )
            return


def _retried(
    options: Writing, recorder: Recorder, draft_of: Callable[[BookKnown], Draft]
) -> Outcome | None:
    """What a key that is in the book already stands for; None where it is new.

    The words are read as they were the first time, for what they lead to (everything in a
    cylinder, today, a cylinder not in the book yet) has changed since.
    """
    from dataclasses import replace

    from ledger.book.known import BookKnown

    earlier = recorder.writer.entry_by_key(options.key) if options.key else None
    if earlier is None:
        return None
    moment = datetime.fromisoformat(earlier.recorded_at)
    known = BookKnown(recorder.known.connection, moment, recorder.known.zone, earlier.number)
    return replace(recorder, known=known).must_record(draft_of(known))


def headline(outcome: Outcome, dry_run: bool, what: str) -> None:
    """The first line of every write: the entry number and what it says."""
    if outcome.already:
        typer.echo(f"Already recorded as entry {outcome.already}; nothing was written.")
        return
    assert outcome.entry is not None
    lead = "Would be" if dry_run else "Recorded as"
    typer.echo(f"{lead} entry {outcome.entry.number}: {what}.")
    units = {begun.name for begun in outcome.begun if begun.kind == "unit"}
    for begun in outcome.begun:
        if begun.kind != "circuit" or begun.name not in units:
            typer.echo(
                f"Begun provisionally: {begun.kind} {begun.name}; complete it with tarebook mend."
            )
    although = "Would be recorded although" if dry_run else "Recorded although"
    for flag in outcome.flags:
        typer.echo(f"{although}: {flag.sentence} [{flag.code}]")


def entry_of(reader: Reader, number: int) -> Entry:
    """An entry by its number; refused where it is not in the book."""
    last = reader.head()[0]
    found = reader.entry(number) if 0 < number <= last else None
    if found is None:
        raise refuse("no-such-entry", f"Entry {number} is not in this book (the last is {last}).",
                     "Find it with tarebook find.")  # fmt: skip
    return found


def new_key(given: str) -> str:
    """The caller's key, or a fresh one."""
    return given or f"cli:{uuid4().hex}"


def ask(value: str, question: str, option: str) -> str:
    """A value that is needed: asked for on a terminal, refused with its option in a pipe."""
    if value:
        return value
    if sys.stdin.isatty() and sys.stdout.isatty():
        answer: str = typer.prompt(question)
        return answer
    raise refuse("field-missing", f"{question} is not given.", f"Add {option}.")


def good(value: T | Problem) -> T:
    """A value that was read, or the refusal that it could not be."""
    if isinstance(value, Problem):
        raise Refused([value])
    return value


def stop(refused: Refused) -> NoReturn:
    """Print every problem and leave: 3 where the book itself is in the way, else 2."""
    codes = {problem.code for problem in refused.problems}
    for problem in refused.problems:
        # What was typed is repeated in the message, and must not steer the terminal.
        line = "".join(sign if sign.isprintable() else "?" for sign in problem.line())
        print(line, file=sys.stderr)
    sys.exit(3 if codes & BOOK_CODES else 2)
