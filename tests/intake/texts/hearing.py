"""Reads invented messages against the shop of these tests, and says what came of them."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path

from ledger.book.engine import BookPlace
from ledger.book.journal import Book
from ledger.book.known import BookKnown
from ledger.book.record import Recorder
from ledger.facts.entry import Draft
from ledger.intake.text_heard import Heard, Move
from ledger.intake.text_names import Names
from ledger.intake.text_reading import hear
from tests.intake.texts.shop import lb, masters

NOON = datetime(2026, 3, 30, 17, 0, tzinfo=UTC)
TODAY = "2026-03-30"


def make(path: Path) -> None:
    """A book of the shop at a path."""
    place = BookPlace.parse(path)
    with (
        Book.create(
            place, "America/Chicago", "Example Mechanical", "office", NOON, "b0" * 16
        ) as book,
        book.writing() as writer,
    ):
        known = BookKnown(writer.connection, NOON, book.zone)
        draft = Draft("masters", "test", "2026-01-05", tuple(masters()))
        Recorder(writer, known, NOON).must_record(draft)


class Listener:
    """Hears messages with the names of an open book."""

    def __init__(self, book: Book, known: BookKnown, names: Names) -> None:
        self.book, self.known, self.names = book, known, names

    def hear(self, message: str) -> Heard:
        """What came of a message sent on the day of these tests."""
        return hear(message, self.names, TODAY, self.known.settings("refrigerant name"))


@contextmanager
def listening(path: Path) -> Iterator[Listener]:
    """A listener with the book at a path."""
    with Book.open(BookPlace.parse(path), "office") as book, book.reading() as reader:
        known = BookKnown(reader.connection, NOON, book.zone)
        yield Listener(book, known, Names(reader, known))


def told(move: Move) -> tuple[object, ...]:
    """A proposed movement as the messages file has it, with weights as exact masses."""
    evidence = move.evidence
    readings = evidence.readings or tuple(
        one for one in (evidence.before, evidence.after) if one is not None
    )
    first, second = (move.cylinder, move.target) if move.target else (move.circuit, move.cylinder)
    return (
        move.verb, first, second, move.refrigerant, move.net.mass,
        tuple(one.mass for one in readings),
    )  # fmt: skip


def expected(line: str) -> tuple[object, ...]:
    """A line of the messages file in the same form."""
    verb, first, second, refrigerant, net, *gross = (part.strip() for part in line.split("|"))
    weights = tuple(lb(one.strip()).mass for one in gross[0].split(",")) if gross else ()
    return (verb, first, second, refrigerant, lb(net).mass, weights)
