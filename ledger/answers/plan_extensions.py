"""More time for a retrofit or retirement plan: who may ask, what stands, and what it gives."""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from typing import NamedTuple

from ledger.answers.case_events import Event
from ledger.answers.case_windows import Window, frozen
from ledger.answers.duty_law import Clock, Longer
from ledger.answers.duty_readings import chosen
from ledger.answers.repair_case import RepairCase
from ledger.answers.working import Input
from ledger.facts.calendar import plus_days

REQUEST = "plan-extension-request"
FEDERAL = "extension-federal-owner"
OWNER = "federal owner"
GROUNDS = {
    "custom-built": ("extension-custom-built",),
    "other law": ("extension-other-law",),
    "radiological": ("extension-radiological", FEDERAL),
    "procurement": (FEDERAL,),
    OWNER: (FEDERAL,),
}
"""The ground of a request and the grounds of the law it may stand for."""
MORE_AFTER = frozenset({"extension-custom-built", FEDERAL})
"""The grounds after which a further extension may be asked for."""


class Granted(NamedTuple):
    """A request that counts as approved, the ground of the law, and from which day it counts."""

    request: Event
    longer: Longer
    on: date


def request_clocks(case: RepairCase, charge: Fraction | None) -> list[Clock]:
    """The last days to ask that are meant for this circuit and its owner.

    Who asks as a federal owner says that the owner is one.
    """
    federal = case.federal_owner or any(one.ground == OWNER for one in case.plan_requests)
    return [
        clock
        for clock in case.law.clocks_of(REQUEST)
        if clock.starts == "exceedance" and clock.when.holds(case.category, charge, None, federal)
    ]


def request_window(case: RepairCase, clock: Clock) -> Window:
    """The months to ask, from the exceedance that made the plan due."""
    need = case.need
    assert need is not None
    told = Input("over the trigger", need.since.isoformat(), (need.entry,))
    if clock.length is None:
        return Window(need.since, "", None, "the rule gives no months", rules=clock.rules)
    due = clock.length.after(need.since)
    window = Window(need.since, clock.length.words(), due, rules=clock.rules, inputs=(told,))
    return frozen(window, case, clock)


def granted(
    case: RepairCase, finish: Clock, charge: Fraction | None, as_of: date, ends: date | None
) -> list[Granted]:
    """The requests that count as approved by the end of a date, in order (PLAN_EXT_DAY).

    The first must be made in its months, on a ground the rule knows, signed where it asks for a
    signature; a further one before the end of the ninth month of the first (NINTH_MONTH), which
    begins as the plan's own time `ends`.
    """
    out: list[Granted] = []
    if case.need is None or case.plan is None:
        return out
    for request in case.plan_requests:
        if out:
            found = _further(case, request, out[0], ends)
        else:
            found = _first(case, finish, charge, request)
        approved = _approved_on(case, request)
        if found is not None and approved is not None and approved <= as_of:
            out.append(Granted(request, found, approved))
    return out


def _first(
    case: RepairCase, finish: Clock, charge: Fraction | None, request: Event
) -> Longer | None:
    if not _complete(case, request):
        return None
    for clock in request_clocks(case, charge):
        due = request_window(case, clock).due
        if due is not None and request.on > due:
            continue
        for ground in GROUNDS.get(request.ground, ()):
            longer = finish.longer_by(ground)
            if longer is not None and (ground == FEDERAL) is bool(clock.when.federal_owner):
                return longer
    return None


def _further(case: RepairCase, request: Event, first: Granted, ends: date | None) -> Longer | None:
    """A further extension on the ground of the first."""
    clock = case.law.clock("further-extension-request")
    if clock is None or first.longer.ground not in MORE_AFTER or not _complete(case, request):
        return None
    last = last_to_ask_again(clock, ends)
    return first.longer if last is None or request.on <= last else None


def last_to_ask_again(clock: Clock, ends: date | None) -> date | None:
    """The last day of the ninth month of the first extension, which begins as the year ends."""
    if clock.length is None or ends is None:
        return None
    return plus_days(clock.length.after(ends), -1)


def _complete(case: RepairCase, request: Event) -> bool:
    unsigned = case.law.plan_extension_signed and not request.signed
    return request.conditions and (not unsigned or chosen(case.law, "ext-unsigned"))


def _approved_on(case: RepairCase, request: Event) -> date | None:
    """The day a request counts as approved; None where EPA objected in time."""
    clock = case.law.clock("relief-approved")
    if clock is None or clock.length is None:
        return None
    last = clock.length.after(request.on)
    against = any(request.on <= one.on <= last for one in case.plan_objections)
    return None if against else last


def extended(plain: Window, case: RepairCase, found: list[Granted]) -> Window:
    """The date to finish with the extensions that were granted; one never makes it earlier."""
    if not found or plain.due is None:
        return plain
    first = found[0]
    told = Input("more time for the plan", first.request.on.isoformat(), (first.request.entry,))
    plain = plain._replace(
        rules=(*plain.rules, *first.longer.rules),
        inputs=(*plain.inputs, told),
        extended=first.request.ground,
    )
    length = first.longer.length
    if len(found) > 1:
        more = Input("further time", found[1].request.on.isoformat(), (found[1].request.entry,))
        return plain._replace(
            due=None, after="", no_date="further time as asked for", inputs=(*plain.inputs, more)
        )
    if length is None:
        return plain._replace(due=None, after="", no_date="as long as needed")
    if first.longer.starts != "delivery":
        return plain._replace(
            after=f"{plain.after} and {length.words()}", due=length.after(plain.due or date.max)
        )
    delivery = next((e for e in case.deliveries if e.on >= first.request.on), None)
    if delivery is None:
        waiting = f"{length.words()} after delivery"
        return plain._replace(due=None, after=waiting, no_date=waiting)
    due = length.after(delivery.on)
    arrived = Input("delivery", delivery.on.isoformat(), (delivery.entry,))
    if due <= (plain.due or date.max):
        return plain._replace(inputs=(*plain.inputs, arrived))
    return plain._replace(
        start=delivery.on, after=length.words(), due=due, inputs=(*plain.inputs, arrived)
    )
