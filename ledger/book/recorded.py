"""Masters as they stood at a cut: sites, units, circuits, cylinders with their dated values."""

from __future__ import annotations

import gc
import json
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from typing import Any

from ledger.book.cut import Cut, Names
from ledger.book.reader import Reader
from ledger.facts.masters import Master, folded

_COLUMNS = "d.entry, d.line, d.name, d.folded, d.since, d.provisional, d.fields"


class Masters:
    """The masters of a book at a cut, read one by one or a whole kind at once, and kept.

    A description holds by its own `since`, whatever day it was recorded on; the cut's entry
    number decides what was known.
    """

    def __init__(self, reader: Reader, cut: Cut, names: Names) -> None:
        self.reader = reader
        self.cut = cut
        self.names = names
        self._whole: dict[str, dict[str, Master]] = {}
        self._single: dict[tuple[str, str], Master | None] = {}

    def all(self, kind: str) -> dict[str, Master]:
        """Every master of a kind by its folded name, those joined into another left out."""
        found = self._whole.get(kind)
        if found is None:
            with _collecting_later():
                found = _added_up(kind, self._rows("d.kind = :kind", kind=kind))
            for name in self.names.away(kind):
                found.pop(name, None)
            self._whole[kind] = found
        return found

    def one(self, kind: str, name: str) -> Master | None:
        """The master of a name, joined records followed, or None."""
        fold = folded(self.names.kept(kind, name))
        if kind in self._whole:
            return self._whole[kind].get(fold)
        key = (kind, fold)
        if key not in self._single:
            rows = self._rows("d.kind = :kind AND d.folded = :folded", kind=kind, folded=fold)
            self._single[key] = _added_up(kind, rows).get(fold)
        return self._single[key]

    def written(self, kind: str, name: str) -> list[str]:
        """Every spelling under which the journal may name a record: its own, and joined ones'."""
        kept = folded(self.names.kept(kind, name))
        away = [one for one in self.names.away(kind) if folded(self._kept_of(kind, one)) == kept]
        found = {name, self.names.kept(kind, name)}
        for fold in away:
            rows = self._rows("d.kind = :kind AND d.folded = :folded", kind=kind, folded=fold)
            found.update(row[2] for row in rows)
        return sorted(found)

    def _kept_of(self, kind: str, fold: str) -> str:
        return self.names.kept(kind, self.names.away(kind)[fold])

    def _rows(self, where: str, **values: str) -> Iterable[tuple[Any, ...]]:
        return self.reader.rows(
            f"SELECT {_COLUMNS} FROM described d WHERE {where}"
            f" AND {self.cut.counts('d', occurred=False)} ORDER BY d.entry, d.line",
            self.cut.params(**values),
        )


@contextmanager
def _collecting_later() -> Iterator[None]:
    """Put off the search for cycles while a great many records without any are made.

    It would go through all of them again and again: half the time of reading 20,000 circuits.
    """
    searching = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if searching:
            gc.enable()


def _added_up(kind: str, rows: Iterable[tuple[Any, ...]]) -> dict[str, Master]:
    found: dict[str, Master] = {}
    for entry, line, name, fold, since, provisional, fields in rows:
        master = found.get(fold)
        if master is None:
            master = found[fold] = Master(kind, name)
        master.describe(json.loads(fields), since, provisional == "yes", entry, line)
    return found
