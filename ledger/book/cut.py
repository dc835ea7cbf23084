"""Which lines of a book count: what had occurred by a day, as far as it was known by an entry."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass

from ledger.book.reader import Reader
from ledger.facts.masters import folded


@dataclass(frozen=True, slots=True)
class Cut:
    """The two times of an answer.

    `as_of` is an ISO day at the site, empty for no end. `known_at` is the number of the last
    entry that counts, 0 for all of them, -1 for none (see `known_by`).
    """

    as_of: str = ""
    known_at: int = 0

    def counts(self, alias: str, occurred: bool = True) -> str:
        """The SQL condition that a line of a query table counts, for `params` of this cut.

        A line counts that is not taken back by an entry known then. `occurred` is False for
        what holds by its own dates whenever it was recorded: descriptions, joined records.
        """
        gone = f"r.target_entry = {alias}.entry AND r.target_line = {alias}.line"
        wanted = []
        if self.known_at:
            gone += " AND r.entry <= :known_at"
            wanted.append(f"{alias}.entry <= :known_at")
        if self.as_of and occurred:
            wanted.append(f"{alias}.occurred_on <= :as_of")
        wanted.append(f"NOT EXISTS (SELECT 1 FROM reversal r WHERE {gone})")
        return " AND ".join(wanted)

    def params(self, **others: str | int) -> dict[str, str | int]:
        """The values that the condition names, with those of the rest of a query."""
        return {"as_of": self.as_of, "known_at": self.known_at, **others}


def known_by(reader: Reader, recorded_at: str) -> int:
    """`known_at` for what was recorded by a moment (UTC text): -1 where nothing was yet."""
    return reader.number_at(recorded_at) or -1


class _Kept(dict[str, str]):
    """Names of one kind, each with the name it stands for; made as they are asked for."""

    def __init__(self, joined: Mapping[str, str]) -> None:
        super().__init__()
        self.joined = joined

    def __missing__(self, name: str) -> str:
        found, seen = name, {folded(name)}
        while (after := self.joined.get(folded(found))) and folded(after) not in seen:
            found = after
            seen.add(folded(after))
        self[name] = found
        return found


class Names:
    """The names of joined records, followed to the record that was kept.

    A record is joined in the answer as soon as that is known, whatever day the answer is for:
    the two were one thing all the time.
    """

    def __init__(self, reader: Reader, cut: Cut) -> None:
        joined: dict[str, dict[str, str]] = {}
        rows = reader.rows(
            "SELECT s.body FROM service s WHERE s.type = 'joined' AND"
            f" {cut.counts('s', occurred=False)} ORDER BY s.entry, s.line",
            cut.params(),
        )
        for (text,) in rows:
            body = json.loads(text)
            joined.setdefault(body["kind"], {})[folded(body["name"])] = body["kept"]
        self._joined = joined
        self._kept = {kind: _Kept(names) for kind, names in joined.items()}

    def kept(self, kind: str, name: str) -> str:
        """The record a name stands for."""
        names = self._kept.get(kind)
        return names[name] if names is not None else name

    def any_of(self, *kinds: str) -> bool:
        """Whether records of any of the kinds were joined."""
        return any(kind in self._joined for kind in kinds)

    def away(self, kind: str) -> dict[str, str]:
        """The folded names of the records of a kind that were joined into another."""
        return self._joined.get(kind, {})
