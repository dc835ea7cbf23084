"""What the duties of sites rest on, drawn from a book: circuits by stay, what was sent or paid."""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Iterable, Iterator
from datetime import date, timedelta

from ledger.answers.facility import Facility, SiteEvent, System
from ledger.book.circuit_subjects import Subjects
from ledger.book.circuit_terms import DAYS
from ledger.book.cut import Cut
from ledger.book.reader import Reader
from ledger.book.recorded import Masters
from ledger.facts.facts import ServiceEvent
from ledger.facts.masters import Master, folded
from ledger.facts.occasions import kind_of
from ledger.law.for_facilities import Standings
from ledger.law.loader import Pack


def facilities(
    reader: Reader, cut: Cut, masters: Masters, packs: Iterable[Pack], sites: Iterable[str] = ()
) -> Iterator[Facility]:  # fmt: skip
    """Every site that may stand under a pack with facilities, or those named, in name order."""
    asked = Standings(packs)
    wanted = {folded(name) for name in sites}
    begun = _begun(reader, cut)
    events = _events(reader, cut, masters)
    stays: dict[str, list[System]] = defaultdict(list)
    subjects = Subjects(masters)
    for circuit in masters.all("circuit").values():
        for site, system in _stays(circuit, masters, subjects, asked):
            stays[folded(site)].append(system)
    for place in sorted(masters.all("site").values(), key=lambda one: one.name):
        fold = folded(place.name)
        # Rules of a place bind nobody whose place is not on record; that is a gap of its own.
        placed = place.text("state") or place.text("country") or place.text("district")
        if placed and (not wanted or fold in wanted) and (stays[fold] or events[fold]):
            owner = place.text("owner")
            yield Facility(place.name, owner, tuple(stays[fold]), tuple(events[fold]), begun)


def _begun(reader: Reader, cut: Cut) -> date | None:
    """The first day the book has movements of."""
    sql = f"SELECT MIN(m.occurred_on) FROM movement m WHERE {cut.counts('m')}"
    for (day,) in reader.rows(sql, cut.params()):
        return DAYS[day] if day else None
    return None


def _stays(
    circuit: Master, masters: Masters, subjects: Subjects, asked: Standings
) -> Iterator[tuple[str, System]]:
    """The sites a circuit stood at, each with the days it did."""
    unit = masters.one("unit", circuit.text("unit"))
    values = unit.history.get("site", ()) if unit else ()
    installed, retired = circuit.text("installed"), circuit.text("retired")
    over = asked.through_time(subjects.series(circuit))
    for place, value in enumerate(values):
        if not isinstance(value.value, str):
            continue
        until = values[place + 1].since if place + 1 < len(values) else ""
        began = value.since or installed
        last = DAYS[retired] + timedelta(days=1) if retired else None
        ended = DAYS[until] if until else last
        yield (
            masters.names.kept("site", value.value),
            System(circuit.name, DAYS[began] if began else None, over, ended, value.entry),
        )


def _events(reader: Reader, cut: Cut, masters: Masters) -> dict[str, list[SiteEvent]]:
    """What was sent, paid or claimed for each site, by its folded name."""
    found: dict[str, list[SiteEvent]] = defaultdict(list)
    rows = reader.rows(
        "SELECT s.subject, s.entry, s.occurred_on, s.body FROM service s WHERE s.type = :type"
        f" AND s.subject >= 'site:' AND s.subject < 'site;' AND {cut.counts('s')}"
        " ORDER BY s.entry, s.line",
        cut.params(type=ServiceEvent.TYPE),
    )
    for subject, entry, on, text in rows:
        body = json.loads(text)
        site = masters.names.kept("site", subject.partition(":")[2])
        period = body.get("period", "")
        found[folded(site)].append(
            SiteEvent(
                entry, kind_of(body["what"]), DAYS[on], site,
                int(period) if period.isdigit() else None,
                tuple(body.get("places", ())),
            )
        )  # fmt: skip
    return found
