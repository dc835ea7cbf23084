"""Leak rates a second time, written straight from the definition: fractions, no shortcuts.

It shares the input records with the program and nothing else: every number of the rules is
written out here, every sum is taken from scratch for every date. Slow on purpose; the random
tests compare the program with it.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta
from fractions import Fraction
from typing import NamedTuple

from ledger.answers.leak_history import Addition, CircuitHistory, FullCharge

NEW_TEXT = date(2019, 1, 1)
HFC_RULE = date(2026, 1, 1)


class Plain(NamedTuple):
    """The rates of one date: None where there is no figure; True where it is only a floor."""

    annual: Fraction | None
    rolling: Fraction | None
    annual_floor: bool
    rolling_floor: bool


def naive_rates(history: CircuitHistory, subpart: str, begins: date) -> dict[date, Plain | str]:
    """By date from `begins`: the two rates of a subpart, or that no calculation is required."""
    lines = _counted_lines(history, subpart)
    out: dict[date, Plain | str] = {}
    first: date | None = None
    for day in sorted({a.on for a in history.additions} | {u.on for u in _unknown(history)}):
        if day < begins:
            continue
        pounds = [line for line in lines if line[0].on == day]
        vague = any(u.on == day for u in _unknown(history))
        if not pounds and not vague:
            out[day] = "no calculation required"
            continue
        if subpart == "84" and first is None:
            first = day
        out[day] = _rate(history, subpart, lines, day, first, bool(pounds))
    return out


def _rate(
    history: CircuitHistory,
    subpart: str,
    lines: list[tuple[Addition, Fraction]],
    day: date,
    first: date | None,
    known: bool,
) -> Plain:
    episode = _episode(history, lines, day) if subpart == "84" or day >= NEW_TEXT else {day}
    is_first = first is not None and (day == first or first in episode)
    parts = {d for d in episode if d <= day}
    annual_pounds = sum((mass for a, mass in lines if a.on in parts), Fraction(0))
    annual_floor = any(u.on in parts for u in _unknown(history))
    days = Fraction(365) if is_first else _days(history, min(episode))
    rolling_pounds, rolling_floor = _window(history, subpart, lines, day, is_first)
    charge = _charge(history.full_charges, day)
    if not known or charge is None:
        return Plain(None, None, annual_floor, rolling_floor)
    step_1 = annual_pounds / charge
    step_2 = days / 365
    return Plain(step_1 / step_2, rolling_pounds / charge, annual_floor, rolling_floor)


def _days(history: CircuitHistory, day: date) -> Fraction:
    any_addition = {a.on for a in history.additions} | {u.on for u in _unknown(history)}
    if history.carried_last_addition:
        any_addition.add(history.carried_last_addition)
    earlier = [d for d in any_addition if d < day]
    return Fraction(min((day - max(earlier)).days, 365)) if earlier else Fraction(365)


def _episode(
    history: CircuitHistory, lines: list[tuple[Addition, Fraction]], day: date
) -> set[date]:
    """All dates joined to this one by declared episodes, by walking until nothing is added."""
    known = {(a.entry, a.on) for a, _ in lines} | {(u.entry, u.on) for u in _unknown(history)}
    joined = {day}
    while True:
        here = {entry for entry, on in known if on in joined}
        wider = set(joined)
        for episode in history.episodes:
            if episode & here:
                wider |= {on for entry, on in known if entry in episode}
        if wider == joined:
            return joined
        joined = wider


def _window(
    history: CircuitHistory,
    subpart: str,
    lines: list[tuple[Addition, Fraction]],
    day: date,
    is_first: bool,
) -> tuple[Fraction, bool]:
    if is_first:
        inside = [(a, m) for a, m in lines if HFC_RULE <= a.on <= day]
        vague = [u.on for u in _unknown(history) if HFC_RULE <= u.on <= day]
        carried = _carried(history, HFC_RULE, day)
        return sum((m for _, m in inside), Fraction(0)), bool(vague) or carried
    begin = day - timedelta(days=364)
    moments = [
        (on, time) for on, time in _reset_moments(history, subpart, day) if begin <= on <= day
    ]
    same_day = [time for on, time in moments if on == day]
    todays = [a for a, _ in lines if a.on == day]
    after_today = bool(same_day) and bool(todays) and all(_shown_after(a, same_day) for a in todays)
    if after_today and not any(u.on == day for u in _unknown(history)):
        return sum((m for a, m in lines if a.on == day), Fraction(0)), False
    earlier = [on for on, _ in moments if on < day]
    last = max(earlier) if earlier else None
    total = Fraction(0)
    for a, mass in lines:
        if not begin <= a.on <= day:
            continue
        if (
            last is None
            or a.on > last
            or (a.on == last and _shown_after(a, [time for on, time in moments if on == last]))
        ):
            total += mass
    since = begin if last is None else last + timedelta(days=1)
    missing = any(since <= u.on <= day for u in _unknown(history))
    return total, missing or _carried(history, since, day)


def _carried(history: CircuitHistory, since: date, day: date) -> bool:
    on = history.carried_last_addition
    return on is not None and since <= on < day


def _shown_after(addition: Addition, times: Iterable[str]) -> bool:
    known = [time for time in times if time]
    return bool(addition.time) and bool(known) and addition.time > max(known)


def _reset_moments(history: CircuitHistory, subpart: str, day: date) -> list[tuple[date, str]]:
    if subpart == "82" and day < NEW_TEXT:
        return [(repair.on, "") for repair in history.repairs]
    return [(t.on, t.time) for t in history.follow_ups if t.passed and t.all_leaks]


def _charge(series: tuple[FullCharge, ...], day: date) -> Fraction | None:
    found = [part for part in series if part.since is None or part.since <= day]
    if not found:
        return None
    last = found[-1]
    if last.mass is not None:
        return Fraction(last.mass)
    if last.method == "range" and last.low is not None and last.high is not None:
        return Fraction(last.low + last.high, 2)
    return None


def _unknown(history: CircuitHistory) -> list[Addition]:
    return [Addition(u.entry, 0, u.on, "", 0) for u in history.unknown_additions]


def _counted_lines(history: CircuitHistory, subpart: str) -> list[tuple[Addition, Fraction]]:
    """Every addition that counts, with the mass that counts."""
    seasonal = _valid_seasonal(history)
    net = _net(history, seasonal)
    out = []
    for number, addition in enumerate(history.additions):
        if addition.exempt in ("new charge", "post-retrofit"):
            continue
        if number in seasonal:
            if subpart == "82" and addition.on < NEW_TEXT:
                out.append((addition, Fraction(addition.mass)))
            continue
        out.append((addition, Fraction(net[number])))
    return out


def _by_content(a: Addition) -> tuple[date, str, int, str, int]:
    return a.on, a.time, a.mass, a.event, a.entry


def _a_year_later(day: date) -> date:
    try:
        return day.replace(year=day.year + 1)
    except ValueError:
        return date(day.year + 1, 2, 28)


def _valid_seasonal(history: CircuitHistory) -> set[int]:
    """Numbers of the additions that are seasonal; removed pounds are used up one by one."""
    store = sorted(r.on for r in history.removals if r.seasonal for _ in range(r.mass))
    declared = [n for n, a in enumerate(history.additions) if a.exempt == "seasonal"]
    declared.sort(key=lambda n: _by_content(history.additions[n]))
    valid = set()
    for number in declared:
        addition = history.additions[number]
        usable = [on for on in store if on <= addition.on <= _a_year_later(on)]
        if addition.mass <= len(usable):
            valid.add(number)
            for on in usable[: addition.mass]:
                store.remove(on)
    return valid


def _net(history: CircuitHistory, seasonal: set[int]) -> dict[int, int]:
    """What is left of each addition once its event's recoveries are set off, piece by piece."""
    left = {number: addition.mass for number, addition in enumerate(history.additions)}
    events = {r.event for r in history.removals if r.event and not r.seasonal}
    for event in events:
        pieces = sorted(
            r.on
            for r in history.removals
            if r.event == event and not r.seasonal
            for _ in range(r.mass)
        )
        inside = [
            n for n, a in enumerate(history.additions) if a.event == event and n not in seasonal
        ]
        inside.sort(key=lambda n: _by_content(history.additions[n]))
        first_charge = [n for n in inside if history.additions[n].exempt in _NEVER_COUNTED]
        ordinary = [n for n in inside if n not in first_charge]
        for only_earlier in (True, False):
            for number in first_charge + ordinary:
                on = history.additions[number].on
                for piece in list(pieces):
                    if left[number] and (piece <= on or not only_earlier):
                        pieces.remove(piece)
                        left[number] -= 1
    return left


_NEVER_COUNTED = ("new charge", "post-retrofit")
