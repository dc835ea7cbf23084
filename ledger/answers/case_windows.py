"""How long a clock of a repair case runs: shutdown, extensions, mothballing, and the date.

Calendar days; day 0 is the date the days run from, the duty is met through the end of the last
day, and no date moves off a weekend (WEEKEND_ROLL).
"""

from __future__ import annotations

from datetime import date
from typing import NamedTuple

from ledger.answers.case_events import Event
from ledger.answers.duty_law import Clock, Longer, Span, counted
from ledger.answers.duty_readings import chosen
from ledger.answers.repair_case import RepairCase, Stop
from ledger.answers.working import Input, RuleRef
from ledger.facts.calendar import plus_days

SATURDAY = 5
SHUTDOWN = "shutdown"
DELAY, DELAY_GASES = "delay-evidence", "delay-evidence-ghg"
INDUSTRIAL = "industrial process refrigeration"
EXTENSIONS = {
    "parts": "extension-parts",
    "other law": "extension-other-law",
    "radiological": "extension-radiological",
}
"""The ground of a request and the ground of the law it stands for."""


class Window(NamedTuple):
    """A clock as it stands: from which day, what is counted, the last day.

    `due` None: there is no date, and `no_date` says why. `frozen` is the mothballing that holds
    it, `left` the days it has left then. `extended` names the ground of an extension.
    """

    start: date | None
    after: str
    due: date | None
    no_date: str = ""
    extended: str = ""
    frozen: Stop | None = None
    left: int = 0
    rules: tuple[RuleRef, ...] = ()
    inputs: tuple[Input, ...] = ()


def window_of(case: RepairCase, clock: Clock) -> Window:
    """The window of a clock that runs from day 0 (from the discovery, where the law says so)."""
    start = case.day0
    if clock.starts == "detection" and case.detection is None:
        return Window(None, clock.length.words() if clock.length else "", None, "not discovered")
    if clock.starts == "detection" and case.detection is not None:
        start = case.detection.on
    found = _length(case, clock, start)
    extended = _extended(case, clock, found)
    return _working_day(frozen(extended, case, clock), case, clock)


def _working_day(window: Window, case: RepairCase, clock: Clock) -> Window:
    """By the other reading of CA_WEEKEND a Saturday or Sunday moves to Monday."""
    asked = any(rule.rule.endswith("/ca-weekend") for rule in clock.rules)
    if not asked or window.due is None or not chosen(case.law, "ca-weekend"):
        return window
    over = window.due.weekday() - SATURDAY
    return window if over < 0 else window._replace(due=plus_days(window.due, 2 - over))


def _length(case: RepairCase, clock: Clock, start: date) -> Window:
    """The plain length, or the longer one of a shutdown or of written reasons for delay."""
    longer = clock.longer_by(SHUTDOWN)
    if case.shutdown is not None and longer is not None and longer.length is not None:
        told = Input("shutdown", case.shutdown.on.isoformat(), (case.shutdown.entry,))
        found = _run(start, longer.length)
        return found._replace(rules=clock.rules + longer.rules, inputs=(told,))
    delayed = _delayed(case, clock)
    if delayed is not None:
        return _run(start, delayed[0])._replace(rules=delayed[1], inputs=delayed[2])
    if clock.length is None:
        return Window(None, "", None, "the rule gives no days", rules=clock.rules)
    return _run(start, clock.length)._replace(rules=clock.rules)


def _delayed(
    case: RepairCase, clock: Clock
) -> tuple[Span, tuple[RuleRef, ...], tuple[Input, ...]] | None:
    """The longest days that written reasons for delay give, where the rule knows such."""
    delay = next(iter(case.delays), None)
    if delay is None:
        return None
    grounds = [DELAY]
    if delay.ground == SHUTDOWN and case.reports_gases and case.category == INDUSTRIAL:
        grounds.insert(0, DELAY_GASES)
    for ground in grounds:
        longer = clock.longer_by(ground)
        if longer is not None and longer.length is not None:
            told = Input("written reasons", delay.on.isoformat(), (delay.entry,))
            return longer.length, clock.rules + longer.rules, (told,)
    return None


def _run(start: date, span: Span) -> Window:
    return Window(start, span.words(), span.after(start))


def _extended(case: RepairCase, clock: Clock, plain: Window) -> Window:
    """The window with the first request that stands; one that does not is told all the same."""
    for request in case.requests:
        longer = clock.longer_by(EXTENSIONS.get(request.ground, ""))
        if longer is None or plain.due is None:
            continue
        told = Input("request for more time", request.on.isoformat(), (request.entry,))
        plain = plain._replace(rules=plain.rules + longer.rules, inputs=(*plain.inputs, told))
        if request_stands(case, request):
            return _by_ground(case, request, longer, plain)
    return plain


def request_stands(case: RepairCase, request: Event) -> bool:
    """Whether a request for more time meets the conditions: filed in time, signed, complete."""
    law = case.law
    clock = law.clock("repair-extension-request")
    if clock is None or not request.conditions:
        return False
    late = False
    if clock.length is not None:
        due = frozen(_length(case, clock, case.day0), case, clock).due
        late = due is not None and request.on > due
    if late and not chosen(law, "ext-late"):
        return False
    unsigned = law.extension_signed and not request.signed
    return not unsigned or chosen(law, "ext-unsigned")


def _by_ground(case: RepairCase, request: Event, longer: Longer, plain: Window) -> Window:
    if longer.length is None:
        return plain._replace(
            due=None, no_date="as long as needed", extended=request.ground, after=""
        )
    cap = longer.cap_shutdown if case.shutdown is not None and longer.cap_shutdown else longer.cap
    last = _run(case.day0, cap) if cap is not None else None
    delivery = next((one for one in case.deliveries if one.on >= case.day0), None)
    found = last
    if delivery is not None:
        arrived = _run(delivery.on, longer.length)
        if last is None or _date(arrived) < _date(last):
            found = arrived
    if found is None or _date(found) < _date(plain):
        found = plain
    inputs = plain.inputs
    if delivery is not None:
        inputs = (*inputs, Input("delivery", delivery.on.isoformat(), (delivery.entry,)))
    return found._replace(rules=plain.rules, inputs=inputs, extended=request.ground)


def _date(window: Window) -> date:
    return window.due or date.max


def frozen(window: Window, case: RepairCase, clock: Clock) -> Window:
    """The window with the mothballings in it (MOTHBALL_CARRY): the days not used run on."""
    if "mothball" not in clock.suspended_by:
        return window
    anew = chosen(case.law, "mothball-carry")
    for stop in case.stops:
        start, due = window.start, window.due
        if start is None or due is None or not start <= stop.on <= due:
            continue
        left = (due - (start if anew else stop.on)).days
        told = Input("mothballed", stop.on.isoformat(), (stop.entry,))
        inputs = (*window.inputs, told)
        if stop.resumed is None:
            return window._replace(
                due=None, no_date=f"frozen, {counted(left, 'day')} left", frozen=stop, left=left,
                inputs=inputs,
            )  # fmt: skip
        again = Input("refrigerant added", stop.resumed.isoformat(), (stop.resumed_entry,))
        window = window._replace(
            start=stop.resumed, after=counted(left, "day"), due=plus_days(stop.resumed, left),
            inputs=(*inputs, again),
        )  # fmt: skip
    return window
