"""What the scope of any rule asks of a circuit through time, drawn from its masters."""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import date
from fractions import Fraction
from functools import lru_cache

from ledger.book.circuit_terms import day_or_none, subject_at
from ledger.book.cut import Cut, Names
from ledger.book.reader import Reader
from ledger.book.recorded import Masters
from ledger.facts.masters import UNKNOWN, Master, folded
from ledger.law.subject import Subject
from ledger.refrigerants.register import register

FIELDS = ("refrigerant", "full charge", "category", "subsector", "process share", "named use")
"""Dated fields of a circuit that a scope looks at."""
GWP_SETS = ("AR4", "AR5", "AR6")

Decided = tuple[str, str, str]
"""A decision: its ISO day, the folded question, the folded answer."""


class Subjects:
    """Makes the series of subjects of circuits; sites and owners are looked up once."""

    def __init__(self, masters: Masters) -> None:
        self.masters = masters

    def series(
        self, circuit: Master, decided: Sequence[Decided] = ()
    ) -> list[tuple[date | None, Subject]]:
        """The circuit's subject from each day on which something changes."""
        unit = self.masters.one("unit", circuit.text("unit"))
        days = {"", *(value.since for name in FIELDS for value in circuit.history.get(name, ()))}
        if unit is not None:
            for name in ("site", "owner"):
                days.update(value.since for value in unit.history.get(name, ()))
        days.update(day for day, _, _ in decided)
        return [
            (day_or_none(day), self._subject(circuit, unit, day, decided)) for day in sorted(days)
        ]

    def _subject(
        self, circuit: Master, unit: Master | None, day: str, decided: Iterable[Decided]
    ) -> Subject:
        refrigerant = circuit.text("refrigerant", day)
        site = self.masters.one("site", unit.text("site", day)) if unit else None
        known = {question: answer for on, question, answer in decided if on <= day}
        return subject_at(circuit, day)._replace(
            refrigerant=refrigerant,
            gwps=_gwps(refrigerant),
            decisions=tuple(sorted(known.items())),
            country=site.text("country") if site else "",
            state=site.text("state").upper() if site else "",
            district=site.text("district") if site else "",
            owner=self.owner_kind(unit, site, day),
            indoors={"yes": True, "no": False}.get(circuit.text("indoors")),
            process_share=_share(circuit.at("process share", day)),
            use=circuit.text("named use", day),
        )

    def owner_kind(self, unit: Master | None, site: Master | None, day: str) -> str:
        """Which kind of owner it has ("federal"), by the unit's own owner, else the site's."""
        for thing in (unit, site):
            name = thing.text("owner", day) if thing else ""
            party = self.masters.one("party", name) if name else None
            if party is not None:
                return party.text("owner kind")
        return ""

    def moves(self, circuit: Master) -> frozenset[date]:
        """The days on which its unit came to another site."""
        unit = self.masters.one("unit", circuit.text("unit"))
        values = unit.history.get("site", ()) if unit else ()
        return frozenset(day for value in values if (day := day_or_none(value.since)))

    def federal(self, circuit: Master) -> bool:
        """Whether its owner is a federal agency, by the latest record."""
        unit = self.masters.one("unit", circuit.text("unit"))
        site = self.masters.one("site", unit.text("site")) if unit else None
        for thing in (unit, site):
            name = thing.text("owner") if thing else ""
            party = self.masters.one("party", name) if name else None
            if party is not None:
                return party.text("owner kind") == "federal"
        return False

    def reports_gases(self, circuit: Master) -> bool:
        """Whether the site is under mandatory reporting of greenhouse gases."""
        unit = self.masters.one("unit", circuit.text("unit"))
        site = self.masters.one("site", unit.text("site")) if unit else None
        return site is not None and site.text("reports gases") == "yes"


@lru_cache(maxsize=1024)
def _gwps(refrigerant: str) -> tuple[tuple[str, Fraction | None], ...]:
    found = register().get(refrigerant)
    return tuple((name, found.gwp(name).value) for name in GWP_SETS) if found else ()


def _share(value: object) -> Fraction | None:
    """A percentage of the operating capacity, as recorded."""
    if value in (None, UNKNOWN):
        return None
    return Fraction(str(value))


def decisions_of(reader: Reader, cut: Cut) -> dict[str, list[Decided]]:
    """What was decided about every circuit, by its folded name, in order of day and entry."""
    found: dict[str, list[Decided]] = defaultdict(list)
    names = Names(reader, cut)
    rows = reader.rows(
        "SELECT s.subject, s.occurred_on, s.body FROM service s WHERE s.type = 'decision'"
        f" AND s.subject >= 'circuit:' AND s.subject < 'circuit;' AND {cut.counts('s')}"
        " ORDER BY s.occurred_on, s.entry, s.line",
        cut.params(),
    )
    for subject, on, text in rows:
        body = json.loads(text)
        name = folded(names.kept("circuit", subject.partition(":")[2]))
        found[name].append((on, folded(body["question"]), folded(body["answer"])))
    return found
