"""The stories of circuits, drawn from a book as the duty answers take them."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import date
from itertools import pairwise
from typing import Any

from ledger.answers.case_events import Event, Story
from ledger.answers.leak_history import MethodFrom, ScopeFrom
from ledger.answers.named_leaks import Named, whole
from ledger.book.circuit_subjects import Subjects
from ledger.book.circuit_terms import DAYS, exempt_substitute
from ledger.book.circuits import Parts, circuit_parts
from ledger.book.cut import Cut
from ledger.book.derived_events import derived_events
from ledger.book.reader import Reader
from ledger.book.recorded import Masters
from ledger.book.recorded_days import RecordedDays
from ledger.facts.facts import (
    Attempt,
    BroughtForward,
    Decision,
    Repair,
    SameLeak,
    ServiceEvent,
    Test,
    UnknownAddition,
)
from ledger.facts.masters import Master, folded
from ledger.facts.occasions import kind_of
from ledger.law.scope_series import Scopes

TYPES = (
    UnknownAddition.TYPE, SameLeak.TYPE, Repair.TYPE, Test.TYPE, BroughtForward.TYPE,
    ServiceEvent.TYPE, Decision.TYPE, Attempt.TYPE,
)  # fmt: skip
_ASKING = frozenset({"extension-request", "plan-extension-request", "plan-relief"})
PURGE = "purge-exclusion"
_EVENTS = frozenset({Repair.TYPE, Test.TYPE, ServiceEvent.TYPE})

Row = tuple[Any, ...]


def stories(
    reader: Reader, cut: Cut, masters: Masters, scopes: Scopes,
    circuits: Sequence[str] | None = None,
) -> Iterator[Story]:  # fmt: skip
    """The story of every circuit, or of those named, in order of their names."""
    subjects, told = Subjects(masters), _Beside(reader, cut, masters)
    for parts in circuit_parts(reader, cut, masters, circuits, TYPES):
        yield _story(parts, subjects, scopes, told)


def named_leaks(reader: Reader, cut: Cut, masters: Masters, circuit: str) -> list[Named]:
    """The events of one circuit with the places of the leaks they name, in order."""
    found = [p.told for p in circuit_parts(reader, cut, masters, [circuit], TYPES)]
    return list(_named(found[0], "")) if found else []


class _Beside:
    """What a story rests on beside the circuit's own facts, read when it is asked for."""

    def __init__(self, reader: Reader, cut: Cut, masters: Masters) -> None:
        self.reader = reader
        self.cut = cut
        self.masters = masters
        self.recorded = RecordedDays(reader)
        self._purged: dict[str, date] | None = None

    def purged(self, circuit: Master | None) -> date | None:
        """When the site of a circuit first used the purge exclusion, on whichever circuit."""
        if self._purged is None:
            self._purged = {}
            for name, on in _purges(self.reader, self.cut):
                site = self._site(self.masters.one("circuit", name))
                self._purged.setdefault(site, on)
        return self._purged.get(self._site(circuit)) if self._purged else None

    def _site(self, circuit: Master | None) -> str:
        unit = self.masters.one("unit", circuit.text("unit")) if circuit else None
        return folded(self.masters.names.kept("site", unit.text("site"))) if unit else ""


def _purges(reader: Reader, cut: Cut) -> Iterator[tuple[str, date]]:
    """Every use of the purge exclusion, the oldest first."""
    rows = reader.rows(
        "SELECT s.subject, s.occurred_on FROM service s WHERE s.type = :type"
        f" AND s.body LIKE :what AND {cut.counts('s')} ORDER BY s.occurred_on, s.entry",
        cut.params(type=ServiceEvent.TYPE, what='%"what":"purge exclusion"%'),
    )
    for subject, on in rows:
        yield subject.partition(":")[2], DAYS[on]


def _story(parts: Parts, subjects: Subjects, scopes: Scopes, beside: _Beside) -> Story:
    master = parts.master
    told = sorted(parts.told, key=lambda row: (row[2], row[3], row[1]))
    history = parts.history()
    scope: tuple[ScopeFrom, ...] = ()
    if master is not None:
        decided = [_decided(row) for row in told if row[4] == Decision.TYPE]
        scope = scopes.over(subjects.series(master, decided))
    category = history.categories[-1].category if history.categories else ""
    events = tuple(whole(_named(told, category)))
    if len(history.methods) > 1:
        moves = subjects.moves(master) if master else frozenset()
        events += tuple(e for e in _method_changes(history.methods) if e.on not in moves)
    events += tuple(derived_events(master, parts.moved, told, events))
    return Story(
        circuit=parts.name,
        history=replace(history, scope=scope),
        events=events,
        installed=_day(master, "installed"),
        indoors={"yes": True, "no": False}.get(master.text("indoors") if master else ""),
        reports_gases=subjects.reports_gases(master) if master else False,
        exempt_substitute=master is not None
        and exempt_substitute(master.text("refrigerant"), category),
        federal_owner=subjects.federal(master) if master else False,
        purge_first=beside.purged(master) if any(e.kind == PURGE for e in events) else None,
        recorded=beside.recorded,
    )


def _method_changes(methods: Sequence[MethodFrom]) -> Iterator[Event]:
    """A change of the site's leak-rate method is an event of each circuit that stands there.

    A unit that moves to a site with another method is no such change; the caller leaves it out.
    """
    for before, after in pairwise(methods):
        if after.since is not None and after.entry and after.method != before.method:
            yield Event(after.entry, "method-change", after.since)


def _day(master: Master | None, field: str) -> date | None:
    text = master.text(field) if master else ""
    return DAYS[text] if text else None


def _decided(row: Row) -> tuple[str, str, str]:
    """The day, the question and the answer of a decision."""
    body = json.loads(row[5])
    return row[2], folded(body["question"]), folded(body["answer"])


def _named(told: Iterable[Row], category: str) -> Iterator[Named]:
    """The events with the places of the leaks they name."""
    for _, entry, on, _, kind, text in told:
        if kind in _EVENTS:
            body = json.loads(text)
            places = tuple(folded(place) for place in body.get("places", ()))
            yield Named(_event(entry, DAYS[on], kind, body, category), places)


def _event(entry: int, on: date, kind: str, body: dict[str, Any], category: str) -> Event:
    get = body.get
    all_leaks = get("leaks", "all") == "all"
    if kind == Repair.TYPE:
        return Event(entry, "repair", on, all_leaks=all_leaks, evacuated=get("evacuated") == "yes")
    if kind == Test.TYPE:
        return Event(
            entry, f"{body['which']}-test", on, passed=body["result"] == "pass",
            all_leaks=all_leaks,
        )  # fmt: skip
    what, whole_ = kind_of(body["what"]), get("complete") == "yes"
    instead, ground = get("refrigerant", ""), get("ground", "")
    return Event(
        entry,
        what,
        on,
        complete=whole_,
        ground=ground,
        signed=get("signed") == "yes",
        conditions=whole_ if what in _ASKING else True,
        exempt_substitute=what == "plan"
        and ground == "retirement"
        and exempt_substitute(instead, category),
        part=get("part", "all"),
        required=get("required") == "yes",
        clean=what == "leak-inspection" and ground == "no leak",
    )
