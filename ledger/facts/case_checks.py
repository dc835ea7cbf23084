"""The checks that repairs, tests and other dated events pass before they are recorded.

What cannot have happened in that order, or speaks of a leak nobody recorded, is refused; a shop
whose earlier papers are gone records it with a reason.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from typing import NamedTuple

from ledger.facts.checks import quoted
from ledger.facts.entry import Draft
from ledger.facts.facts import Fact, Repair, ServiceEvent, Test
from ledger.facts.known import Known
from ledger.facts.masters import folded
from ledger.facts.occasions import LEAK_WORDS, OCCASIONS, SITE, Occasion
from ledger.facts.problems import Problem

Found = Iterator[Problem]

YEAR = re.compile(r"[12][0-9]{3}")
FREE = frozenset(("what", "circuit", "site", "because", "although"))
"""Members of an event that every word takes."""
COMMANDS = {
    "leak inspection": "inspect", "leak found": "leak", "plan": "plan", "mothballed": "mothball",
    "repair extension request": "extend", "plan extension request": "extend",
}  # fmt: skip
"""Events that have a command of their own."""


class Earlier(NamedTuple):
    """A service fact of a circuit that is on record, with its day and time."""

    day: str
    time: str
    fact: Fact


def event_problems(known: Known, draft: Draft, fact: ServiceEvent) -> Found:
    """Every problem of one event: its word, its members, what has to come before it."""
    row = OCCASIONS.get(fact.what)
    if row is None:
        yield Problem(
            "value-unclear", f'"{fact.what}" is not an event that is kept.',
            f"Write one of: {', '.join(OCCASIONS)}.",
        )  # fmt: skip
        return
    yield from _about(fact, row)
    yield from _members(fact, row)
    if row.after and fact.circuit:
        yield from _after(known, draft, fact.circuit, fact.what, row.after)


def repair_problems(known: Known, draft: Draft, fact: Repair) -> Found:
    """The leaks a repair names are on record."""
    yield from _places(known, draft, fact.circuit, fact.places)


def test_problems(known: Known, draft: Draft, fact: Test) -> Found:
    """A follow-up test comes after a passed initial test; a leak that is named is on record."""
    yield from _places(known, draft, fact.circuit, fact.places)
    if fact.which == "follow-up" and not any(
        isinstance(one.fact, Test) and one.fact.which == "initial" and one.fact.result == "pass"
        for one in _before(known, draft, fact.circuit)
    ):
        circuit = quoted(fact.circuit)
        yield Problem(
            "comes-first",
            f"No passed initial test of {fact.circuit} is on record on or before"
            f" {draft.occurred_on}.",
            f"Record it first: tarebook test {circuit} --which initial --result pass --on DAY.",
        )


def _about(fact: ServiceEvent, row: Occasion) -> Found:
    named = SITE if fact.site else "circuit"
    if named != row.about or (fact.site and fact.circuit):
        yield Problem(
            "kind-mismatch", f'"{fact.what}" is about a {row.about}.',
            f"Name the {row.about} it is about.",
        )  # fmt: skip


def _members(fact: ServiceEvent, row: Occasion) -> Found:
    filled = {name for name in fact.__slots__ if getattr(fact, name) and name not in FREE}
    for name in sorted(filled - set(row.takes)):
        yield Problem(
            "option-unfit", f'"{fact.what}" takes no {name}.',
            f"Leave it out; it takes: {', '.join(row.takes) or 'nothing more'}.",
        )  # fmt: skip
    for name in row.needs:
        if name not in filled:
            yield Problem(
                "field-missing", f'"{fact.what}" needs its {name}.',
                f"Write {' or '.join(row.grounds)}." if row.grounds else "Write which.",
            )  # fmt: skip
    if fact.period and not YEAR.fullmatch(fact.period):
        yield Problem("value-unclear", f'"{fact.period}" is no calendar year.', "Write it as 2026.")
    if fact.ground and row.grounds and fact.ground not in row.grounds:
        yield Problem(
            "value-unclear", f'"{fact.ground}" is no ground of "{fact.what}".',
            f"Write {' or '.join(row.grounds)}.",
        )  # fmt: skip


def _before(known: Known, draft: Draft, circuit: str) -> Iterable[Earlier]:
    """What is on record of a circuit by the day and, where both have one, the time."""
    day, time = draft.occurred_on, draft.occurred_time
    for one in known.services_of(circuit):
        if one.day < day or (one.day == day and not (time and one.time and one.time > time)):
            yield one


def _after(
    known: Known, draft: Draft, circuit: str, what: str, wanted: tuple[str, ...]
) -> Found:  # fmt: skip
    for one in _before(known, draft, circuit):
        if isinstance(one.fact, ServiceEvent) and one.fact.what in wanted:
            return
    first = wanted[0]
    command = COMMANDS.get(first, "event")
    words = f'{quoted(circuit)} "{first}"' if command == "event" else quoted(circuit)
    yield Problem(
        "comes-first",
        f"No {first} of {circuit} is on record on or before {draft.occurred_on}, so there is no"
        f" {what}.",
        f"Record it first: tarebook {command} {words} --on DAY.",
    )


def _places(known: Known, draft: Draft, circuit: str, places: tuple[str, ...]) -> Found:
    if not places:
        return
    names = {
        folded(place): place
        for one in _before(known, draft, circuit)
        if isinstance(one.fact, ServiceEvent) and one.fact.what in LEAK_WORDS
        for place in one.fact.places
    }
    for place in places:
        if folded(place) not in names:
            known_ones = ", ".join(names.values())
            offer = f"Name one of these: {known_ones}, or record" if names else "Record"
            yield Problem(
                "leak-unknown",
                f'No leak "{place}" of {circuit} is on record on or before {draft.occurred_on}.',
                f'{offer} it first: tarebook leak {quoted(circuit)} --place "{place}" --on DAY.',
            )
