"""What custody answers need from a book: placements with weights, movements, sightings, drivers."""

from __future__ import annotations

import json
from collections.abc import Iterator

from ledger.answers.sightings import Sighting
from ledger.answers.truck_sheet import Drawn, Put
from ledger.book.cut import Cut, Names
from ledger.book.reader import Reader
from ledger.book.recorded import Masters
from ledger.book.timeline import place_name

_UNSEEN = ("not found", "stolen", "ordered")
"""States that say a cylinder was not seen."""
_NO_JOB = "'opening', 'receipt', 'difference'"
"""Purposes that use nothing: what was brought forward, bought, or booked as a difference."""


class Custody:
    """Reads who had which cylinder where, at a cut."""

    def __init__(self, reader: Reader, cut: Cut) -> None:
        self.reader, self.cut = reader, cut
        self.names = Names(reader, cut)
        self.masters = Masters(reader, cut, self.names)

    def puts(self) -> Iterator[Put]:
        """Every change of place, with the gross weight of the same entry."""
        weights = {
            (entry, self.names.kept("cylinder", name)): gross
            for entry, name, gross in self.reader.rows(
                "SELECT w.entry, w.cylinder, w.gross FROM weighing w WHERE w.moment = 'alone' AND"
                f" {self.cut.counts('w')} ORDER BY w.entry, w.line",
                self.cut.params(),
            )
        }
        for one in self.masters.all("cylinder").values():
            for value in one.history.get("place", ()):
                if self.cut.as_of and value.since > self.cut.as_of:
                    continue
                place = place_name(self.masters, str(value.value))
                gross = weights.get((value.entry, one.name))
                yield Put(value.since, value.entry, one.name, place, gross)

    def drawn(self) -> Iterator[Drawn]:
        """Every movement of a job, as each cylinder of it sees it."""
        for side, sign in (("source", -1), ("target", 1)):
            rows = self.reader.rows(
                f"SELECT m.occurred_on, m.entry, m.line, m.{side}_name, m.mass FROM movement m"
                f" WHERE m.{side}_kind = 'cylinder' AND m.purpose NOT IN ({_NO_JOB})"
                f" AND {self.cut.counts('m')}",
                self.cut.params(),
            )
            for day, entry, line, name, mass in rows:
                yield Drawn(day, entry, line, self.names.kept("cylinder", name), sign * mass)

    def drivers(self, day: str) -> dict[str, str]:
        """Who drives each truck on an ISO day."""
        return {
            one.name: one.text("driver", day) or one.text("driver")
            for one in self.masters.all("place").values()
            if one.text("driver", day) or one.text("driver")
        }

    def place_on(self, cylinder: str, day: str) -> str:
        """Where a cylinder was on an ISO day by what was recorded."""
        one = self.masters.one("cylinder", cylinder)
        return place_name(self.masters, one.text("place", day)) if one else ""

    # -- sightings -------------------------------------------------------------------------

    def sightings(self) -> Iterator[Sighting]:
        """Every moment at which somebody had a cylinder in hand."""
        self.masters.all("cylinder")
        yield from self._of_movements()
        yield from self._of_weighings()
        yield from self._of_descriptions()
        yield from self._of_handovers()

    def _of_movements(self) -> Iterator[Sighting]:
        other = {"source": "target", "target": "source"}
        for side, across in other.items():
            rows = self.reader.rows(
                f"SELECT m.occurred_on, m.occurred_time, m.entry, m.line, m.{side}_name, m.person,"
                f" m.purpose, m.{across}_kind, m.{across}_name FROM movement m"
                f" WHERE m.{side}_kind = 'cylinder' AND m.purpose NOT IN ('difference', 'opening')"
                f" AND {self.cut.counts('m')}",
                self.cut.params(),
            )
            for day, time, entry, line, name, person, purpose, kind, far in rows:
                cylinder = self.names.kept("cylinder", name)
                place = far if kind in ("circuit", "party") and purpose != "receipt" else ""
                place = place or self.place_on(cylinder, day)
                yield Sighting(day, time, entry, line, cylinder, person, place, purpose)

    def _of_weighings(self) -> Iterator[Sighting]:
        rows = self.reader.rows(
            "SELECT w.occurred_on, w.occurred_time, w.entry, w.line, w.cylinder, j.person FROM"
            " weighing w JOIN journal j ON j.number = w.entry WHERE w.moment = 'alone' AND"
            f" {self.cut.counts('w')}",
            self.cut.params(),
        )
        for day, time, entry, line, name, person in rows:
            cylinder = self.names.kept("cylinder", name)
            place = self.place_on(cylinder, day)
            yield Sighting(day, time, entry, line, cylinder, person, place, "weighed")

    def _of_descriptions(self) -> Iterator[Sighting]:
        rows = self.reader.rows(
            "SELECT d.occurred_on, j.occurred_time, d.entry, d.line, d.name, d.since, d.fields,"
            " j.person FROM described d JOIN journal j ON j.number = d.entry WHERE"
            f" d.kind = 'cylinder' AND {self.cut.counts('d', occurred=False)}",
            self.cut.params(),
        )
        for occurred, time, entry, line, name, since, text, person in rows:
            fields = json.loads(text)
            state, place = fields.get("state", ""), fields.get("place", "")
            if state in _UNSEEN or not (since and (state or place)):
                continue
            cylinder = self.names.kept("cylinder", name)
            where = place_name(self.masters, place) if place else self.place_on(cylinder, since)
            time = time if since == occurred else ""
            how = f"put at {where}" if place else str(state)
            yield Sighting(since, time, entry, line, cylinder, person, where, how)

    def _of_handovers(self) -> Iterator[Sighting]:
        rows = self.reader.rows(
            "SELECT s.occurred_on, s.occurred_time, s.entry, s.line, s.body FROM service s WHERE"
            f" s.type = 'handover' AND {self.cut.counts('s')}",
            self.cut.params(),
        )
        for day, time, entry, line, text in rows:
            body = json.loads(text)
            name = self.names.kept("cylinder", body["cylinder"])
            taker = body.get("taken_by", "")
            where = place_name(self.masters, body["place"])
            yield Sighting(day, time, entry, line, name, taker, where, "handed over")
