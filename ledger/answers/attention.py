"""Cylinders that somebody has to look at, each with what it is, since when, and the next step."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import NamedTuple

from ledger.answers.balances import lb
from ledger.answers.due_warnings import due_words
from ledger.answers.sightings import Seen
from ledger.facts.contents import MIXED, SHARED
from ledger.facts.masters import UNKNOWN

UNSEEN_DAYS = 30
"""Days after which a cylinder with refrigerant that nobody has seen is told of (workflow 1.4)."""
TARE_LOSS = (95, 100)
"""An empty weight of 95 % of the stamped tare or less: requalify first (49 CFR 180.209(c))."""


@dataclass(frozen=True, slots=True)
class Watched:
    """What is known of one cylinder on the day of the answer; masses in counts of 1.25 ng.

    `since` is the ISO day its state holds from, `entry` the entry that says so. `due` is the last
    day it may be filled; `condition` what bars filling it, `condition_entry` who said so. `ours` is
    False where it is at a party. `statement` is whether it was evacuated with a statement.
    """

    name: str
    kind: str = ""
    state: str = ""
    because: str = ""
    since: str = ""
    entry: int = 0
    report: str = ""
    due: str = ""
    due_entry: int = 0
    condition: str = ""
    condition_entry: int = 0
    refrigerant: str = ""
    owner: str = ""
    book: int = 0
    stamped: int = 0
    measured: int = 0
    provisional: bool = False
    ours: bool = True
    statement: bool = False
    gas: bool = False
    seen: Seen | None = None


class Attention(NamedTuple):
    """One thing to look at: the cylinder, what, since when, the next step, its entry or rule."""

    cylinder: str
    what: str
    since: str = ""
    step: str = ""
    cite: str = ""
    entry: int = 0


def attention(cylinders: Iterable[Watched], today: str) -> list[Attention]:
    """Everything to look at, by cylinder, in the order of the questions below."""
    found = []
    watched = sorted(cylinders, key=lambda one: one.name)
    for one in watched:
        for ask in _QUESTIONS:
            found += list(ask(one, today))
    return [*found, *_without_statement(watched)]


_STATES = {
    "not found": ("not found", "look where it was last seen; then tarebook found or stolen", ""),
    "quarantined": ("in quarantine", "decide: ship it to be separated or destroyed", ""),
    "on loan": ("on loan", "ask for it back, or record its return", ""),
    "condemned": ("condemned and not yet scrapped or returned", "scrap or return it",
                  "49 CFR 180.205(i)"),
    "found": ("found", "weigh it, then tarebook change cylinder --state", ""),
}  # fmt: skip


def _state(one: Watched, today: str) -> Iterator[Attention]:
    if one.state in _STATES:
        what, step, cite = _STATES[one.state]
        why = f": {one.because}" if one.because else ""
        yield Attention(one.name, f"{what}{why}", one.since, step, cite, one.entry)
    elif one.state == "stolen" and not one.report:
        yield Attention(
            one.name, "stolen, no report number on record", one.since,
            "tarebook change cylinder NAME --report NUMBER", "", one.entry,
        )  # fmt: skip


def _gone(one: Watched) -> bool:
    return one.state in ("scrapped", "returned", "stolen", "condemned")


def _requalification(one: Watched, today: str) -> Iterator[Attention]:
    if one.kind == "disposable" or _gone(one) or not one.ours:
        return
    if words := due_words(one.due, today):
        yield Attention(
            one.name, words, one.due, "send it to a requalifier; what is in it may be shipped",
            "49 CFR 180.205(c)", one.due_entry,
        )  # fmt: skip
    if one.condition:
        yield Attention(
            one.name, f"{one.condition} on record: not to be filled", "",
            "requalify or condemn it", "49 CFR 173.301(a)(2), 180.205(d)", one.condition_entry,
        )  # fmt: skip
    least, whole = TARE_LOSS
    if one.stamped and one.measured and whole * one.measured <= least * one.stamped:
        yield Attention(
            one.name, f"empty weight {lb(one.measured)} of {lb(one.stamped)} stamped", "",
            "requalify before filling; the new tare is marked", "49 CFR 180.209(c)",
        )  # fmt: skip


def _contents(one: Watched, today: str) -> Iterator[Attention]:
    if one.gas:
        return
    if one.book < 0:
        yield Attention(
            one.name, f"{lb(-one.book)} below nothing by the book", "",
            "record what it held (tarebook receive, opening) or find the slip",
        )  # fmt: skip
    if one.book > 0 and one.refrigerant == MIXED and one.state != "quarantined":
        yield Attention(one.name, "holds mixed refrigerant", "", "put it in quarantine")
    if one.book > 0 and one.refrigerant in ("", UNKNOWN):
        yield Attention(one.name, "contents unknown", "", "have them identified; do not use it")
    if one.book > 0 and one.owner == SHARED:
        yield Attention(
            one.name, "recovered refrigerant of several owners", "",
            "only to a certified reclaimer", "40 CFR 82.154(d)",
        )  # fmt: skip
    if one.provisional:
        yield Attention(one.name, "begun by a job, not entered by the office", "",
                        "tarebook mend cylinder NAME --kind ...", "", one.entry)  # fmt: skip


def _unseen(one: Watched, today: str) -> Iterator[Attention]:
    if _gone(one) or not one.ours or one.state == "not found" or one.book <= 0:
        return
    if one.seen is not None and one.seen.days >= UNSEEN_DAYS:
        last = one.seen.sighting
        yield Attention(
            one.name, f"not seen for {one.seen.days} days, {lb(one.book)} by the book", last.day,
            f"look where it was last seen{f': {last.place}' if last.place else ''}", "",
            last.entry,
        )  # fmt: skip


def _without_statement(cylinders: Iterable[Watched]) -> Iterator[Attention]:
    """Disposables scrapped without a statement of evacuation, one line for those of a day."""
    days: dict[str, list[Watched]] = {}
    for one in cylinders:
        if one.kind == "disposable" and one.state == "scrapped" and not one.statement:
            days.setdefault(one.since, []).append(one)
    for day, batch in sorted(days.items()):
        others = f" and {len(batch) - 1} more" if len(batch) > 1 else ""
        yield Attention(
            f"{batch[0].name}{others}", "scrapped without a statement of evacuation", day,
            "house rule; federal duty from 2028, some states now", "40 CFR 84.116",
            batch[0].entry,
        )  # fmt: skip


_QUESTIONS = (_state, _requalification, _contents, _unseen)
