"""Records the worked cases of `tests/law/cases` in a book, as a shop would have entered them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from functools import partial
from operator import itemgetter
from typing import Any

from ledger.answers.duties import CircuitDuties
from ledger.answers.facility_duties import FacilityDuties
from ledger.book.bound import duties_in, law_of, site_duties_in
from ledger.book.cut import known_by
from ledger.book.journal import Book, Writer
from ledger.book.known import BookKnown
from ledger.book.reading import Cut, masters_at
from ledger.book.record import Recorder
from ledger.facts.entry import Draft
from ledger.facts.facts import (
    Body,
    BroughtForward,
    Described,
    Evidence,
    Fact,
    Movement,
    Repair,
    Reversal,
    SameLeak,
    ServiceEvent,
    Test,
    holder,
)
from ledger.facts.mass import Quantity
from ledger.facts.occasions import OCCASIONS
from ledger.facts.verbs import charge, recover
from tests.answers.told_cases import MOVED, Told, lb

Row = dict[str, Any]

LONG_AGO = date(1991, 1, 1)
STATES = {"none": "TX", "California": "CA"}
"""Two letters for the states of the cases; Texas has no rules of its own in this program."""
WORDS = {row.kind: word for word, row in OCCASIONS.items()}
CHARGES = {
    "post-retrofit": "post-retrofit", "seasonal": "seasonal", "mothball-recharge": "mothballing",
}  # fmt: skip
RECOVERIES = {"seasonal": "seasonal", "mothball": "mothballing"}
NO_FACT = frozenset({"other", "gap", "acquisition"})
"""What a case tells that no duty looks at, or that the shop left out."""


def quantity(pounds: str) -> Quantity:
    """Pounds as a case writes them."""
    return Quantity(lb(pounds), f"{pounds} lb")  # type: ignore[arg-type]


@dataclass
class Recorded:
    """A book that holds a case: what was recorded only with a reason, the first day with pounds."""

    book: Book
    circuits: list[str]
    flags: set[str] = field(default_factory=set)
    kept_from: date | None = None

    def at(self, as_of: date, known_at: date | None) -> dict[str, list[CircuitDuties]]:
        """The answers on a day, by circuit, read from the book."""
        with self.book.reading() as reader:
            cut = Cut(known_at=known_by(reader, _end(known_at)) if known_at else 0)
            masters = masters_at(reader, cut)
            found = duties_in(reader, cut, masters, as_of, None, law_of(reader, cut))
            return {story.circuit: answers for story, answers in found}

    def sites_at(self, as_of: date) -> dict[str, list[FacilityDuties]]:
        """The answers for the sites on a day, by site, read from the book."""
        found: dict[str, list[FacilityDuties]] = {}
        with self.book.reading() as reader:
            cut = Cut()
            for one in site_duties_in(reader, cut, masters_at(reader, cut), as_of):
                found.setdefault(one.site, []).append(one)
        return found


def _end(day: date) -> str:
    return f"{day.isoformat()}T23:59:59.999999Z"


def record(book: Book, case: Row, facts: Told) -> Recorded:
    """Record a case in an empty book; `facts` say which changes of a method are allowed."""
    made = Recorded(book, [row["name"] for row in case.get("circuits", [])])
    with book.writing() as writer:
        _Shop(writer, book, case, facts, made).run()
    return made


class _Shop:
    """Enters one case, each event on the day it came to be recorded."""

    def __init__(
        self, writer: Writer, book: Book, case: Row, facts: Told, made: Recorded
    ) -> None:  # fmt: skip
        self.writer, self.book, self.case, self.made = writer, book, case, made
        self.facts = facts
        self.rows = {row["name"]: row for row in case.get("circuits", [])}
        self.additions: dict[str, list[tuple[date, int]]] = {name: [] for name in self.rows}
        self.units: set[str] = set()
        self.last = LONG_AGO

    def run(self) -> None:
        """The masters, then every event in the order of the days it was recorded on."""
        sites = dict(self.site_of(row) for row in self.rows.values())
        made: list[Fact] = [Described("site", one, said, new="yes") for one, said in sites.items()]
        self.enter("sites", LONG_AGO, LONG_AGO, made)
        steps = [(day, partial(self.circuit, name, day)) for name, day in self.begun()]
        for name, row in self.rows.items():
            if day := row.get("last_addition_before"):
                told = [BroughtForward(name, day.isoformat())]
                steps.append((day, partial(self.enter, f"before {name}", day, day, told)))
        steps += [
            (event.get("recorded", event["on"]), partial(self.event, number, event))
            for number, event in sorted(
                enumerate(self.case.get("events", [])), key=lambda one: _filled_again(one[1])
            )
        ]
        for _, step in sorted(steps, key=itemgetter(0)):
            step()

    def begun(self) -> Iterator[tuple[str, date]]:
        """Every circuit with the day it is entered: when it was installed, where a case says."""
        for name, row in self.rows.items():
            yield name, row.get("installed", LONG_AGO)

    def circuit(self, name: str, day: date) -> None:
        """A circuit as it is from the beginning, with its unit."""
        row = self.rows[name]
        facts: list[Fact] = []
        if (unit := name.partition("/")[0]) not in self.units:
            self.units.add(unit)
            facts.append(Described("unit", unit, {"site": self.site_of(row)[0]}, new="yes"))
        fields: Body = {
            "unit": unit, "refrigerant": row["refrigerant"], "category": row["category"],
            "subsector": row.get("subsector", "undecided"),
            "full charge": _charge(row["full_charge_lb"], row.get("full_charge_how", "maker")),
        }  # fmt: skip
        if "installed" in row:
            fields["installed"] = row["installed"].isoformat()
        if "indoors" in row:
            fields["indoors"] = "yes" if row["indoors"] else "no"
        facts.append(Described("circuit", name, fields, new="yes"))
        self.enter(f"circuit {name}", day, day, facts)

    def enter(
        self, key: str, on: date, recorded: date, facts: list[Fact], ticket: str = ""
    ) -> int:  # fmt: skip
        """One entry; its number."""
        self.last = max(self.last, recorded)
        if any(isinstance(fact, Movement) for fact in facts):
            self.made.kept_from = min(on, self.made.kept_from or on)
        moment = datetime.combine(self.last, time(18), UTC)
        known = BookKnown(self.writer.connection, moment, self.book.zone)
        recorder = Recorder(self.writer, known, moment, because="the papers are gone")
        outcome = recorder.must_record(
            Draft(key, "record", on.isoformat(), tuple(facts), ticket=ticket)
        )
        self.writer.flush()
        self.made.flags |= {problem.code for problem in outcome.flags}
        assert outcome.entry is not None, key
        return outcome.entry.number

    def site_of(self, row: Row) -> tuple[str, Body]:
        """The site of a circuit; circuits with a method or reporting of their own get their own."""
        told: Row = self.case["site"]
        method = row.get("method", told["method"])
        reports = "reports" if row.get("ghg_reporting") else ""
        name = row.get("facility") or " ".join((row.get("site", "Site"), method, reports)).strip()
        fields: Body = {
            "state": STATES[told.get("state", "none")],
            "method": "rolling average" if method == "rolling" else method,
        }
        if "ghg_reporting" in row:
            fields["reports gases"] = "yes" if row["ghg_reporting"] else "no"
        return name, fields

    def event(self, number: int, event: Row) -> None:
        """One event as the entry a shop makes of it."""
        name = event.get("circuit", next(iter(self.rows), ""))
        if event["what"] in NO_FACT or (name not in self.rows and event["what"] != "method-change"):
            return
        recorded = event.get("recorded", event["on"])
        if event["what"] == "method-change":
            self.method(number, event)
        elif event["what"] == "movement-reversed":
            self.reverse(number, event, name, recorded)
        else:
            ticket = event.get("event") or f"T-{number}"
            facts = list(self.facts_of(event, name))
            entry = self.enter(f"event {number}", event["on"], recorded, facts, ticket)
            if event["what"] in ("addition", "commissioned"):
                self.additions[name].append((event["on"], entry))

    def facts_of(self, event: Row, name: str) -> Iterator[Fact]:
        """The facts of an event."""
        what, kind, on = event["what"], event.get("kind", ""), event["on"].isoformat()
        if what in ("addition", "commissioned"):
            claim = "new charge" if what == "commissioned" else CHARGES.get(kind, "")
            yield from charge(name, "", self.inside(name, event["on"]), quantity(event["lb"]),
                              Evidence("net"), claim)  # fmt: skip
        elif what == "recovery":
            before = event["on"] - timedelta(days=1) if kind == "retrofit" else event["on"]
            yield from recover(name, "", self.inside(name, before), quantity(event["lb"]),
                               Evidence("net"), RECOVERIES.get(kind, ""))  # fmt: skip
        elif what == "full-charge":
            full = {"full charge": _charge(event["lb"], event.get("how", "measured"))}
            yield Described("circuit", name, full, on)
        elif what == "subsector-decision":
            decided = "residential or light commercial" if event["excluded"] else "other"
            yield Described("circuit", name, {"subsector": decided}, on)
        elif what == "episode":
            days = set(event["additions"])
            parts = tuple(entry for day, entry in self.additions[name] if day in days)
            yield SameLeak(name, parts)
        elif what == "repair":
            evacuated = "yes" if event.get("evacuated") else ""
            yield Repair(name, evacuated=evacuated, leaks=event["leaks"])
        elif what in ("initial-test", "follow-up-test"):
            which = what.removesuffix("-test")
            yield Test(name, which, event["result"], event["leaks"])
        else:
            yield _occasion(event, name)
            if what == "retrofit":
                yield Described("circuit", name, {"refrigerant": event["refrigerant"]}, on)

    def inside(self, name: str, on: date) -> str:
        """The refrigerant in a circuit on a day, by what its case says."""
        found: str = self.rows[name]["refrigerant"]
        for event in self.case["events"]:
            changed = event["what"] == "retrofit" and event["on"] <= on
            if changed and event.get("circuit", name) == name:
                found = event["refrigerant"]
        return found

    def method(self, number: int, event: Row) -> None:
        """A change of the method of a site, where the rule lets it change."""
        site = event.get("site", "")
        if not self.facts.switches[site].allowed:
            return
        to = "rolling average" if event["to"] == "rolling" else event["to"]
        names = {self.site_of(row)[0] for row in self.rows.values() if row.get("site", "") == site}
        facts: list[Fact] = [
            Described(
                "site",
                name,
                {"method": to},
                event["on"].isoformat(),
                why="bought" if event.get("record") else "",
            )
            for name in names
        ]
        self.enter(f"event {number}", event["on"], event["on"], facts)

    def reverse(self, number: int, event: Row, name: str, recorded: date) -> None:
        """An addition taken back, with what stands instead in the same entry."""
        moved = MOVED.fullmatch(event.get("replaces", ""))
        day = date.fromisoformat(moved[3]) if moved else event.get("of")
        if day is None:  # the office line that repeats the ticket is no entry of the case
            return
        facts: list[Fact] = [
            Reversal(entry, (0,), event.get("reason", "the wrong circuit"))
            for on, entry in self.additions[name]
            if on == day
        ]
        on = event["on"]
        if moved:
            on = day
            facts.append(
                Movement(
                    holder("difference", "no cylinder named"), holder("circuit", moved[2]),
                    self.inside(moved[2], day), quantity(moved[1]), "addition",
                    evidence=Evidence("net"),
                )
            )  # fmt: skip
        entry = self.enter(f"event {number}", on, recorded, facts, f"T-{number}")
        if moved:
            self.additions[moved[2]].append((day, entry))


def _filled_again(event: Row) -> bool:
    """Whether an event puts in the new refrigerant; of its day it is the last to be recorded."""
    return bool(event.get("kind") == "post-retrofit")


def _charge(pounds: str, how: str) -> Body:
    known = how if how in ("maker", "measured", "calculated") else "maker"
    return {"method": known, "charge": quantity(pounds).body()}


def _occasion(event: Row, name: str) -> ServiceEvent:
    """A dated event by its word in the table of occasions."""
    what = event["what"]
    complete = event.get("complete", False)
    if what.endswith("extension-request"):
        complete = event.get("documented", False)
    elif what == "plan-relief":
        complete = event.get("undertaking", True)
    ground = event.get("ground", "")
    if what == "plan":
        ground = "retirement" if event.get("replacement") else "retrofit"
    part = event.get("part", "all")
    return ServiceEvent(
        WORDS[what], name,
        complete="yes" if complete else "",
        ground=ground,
        signed="yes" if event.get("signed") else "",
        part="" if part == "all" else part,
        required="yes" if event.get("required") else "",
        refrigerant=event.get("replacement", "") if what in ("plan", "choose-retire")
        else event.get("refrigerant", ""),
    )  # fmt: skip
