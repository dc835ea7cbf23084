"""Checks a whole book against itself, and makes its query tables again from the journal."""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from multiprocessing import get_context

from ledger.book.chain import Chain, damage
from ledger.book.differences import REMEDY, differences
from ledger.book.driver import all_rows
from ledger.book.engine import BookPlace
from ledger.book.guards import guard_problems
from ledger.book.journal import Book, Head, Reader, older_book
from ledger.book.projections import Rows, project
from ledger.book.refill import gather, refill
from ledger.book.schema import FORMAT, PROJECTIONS, select_text
from ledger.facts.problems import Problem, Refused

MOST_PROBLEMS = 20
"""Problems told at most; a damaged book has few causes and many effects."""
TWO_PROCESSES_FROM = 50_000
"""Entries from which a second process takes a part of the work."""
CHUNK = 2_000
"""Entries held in memory at once."""
_OWN_SHARE = 36
"""Percent of the entries checked here; the engine's integrity check is done here as well."""
_SHORTEST_DIGEST = 12
_MAPPED = 1 << 36
"""Bytes of a file that may be mapped while it is checked; SQLite keeps to its own limit."""


def verify(book: Book, against_head: Head | None = None) -> list[Problem]:
    """Everything that is wrong with a book, at most MOST_PROBLEMS; empty for a sound one.

    Checked: the engine's own integrity, the guard triggers, that numbers run without a gap,
    each link and digest of the chain, the canonical bodies, what identifies the book, and every
    row of the query tables made again and compared. `against_head` is a (number, digest) printed
    on an earlier report: a chain alone cannot see that its tail was cut or written anew. At
    least the first 12 characters of its digest are needed.
    """
    with book.reading() as reader:
        last = reader.head()[0]
    if last > TWO_PROCESSES_FROM:
        problems = _verify_in_two(book, last, against_head)
    else:
        problems = _whole(book, last, against_head) + _part(book, 1, last)
    return list(dict.fromkeys(problems))[:MOST_PROBLEMS]


def rebuild(book: Book) -> None:
    """Make every query table again from the journal, in one transaction.

    Refused with `book-older` for a book without these tables, `book-damaged` where an entry
    cannot be read, `book-read-only` without the owner's rights.
    """
    if book.older:
        raise older_book(book.place)
    with book.locked() as connection:
        try:
            refill(connection)
        except (KeyError, TypeError, ValueError) as error:
            raise Refused(
                [damage("journal", f"An entry of the journal cannot be read ({error}).")]
            ) from error


def _verify_in_two(book: Book, last: int, against_head: Head | None) -> list[Problem]:
    """The upper entries in a second process, the rest here."""
    middle = last * _OWN_SHARE // 100
    with ProcessPoolExecutor(1, mp_context=get_context("spawn")) as pool:
        upper = pool.submit(_part_of_place, book.place, middle + 1, last)
        problems = _whole(book, last, against_head) + _part(book, 1, middle)
        try:
            return problems + upper.result()
        except BrokenProcessPool:
            # A program that cannot be started a second time still verifies, only slower.
            return problems + _part(book, middle + 1, last)


def _part_of_place(place: BookPlace, first: int, last: int) -> list[Problem]:
    with Book.open(place, "") as book:
        return _part(book, first, last)


def _whole(book: Book, last: int, against_head: Head | None) -> list[Problem]:
    """What concerns the book as a whole."""
    with book.reading() as reader:
        problems = _integrity(reader) + guard_problems(reader.connection)
        problems += _identity(reader, book)
        if against_head is not None:
            problems += _head(reader, against_head)
        if not book.older:
            problems += _beyond(reader)
    return problems


def _integrity(reader: Reader) -> list[Problem]:
    if reader.connection.dialect.name == "sqlite":
        # The check goes to and fro between indexes and tables; a file mapped whole spares copies.
        all_rows(reader.connection, f"PRAGMA mmap_size = {_MAPPED}")
        says = [text for (text,) in reader.rows("PRAGMA integrity_check(10)")]
        return [damage("database", f"SQLite says: {text}.") for text in says if text != "ok"]
    rows = all_rows(reader.connection, "SELECT count(*), coalesce(max(number), 0) FROM journal")
    count, highest = rows[0]
    if count == highest:
        return []
    return [damage("journal", f"The journal holds {count} entries and numbers up to {highest}.")]


def _identity(reader: Reader, book: Book) -> list[Problem]:
    first = reader.entry(1)
    if first is None:
        return [damage("journal entry 1", "Entry 1 is missing.")]
    known = dict(reader.rows("SELECT name, value FROM meta"))
    wanted = {"book": first.origin_book, "created_at": first.recorded_at, "format": FORMAT}
    return [
        damage(f"meta {name}", f"The book's {name} is {known.get(name)!r}, not {value!r}.")
        for name, value in wanted.items()
        if known.get(name) != value
    ]


def _head(reader: Reader, head: Head) -> list[Problem]:
    number, digest = head
    entry = reader.entry(number)
    where = f"head {number}"
    if entry is None:
        last = reader.head()[0]
        return [damage(where, f"The book ends at entry {last}; entry {number} was there once.")]
    if len(digest) < _SHORTEST_DIGEST or not entry.digest.startswith(digest):
        return [damage(where, f"Entry {number} is not the one whose digest was printed.")]
    return []


def _beyond(reader: Reader) -> list[Problem]:
    """Rows of the query tables that no entry of this moment can have made."""
    last = reader.head()[0]
    problems = []
    for table in PROJECTIONS:
        sql = f"SELECT entry FROM {table} WHERE entry < 1 OR entry > ? ORDER BY entry LIMIT 1"
        for (entry,) in all_rows(reader.connection, sql, (last,)):
            sentence = f"The query table {table} has rows of entry {entry}, which is not there."
            problems.append(Problem("book-damaged", sentence, REMEDY, f"{table} entry {entry}"))
    return problems


def _part(book: Book, first: int, last: int) -> list[Problem]:
    """The entries from `first` to `last`, each with its link to the one before."""
    with book.reading() as reader:
        before = reader.entry(first - 1) if first > 1 else None
        chain = Chain(first - 1)
        if before is not None:
            chain.digest, chain.recorded_at = before.digest, before.recorded_at
        problems: list[Problem] = []
        for start in range(first, last + 1, CHUNK):
            span = (start, min(start + CHUNK - 1, last))
            problems += _chunk(reader, chain, span, () if book.older else tuple(PROJECTIONS))
            if len(problems) + len(chain.problems) > MOST_PROBLEMS:
                break
    return chain.problems + problems


def _chunk(
    reader: Reader, chain: Chain, span: tuple[int, int], tables: Sequence[str]
) -> list[Problem]:
    where = "number BETWEEN ? AND ?"
    rows = all_rows(reader.connection, select_text("journal", where), span)
    expected: Rows = {}
    problems: list[Problem] = []
    for row, body in chain.walk(rows):
        try:
            gather(expected, project(row[0], row[2], row[3], row[7], body))
        except (KeyError, TypeError, ValueError, AttributeError) as error:
            sentence = f"Entry {row[0]} holds a fact that cannot be read ({error})."
            problems.append(damage(f"journal entry {row[0]}", sentence))
    for table in tables:
        stored = all_rows(reader.connection, select_text(table, "entry BETWEEN ? AND ?"), span)
        problems += differences(table, expected.get(table, []), stored)
    return problems
