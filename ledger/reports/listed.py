"""What the flat lists share: which lines they hold, and what each line's entry says beside it."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from ledger.book.cut import Cut, Names
from ledger.book.recorded import Masters
from ledger.book.timeline import homes, place_name
from ledger.reports.table import Column

if TYPE_CHECKING:
    from ledger.book.reader import Reader

Line = tuple[Any, ...]


@dataclass(frozen=True, slots=True)
class Wanted:
    """What a list is kept to, in names of the book; what is empty keeps everything.

    `circuits` are those of one unit. `owner` is of the unit or of the refrigerant, `person` the
    technician or the supervisor, `place` where a cylinder was on the day. `first` and `last`
    are ISO days. `reversed` lists the lines that were taken back, too.
    """

    site: str = ""
    owner: str = ""
    refrigerant: str = ""
    circuits: frozenset[str] = frozenset()
    cylinder: str = ""
    person: str = ""
    place: str = ""
    first: str = ""
    last: str = ""
    reversed: bool = False

    def keeps(self, row: dict[str, Any], cylinders: tuple[str, ...], places: set[str]) -> bool:
        """Whether a row is listed, by the names in it."""
        return (
            (not self.site or row["site"] == self.site)
            and (not self.owner or self.owner in (row["owner"], row.get("refrigerant_owner")))
            and (not self.refrigerant or row["refrigerant"] == self.refrigerant)
            and (not self.circuits or row["circuit"] in self.circuits)
            and (not self.cylinder or self.cylinder in cylinders)
            and (not self.person or self.person in (row["technician"], row["supervisor"]))
            and (not self.place or self.place in places)
        )


HEAD_COLUMNS = (
    Column("entry", "Entry", "whole"),
    Column("line", "Line", "whole"),
    Column("day", "Day", "date"),
    Column("time", "Time", "time"),
    Column("recorded", "Recorded", "moment", "UTC"),
)
"""What every list begins with; a line is counted from 1."""
PEOPLE_COLUMNS = (
    Column("technician", "Technician"),
    Column("supervisor", "Supervised by"),
    Column("typed_by", "Typed by"),
    Column("ticket", "Ticket"),
)
TAIL_COLUMNS = (
    Column("reversed_by", "Reversed by", "whole"),
    Column("source_file", "Source file"),
    Column("source_row", "Source row", "whole"),
    Column("note", "Note"),
)
"""What every list ends with."""


class Lines:
    """The lines of one query table with their entries, in order of day, entry and line."""

    def __init__(self, reader: Reader, cut: Cut, wanted: Wanted) -> None:
        self.reader, self.cut, self.wanted = reader, cut, wanted
        self.names = Names(reader, cut)
        self.masters = Masters(reader, cut, self.names)
        self._homes: dict[str, tuple[Any, ...]] | None = None
        self._places: dict[str, list[tuple[str, int, str]]] | None = None
        self._content: tuple[int, dict[str, Any]] = (0, {})

    def read(
        self, table: str, columns: str, where: str = "", order: str = ""
    ) -> Iterator[tuple[Line, dict[str, Any], dict[str, Any]]]:
        """Each line's own columns, the row begun with what its entry says, and the fact itself.

        `columns` and `where` name the table t; its entry, line, day and time come of themselves.
        """
        cut, wanted = self.cut, self.wanted
        join = "r.target_entry = t.entry AND r.target_line = t.line"
        kept = [where] if where else []
        if cut.known_at:
            join += " AND r.entry <= :known_at"
            kept.append("t.entry <= :known_at")
        last = min(filter(None, (cut.as_of, wanted.last)), default="")
        kept += ["t.occurred_on >= :first"] if wanted.first else []
        kept += ["t.occurred_on <= :last"] if last else []
        kept += [] if wanted.reversed else ["r.entry IS NULL"]
        sql = (
            "SELECT t.entry, t.line, t.occurred_on, t.occurred_time, j.recorded_at, j.actor,"
            f" j.person, j.body, r.entry, {columns} FROM {table} t JOIN journal j ON"
            f" j.number = t.entry LEFT JOIN reversal r ON {join}"
            f"{' WHERE ' if kept else ''}{' AND '.join(kept)}"
            f" ORDER BY t.occurred_on, t.entry, t.line{order}"
        )
        values = cut.params(first=wanted.first, last=last)
        for entry, line, day, time, recorded, actor, person, body, gone, *own in self.reader.rows(
            sql, values
        ):
            content = self._content_of(entry, body)
            get = content.get
            file, _, number = get("source", "").rpartition("!")
            row = {
                "entry": entry, "line": line + 1, "day": day, "time": time or None,
                "recorded": recorded, "action": content["verb"],
                "technician": self.names.kept("person", person) if person else None,
                "supervisor": get("supervisor"), "typed_by": actor, "ticket": get("ticket"),
                "reversed_by": gone, "source_file": file or None,
                "source_row": int(number) if number.isdecimal() else number or None,
                "note": get("note"), "site": None, "owner": None, "unit": None, "circuit": None,
            }  # fmt: skip
            yield tuple(own), row, content["facts"][line]

    def _content_of(self, entry: int, body: str) -> dict[str, Any]:
        """The content of an entry, read once for all its lines, which follow each other."""
        if self._content[0] != entry:
            self._content = (entry, json.loads(body))
        return self._content[1]

    def receipt(self, cylinder: str) -> dict[str, Any]:
        """The paper behind a cylinder received by the entry that was read last."""
        for fact in self._content[1]["facts"]:
            if fact["type"] == "receipt" and fact["cylinder"] == cylinder:
                found: dict[str, Any] = fact
                return found
        return {}

    def put_circuit(self, row: dict[str, Any], circuit: str) -> None:
        """Fill in a circuit with its unit, and the site and owner of the day."""
        if self._homes is None:
            self._homes = homes(self.masters)
        row["circuit"] = circuit
        master = self.masters.one("circuit", circuit)
        row["unit"] = (master.text("unit") if master else "") or None
        for home in self._homes.get(circuit, ()):
            if home.since > row["day"]:
                break
            row["site"], row["owner"] = home.site or None, home.owner or None

    def place_of(self, cylinder: str, day: str, entry: int) -> str:
        """Where a cylinder was once an entry of a day was recorded; empty where nobody said."""
        if self._places is None:
            self._places = {
                one.name: [
                    (value.since, value.entry, place_name(self.masters, value.value))
                    for value in one.history.get("place", ())
                ]
                for one in self.masters.all("cylinder").values()
            }
        found = ""
        for since, by, place in self._places.get(cylinder, ()):
            if (since, by) > (day, entry):
                break
            found = place
        return found


@lru_cache(maxsize=4096)
def unit_of(written: str) -> str:
    """The units an amount was written in: "lb oz" of "4 lb 8 oz"."""
    return " ".join(word for word in written.split() if word.isalpha())
