"""Movements in the order they occurred, and where cylinders and circuits were, for balances."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from ledger.book.cut import Cut, Names
from ledger.book.reader import Reader
from ledger.book.recorded import Masters
from ledger.facts.masters import UNKNOWN, Master, Value

if TYPE_CHECKING:
    from ledger.answers.holdings import Home, Placed, Row

_COLUMNS = (
    "m.occurred_on, m.occurred_time, m.entry, m.line, m.source_kind, m.source_name,"
    " m.target_kind, m.target_name, m.refrigerant, m.mass, m.stock, m.owner, m.purpose"
)
_HOLDERS = ("cylinder", "circuit", "party")
_PLACES = ("place", "site", "party")
"""The kinds of thing a cylinder can be at."""


class Movements:
    """The movements that count, in order of day, entry and line; read anew for every pass.

    `sides` is the condition of each SELECT over the alias m, `values` what they name.
    """

    def __init__(
        self, reader: Reader, cut: Cut, names: Names, sides: tuple[str, ...] = ("1 = 1",),
        **values: str,
    ) -> None:  # fmt: skip
        self.reader = reader
        self.names = names
        self.values = cut.params(**values)
        parts = (
            f"SELECT {_COLUMNS} FROM movement m WHERE {side} AND {cut.counts('m')}"
            for side in sides
        )
        self.sql = f"{' UNION '.join(parts)} ORDER BY 1, 3, 4"

    def __iter__(self) -> Iterator[Row]:
        rows: Iterator[Row] = self.reader.rows(self.sql, self.values)
        return _followed(rows, self.names) if self.names.any_of(*_HOLDERS) else rows


def movements(reader: Reader, cut: Cut, names: Names | None = None) -> Movements:
    """Every movement that counts, streamed."""
    return Movements(reader, cut, names or Names(reader, cut))


def movements_of(reader: Reader, cut: Cut, kind: str, name: str) -> Movements:
    """The movements of one cylinder, circuit or party, found by the index."""
    names = Names(reader, cut)
    written = Masters(reader, cut, names).written(kind, name)
    marks = ", ".join(f":name{place}" for place in range(len(written)))
    values = {f"name{place}": text for place, text in enumerate(written)}
    sides = tuple(
        f"m.{side}_kind = :kind AND m.{side}_name IN ({marks})" for side in ("source", "target")
    )
    return Movements(reader, cut, names, sides, kind=kind, **values)


def _followed(rows: Iterator[Row], names: Names) -> Iterator[Row]:
    """The movements under the names of the records that were kept."""
    kept = names.kept
    for row in rows:
        day, time, entry, line, giver, source, taker, target, what, mass, stock, owner, why = row
        yield (
            day, time, entry, line, giver, kept(giver, source), taker, kept(taker, target), what,
            mass, stock, kept("party", owner), why,
        )  # fmt: skip


def placed(masters: Masters) -> Iterator[Placed]:
    """Every change of place of every cylinder, in the order it was recorded for each."""
    from ledger.answers.holdings import Placed

    for cylinder in masters.all("cylinder").values():
        for value in cylinder.history.get("place", ()):
            place = place_name(masters, value.value)
            yield Placed(value.since, cylinder.name, place, value.entry)


def place_name(masters: Masters, name: str) -> str:
    """The name of a place, site or party, joined records followed; empty where unknown."""
    if name == UNKNOWN:
        return ""
    for kind in _PLACES:
        if masters.names.any_of(kind):
            name = masters.names.kept(kind, name)
    return name


def homes(masters: Masters) -> dict[str, tuple[Home, ...]]:
    """Site and owner of every circuit through time, for balances by site or owner."""
    masters.all("unit")
    masters.all("site")
    return {one.name: homes_of(masters, one) for one in masters.all("circuit").values()}


def homes_of(masters: Masters, circuit: Master) -> tuple[Home, ...]:
    """Site and owner of one circuit through time: the unit's own owner, else the site's."""
    from ledger.answers.holdings import Home

    unit = masters.one("unit", circuit.text("unit"))
    if unit is None:
        return ()
    days = {"", *_starts(unit, "site"), *_starts(unit, "owner")}
    for value in unit.history.get("site", ()):
        site = masters.one("site", str(value.value))
        days |= {day for day in _starts(site, "owner") if day > value.since} if site else set()
    found: list[Home] = []
    for day in sorted(days):
        site = masters.one("site", unit.text("site", day))
        owner = unit.text("owner", day) or (site.text("owner", day) if site else "")
        home = Home(day, site.name if site else "", masters.names.kept("party", owner))
        if not found or found[-1][1:] != home[1:]:
            found.append(home)
    return tuple(found)


def _starts(master: Master, field: str) -> set[str]:
    values: list[Value] = master.history.get(field, [])
    return {value.since for value in values}
