"""What the list of cylinders needing attention and custody statements need from a book."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import replace

from ledger.answers.attention import Watched
from ledger.answers.held_for import Owned
from ledger.answers.inventory import CylinderLine
from ledger.answers.sightings import last_seen
from ledger.book.custody import Custody
from ledger.book.cut import Cut
from ledger.book.reader import Reader
from ledger.book.reading import inventory_of
from ledger.facts.masters import Master, Value
from ledger.facts.requalification import condition_of, due_of


def watched(reader: Reader, cut: Cut, today: str) -> Iterator[Watched]:
    """Every cylinder as the book knows it on an ISO day."""
    custody = Custody(reader, cut)
    day = cut.as_of or today
    seen = last_seen(custody.sightings(), day)
    stated = statements(reader, cut)
    parties = {one.name for one in custody.masters.all("party").values()}
    for line in inventory_of(reader, cut, gone=True):
        master = custody.masters.one("cylinder", line.name)
        if master is not None:
            found = _watched(line, master, day, parties)
            yield replace(found, seen=seen.get(line.name), statement=line.name in stated)


def _watched(line: CylinderLine, one: Master, day: str, parties: set[str]) -> Watched:
    state, due, bad = _on(one, "state", day), due_of(one, day), condition_of(one, day)
    return Watched(
        line.name,
        one.text("kind"),
        line.cylinder.state,
        one.text("state because", day),
        state.since if state else "",
        state.entry if state else (one.entries[0] if one.entries else 0),
        one.text("report"),
        due.day,
        due.entry,
        str(bad.value) if bad else "",
        bad.entry if bad else 0,
        line.refrigerant,
        line.owner,
        line.book,
        _mass(one, "stamped tare"),
        _mass(one, "measured tare"),
        one.provisional,
        line.cylinder.place not in parties,
        gas=bool(line.cylinder.gas),
    )


def _on(one: Master, field: str, day: str) -> Value | None:
    found = [value for value in one.history.get(field, ()) if value.since <= day]
    return found[-1] if found else None


def _mass(one: Master, field: str) -> int:
    value = one.now(field)
    return int(value[0]) if isinstance(value, list) else 0


def statements(reader: Reader, cut: Cut) -> dict[str, int]:
    """The cylinders evacuated before scrap with a statement, each with its last entry."""
    names = Custody(reader, cut).names
    rows = reader.rows(
        "SELECT s.entry, s.body FROM service s WHERE s.type = 'empty statement' AND"
        f" {cut.counts('s')} ORDER BY s.entry, s.line",
        cut.params(),
    )
    return {names.kept("cylinder", json.loads(text)["cylinder"]): entry for entry, text in rows}


def owned_by(reader: Reader, cut: Cut, owner: str) -> Iterator[Owned]:
    """Every movement of recovered refrigerant of one owner."""
    custody = Custody(reader, cut)
    written = custody.masters.written("party", owner)
    marks = ", ".join(f":name{place}" for place in range(len(written)))
    rows = reader.rows(
        "SELECT m.occurred_on, m.entry, m.line, m.purpose, m.source_kind, m.source_name,"
        " m.target_kind, m.target_name, m.refrigerant, m.mass, m.ticket, m.person FROM movement m"
        f" WHERE m.owner IN ({marks}) AND {cut.counts('m')}",
        cut.params(**{f"name{place}": text for place, text in enumerate(written)}),
    )
    for day, entry, line, purpose, kind, source, to, target, gas, mass, ticket, person in rows:
        yield Owned(
            day, entry, line, purpose, custody.names.kept(kind, source),
            custody.names.kept(to, target), gas, mass, to == "cylinder", kind == "cylinder",
            ticket, person,
        )  # fmt: skip
