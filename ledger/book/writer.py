"""Appends entries to a book: one unit of work that is recorded whole or not at all."""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sqlalchemy import Connection

from ledger.book.driver import insert_rows, one_row
from ledger.book.fit import canonical_text, check_counts, checked_digest, clean
from ledger.book.projections import Row, Rows, project
from ledger.book.reader import Head, Reader
from ledger.book.refill import gather, write
from ledger.facts.entry import Draft, Entry
from ledger.facts.facts import Reversal
from ledger.facts.problems import Refused, refuse

if TYPE_CHECKING:
    from concurrent.futures import Future, ThreadPoolExecutor

FLUSH_ENTRIES = 2_000
"""Entries that wait in memory before they are written in one go."""

_RECORDED_AT = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{6}Z")


@dataclass(frozen=True, slots=True)
class Origin:
    """Where an entry was first recorded, for one merged from another book."""

    book: str
    number: int
    digest: str


class Writer(Reader):
    """The one writer of a book for the length of a transaction; made by `Book.writing`.

    Reading through it shows what it has appended. `rollback` makes the whole of it a dry run.
    """

    def __init__(self, connection: Connection, book_id: str, actor: str) -> None:
        super().__init__(connection)
        self._book_id = book_id
        self._actor = actor
        self._number, self._digest, self._recorded_at = self._opened_at
        self._checked_at = self._recorded_at
        self._journal: list[Row] = []
        self._projected: Rows = {}
        self._waiting_keys: dict[str, int] = {}
        self._absent: set[str] = set()
        self._beside: ThreadPoolExecutor | None = None
        self._begun_beside: Future[None] | None = None
        self.undone = False
        """True once `rollback` was called: nothing of this writer is kept."""
        self.failure: BaseException | None = None
        """What went wrong while writing; the transaction is not committed after it."""

    def append(self, draft: Draft, recorded_at: str, origin: Origin | None = None) -> Entry:
        """Record one entry and return it with its number and digest; see `append_row`."""
        return Entry(*self.append_row(draft, recorded_at, origin))

    def append_row(
        self, draft: Draft, recorded_at: str, origin: Origin | None = None
    ) -> tuple[Any, ...]:
        """Record one entry and return its row of the journal.

        `recorded_at` is UTC text, "2026-03-30T16:05:09.123456Z". Where the clock has gone back
        since the last entry, the last entry's time is recorded instead: the order of numbers
        and the order of recording are one order. Refused with `key-reused` where the key is
        recorded (look first with `entry_by_key` or `keys_present`), `no-such-entry` or
        `already-reversed` for a reversal without its line, `text-unfit`, `value-unclear` or
        `amount-absurd` for what the journal cannot keep. After a refusal nothing of the draft
        is recorded and the writer can go on.
        """
        if self.undone or self.failure is not None:
            raise RuntimeError("This unit of work is over; open another with Book.writing().")
        key = draft.key
        self._refuse_known(key)
        body = draft.body()
        text = canonical_text(body)
        recorded_at = self._not_before(recorded_at)
        number = self._number + 1
        origin = origin or Origin(self._book_id, 0, "")
        header = (
            number, key, draft.occurred_on, draft.occurred_time, draft.zone, recorded_at,
            self._actor, draft.person, origin.book, origin.number, origin.digest,
        )  # fmt: skip
        digest = checked_digest(self._digest, header, text)
        rows = project(number, draft.occurred_on, draft.occurred_time, draft.person, body)
        check_counts(rows)
        if "reversal" in rows:
            self._check_reversals(draft)
        row = (*header, text, self._digest, digest)
        self._journal.append(row)
        gather(self._projected, rows)
        self._waiting_keys[key] = number
        self._absent.discard(key)
        self._number, self._digest, self._recorded_at = number, digest, recorded_at
        if len(self._journal) >= FLUSH_ENTRIES:
            if self._beside is None:
                self.flush()
            else:
                self._flush_beside(self._beside)
        return row

    def append_all(self, drafts: Iterable[Draft], recorded_at: str) -> None:
        """Record entries one after another; see `append_row`.

        A server takes some of them in while the next ones are made; all that was given to it is
        there when this returns or raises.
        """
        if self._connection.dialect.name == "sqlite":
            for draft in drafts:
                self.append_row(draft, recorded_at)
            return
        from concurrent.futures import ThreadPoolExecutor

        with ThreadPoolExecutor(1) as pool:
            self._beside = pool
            try:
                for draft in drafts:
                    self.append_row(draft, recorded_at)
            finally:
                self._beside = None
                self._caught_up()

    def head(self) -> Head:
        """Number and digest of the last entry appended, whether it is written yet or waits."""
        return self._number, self._digest

    def entry_by_key(self, key: str) -> Entry | None:
        """The entry that was recorded under this key, or None."""
        return None if key in self._absent else super().entry_by_key(key)

    def keys_present(self, keys: Sequence[str]) -> dict[str, int]:
        """Those of the keys that are recorded, each with its entry number.

        The others are remembered, so that appending under them needs no second look.
        """
        present = super().keys_present(keys)
        self._absent = set(keys) - present.keys()
        return present

    def flush(self) -> None:
        """Write what waits into the journal and the query tables, in this transaction."""
        self._caught_up()
        if not self._journal:
            return
        waiting, projected = self._taken()
        try:
            self._insert(waiting, projected)
        except BaseException as error:
            self._failed(error)
            raise

    def _taken(self) -> tuple[list[Row], Rows]:
        """What waits, which waits no longer."""
        taken = self._journal, self._projected
        self._journal, self._projected, self._waiting_keys = [], {}, {}
        return taken

    def _insert(self, waiting: list[Row], projected: Rows) -> None:
        insert_rows(self._connection, "journal", waiting)
        write(self._connection, projected)

    def _failed(self, error: BaseException) -> None:
        self.failure = error
        refusal = _conflict(error)
        if refusal is not None:
            raise refusal from error

    def _flush_beside(self, pool: ThreadPoolExecutor) -> None:
        """Begin to write what waits; nothing else is asked of the connection meanwhile."""
        self._caught_up()
        self._begun_beside = pool.submit(self._insert, *self._taken())

    def _caught_up(self) -> None:
        """Wait for what is being written."""
        begun, self._begun_beside = self._begun_beside, None
        if begun is None:
            return
        try:
            begun.result()
        except BaseException as error:
            self._failed(error)
            raise

    def rollback(self) -> None:
        """Keep nothing of this unit of work: the end of a dry run, after which it is not read."""
        self._caught_up()
        self.undone = True
        self._journal, self._projected, self._waiting_keys = [], {}, {}

    def _settle(self) -> None:
        self.flush()

    def _refuse_known(self, key: str) -> None:
        if key in self._absent:
            return
        number = self._waiting_keys.get(key)
        if number is None:
            self._caught_up()
            found = one_row(
                self._connection, "SELECT number FROM journal WHERE key = ?", (clean(key),)
            )
            number = None if found is None else found[0]
        if number is not None:
            raise _key_reused(key, f" as entry {number}")

    def _not_before(self, recorded_at: str) -> str:
        if recorded_at != self._checked_at:
            if not _RECORDED_AT.fullmatch(recorded_at):
                raise refuse(
                    "value-unclear",
                    f"The recording time {recorded_at!r} is not UTC with six decimals.",
                    'Write it as "2026-03-30T16:05:09.123456Z".',
                )
            self._checked_at = recorded_at
        return max(recorded_at, self._recorded_at)

    def _check_reversals(self, draft: Draft) -> None:
        """Each line taken back is there, and is taken back for the first time."""
        self.flush()
        for fact in draft.facts:
            if not isinstance(fact, Reversal):
                continue
            target = self.entry(fact.entry)
            lines = len(target.content()["facts"]) if target else 0
            gone = dict(self.reversed_lines(fact.entry))
            for line in fact.lines:
                if not 0 <= line < lines:
                    raise refuse(
                        "no-such-entry",
                        f"Entry {fact.entry} has no line {line + 1} in this book.",
                        "Look at the entry with show, then name its lines.",
                    )
                if line in gone:
                    raise _already_reversed(
                        f"Line {line + 1} of entry {fact.entry} was already taken back"
                        f" by entry {gone[line]}."
                    )
                gone[line] = self._number + 1


def _conflict(error: BaseException) -> Refused | None:
    """The refusal behind a broken uniqueness, which another writer's entry can cause."""
    clash = isinstance(error, sqlite3.IntegrityError)
    clash = clash or str(getattr(error, "sqlstate", "")).startswith("23")
    words = str(error)
    if not clash or "tarebook: " in words:
        return None
    if "reversal" in words:
        return _already_reversed("A line that this entry takes back was taken back before.")
    if "journal.key" in words or "journal_key" in words:
        return _key_reused("of this entry", "")
    return None


def _already_reversed(sentence: str) -> Refused:
    return refuse("already-reversed", sentence, "Record the facts again as they are now.")


def _key_reused(key: str, where: str) -> Refused:
    return refuse(
        "key-reused",
        f"The key {key} is already recorded{where}.",
        "Use another key, or leave it out and one is made.",
    )
