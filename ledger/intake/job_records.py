"""Reads what tells jobs apart: from a draft, and from the movements that a book holds."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date
from typing import TYPE_CHECKING, Any

from ledger.facts.facts import Evidence, Movement
from ledger.facts.masters import Master, folded
from ledger.intake.addresses import Address, address_of, is_street
from ledger.intake.same_job import NOWHERE, WAYS, Place, Record, circuit_key, ticket_key

if TYPE_CHECKING:
    from ledger.book.known import BookKnown
    from ledger.book.reader import Reader
    from ledger.facts.entry import Draft

_COLUMNS = (
    "m.entry, m.line, m.occurred_on, m.occurred_time, m.ticket, m.purpose, m.source_kind,"
    " m.source_name, m.target_kind, m.target_name, m.refrigerant, m.mass, m.evidence"
)
_PURPOSES = ", ".join(f"'{purpose}'" for purpose in WAYS)
_STANDING = (
    "NOT EXISTS (SELECT 1 FROM reversal r"
    " WHERE r.target_entry = m.entry AND r.target_line = m.line)"
)
_WEIGHED = ("gross", "stages")
FIRST_DAY, LAST_DAY = "0000-00-00", "9999-99-99"
"""Days before and after all others."""


class Places:
    """Where circuits are, by their names in the book; made for one unit of work.

    A circuit stands at the site of its unit now: where it once stood does not part two
    records of one job.
    """

    def __init__(self, known: BookKnown) -> None:
        self.known = known
        self._of: dict[str, Place] = {}
        self._cylinders: dict[str, str] = {}

    def at(self, holder: str, site: str = "") -> Place:
        """The place of a holder; `site` is what a record says where the book has none.

        Of what is no circuit, nowhere.
        """
        return self.of(holder[8:], site) if holder.startswith("circuit:") else NOWHERE

    def of(self, circuit: str, site: str = "") -> Place:
        """The place of a circuit."""
        found = self._of.get(circuit)
        if found is None:
            found = self._place(circuit, site)
            if self.in_book(circuit):
                self._of[circuit] = found
        return found

    def in_book(self, circuit: str) -> bool:
        """Whether the book has a circuit, so that its place is not what one row says of it."""
        return self.known.master("circuit", circuit) is not None

    def cylinder(self, name: str) -> str:
        """The name that a cylinder is compared by; the kept one of two that were joined."""
        found = self._cylinders.get(name)
        if found is None:
            master = self.known.master("cylinder", name)
            found = self._cylinders[name] = folded(master.name if master else name)
        return found

    def _place(self, name: str, site: str) -> Place:
        known = self.known
        circuit = known.master("circuit", name)
        name = circuit.name if circuit is not None else name
        unit = known.master("unit", (circuit.text("unit") if circuit else "") or name.split("/")[0])
        named = (unit.text("site") if unit else "") or site
        master = known.master("site", named) if named else None
        named = master.name if master is not None else named
        own = address_of(_without_letter(name))
        if own is not None and named and not own.kind:
            own = None  # "3 ton rooftop" of a site is no house number
        around = _addresses(named, master)
        is_unit = own is None and circuit_key(name) != circuit_key(named)
        return Place(circuit_key(name), folded(named), own, around, is_unit)


def _without_letter(name: str) -> str:
    """A circuit's name without the letter of the circuit: "411 Cordwain Ln/A" is a house."""
    head, slash, letter = name.rpartition("/")
    return head if slash and len(letter) < 3 and not letter.isdigit() else name


def _addresses(site: str, master: Master | None) -> tuple[Address, ...]:
    """The addresses of a site: as recorded, and its name where that is one."""
    found: dict[Address, None] = {}
    text = master.text("address") if master is not None else ""
    while text:
        if (address := address_of(text.strip())) is not None:
            found[address] = None
            break
        text = text.partition(",")[2]
    if is_street(site) and (address := address_of(site)) is not None:
        found[address] = None
    return tuple(found)


def record_of(draft: Draft, line: int, place: Place, places: Places, entry: int = 0) -> Record:
    """One charge or recovery of a draft whose names are those of the book."""
    fact = draft.facts[line]
    assert isinstance(fact, Movement)
    way = WAYS[fact.purpose]
    cylinder = fact.target if way == 1 else fact.source
    return Record(
        way, ordinal(draft.occurred_on), fact.mass.mass, fact.refrigerant, place,
        places.cylinder(cylinder[9:]) if cylinder.startswith("cylinder:") else "",
        ticket_key(draft.ticket), _minute(draft.occurred_time), _gross(fact.evidence), entry, line,
    )  # fmt: skip


def records_of(draft: Draft, places: Places, entry: int = 0) -> list[Record]:
    """The charges and recoveries of a draft whose names are those of the book."""
    found = []
    for line, fact in enumerate(draft.facts):
        if isinstance(fact, Movement) and fact.purpose in WAYS:
            circuit = fact.source if WAYS[fact.purpose] == 1 else fact.target
            found.append(record_of(draft, line, places.at(circuit), places, entry))
    return found


def _gross(evidence: Evidence | None) -> tuple[int, ...]:
    if evidence is None or evidence.how not in _WEIGHED:
        return ()
    seen = [evidence.before, *evidence.readings, evidence.after]
    masses = [int(one.mass) for one in seen if one is not None]
    return (masses[0], masses[-1]) if len(masses) > 1 else ()


_DAYS: dict[str, int] = {}


def ordinal(day: str) -> int:
    """The number of an ISO day; kept, because days repeat."""
    found = _DAYS.get(day)
    if found is None:
        if len(_DAYS) > 20_000:
            _DAYS.clear()
        found = _DAYS[day] = date.fromisoformat(day).toordinal()
    return found


def _minute(time: str) -> int:
    return 60 * int(time[:2]) + int(time[3:5]) if time else -1


def day_before(day: str, days: int) -> str:
    """The ISO day so many days before another, or after it where `days` is less than nothing."""
    number = max(1, min(ordinal(day) - days, date.max.toordinal()))
    return date.fromordinal(number).isoformat()


def days_in_book(reader: Reader, last: int) -> tuple[str, str]:
    """First and last day on which the entries up to `last` have movements; empty for none."""
    sql = "SELECT min(occurred_on), max(occurred_on) FROM movement WHERE entry <= ?"
    first, end = next(iter(reader.rows(sql, (last,))))
    return first or "", end or ""


def book_records(
    reader: Reader, places: Places, since: str = FIRST_DAY, until: str = LAST_DAY, last: int = 0,
    circuits: Iterable[str] = (),
) -> Iterator[Record]:  # fmt: skip
    """The charges and recoveries that stand in a book, from one day to another, both included.

    `last` is the last entry that counts, 0 for all; with `circuits` only those of circuits
    that the journal names so, found by the index.
    """
    names = tuple(circuits)
    marks = ", ".join("?" * len(names))
    sides = [
        f" AND m.{side}_kind = 'circuit' AND m.{side}_name IN ({marks})"
        for side in ("source", "target")
    ]
    parts = [
        f"SELECT {_COLUMNS} FROM movement m WHERE m.purpose IN ({_PURPOSES})"
        f" AND m.occurred_on BETWEEN ? AND ? AND m.entry <= ? AND {_STANDING}{side}"
        for side in (sides if names else [""])
    ]
    wanted = (since, until, last or 2**63 - 1)
    rows = list(reader.rows(" UNION ".join(parts), (*wanted, *names) * len(parts)))
    weights = _weights(reader, wanted, rows)
    circuits_met = {row[9 if WAYS[row[5]] != 1 else 7] for row in rows}
    _read_ahead(places.known, circuits_met)
    for row in rows:
        yield _record(places, row, weights)


def _record(
    places: Places, row: tuple[Any, ...], weights: dict[tuple[int, int], list[int]]
) -> Record:
    entry, line, day, time, ticket, purpose, *sides, refrigerant, mass, _ = row
    way = WAYS[purpose]
    source, target = (sides[0], sides[1]), (sides[2], sides[3])
    circuit, other = (source, target) if way == 1 else (target, source)
    seen = weights.get((entry, line), ())
    return Record(
        way, ordinal(day), mass, refrigerant,
        places.of(circuit[1]) if circuit[0] == "circuit" else NOWHERE,
        places.cylinder(other[1]) if other[0] == "cylinder" else "",
        ticket_key(ticket), _minute(time), (seen[0], seen[-1]) if len(seen) > 1 else (),
        entry, line,
    )  # fmt: skip


def _weights(
    reader: Reader, wanted: tuple[str, str, int], rows: list[tuple[Any, ...]]
) -> dict[tuple[int, int], list[int]]:
    """The gross weights of movements that were weighed, in the order they were read."""
    found: dict[tuple[int, int], list[int]] = {
        (row[0], row[1]): [] for row in rows if row[12] in _WEIGHED
    }
    if not found:
        return found
    sql = (
        "SELECT entry, line, gross FROM weighing WHERE moment <> 'alone'"
        " AND entry BETWEEN ? AND ? ORDER BY entry, line, part"
    )
    for entry, line, gross in reader.rows(sql, (min(found)[0], max(found)[0])):
        if (seen := found.get((entry, line))) is not None:
            seen.append(gross)
    return found


def _read_ahead(known: BookKnown, circuits: set[str]) -> None:
    """Read circuits, their units and their sites in a few queries instead of many."""
    if len(circuits) < 2:
        return
    known.read_ahead("circuit", circuits)
    masters = [master for name in circuits if (master := known.master("circuit", name))]
    known.read_ahead("unit", {master.text("unit") or master.name for master in masters})
    units = [unit for m in masters if (unit := known.master("unit", m.text("unit") or m.name))]
    known.read_ahead("site", {site for unit in units if (site := unit.text("site"))})


def circuits_near(reader: Reader, place: Place) -> list[str]:
    """Circuits whose own names begin with the house number of a place; few, by the index."""
    found = []
    for house in sorted({address.house for address in place.addresses}):
        sql = (
            "SELECT DISTINCT name FROM described WHERE kind = 'circuit'"
            " AND folded >= ? AND folded < ? ORDER BY name"
        )
        found += [name for (name,) in reader.rows(sql, (f"{house} ", f"{house}!"))]
    return found
