"""Reads a book as it stood at one moment: entries, the head, and plain rows of a query."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any
from weakref import WeakSet

from sqlalchemy import Connection

from ledger.book.driver import Params, all_rows, one_row, stream
from ledger.book.schema import COLUMNS, select_text
from ledger.facts.entry import GENESIS, Entry

Head = tuple[int, str]
"""The number and the digest of the last entry; (0, GENESIS) for an empty journal."""

_COLUMNS = ",".join(COLUMNS["journal"])
_ASKED_AT_ONCE = 500


class Reader:
    """One moment of a book; made by `Book.reading` or, with what is not yet committed, `writing`.

    Everything it returns comes from one snapshot, whatever others write meanwhile.
    """

    def __init__(self, connection: Connection) -> None:
        self._connection = connection
        self._begun: WeakSet[Any] = WeakSet()
        # The first read fixes the snapshot on both engines.
        self._opened_at = _last(connection)

    @property
    def connection(self) -> Connection:
        """SQLAlchemy's connection, inside the transaction of this reader."""
        self._settle()
        return self._connection

    def head(self) -> Head:
        """Number and digest of the last entry, as printed on every report."""
        self._settle()
        number, digest, _ = _last(self._connection)
        return number, digest

    def entry(self, number: int) -> Entry | None:
        """The entry with this number, or None."""
        return self._entry("number = ?", number)

    def entry_by_key(self, key: str) -> Entry | None:
        """The entry that was recorded under this key, or None."""
        return self._entry("key = ?", key)

    def entries(self, first: int = 1, last: int | None = None) -> Iterator[Entry]:
        """Entries in number order, from `first` to `last` inclusive, read as they are asked for."""
        self._settle()
        end = self.head()[0] if last is None else last
        where = "number BETWEEN ? AND ?"
        for row in self._stream(select_text("journal", where), (first, end)):
            yield Entry(*row)

    def rows(self, sql: str, params: Params = ()) -> Iterator[tuple[Any, ...]]:
        """The rows of a query as plain tuples, streamed on both engines.

        The query is a SELECT. Write `?` for values given as a sequence, or `:name` for values
        given as a mapping.
        """
        self._settle()
        return self._stream(sql, params)

    def close(self) -> None:
        """End what nobody read to its end, such as a list into a pipe that was closed."""
        for one in list(self._begun):
            one.close()

    def _stream(self, sql: str, params: Params) -> Iterator[tuple[Any, ...]]:
        begun = stream(self._connection, sql, params)
        self._begun.add(begun)
        return begun

    def number_at(self, recorded_at: str) -> int:
        """The last entry recorded at or before a moment, 0 where there is none.

        `recorded_at` is UTC text as in an entry, "2026-03-30T16:05:09.123456Z". Recording
        times never run backwards in a book, so the number is found by halving.
        """
        low, high = 0, self.head()[0]
        while low < high:
            middle = (low + high + 1) // 2
            found = one_row(
                self._connection, "SELECT recorded_at FROM journal WHERE number = ?", (middle,)
            )
            if found is not None and found[0] <= recorded_at:
                low = middle
            else:
                high = middle - 1
        return low

    def reversed_lines(self, number: int) -> list[tuple[int, int]]:
        """The lines of an entry that were taken back, each with the entry that did it."""
        self._settle()
        sql = "SELECT target_line, entry FROM reversal WHERE target_entry = ? ORDER BY target_line"
        return [(line, entry) for line, entry in all_rows(self._connection, sql, (number,))]

    def keys_present(self, keys: Sequence[str]) -> dict[str, int]:
        """Those of the keys that are recorded, each with its entry number."""
        self._settle()
        present: dict[str, int] = {}
        values: Params
        for start in range(0, len(keys), _ASKED_AT_ONCE):
            asked = tuple(keys[start : start + _ASKED_AT_ONCE])
            if self._connection.dialect.name == "sqlite":
                among, values = f"IN ({','.join('?' * len(asked))})", asked
            else:
                # One list is read much faster by the driver than hundreds of values.
                among, values = "= ANY(?)", (list(asked),)
            sql = f"SELECT key, number FROM journal WHERE key {among}"
            present.update(all_rows(self._connection, sql, values))
        return present

    def _entry(self, where: str, value: int | str) -> Entry | None:
        self._settle()
        row = one_row(self._connection, f"SELECT {_COLUMNS} FROM journal WHERE {where}", (value,))
        return None if row is None else Entry(*row)

    def _settle(self) -> None:
        """What a writer does before it reads: nothing here."""


def _last(connection: Connection) -> tuple[int, str, str]:
    row = one_row(
        connection,
        "SELECT number, digest, recorded_at FROM journal ORDER BY number DESC LIMIT 1",
    )
    return (0, GENESIS, "") if row is None else (row[0], row[1], row[2])
