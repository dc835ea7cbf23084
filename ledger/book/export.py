"""The journal as a text file, one canonical entry a line: the same bytes from both engines."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Iterator
from itertools import islice
from pathlib import Path
from typing import Any

from ledger.book.chain import Chain, damage
from ledger.book.driver import insert_rows
from ledger.book.engine import BookPlace
from ledger.book.files import appearing
from ledger.book.journal import Book, Head
from ledger.book.making import identify, new_book
from ledger.book.projections import Rows, project
from ledger.book.refill import gather, write
from ledger.book.schema import COLUMNS, select_text
from ledger.facts.entry import canonical
from ledger.facts.problems import Problem, Refused, refuse

BATCH = 2_000
"""Entries restored in one go."""
SQLITE_MARK = b"SQLite format 3\0"
"""The first bytes of a SQLite book."""
_NAMES = COLUMNS["journal"]
_WHOLE = frozenset(("number", "origin_number"))

JournalRow = tuple[Any, ...]


def export_journal(book: Book, path: Path) -> Head:
    """Write the whole journal to a new file and return its head.

    Each line is one entry as canonical JSON with every column, in number order; lines end with
    one line feed, text is UTF-8. What was written is read back and its chain checked before
    the file gets its name. Refused with `book-exists` where the file is there already,
    `book-damaged` where the chain does not hold.
    """
    with appearing(path) as part:
        with book.reading() as reader, part.open("wb") as out:
            head = reader.head()
            for row in reader.rows(select_text("journal")):
                out.write(_line(row))
        if checked_export(part) != head:
            raise Refused([damage("journal", "The journal does not read back as it is stored.")])
    return head


def read_export(path: Path) -> Iterator[JournalRow]:
    """The journal rows of an exported file, in the order of its lines.

    Refused with `file-missing` or, naming the line, `not-a-book`.
    """
    if not path.is_file():
        raise refuse("file-missing", f"There is no file {path}.", "Check the name and the folder.")
    with path.open("rb") as lines:
        for count, line in enumerate(lines, start=1):
            row = _row(line)
            if row is None:
                problem = Problem(
                    "not-a-book",
                    f"Line {count} of {path} is not an entry of an exported journal.",
                    "Use a file written by export, whole and unchanged.",
                    f"{path}:{count}",
                )
                raise Refused([problem])
            yield row


def checked_export(path: Path) -> Head:
    """The head of an exported file whose chain holds; Refused with what is wrong with it."""
    chain = Chain()
    for batch in _batches(read_export(path)):
        for _ in chain.walk(batch):
            pass
        if chain.problems:
            raise Refused(chain.problems)
    return chain.number, chain.digest


def restore_from_export(
    path: Path, place: BookPlace, actor: str = "", against_head: Head | None = None
) -> Book:
    """Make a book at a free place from an exported journal, digest for digest.

    `against_head` is a (number, digest) the journal must hold. Refused, with no book left
    behind, where the chain does not hold or the place is taken.
    """
    return restore_rows(read_export(path), place, actor, against_head)


def restore(
    path: Path, place: BookPlace, actor: str = "", against_head: Head | None = None
) -> Book:
    """Make a book from a backup: a SQLite book or an exported journal, into either engine."""
    if not path.is_file():
        raise refuse("file-missing", f"There is no file {path}.", "Check the name and the folder.")
    with path.open("rb") as backup:
        is_book = backup.read(len(SQLITE_MARK)) == SQLITE_MARK
    if not is_book:
        return restore_from_export(path, place, actor, against_head)
    with Book.open(BookPlace(file=path), actor) as source, source.reading() as reader:
        rows = reader.rows(select_text("journal"))
        return restore_rows(rows, place, actor, against_head)


def restore_rows(
    rows: Iterable[JournalRow], place: BookPlace, actor: str, against_head: Head | None = None
) -> Book:
    """Make a book at a free place from journal rows in number order."""
    chain, head_seen = Chain(), against_head is None
    with new_book(place) as connection:
        for batch in _batches(rows):
            if chain.number == 0:
                first = dict(zip(_NAMES, batch[0], strict=True))
                if not re.fullmatch("[0-9a-f]{32}", first["origin_book"]):
                    raise Refused([_incomplete(chain, None)])
                identify(connection, first["origin_book"], first["recorded_at"])
            projected: Rows = {}
            for row, body in chain.walk(batch):
                gather(projected, project(row[0], row[2], row[3], row[7], body))
                head_seen = head_seen or (row[0], row[13]) == against_head
            if chain.problems:
                raise Refused(chain.problems)
            insert_rows(connection, "journal", batch)
            write(connection, projected)
        if chain.number == 0 or not head_seen:
            raise Refused([_incomplete(chain, against_head)])
    return Book.open(place, actor)


def _incomplete(chain: Chain, head: Head | None) -> Problem:
    if chain.number == 0 or head is None:
        return Problem(
            "not-a-book",
            "The file does not begin with the first entry of a book.",
            "Use a file written by export.",
        )
    sentence = f"Entry {head[0]} with the digest given is not in the file."
    return damage(f"head {head[0]}", sentence)


def _line(row: JournalRow) -> bytes:
    return canonical(dict(zip(_NAMES, row, strict=True))).encode() + b"\n"


def _row(line: bytes) -> JournalRow | None:
    """The row on a line, or None where it is not exactly the canonical form of one."""
    try:
        members = json.loads(line)
        row = tuple(members[name] for name in _NAMES)
    except (ValueError, KeyError, TypeError):
        return None
    kinds = (int if name in _WHOLE else str for name in _NAMES)
    fits = all(type(value) is kind for value, kind in zip(row, kinds, strict=True))
    return row if fits and _line(row) == line else None


def _batches(rows: Iterable[JournalRow]) -> Iterator[list[JournalRow]]:
    waiting = iter(rows)
    while batch := list(islice(waiting, BATCH)):
        yield batch
