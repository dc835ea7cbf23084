"""Which of a clock's readings bore on one duty: the others are left out of its working.

A pack names with each clock every reading that may bear on it. A reading about mothballing says
nothing about a circuit that was never mothballed; what is not named here always stays.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable

from ledger.answers.duty import DONE_LATE, OVERDUE, Duty
from ledger.answers.repair_case import RepairCase
from ledger.answers.working import RuleRef

SATURDAY = 5

_Test = Callable[[RepairCase, Duty], bool]


def _stopped(case: RepairCase, duty: Duty) -> bool:
    return bool(case.stops)


def _late(case: RepairCase, duty: Duty) -> bool:
    return case.acted and duty.status in (OVERDUE, DONE_LATE)


def _weekend(case: RepairCase, duty: Duty) -> bool:
    return duty.due is not None and duty.due.weekday() >= SATURDAY


def _late_request(case: RepairCase, duty: Duty) -> bool:
    clock = case.law.clock("repair-extension-request")
    if clock is None or clock.length is None:
        return False
    return any(one.on > clock.length.after(case.day0) for one in case.requests)


def _late_shutdown(case: RepairCase, duty: Duty) -> bool:
    plain = next((clock.length for clock in case.law.clocks_of("repair") if clock.length), None)
    return case.shutdown is not None and (
        plain is None or case.shutdown.on > plain.after(case.day0)
    )


def _leap(case: RepairCase, duty: Duty) -> bool:
    return duty.start is not None and (duty.start.month, duty.start.day) == (2, 29)


BEARS: dict[str, _Test] = {
    "mothball-carry": _stopped,
    "mothball-plan-days": _stopped,
    "mothball-recharge": _stopped,
    "second-over": lambda case, duty: len(case.exceedances) > 1,
    "window-closed": _late,
    "weekend-roll": _weekend,
    "ca-weekend": _weekend,
    "leap-year-step": _leap,
    "failed-followup": lambda case, duty: any(one.outcome == "fail" for one in case.rounds),
    "ext-late": _late_request,
    "ext-unsigned": lambda case, duty: any(not one.signed for one in case.requests),
    "ext-undelivered": lambda case, duty: bool(duty.extended) and not case.deliveries,
    "ext-tests": lambda case, duty: bool(duty.extended),
    "shutdown-late": _late_shutdown,
    "plan-cap-82": lambda case, duty: duty.after.endswith("months"),
    "plan-cap-84": lambda case, duty: duty.after.endswith("months"),
    "late-found-plan": lambda case, duty: duty.limb == "(ii)",
}
"""Readings that bear on a duty only when something happened."""


def bearing(rules: Iterable[RuleRef], case: RepairCase, duty: Duty) -> tuple[RuleRef, ...]:
    """The rules of a duty without the readings that did not bear on it, each once."""
    found = []
    for rule in dict.fromkeys(rules):
        test = BEARS.get(rule.rule.rpartition("/")[2])
        if test is None or test(case, duty):
            found.append(rule)
    return tuple(found)
