"""On which local day an entry came into the book, looked up when it is asked for."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Mapping
from datetime import date, datetime
from zoneinfo import ZoneInfo

from ledger.book.reader import Reader


class RecordedDays(Mapping[int, date]):
    """The day of recording by entry number, in the shop's zone.

    Recording times never run backwards, so the first entry of each minute says them all; they are
    read once, at the first question.
    """

    def __init__(self, reader: Reader) -> None:
        self._reader = reader
        self._first: list[int] | None = None
        self._days: list[date] = []
        self._last = 0

    def _read(self) -> list[int]:
        if self._first is None:
            from ledger.book.inside import latest_settings

            zone = ZoneInfo(latest_settings(self._reader.connection).get("zone") or "UTC")
            self._first = []
            rows = self._reader.rows(
                "SELECT MIN(j.number), MIN(j.recorded_at), MAX(j.number) FROM journal j"
                " GROUP BY SUBSTR(j.recorded_at, 1, 16) ORDER BY 1"
            )
            for number, moment, last in rows:
                self._first.append(number)
                local = datetime.fromisoformat(moment).astimezone(zone)
                self._days.append(local.date())
                self._last = last
        return self._first

    def __getitem__(self, entry: int) -> date:
        first = self._read()
        if not 0 < entry <= self._last:
            raise KeyError(entry)
        return self._days[bisect_right(first, entry) - 1]

    def __iter__(self) -> Iterator[int]:
        self._read()
        return iter(range(1, self._last + 1))

    def __len__(self) -> int:
        self._read()
        return self._last
