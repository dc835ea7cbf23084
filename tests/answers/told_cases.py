"""Turns the worked cases of `tests/law/cases` into what the duty answers are given."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

from ledger.answers.case_events import KINDS, Event, Reversal, Story, as_known
from ledger.answers.duties import CircuitDuties, duties_of, rated_history
from ledger.answers.facility import Facility, System
from ledger.answers.facility_duties import FacilityDuties, facility_duties
from ledger.answers.leak_history import (
    Addition,
    CategoryFrom,
    CircuitHistory,
    FollowUp,
    FullCharge,
    MethodFrom,
    Removal,
    Repair,
    ScopeFrom,
)
from ledger.answers.leak_law import ANNUALIZING, ROLLING, Binding
from ledger.answers.leak_rate import Rate, rates
from ledger.answers.method_switch import Switch, may_switch
from ledger.facts.mass import of_decimal
from ledger.law.for_duties import law_for_duties
from ledger.law.for_facilities import law_for_facilities, standings
from ledger.law.for_rates import law_for_rates
from ledger.law.loader import CALIFORNIA, FEDERAL_82F, FEDERAL_84C, load_pack
from ledger.law.scope import scope_of, scope_over
from tests.law.case_subjects import circuit_on

HERE = Path(__file__).parent.parent / "law" / "cases"
FILES = ("twelve_points", "scenario_a", "by_hand")
PACKS = (FEDERAL_82F, FEDERAL_84C, CALIFORNIA)
"""The packs whose blocks the duty answers do."""

CLAIMS = {"post-retrofit": "post-retrofit", "seasonal": "seasonal"}
MOVED = re.compile(r"([\d.]+) lb on (\S+), (\d{4}-\d\d-\d\d)")
SCOPE_CHANGES = ("retrofit", "full-charge", "subsector-decision")

Row = dict[str, Any]


class Told(NamedTuple):
    """The stories of a case with what is known of when each entry was recorded."""

    stories: dict[str, Story]
    recorded: dict[int, date]
    reversals: list[Reversal]
    switches: dict[str, Switch]

    def rates_of(self, name: str, as_of: date) -> list[Rate]:
        """The leak rates of a circuit, with those that no rule asks for."""
        return _rates(self.stories[name], as_of)

    def at(self, as_of: date, known_at: date | None) -> dict[str, list[CircuitDuties]]:
        """The answers on a day, by circuit."""
        tables = [law_for_duties_of(name) for name in PACKS]
        return {
            name: duties_of(
                as_known(story, self.recorded, self.reversals, known_at),
                law_for_rates(), tables, as_of,
            )
            for name, story in self.stories.items()
        }  # fmt: skip


def _rates(story: Story, as_of: date) -> list[Rate]:
    law = law_for_rates()
    return list(rates(rated_history(story.history, law), law, as_of))


@cache
def law_for_duties_of(name: str) -> Any:
    """The duty law of a shipped pack."""
    return law_for_duties(load_pack(name))


def facilities(
    case: Row, as_of: date, kept_from: date | None = None
) -> dict[str, list[FacilityDuties]]:
    """The answers of each facility of a case on a day, by its name; see `Facility.kept_from`."""
    packs = [load_pack(name) for name in PACKS]
    state = case["site"].get("state", "none")
    systems: dict[str, list[System]] = {}
    for row in case.get("circuits", []):
        series = [(None, circuit_on(row, case.get("events", []), as_of, state))]
        system = System(row["name"], row.get("installed"), standings(series, packs))
        systems.setdefault(row.get("facility", ""), []).append(system)
    tables = [law_for_facilities(pack) for pack in packs]
    return {
        name: facility_duties(
            Facility(name, "owner", tuple(found), kept_from=kept_from), tables, as_of
        )
        for name, found in systems.items()
        if name
    }


def cases() -> Iterator[Row]:
    """Every case, those of a cumulative file with all events and circuits before them."""
    for file in FILES:
        told = tomllib.loads((HERE / f"{file}.toml").read_text(encoding="utf-8"))
        before: list[Row] = []
        for case in told["case"]:
            if told.get("cumulative"):
                own = case.get("events", [])
                whole = [event for event in before if event["case"] not in _replaced(own)]
                spoken = {event["circuit"] for event in own if "circuit" in event}
                case = {**case, "circuits": told["circuits"], "events": [*whole, *own],
                        "spoken_of": spoken}  # fmt: skip
                if not _replaced(own):
                    before += [{**event, "case": case["id"]} for event in own]
            yield case


def _replaced(events: list[Row]) -> set[str]:
    return {event["instead_of"] for event in events if "instead_of" in event}


def told(case: Row) -> Told:
    """The facts of a case, entry numbers in the order they are written."""
    return _Teller(case).run()


class _Teller:
    """Reads the events of one case."""

    def __init__(self, case: Row) -> None:
        self.case = case
        self.circuits: list[Row] = case.get("circuits", [])
        self.site: Row = case["site"]
        self.recorded: dict[int, date] = {}
        self.reversals: list[Reversal] = []
        self.entry = 0
        self.parts: dict[str, dict[str, list[Any]]] = {
            row["name"]: {"additions": [], "removals": [], "follow_ups": [], "repairs": [],
                          "charges": [], "events": [], "episodes": []}
            for row in self.circuits
        }  # fmt: skip

    def run(self) -> Told:
        """Every circuit's story."""
        for event in self.case.get("events", []):
            self.entry += 1
            name = event.get("circuit", self.circuits[0]["name"] if self.circuits else "")
            if name in self.parts:
                self.recorded[self.entry] = event.get("recorded", event["on"])
                self.take(event, self.parts[name], name)
        stories = {row["name"]: self.story(row) for row in self.circuits}
        switches = {}
        for event in self.case.get("events", []):
            if event["what"] == "method-change":
                site = event.get("site", "")
                switches[site] = self.switch(event, site, stories)
        return Told(stories, self.recorded, self.reversals, switches)

    def switch(self, event: Row, site: str, stories: dict[str, Story]) -> Switch:
        """The change of a site's method: refused, or told to each of its circuits."""
        names = [row["name"] for row in self.circuits if row.get("site", "") == site]
        bought = any(
            e["what"] == "acquisition" and e.get("site", "") == site and e["on"] <= event["on"]
            for e in self.case["events"]
        )
        found = {name: _rates(stories[name], event["on"]) for name in names}
        answer = may_switch(found, event["on"], bought, event.get("record", False))
        for name in names if answer.allowed else ():
            self.entry += 1
            new = Event(self.entry, "method-change", event["on"])
            stories[name] = replace(stories[name], events=(*stories[name].events, new))
        return answer

    def take(self, event: Row, parts: dict[str, list[Any]], name: str) -> None:
        """One event into the records of its circuit."""
        what, on, entry = event["what"], event["on"], self.entry
        if what in ("addition", "commissioned"):
            kind = event.get("kind", "")
            exempt = "new charge" if what == "commissioned" else CLAIMS.get(kind, "")
            together = "mothball" if kind == "mothball-recharge" else event.get("event", "")
            parts["additions"].append(Addition(entry, 1, on, "", lb(event["lb"]), exempt, together))
        elif what == "recovery":
            kind = event.get("kind", "service")
            together = "mothball" if kind == "mothball" else event.get("event", "")
            parts["removals"].append(
                Removal(entry, 1, on, "", lb(event["lb"]), kind == "seasonal", together)
            )
        elif what == "full-charge":
            parts["charges"].append(FullCharge(entry, on, lb(event["lb"])))
        elif what == "episode":
            days = set(event["additions"])
            found = {one.entry for one in parts["additions"] if one.on in days}
            parts["episodes"].append(frozenset(found))
        elif what == "movement-reversed":
            self.reverse(event, parts)
        elif what in KINDS and what != "method-change":
            parts["events"].append(self.event(event))
        if what == "repair":
            parts["repairs"].append(Repair(entry, on))
        if what == "follow-up-test":
            whole, passed = event["leaks"] == "all", event["result"] == "pass"
            parts["follow_ups"].append(FollowUp(entry, on, "", whole, passed))

    def event(self, told: Row) -> Event:
        """A service event in the words of the answers."""
        asked = "extension-request" in told["what"]
        return Event(
            entry=self.entry,
            kind=told["what"],
            on=told["on"],
            passed=told.get("result") == "pass",
            all_leaks=told.get("leaks", "all") == "all",
            complete=told.get("complete", False),
            evacuated=told.get("evacuated", False),
            ground=told.get("ground", ""),
            signed=told.get("signed", False),
            conditions=told.get("documented", False) if asked else told.get("undertaking", True),
            exempt_substitute=told.get("replacement") == "R-744",
            part=told.get("part", "all"),
            required=told.get("required", False),
        )

    def reverse(self, event: Row, parts: dict[str, list[Any]]) -> None:
        """An entry taken back; what stands instead goes where the event says."""
        moved = MOVED.fullmatch(event.get("replaces", ""))
        day = date.fromisoformat(moved[3]) if moved else event.get("of")
        found = [one.entry for one in parts["additions"] if one.on == day]
        self.reversals += [Reversal(entry, event["on"]) for entry in found]
        if moved:
            new = Addition(self.entry, 1, date.fromisoformat(moved[3]), "", lb(moved[1]))
            self.parts[moved[2]]["additions"].append(new)

    def story(self, row: Row) -> Story:
        """A circuit with its records."""
        parts = self.parts[row["name"]]
        events = [{**e, "circuit": e.get("circuit", self.circuits[0]["name"])}
                  for e in self.case.get("events", [])]  # fmt: skip
        days = sorted({e["on"] for e in events
                       if e["what"] in SCOPE_CHANGES and e["circuit"] == row["name"]})  # fmt: skip
        state = self.site.get("state", "none")
        series: list[tuple[date | None, Any]] = [
            (day, circuit_on(row, events, day or date.min, state)) for day in (None, *days)
        ]
        method = row.get("method", self.site["method"])
        history = CircuitHistory(
            circuit=row["name"],
            additions=tuple(parts["additions"]),
            full_charges=(FullCharge(0, None, lb(row["full_charge_lb"])), *parts["charges"]),
            methods=(MethodFrom(None, ROLLING if method == "rolling" else ANNUALIZING, 1),),
            categories=(CategoryFrom(None, row["category"]),),
            scope=_with_state(scope_over(series), row, events, state),
            removals=tuple(parts["removals"]),
            follow_ups=tuple(parts["follow_ups"]),
            repairs=tuple(parts["repairs"]),
            episodes=tuple(parts["episodes"]),
            carried_last_addition=row.get("last_addition_before"),
        )
        return Story(
            row["name"], history, tuple(parts["events"]), row.get("installed"),
            row.get("indoors"), row.get("ghg_reporting", False),
        )  # fmt: skip


def _with_state(
    scope: tuple[ScopeFrom, ...], row: Row, events: list[Row], state: str
) -> tuple[ScopeFrom, ...]:
    """The federal bindings with that of the state beside them."""
    pack = load_pack(CALIFORNIA)
    out = []
    for one in scope:
        day = max(one.since or date.min, date(2011, 1, 1))
        (found,) = scope_of(circuit_on(row, events, day, state), day, [pack])
        binding = Binding(pack.subpart, pack.name, found.binds, found.limb, found.sentence,
                          found.cite, found.evidence)  # fmt: skip
        out.append(ScopeFrom(one.since, (*one.bindings, binding)))
    return tuple(out)


def lb(text: str) -> int:
    """Pounds as counts of mass."""
    found = of_decimal(text, "lb")
    assert found is not None
    return found
