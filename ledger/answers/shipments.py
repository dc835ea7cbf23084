"""What was shipped to a reclaimer, what came back on paper, and which differences are open.

A shipment is what went to one party under one manifest; without a number it is what one entry
shipped. Our net is gross less tare where the cylinder was weighed for the shipment, else the book.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from typing import NamedTuple

from ledger.answers.balances import lb
from ledger.answers.tolerances import WITHIN, Tolerance
from ledger.answers.working import Input, Working

LARGE_KINDS = ("half-ton", "ton", "drum")
"""Kinds of cylinder whose difference is judged by the level for half-tons."""
RECLAIMER, SMALL = "reclaimer", "other-scale"
"""The levels of the tolerance table that hold for all of a shipment, and for one small cylinder."""


class Leg(NamedTuple):
    """One cylinder of a shipment as it left; masses in counts of 1.25 ng.

    `book` is what left the book with it; `gross` what it weighed in the same entry, `tare` its
    tare then, None where not recorded.
    """

    entry: int
    line: int
    day: str
    party: str
    ticket: str
    cylinder: str
    kind: str = ""
    refrigerant: str = ""
    stock: str = ""
    owner: str = ""
    book: int = 0
    gross: int | None = None
    tare: int | None = None
    purpose: str = ""
    carrier: str = ""
    seal: str = ""

    @property
    def net(self) -> int:
        """Our net: by weight where it was weighed for the shipment, else by the book."""
        if self.gross is None or self.tare is None:
            return self.book
        return self.gross - self.tare

    @property
    def basis(self) -> str:
        """How our net is known."""
        return "book" if self.gross is None or self.tare is None else "gross less tare"


class Paper(NamedTuple):
    """One paper that came back; see `facts.papers.ReclaimerPaper`."""

    entry: int
    day: str
    shipment: int
    paper: str
    number: str = ""
    cylinder: str = ""
    net: int | None = None
    credit: int = 0
    charge: int = 0
    purity: str = ""
    result: str = ""
    reason: str = ""
    person: str = ""


@dataclass(frozen=True, slots=True)
class Line:
    """One cylinder of a shipment, or all of it (`leg` None), with the papers about it."""

    leg: Leg | None
    ours: int
    theirs: int | None
    papers: tuple[Paper, ...]
    tolerance: Tolerance
    name: str

    @property
    def difference(self) -> int | None:
        """Their net less ours; None while no weight ticket says theirs."""
        return None if self.theirs is None else self.theirs - self.ours

    @property
    def percent(self) -> Fraction | None:
        """The difference as a ratio of our net."""
        return None if self.difference is None or not self.ours else Fraction(
            self.difference, self.ours
        )  # fmt: skip

    @property
    def verdict(self) -> str:
        """Within tolerance, explain, owner signs; or signed; or open while there is no ticket."""
        if self.difference is None:
            return "open: no weight ticket"
        found = self.tolerance.judged(self.difference, self.ours)
        if found == WITHIN:
            return found
        signed = next((one for one in self.papers if one.paper == "signed"), None)
        if signed is None:
            return found
        who = f" by {signed.person}" if signed.person else ""
        return f"{found}: signed{who} on {signed.day}"

    def of(self, paper: str) -> list[Paper]:
        """The papers of one kind."""
        return [one for one in self.papers if one.paper == paper]

    def working(self) -> Working:
        """How the difference comes about, and the bounds it is held against."""
        leg, tickets = self.leg, self.of("weight ticket")
        inputs = [Input("our net", f"{lb(self.ours)}{f', {leg.basis}' if leg else ''}",
                        (leg.entry,) if leg else ())]  # fmt: skip
        inputs += [
            Input("their net", "not given" if one.net is None else lb(one.net), (one.entry,))
            for one in tickets
        ]
        level = self.tolerance
        inputs.append(
            Input(f"tolerance {level.name}", f"within {level.within.text()}, explain up to"
                  f" {level.explain.text()}", (level.entry,) if level.entry else ())
        )  # fmt: skip
        found = self.difference
        result = self.verdict if found is None else f"{lb(found)}, {self.verdict}"
        notes = () if level.entry else ("The tolerance is our default; no regulator has one.",)
        return Working(
            f"{self.name}, reclaimer's weight against ours", "their net - our net", tuple(inputs),
            result, notes=notes,
        )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Shipment:
    """One shipment: its first entry, party, manifest number, lines, and all of it as one line."""

    entry: int
    entries: tuple[int, ...]
    day: str
    party: str
    ticket: str
    lines: tuple[Line, ...]
    total: Line
    today: str

    @property
    def name(self) -> str:
        """As it is named in print: the manifest, else the entry."""
        return self.ticket or f"entry {self.entry}"

    @property
    def days(self) -> int:
        """Days since it left."""
        return (date.fromisoformat(self.today) - date.fromisoformat(self.day)).days

    def open_items(self) -> list[str]:
        """What has not come back yet, or is not settled."""
        found = []
        papers = {one.paper for line in (*self.lines, self.total) for one in line.papers}
        purposes = {line.leg.purpose for line in self.lines if line.leg}
        if self.total.theirs is None:
            lacking = [line.name for line in self.lines if line.theirs is None]
            found.append(f"weight ticket of {', '.join(lacking)}")
        wanted = [] if purposes == {"destroy"} else ["analysis"]
        if purposes & {"destroy"}:
            wanted.append("destruction certificate")
        found += [one for one in wanted if one not in papers]
        if not papers & {"credit", "charge"}:
            found.append("credit or charge")
        for line in (*self.lines, self.total):
            if line.difference is not None and line.verdict in ("explain", "owner signs"):
                found.append(f"difference of {line.name}: {line.verdict}")
        return found


def shipments(
    legs: Iterable[Leg], papers: Iterable[Paper], levels: Iterable[Tolerance], today: str
) -> list[Shipment]:
    """Every shipment in the order it left, with what came back; `today` is an ISO day."""
    level = {one.name: one for one in levels}
    groups: dict[tuple[str, str], list[Leg]] = {}
    for leg in sorted(legs, key=lambda one: (one.day, one.entry, one.line)):
        groups.setdefault((leg.party, leg.ticket or f"#{leg.entry}"), []).append(leg)
    of_entry: dict[int, list[Paper]] = {}
    for paper in papers:
        of_entry.setdefault(paper.shipment, []).append(paper)
    return [_shipment(group, of_entry, level, today) for group in groups.values()]


def _shipment(
    legs: list[Leg], of_entry: Mapping[int, list[Paper]], level: Mapping[str, Tolerance], today: str
) -> Shipment:
    entries = tuple(dict.fromkeys(leg.entry for leg in legs))
    papers = [paper for entry in entries for paper in of_entry.get(entry, ())]
    lines = tuple(_line(leg, papers, level) for leg in legs)
    whole = [one for one in papers if not one.cylinder]
    said = [one.net for one in whole if one.paper == "weight ticket" and one.net is not None]
    each = [line.theirs for line in lines]
    theirs = None
    if said:
        theirs = sum(said) + sum(one for one in each if one is not None)
    elif all(one is not None for one in each):
        theirs = sum(one for one in each if one is not None)
    total = Line(
        None, sum(line.ours for line in lines), theirs, tuple(whole), level[RECLAIMER], "all of it"
    )
    first = legs[0]
    return Shipment(first.entry, entries, first.day, first.party, first.ticket, lines, total, today)


def _line(leg: Leg, papers: list[Paper], level: Mapping[str, Tolerance]) -> Line:
    mine = tuple(
        one for one in papers
        if one.cylinder == leg.cylinder or (one.paper == "signed" and not one.cylinder)
    )  # fmt: skip
    weights = [one.net for one in mine if one.paper == "weight ticket" and one.net is not None]
    tolerance = level[RECLAIMER if leg.kind in LARGE_KINDS else SMALL]
    return Line(leg, leg.net, sum(weights) if weights else None, mine, tolerance, leg.cylinder)
