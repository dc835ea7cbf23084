"""Which additions count, and with how many pounds: seasonal returns and same-event set-off.

Two interpretations live here. SEASONAL_UNIT and SEASONAL_BALANCE: a declared seasonal movement
is judged whole against what was removed for the season and not yet returned. NET_SAME_EVENT:
refrigerant recovered and put back in one service event was not lost.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import date
from typing import NamedTuple

from ledger.answers.leak_history import Addition, Removal
from ledger.answers.leak_law import SEASONAL
from ledger.facts.calendar import plus_months
from ledger.facts.mass import pounds

SEASON_MONTHS = 12
"""Removal and return lie in one consecutive 12-month period (40 CFR 82.152, seasonal variance)."""


class Note(NamedTuple):
    """Something a reader of a figure must know: a stable code and one sentence."""

    code: str
    sentence: str


class Judged(NamedTuple):
    """What became of one addition.

    `claim` is the exemption that holds (empty: it counts), `counted` the pounds that count,
    `recovered` the entries of the recoveries set off against it.
    """

    claim: str
    counted: int
    note: Note | None = None
    recovered: tuple[int, ...] = ()


Line = tuple[int, int]
"""Entry number and line: the name of one movement."""


class _Held:
    """Pounds of one removal that are still to be returned or put back."""

    __slots__ = ("entry", "left", "on", "until")

    def __init__(self, removal: Removal, until: date) -> None:
        self.entry = removal.entry
        self.on = removal.on
        self.until = until
        self.left = removal.mass


def judge(
    additions: Sequence[Addition], removals: Iterable[Removal], net: bool
) -> dict[Line, Judged]:
    """Judge the additions that were declared seasonal or share an event with a recovery.

    Only those are in the answer. Movements of one date are taken by time and then by mass, so
    that the order in which they were entered changes nothing.
    """
    verdicts: dict[Line, Judged] = {}
    seasonal: list[Removal] = []
    recovered: dict[str, list[Removal]] = defaultdict(list)
    for removal in removals:
        if removal.seasonal:
            seasonal.append(removal)
        elif removal.event:
            recovered[removal.event].append(removal)
    declared = [addition for addition in additions if addition.exempt == SEASONAL]
    if declared:
        verdicts.update(_judge_seasonal(declared, seasonal))
    if net and recovered:
        verdicts.update(_set_off(additions, recovered, verdicts))
    return verdicts


def _order(addition: Addition) -> tuple[date, str, int, str, int, int]:
    """By date, time, mass and event; only movements alike in all that go by entry number."""
    part = addition
    return part.on, part.time, part.mass, part.event, part.entry, part.line


def _judge_seasonal(
    declared: Sequence[Addition], removals: Iterable[Removal]
) -> dict[Line, Judged]:
    held = [
        _Held(removal, plus_months(removal.on, SEASON_MONTHS))
        for removal in sorted(removals, key=lambda r: (r.on, r.mass, r.entry))
    ]
    verdicts: dict[Line, Judged] = {}
    for addition in sorted(declared, key=_order):
        open_ = [part for part in held if part.on <= addition.on <= part.until and part.left]
        balance = sum(part.left for part in open_)
        key = addition.entry, addition.line
        if addition.mass <= balance:
            _draw(open_, addition.mass)
            verdicts[key] = Judged(SEASONAL, 0)
        else:
            verdicts[key] = Judged("", addition.mass, _exceeds(addition.mass, balance))
    return verdicts


def _exceeds(mass: int, balance: int) -> Note:
    if not balance:
        return Note(
            "seasonal-nothing-held",
            f"{pounds(mass)} lb was declared seasonal, but nothing removed for the season in the"
            " 12 months before is still to be returned: all of it counts.",
        )
    return Note(
        "seasonal-exceeds-held",
        f"{pounds(mass)} lb was declared seasonal, but only {pounds(balance)} lb removed for the"
        " season is still to be returned: all of it counts. If the return and a top-up were"
        " weighed apart, enter them as two movements.",
    )


def _draw(sources: Iterable[_Held], mass: int) -> tuple[int, list[int]]:
    """Take up to `mass` from the sources, oldest first: what was taken, and from which entries."""
    taken, entries = 0, []
    for source in sources:
        part = min(source.left, mass - taken)
        if part:
            source.left -= part
            taken += part
            entries.append(source.entry)
    return taken, entries


def _set_off(
    additions: Sequence[Addition],
    recovered: dict[str, list[Removal]],
    seasonal: dict[Line, Judged],
) -> dict[Line, Judged]:
    events: dict[str, list[Addition]] = defaultdict(list)
    for addition in additions:
        if addition.event in recovered:
            verdict = seasonal.get((addition.entry, addition.line))
            if verdict is None or not verdict.claim:
                events[addition.event].append(addition)
    verdicts: dict[Line, Judged] = {}
    for event, parts in events.items():
        verdicts.update(_set_off_event(parts, recovered[event], seasonal))
    return verdicts


def _set_off_event(
    parts: Sequence[Addition], removals: Iterable[Removal], seasonal: dict[Line, Judged]
) -> dict[Line, Judged]:
    """Set the recoveries of one event off against its additions.

    What is put back first as a new or post-retrofit charge cannot excuse a top-up as well, so
    those come first. Then each addition is set off against what was recovered up to its date,
    and only what is left over against the event's earlier additions, oldest first.
    """
    held = [_Held(r, r.on) for r in sorted(removals, key=lambda r: (r.on, r.mass, r.entry))]
    ordered = sorted(parts, key=lambda a: (not _stays_exempt(a), *_order(a)))
    left = {(a.entry, a.line): a.mass for a in ordered}
    from_: dict[Line, list[int]] = defaultdict(list)
    for by_date in (True, False):
        for addition in ordered:
            key = addition.entry, addition.line
            sources = [part for part in held if not by_date or part.on <= addition.on]
            taken, entries = _draw(sources, left[key])
            left[key] -= taken
            from_[key] += entries
    verdicts: dict[Line, Judged] = {}
    for addition in ordered:
        key = addition.entry, addition.line
        if not _stays_exempt(addition):
            earlier = seasonal.get(key)
            note = earlier.note if earlier else None
            verdicts[key] = Judged("", left[key], note, tuple(sorted(set(from_[key]))))
    return verdicts


def _stays_exempt(addition: Addition) -> bool:
    return bool(addition.exempt) and addition.exempt != SEASONAL
