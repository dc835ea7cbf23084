"""Turns what a database engine says in its own words into named refusals with a next step.

Every statement of a book runs inside `refusals`: locked, malformed, read only and the rest
reach the reader as one sentence and what to do, never as a traceback.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy.exc import DBAPIError

from ledger.book.place import BookPlace
from ledger.facts.problems import Problem, Refused


@contextmanager
def refusals(place: BookPlace) -> Iterator[None]:
    """Turns what an engine refuses in its own words into a Refused; other errors pass."""
    try:
        yield
    except Exception as error:
        cut = isinstance(error, DBAPIError) and error.connection_invalidated
        heard = error.orig if isinstance(error, DBAPIError) else error
        problem = place_problem("cut", place) if cut else _problem(heard, place)
        if problem is None:
            raise
        raise Refused([problem]) from error


_WORDS: dict[str, tuple[str, str, str]] = {
    "busy": (
        "book-busy",
        "Another program held the book {place} for too long.",
        "Let it finish, then try again; nothing was recorded by this try.",
    ),
    "moving": (
        "book-busy",
        "The book {place} was written while it was read without a lock.",
        "Try again; what was read may be torn and is not shown.",
    ),
    "cut": (
        "book-busy",
        "The connection to the book {place} was lost.",
        "Try again: what was already recorded is found by its key and not recorded twice.",
    ),
    "read-only": (
        "book-read-only",
        "The book {place} cannot be written here.",
        "Ask for the right to write the file and its folder, or the writer role of the database.",
    ),
    "full": (
        "book-read-only",
        "There is no room left to write the book {place}.",
        "Free some space on the disk and try again; nothing was recorded by this try.",
    ),
    "unread": (
        "book-read-only",
        "The book {place} cannot be opened with your rights.",
        "Ask for the right to read and write the file and its folder.",
    ),
    "damaged": (
        "book-damaged",
        "The book {place} is damaged and cannot be read whole.",
        "Keep the file as it is, restore the last backup and compare the two with verify.",
    ),
    "foreign": (
        "not-a-book",
        "{place} is not a Tarebook book.",
        "Name the book's own file, or make a new book with init.",
    ),
    "missing": (
        "book-missing",
        "There is no book at {place}.",
        "Check the place, or make a new book with init.",
    ),
    "no server": (
        "book-missing",
        "No database answers at {place}, or it refuses the login.",
        "Check the server, the database name and the login, then try again.",
    ),
    "altered": (
        "book-damaged",
        "The book {place} refused a row that does not follow the last entry.",
        "Run verify; nothing was recorded by this try.",
    ),
}
"""What an engine can say about a book: code, sentence, remedy."""

_SQLITE_CODES = {
    3: "unread", 5: "busy", 6: "busy", 8: "read-only", 10: "damaged", 11: "damaged",
    13: "full", 14: "unread", 23: "unread", 26: "foreign",
}  # fmt: skip

_SQLSTATES = {
    "08": "cut", "28": "no server", "3D": "no server", "40": "busy", "53": "full",
    "57": "cut", "58": "damaged", "XX": "damaged",
    "55P03": "busy", "42501": "read-only", "25006": "read-only", "53300": "busy",
    "57014": "busy",
}  # fmt: skip


def lacks_table(error: BaseException) -> bool:
    """True where a query asked for a table that is not there."""
    heard = error.orig if isinstance(error, DBAPIError) else error
    return "no such table" in str(heard) or getattr(heard, "sqlstate", None) == "42P01"


def place_problem(word: str, place: BookPlace) -> Problem:
    """The problem that `word` (missing, foreign, busy, read-only ...) names at a place."""
    code, sentence, remedy = _WORDS[word]
    return Problem(code, sentence.format(place=place.shown), remedy)


def _problem(error: BaseException | None, place: BookPlace) -> Problem | None:
    word: str | None = None
    if isinstance(error, sqlite3.Error):
        word = _SQLITE_CODES.get(getattr(error, "sqlite_errorcode", 0) & 0xFF)
    elif type(error).__module__.startswith("psycopg"):
        state = str(getattr(error, "sqlstate", None) or "")
        word = _SQLSTATES.get(state, _SQLSTATES.get(state[:2]))
        if not state and type(error).__name__ == "OperationalError":
            word = "no server"
    else:
        return None
    if word is None and "tarebook: " in str(error):
        word = "altered"
    return place_problem(word, place) if word else None
