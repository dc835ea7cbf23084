"""A checked copy of a book, taken while others go on writing."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from ledger.book.driver import raw_connection
from ledger.book.engine import BookPlace
from ledger.book.export import export_journal, restore, restore_from_export
from ledger.book.files import appearing
from ledger.book.journal import Book, Head
from ledger.book.verify import verify
from ledger.facts.problems import Refused

__all__ = ["Copy", "backup", "export_journal", "restore", "restore_from_export"]


@dataclass(frozen=True, slots=True)
class Copy:
    """A backup that was written and checked: where it is, and the head it holds."""

    path: Path
    head: Head


def backup(book: Book, target: Path) -> Copy:
    """Copy the book as it stands at this moment to a new file and check the copy.

    A SQLite book becomes a SQLite file that opens as a book; a PostgreSQL book becomes its
    exported journal, which `restore` makes a book of. Refused with `book-exists` where the file
    is there, `book-damaged` with what verify found where the copy is not sound; then no file
    is left.
    """
    if book.place.is_file:
        return _copy_of_file(book, target)
    return Copy(target, export_journal(book, target))


def _copy_of_file(book: Book, target: Path) -> Copy:
    with appearing(target) as part:
        with book.reading() as reader, closing(sqlite3.connect(part)) as copy:
            head = reader.head()
            # All pages in one step: the copy is the snapshot of this reader.
            raw_connection(reader.connection).backup(copy, pages=-1)
        with Book.open(BookPlace(file=part), book.actor) as copied:
            problems = verify(copied, head)
        if problems:
            raise Refused(problems)
    return Copy(target, head)
