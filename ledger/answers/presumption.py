"""When a verified repair is presumed good: months without an addition, or clean inspections.

The parts differ: part 82 counts from the repair, part 84 from the successful follow-up test, and
a required detector without an alert stands beside the inspections under part 84 alone. All of
that is data of the clock `presumption`.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from fractions import Fraction

from ledger.answers import repair_case as at
from ledger.answers.case_events import Event
from ledger.answers.duty_law import Clock
from ledger.answers.repair_case import RepairCase
from ledger.facts.calendar import plus_months

YEAR = 12


def note_addition(case: RepairCase, on: date) -> None:
    """An addition after the day a presumption counts from: the months alone presume nothing."""
    if case.phase != at.VERIFIED or case.addition_since:
        return
    anchor = _anchor(case)
    case.addition_since = anchor is not None and on > anchor


def _anchor(case: RepairCase) -> date | None:
    clock = case.law.clock("presumption")
    if clock is None or case.phase != at.VERIFIED or case.verified is None:
        return None
    if clock.starts == "repair":
        return case.last_repair.on if case.last_repair is not None else None
    return case.verified.on


def presumed_on(
    case: RepairCase, events: Iterable[Event], charge: Fraction | None
) -> tuple[date, int] | None:
    """The day a repair is presumed good and the entry that says so (0: none); None: never."""
    clock, anchor = case.law.clock("presumption"), _anchor(case)
    if clock is None or clock.length is None or anchor is None:
        return None
    end = clock.length.after(anchor)
    if not case.addition_since:
        return end, 0
    told = [event for event in events if event.on <= end]
    entry = _inspected(case, clock, told, anchor, charge) or _watched(clock, told, anchor)
    return (end, entry) if entry else None


def _inspected(
    case: RepairCase, clock: Clock, events: list[Event], anchor: date, charge: Fraction | None
) -> int:
    """The last of the inspections, one in each period, none with a finding (else 0)."""
    if "leak-inspection" not in clock.also_by or clock.length is None:
        return 0
    step = next(
        (
            one.every.months
            for one in case.law.calendars
            if one.duty == "periodic-inspection" and one.when.holds(case.category, charge)
        ),
        0,
    )
    made = [e for e in events if e.kind == "leak-inspection" and e.on > anchor]
    if not step or not made or not all(event.clean for event in made):
        return 0
    for times in range(clock.length.months // step):
        first, last = plus_months(anchor, step * times), plus_months(anchor, step * (times + 1))
        if not any(event.complete and first < event.on <= last for event in made):
            return 0
    return made[-1].entry


def _watched(clock: Clock, events: list[Event], anchor: date) -> int:
    """The required detector that stood there the whole time without an alert (else 0)."""
    if "required-monitor" not in clock.also_by:
        return 0
    if any(event.kind == "alarm" and event.on > anchor for event in events):
        return 0
    found = (e for e in events if e.kind == "monitor" and e.required and e.on <= anchor)
    return next((event.entry for event in found), 0)
