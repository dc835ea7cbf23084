"""Tells the events of one circuit under one pack in order and says what state its cases are in.

The machine: open, inspected, repaired, initial pass, follow-up part, verified, then confirmed by
a rate below the trigger or presumed after months without an addition; or a plan is due, made,
carried out or relieved. Mothballing freezes any of them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import date
from fractions import Fraction
from operator import itemgetter
from typing import NamedTuple

from ledger.answers import repair_case as at
from ledger.answers.case_events import Event, Story
from ledger.answers.case_terms import UNLESS, bound_from_to, category_on, charge_on, limb_on
from ledger.answers.case_windows import SHUTDOWN, Window, frozen, window_of
from ledger.answers.duty_law import Clock, DutyLaw, DutyTable
from ledger.answers.duty_readings import chosen
from ledger.answers.leak_result import Rate
from ledger.answers.mothballs import MOTHBALL, put_back_at_once
from ledger.answers.presumption import note_addition, presumed_on
from ledger.answers.repair_case import Over, PlanNeed, RepairCase, Round
from ledger.facts.calendar import plus_days


class Added(NamedTuple):
    """What was added on one date, and the rate that came of it under the pack, if one did."""

    on: date
    entries: tuple[int, ...]
    rate: Rate | None


def cases_of(
    story: Story, rates: Iterable[Rate], table: DutyTable, as_of: date
) -> list[RepairCase]:
    """The repair cases of a circuit under one pack as they stand at the end of a date.

    `rates` are those of the circuit as far as `as_of`; only the pack's own are looked at.
    """
    return _Telling(story, rates, table, as_of).run()


def side_of(rate: Rate) -> str:
    """Whether a required rate is "over", "under" or "equal" to its trigger; empty: not known."""
    if rate.over is None or not rate.required:
        return ""
    if rate.over:
        return "over"
    exact, trigger = rate.rate, rate.trigger
    if exact is None or trigger is None:
        return ""
    return "equal" if exact == Fraction(trigger, 100) else "under"


class _Telling:
    """One pass over a circuit's additions and events in order of date."""

    def __init__(self, story: Story, rates: Iterable[Rate], table: DutyTable, as_of: date) -> None:
        self.story = story
        self.table = table
        self.as_of = as_of
        self.rates = {rate.on: rate for rate in rates if rate.subpart == table.subpart}
        self.events = [event for event in story.events if event.on <= as_of]
        self.cases: list[RepairCase] = []

    def run(self) -> list[RepairCase]:
        """All cases, oldest first."""
        first = self._begins()
        if first is None:
            return []
        told: list[tuple[date, int, int, Added | Event]] = []
        stopped = {event.on for event in self.events if event.kind == MOTHBALL}
        for one in self._added(first):
            told.append((one.on, self._place(one.on) if one.on in stopped else 0, 0, one))
        told += [(event.on, 1, event.entry, event) for event in self.events if event.on >= first]
        for day, _, _, item in sorted(told, key=itemgetter(0, 1, 2)):
            self._pass_time(day)
            if isinstance(item, Added):
                self._addition(item)
            else:
                self._event(item)
        self._pass_time(plus_days(self.as_of, 1))
        return self.cases

    def _begins(self) -> date | None:
        """The first date that can open a case; None where none does."""
        days = [rate.on for rate in self.rates.values() if rate.over and rate.required]
        if not self.table.by_rate:
            days += [event.on for event in self.events if event.kind == "detection"]
        return min(days, default=None)

    def _place(self, day: date) -> int:
        """Where the additions of a date with a mothballing stand: before its events, but after
        a mothballing of the same service event, which they end at once."""
        return 2 if put_back_at_once(self.story.history, day) else 0

    def _added(self, first: date) -> list[Added]:
        days: dict[date, set[int]] = {}
        history = self.story.history
        for part in (*history.additions, *history.unknown_additions):
            if first <= part.on <= self.as_of:
                days.setdefault(part.on, set()).add(part.entry)
        return [
            Added(day, tuple(sorted(entries)), self.rates.get(day))
            for day, entries in sorted(days.items())
        ]

    @property
    def current(self) -> RepairCase | None:
        """The last case, if it still takes part in what happens."""
        case = self.cases[-1] if self.cases else None
        return None if case is None or case.is_closed else case

    def _pass_time(self, day: date) -> None:
        """What comes about without an event by the end of the day before."""
        case = self.current
        if case is None or case.state == at.MOTHBALLED:
            return
        if case.state == at.VERIFIED:
            presumed = presumed_on(case, self.events, charge_on(self.story, case.day0))
            if presumed is not None and _in_time(case, presumed[0], day):
                case.presume(*presumed)
        elif case.relieved_on is not None:
            if _in_time(case, case.relieved_on, day):
                _relieve(case, case.relieved_on)
        elif case.state in at.REPAIRING:
            due = _no_action_due(case)
            if due is not None and _in_time(case, due, day):
                _no_action(case, due)

    def _addition(self, added: Added) -> None:
        case = self.current
        side = side_of(added.rate) if added.rate is not None else ""
        if case is not None and case.state == at.MOTHBALLED:
            case.resume(added.on, added.entries[0])
            if added.rate is not None and not added.rate.counted:
                side = ""  # what was put back is no loss, and says nothing of the repair
        if case is not None:
            note_addition(case, added.on)
        if case is not None and case.bound_until is not None and added.on >= case.bound_until:
            case = None
        if added.rate is None or not side:
            return
        if side == "over":
            self._over(case, added.rate)
        elif case is not None and case.state == at.VERIFIED:
            reading = case.law.readings.get("equal-at-confirm", "")
            if side == "under" or (side == "equal" and chosen(case.law, "equal-at-confirm")):
                case.enter(at.CONFIRMED, added.on, added.entries[0])
            elif side == "equal" and reading == at.PLAN_DUE:
                _need(case, "(iii)", added.on, added.entries[0])

    def _over(self, case: RepairCase | None, rate: Rate) -> None:
        over = Over(rate.on, rate.entries)
        if case is None:
            self.cases.append(self._opened(rate.on, rate.entries, rate))
            return
        case.exceedances.append(over)
        if case.state == at.VERIFIED:
            _need(case, "(iii)", rate.on, rate.entries[0])

    def _opened(self, day: date, entries: tuple[int, ...], rate: Rate | None) -> RepairCase:
        law = self._law(day)
        binding = rate.terms.binding if rate is not None else None
        case = RepairCase(
            law=law,
            circuit=self.story.circuit,
            day0=day,
            opened_by=entries,
            category=rate.terms.category if rate is not None else category_on(self.story, day),
            reports_gases=self.story.reports_gases,
            federal_owner=self.story.federal_owner,
            of_episode=rate is not None and rate.annual_pounds != rate.counted,
            unless=UNLESS.get(binding.binds, "") if binding is not None else "",
            bound_until=bound_from_to(self.story, self.table.subpart, day),
        )
        case.exceedances.append(Over(day, entries))
        case.came_to_light = self._came_to_light(case)
        case.shutdown = self._shutdown(law, day)
        case.detection = self._discovered(law, day)
        case.enter(at.OPEN, day, entries[0] if entries else 0)
        return case

    def _law(self, day: date) -> DutyLaw:
        """The law of the day a case opened; by the other reading of OLD_CASES, from the day it
        is in force, the first law that counts from the exceedance."""
        law = self.table.at(day)
        if not chosen(law, "old-cases") or _by_exceedance(law):
            return law
        newer = zip(self.table.starts, self.table.laws, strict=True)
        found = (one for start, one in newer if start > day.toordinal() and _by_exceedance(one))
        first = next(found, law)
        begins = min((clock.begins for clock in first.clocks if _counts(clock)), default=date.max)
        return first if begins <= self.as_of else law

    def _shutdown(self, law: DutyLaw, day: date) -> Event | None:
        """A shutdown recorded within the days it would give (SHUTDOWN_LATE)."""
        for clock in law.clocks_of("repair"):
            longer = clock.longer_by(SHUTDOWN)
            if longer is not None and longer.length is not None:
                last = longer.length.after(day)
                found = (e for e in self.events if e.kind == SHUTDOWN and day <= e.on <= last)
                return next(found, None)
        return None

    def _discovered(self, law: DutyLaw, day: date) -> Event | None:
        """Where the days run from the discovery of what the rate then showed: the last detection
        since the addition before."""
        if not any(c.given == "exceedance" and c.starts == "detection" for c in law.clocks):
            return None
        before = max((p.on for p in self.story.history.additions if p.on < day), default=date.min)
        found = (e for e in self.events if e.kind == "detection" and before < e.on <= day)
        return next(found, None)

    def _came_to_light(self, case: RepairCase) -> date | None:
        """By the other reading of LATE_FOUND_PLAN: the day an exceedance was recorded, where
        its repair window had closed by then."""
        if not chosen(case.law, "late-found-plan"):
            return None
        recorded = self.story.recorded or {}
        known = max((recorded.get(entry, case.day0) for entry in case.opened_by), default=case.day0)
        repair = next((one for one in case.law.clocks if _counts(one)), None)
        last = repair.length.after(case.day0) if repair and repair.length else None
        return known if last is not None and known > last else None

    def _by_detection(self, day: date) -> bool:
        """Whether the detection of a leak opens a case on a day: no rate is asked, it binds."""
        return not self.table.by_rate and limb_on(self.story, self.table.subpart, day) is not None

    def _found(self, event: Event) -> None:
        """A leak that is found after the repair of the last one has days of its own; before it,
        it joins, and the earliest day stays."""
        last = self.current
        if last is None or last.repaired is not None:
            if last is not None:
                last.followed = event
            self.cases.append(self._opened(event.on, (event.entry,), None))

    def _event(self, event: Event) -> None:
        if event.kind == "detection" and self._by_detection(event.on):
            self._found(event)
        case_now = self.current
        handler = _HANDLERS.get(event.kind)
        if case_now is None or handler is None:
            return
        ended = case_now.bound_until is not None and event.on >= case_now.bound_until
        if not ended or event.kind in ("retrofit", "retire"):
            handler(case_now, event)


def _in_time(case: RepairCase, due: date, day: date) -> bool:
    """Whether a date lies before a day, and the pack still bound then."""
    return due < day and (case.bound_until is None or due < case.bound_until)


def _counts(clock: Clock) -> bool:
    return clock.duty == "repair" and clock.starts == "exceedance"


def _by_exceedance(law: DutyLaw) -> bool:
    return any(_counts(clock) for clock in law.clocks)


def _no_action_due(case: RepairCase) -> date | None:
    """The end of the repair window of a case for which nothing was recorded (NO_ACTION).

    By the other reading of WINDOW_CLOSED, also of one whose repairs passed no initial test.
    """
    tried = case.phase in at.REPAIRING and case.initial is None
    idle = not case.acted or (tried and chosen(case.law, "window-closed"))
    if (
        not idle
        or case.need is not None
        or not any(clock.given == "no-action" for clock in case.law.clocks)
    ):
        return None
    clocks = [clock for clock in case.law.clocks_of("repair") if clock.starts == "exceedance"]
    due = window_of(case, clocks[0]).due if clocks else None
    return due if due is None or case.came_to_light is None else max(due, case.came_to_light)


def _no_action(case: RepairCase, on: date) -> None:
    case.need = PlanNeed("(ii)", case.came_to_light or case.day0, case.opened_by[0])
    case.enter(at.PLAN_DUE, on)


def _relieve(case: RepairCase, on: date) -> None:
    case.enter(at.RELIEVED, on, case.relief.entry if case.relief else 0)


def _need(case: RepairCase, limb: str, since: date, entry: int) -> None:
    case.need = PlanNeed(limb, since, entry)
    case.enter(at.PLAN_DUE, since, entry)


def _nothing(case: RepairCase, event: Event) -> None:
    """A refusal to repair ends no duty; the plan follows at the end of the window."""


def _detected(case: RepairCase, event: Event) -> None:
    case.detection = case.detection or event


def _inspected(case: RepairCase, event: Event) -> None:
    case.located = case.located or event
    if case.phase == at.OPEN:
        case.enter(at.INSPECTED, event.on, event.entry)


def _repaired(case: RepairCase, event: Event) -> None:
    case.last_repair = event
    if not event.all_leaks:
        return
    if case.repaired is None or case.initial is None:
        case.repaired = event
    if case.phase in (at.OPEN, at.INSPECTED):
        case.enter(at.REPAIRED, event.on, event.entry)


def _initial(case: RepairCase, event: Event) -> None:
    if case.phase not in at.REPAIRING:
        _too_late(case, event)
        return
    if not event.passed:
        _back(case, event)
        return
    if not case.rounds or case.rounds[-1].ended is not None:
        evacuated = case.last_repair is not None and case.last_repair.evacuated
        case.rounds.append(Round(event, evacuated))
    if event.all_leaks and case.initial is None:
        case.initial = event
        case.enter(at.INITIAL_PASS, event.on, event.entry)


def _too_late(case: RepairCase, event: Event) -> None:
    """A test that passed after a plan became due: it was made, and the plan stands."""
    if not event.passed or not event.all_leaks or case.verified is not None:
        return
    if event.kind == "initial-test" and case.initial is None:
        case.initial = event
        evacuated = case.last_repair is not None and case.last_repair.evacuated
        case.rounds.append(Round(event, evacuated))
    elif event.kind == "follow-up-test" and case.rounds and case.rounds[-1].ended is None:
        case.rounds[-1] = case.rounds[-1]._replace(ended=event, outcome="pass")
        case.verified = event


def _back(case: RepairCase, event: Event) -> None:
    """A failed test opens the repair again inside the same window (FAILED_FOLLOWUP)."""
    case.repaired = case.initial = None
    if case.located is not None:
        case.enter(at.INSPECTED, case.located.on, event.entry)
    else:
        case.enter(at.OPEN, case.day0, event.entry)


def _normal(case: RepairCase, event: Event) -> None:
    if case.rounds and case.rounds[-1].normal is None:
        case.rounds[-1] = case.rounds[-1]._replace(normal=event)


def _follow_up(case: RepairCase, event: Event) -> None:
    if case.phase not in at.REPAIRING:
        _too_late(case, event)
        return
    if not case.rounds:
        return
    last = case.rounds[-1]
    if last.ended is not None:
        return
    if not event.passed:
        case.rounds[-1] = last._replace(ended=event, outcome="fail")
        _back(case, event)
    elif event.all_leaks:
        case.rounds[-1] = last._replace(ended=event, outcome="pass")
        case.verified = event
        case.enter(at.VERIFIED, event.on, event.entry)
    else:
        case.enter(at.FOLLOWUP_PART, event.on, event.entry)


def _chosen(case: RepairCase, event: Event) -> None:
    if case.phase in at.REPAIRING:
        case.chosen = event
        case.need = PlanNeed("(i)", case.day0, event.entry)
        case.enter(at.PLAN_DUE, event.on, event.entry)


def _planned(case: RepairCase, event: Event) -> None:
    if case.phase in at.REPAIRING:
        _chosen(case, event)
    if case.phase == at.PLAN_DUE:
        case.plan = event
        case.enter(at.IMPLEMENTING, event.on, event.entry)


def _relief(case: RepairCase, event: Event) -> None:
    """A request within its days; it counts as approved when nobody objects (RELIEF_DAY)."""
    request, approved = case.law.clock("relief-request"), case.law.clock("relief-approved")
    if case.plan is None or request is None or request.length is None or not event.conditions:
        return
    plain = Window(case.plan.on, "", request.length.after(case.plan.on))
    last = frozen(plain, case, request).due
    if approved is None or (last is not None and event.on > last):
        return
    case.relief = event
    case.relieved_on = approved.length.after(event.on) if approved.length else None


def _objection(case: RepairCase, event: Event) -> None:
    """To the request for more time where it names that or nobody asked for relief."""
    if event.ground == "plan extension" or case.relief is None:
        case.plan_objections.append(event)
    else:
        case.relieved_on = None


def _finished(case: RepairCase, event: Event) -> None:
    case.finished = event
    case.state = case.phase
    case.enter(at.RETROFITTED if event.kind == "retrofit" else at.RETIRED, event.on, event.entry)


def _request(case: RepairCase, event: Event) -> None:
    case.requests.append(event)


def _delivery(case: RepairCase, event: Event) -> None:
    case.deliveries.append(event)


def _estimate(case: RepairCase, event: Event) -> None:
    case.estimates.append(event)


def _notice(case: RepairCase, event: Event) -> None:
    case.notices.append(event)


def _plan_request(case: RepairCase, event: Event) -> None:
    case.plan_requests.append(event)


def _delay(case: RepairCase, event: Event) -> None:
    case.delays.append(event)


_HANDLERS: dict[str, Callable[[RepairCase, Event], None]] = {
    "leak-inspection": _inspected, "repair": _repaired, "initial-test": _initial,
    "normal-conditions": _normal, "follow-up-test": _follow_up, "decline": _nothing,
    "choose-retrofit": _chosen, "choose-retire": _chosen, "plan": _planned,
    "plan-relief": _relief, "objection": _objection, "retrofit": _finished,
    "retire": _finished, MOTHBALL: RepairCase.stop, "extension-request": _request,
    "delivery": _delivery, "new-estimate": _estimate, "notice": _notice,
    "plan-extension-request": _plan_request, "delay-evidence": _delay,
    "detection": _detected,
}  # fmt: skip
