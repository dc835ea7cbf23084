"""One circuit's additions laid out by date: what counts, what is exempt, what is unknown.

What counts on one date is one sum (LAST_ADDITION_DAY). The common case, an addition that simply
counts, runs through a short loop; everything else is kept as a detail of its day.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from operator import itemgetter
from typing import NamedTuple

from ledger.answers.leak_history import Addition, CircuitHistory
from ledger.answers.leak_judge import Judged, Line, Note, judge
from ledger.answers.leak_law import SEASONAL

_UNKNOWN = "amount unknown"
_CARRIED = "carried forward"
_BY_DATE = itemgetter(2)
_ALONE = Judged("", 0)


class Exempt(NamedTuple):
    """An addition that needs no calculation, and what it was declared to be."""

    entry: int
    mass: int
    claim: str


@dataclass(slots=True)
class DayDetail:
    """What is to be told about one date beyond its pounds.

    `unknown` holds entries of additions of unknown amount; `set_off` the pounds recovered and
    put back in the same event, `recovered` the entries of those recoveries; `carried` marks
    the last addition of the older records.
    """

    exempt: list[Exempt] = field(default_factory=list)
    unknown: list[int] = field(default_factory=list)
    notes: list[Note] = field(default_factory=list)
    recovered: list[int] = field(default_factory=list)
    set_off: int = 0
    carried: bool = False


@dataclass(slots=True)
class Days:
    """A circuit's dates with any addition, oldest first, as columns side by side.

    `counted` is the pounds that count on the date, `entries` the entries they come from
    (empty where nothing counts). `details` is kept by position, only where there is more to
    tell; `verdicts` what was judged of single movements.
    """

    history: CircuitHistory
    on: list[date] = field(default_factory=list)
    ordinal: list[int] = field(default_factory=list)
    counted: list[int] = field(default_factory=list)
    entries: list[tuple[int, ...]] = field(default_factory=list)
    details: dict[int, DayDetail] = field(default_factory=dict)
    verdicts: dict[Line, Judged] = field(default_factory=dict)

    def after_time(self, position: int, time: str, exempt: frozenset[str]) -> tuple[int, bool]:
        """Pounds of a date shown to come after a time, and whether all of that date does.

        An addition without a time is not shown to come after anything (FOLLOWUP_DAY_ADD).
        """
        detail = self.details.get(position)
        day, mass, whole = self.on[position], 0, not (detail and detail.unknown)
        for addition in self.history.additions:
            if addition.on != day:
                continue
            verdict = self.verdicts.get((addition.entry, addition.line))
            claim = verdict.claim if verdict else addition.exempt
            if claim in exempt:
                continue
            if time and addition.time > time:
                mass += verdict.counted if verdict and not claim else addition.mass
            else:
                whole = False
        return mass, whole


def cut(history: CircuitHistory, as_of: date) -> CircuitHistory:
    """The history as far as it had happened by the end of a date."""
    return replace(
        history,
        additions=[part for part in history.additions if part.on <= as_of],
        removals=tuple(part for part in history.removals if part.on <= as_of),
        unknown_additions=tuple(p for p in history.unknown_additions if p.on <= as_of),
        follow_ups=tuple(part for part in history.follow_ups if part.on <= as_of),
        repairs=tuple(part for part in history.repairs if part.on <= as_of),
    )


def days_of(history: CircuitHistory, net_same_event: bool) -> Days:
    """Lay a circuit's additions out by date."""
    days = Days(history)
    additions: Sequence[Addition] = history.additions
    if history.removals or any(part[5] == SEASONAL for part in additions):
        days.verdicts = judge(additions, history.removals, net_same_event)
    additions = sorted(additions, key=_BY_DATE)
    if history.unknown_additions or history.carried_last_addition:
        additions = sorted([*additions, *_without_amount(history)], key=_BY_DATE)
    _fill(days, additions)
    days.ordinal = list(map(date.toordinal, days.on))
    return days


def _without_amount(history: CircuitHistory) -> list[Addition]:
    rows = [Addition(p.entry, -1, p.on, "", 0, _UNKNOWN) for p in history.unknown_additions]
    if history.carried_last_addition:
        rows.append(Addition(0, -1, history.carried_last_addition, "", 0, _CARRIED))
    return rows


def _fill(days: Days, additions: Sequence[Addition]) -> None:
    ons, counted, entries, verdicts = days.on, days.counted, days.entries, days.verdicts
    last: date | None = None
    for addition in additions:
        entry, line, on, _, mass, exempt, _, estimated, by_others = addition
        new = on != last
        plain = not (exempt or estimated or by_others or (verdicts and (entry, line) in verdicts))
        if new:
            last = on
            ons.append(on)
            counted.append(mass if plain else 0)
            entries.append((entry,) if plain else ())
        elif plain:
            counted[-1] += mass
            entries[-1] = _with(entries[-1], entry)
        if not plain:
            _tell(days, addition)


def _with(entries: tuple[int, ...], entry: int) -> tuple[int, ...]:
    return tuple(sorted({*entries, entry}))


def _tell(days: Days, addition: Addition) -> None:
    """Put an addition that is out of the ordinary on the last date of the columns."""
    verdict = days.verdicts.get((addition.entry, addition.line))
    if verdict is None:
        verdict = _ALONE._replace(counted=addition.mass, claim=addition.exempt)
    detail = days.details.setdefault(len(days.on) - 1, DayDetail())
    if verdict.claim == _UNKNOWN:
        detail.unknown = sorted([*detail.unknown, addition.entry])
    elif verdict.claim == _CARRIED:
        detail.carried = True
    elif verdict.claim:
        detail.exempt.append(Exempt(addition.entry, addition.mass, verdict.claim))
        detail.exempt.sort()
    else:
        days.counted[-1] += verdict.counted
        days.entries[-1] = _with(days.entries[-1], addition.entry)
        detail.set_off += addition.mass - verdict.counted
        detail.recovered = sorted({*detail.recovered, *verdict.recovered})
        notes = [verdict.note, _by_others(addition), _estimated(addition)]
        detail.notes = sorted({*detail.notes, *(note for note in notes if note)})


def _by_others(addition: Addition) -> Note | None:
    if not addition.by_others:
        return None
    return Note("by-others", f"Entry {addition.entry} is work by another contractor.")


def _estimated(addition: Addition) -> Note | None:
    if not addition.estimated:
        return None
    return Note("amount-estimated", f"The amount of entry {addition.entry} is an estimate.")
