"""The running inspections of a circuit: their grid, their run without an exceedance, their end.

Part of the rules hang the grid on a successful follow-up test (each later one moves it), part on
the exceedance (a later one only starts the run anew), part on calendar years. Which of them is
data: `Calendar.starts` and `Calendar.grid`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import NamedTuple

from ledger.answers.case_events import Event, Story
from ledger.answers.case_terms import bound_from_to, category_on, charge_on, limb_on
from ledger.answers.duty import LAPSED, MISSED, Duty, End, end_of, new_duty, settled
from ledger.answers.duty_law import Calendar, DutyLaw, DutyTable, Span, counted
from ledger.answers.duty_readings import chosen
from ledger.answers.repair_case import RepairCase
from ledger.answers.working import Input, RuleRef
from ledger.facts.calendar import plus_days, plus_months, year_bounds

YEAR = 12
CALENDAR_YEAR = "calendar year"
NOT_WATCHED = "not watched"
WATCHED = "watched by an audited detector"
_NUMBERS = {1: "one", 2: "two", 3: "three", 4: "four"}


class Anchor(NamedTuple):
    """What a schedule hangs on or starts anew from: a date and its entry."""

    on: date
    entry: int


@dataclass(slots=True)
class Schedule:
    """One run of inspections: calendar, anchor, where its run began, when it was replaced.

    `run_from` is the latest exceedance or, where the law counts from it, follow-up test;
    `replaced` is what moved the grid, `added` the dates with a leak rate.
    """

    law: DutyLaw
    calendar: Calendar
    anchor: Anchor
    run_from: date
    bound_until: date | None
    replaced: End | None = None
    added: tuple[date, ...] = ()
    _ends: tuple[date, date | None] | None = field(default=None, compare=False, repr=False)

    @property
    def ends_on(self) -> date | None:
        """The day the run without an exceedance is full; None where the law knows no end."""
        if self._ends is None or self._ends[0] != self.run_from:
            self._ends = self.run_from, self._full_on()
        return self._ends[1]

    def _full_on(self) -> date | None:
        span = self.calendar.stops_after
        if span is None:
            return None
        if chosen(self.law, "quarter-no-addition"):
            return self._with_additions(span)
        return span.after(self.run_from)

    def _with_additions(self, span: Span) -> date | None:
        """By the other reading of QUARTER_NO_ADDITION: periods without an addition do not count."""
        counted, times = 0, 0
        step = Span(1, span.unit, span.rule)
        last = max(self.added, default=self.run_from)
        while step.after(self.run_from, times) < last:
            first, times = step.after(self.run_from, times), times + 1
            counted += any(first < day <= step.after(self.run_from, times) for day in self.added)
            if counted == span.number:
                return step.after(self.run_from, times)
        return None


def schedules_of(
    story: Story, cases: Sequence[RepairCase], table: DutyTable, as_of: date
) -> list[Schedule]:
    """The inspection schedules of a circuit under one pack, oldest first.

    Nothing is scheduled for a circuit that was never over; where the law hangs the grid on a
    follow-up test, nothing before the first one passed.
    """
    out = _from_start(story, table, as_of)
    overs = sorted((over.on, over.entries[0]) for case in cases for over in case.exceedances)
    tests = [
        event for event in story.events
        if event.kind == "follow-up-test" and event.passed and event.all_leaks
        and event.on <= as_of
    ]  # fmt: skip
    told: list[tuple[date, int, int, Event | None]] = [(on, 0, entry, None) for on, entry in overs]
    told += [(event.on, 1, event.entry, event) for event in tests]
    if not overs:
        return out
    added = tuple(sorted({part.on for part in story.history.additions if part.on <= as_of}))
    was_over = False
    for on, _, entry, event in sorted(told, key=lambda one: one[:3]):
        running = out[-1] if out and _runs(out[-1], on) else None
        was_over = was_over or event is None
        if running is not None and _keeps_grid(running, event):
            running.run_from = on
            continue
        if not was_over and running is None:
            continue
        case = max((c for c in cases if c.day0 <= on), key=lambda c: c.day0)
        starts = "exceedance" if event is None else "follow-up-test"
        calendar = _calendar(story, table.at(on), case, on, starts)
        if calendar is None:
            continue
        if running is not None:
            running.replaced = End(on, event.kind if event is not None else "addition", entry)
        out.append(
            Schedule(table.at(on), calendar, Anchor(on, entry), on, case.bound_until, added=added)
        )
        was_over = False
    return out


def _keeps_grid(running: Schedule, event: Event | None) -> bool:
    """Whether an exceedance (no event) or a follow-up test leaves a running grid where it is.

    An exceedance starts the run anew (REANCHOR_82, STOP_RESTART_84); a follow-up test moves a
    grid that hangs on follow-up tests (REANCHOR).
    """
    if running.calendar.starts == "system-start":
        return True
    by_exceedance = running.calendar.starts == "exceedance"
    if event is None:
        return not (by_exceedance and chosen(running.law, "reanchor-82"))
    return not by_exceedance and chosen(running.law, "reanchor")


def _from_start(story: Story, table: DutyTable, as_of: date) -> list[Schedule]:
    """The schedule that runs from the start of the system, whatever its leak rate."""
    law, limb = table.at(as_of), limb_on(story, table.subpart, as_of)
    if story.installed is None or limb is None:
        return []
    category, charge = category_on(story, as_of), charge_on(story, as_of)
    for calendar in law.calendars:
        meant = calendar.limbs is None or limb in calendar.limbs
        if calendar.starts != "system-start" or not meant:
            continue
        if calendar.when.holds(category, charge, story.indoors):
            on = max(story.installed, calendar.floor or story.installed)
            if calendar.grid == CALENDAR_YEAR:
                on = max(on, calendar.begins)
            bound = bound_from_to(story, table.subpart, as_of)
            return [Schedule(law, calendar, Anchor(on, 0), on, bound)]
    return []


def _runs(schedule: Schedule, day: date) -> bool:
    if schedule.bound_until is not None and day >= schedule.bound_until:
        return False
    return schedule.ends_on is None or day <= schedule.ends_on


def _calendar(
    story: Story, law: DutyLaw, case: RepairCase, on: date, starts: str
) -> Calendar | None:
    charge = charge_on(story, on)
    for calendar in law.calendars:
        if calendar.starts == starts and calendar.when.holds(case.category, charge):
            return calendar
    return None


def retired(story: Story, as_of: date) -> End | None:
    """The retirement of the circuit by a date: nothing is left to inspect or to watch."""
    found = (e for e in story.events if e.kind == "retire" and e.on <= as_of)
    return end_of(next(found, None))


def inspection_duties(story: Story, schedules: Sequence[Schedule], as_of: date) -> list[Duty]:
    """The inspections of every schedule, those to come as far as the run reaches."""
    return [
        duty
        for schedule in schedules
        for duty in _Dates(story, schedule, as_of).run()
    ]  # fmt: skip


class _Dates:
    """The dates of one schedule on one day."""

    def __init__(self, story: Story, schedule: Schedule, as_of: date) -> None:
        self.story = story
        self.schedule = schedule
        self.calendar = schedule.calendar
        self.as_of = as_of
        self.ends_on = schedule.ends_on
        self.made = [
            event
            for event in story.events
            if event.kind == "leak-inspection" and event.complete and event.on <= as_of
            and not self.of_a_leak(event)
        ]  # fmt: skip
        watched = "monitor" in schedule.calendar.waived_by
        self.monitors = [e for e in story.events if watched and e.kind == "monitor"]
        self.plain = self.without_dates()
        self.retired = retired(story, as_of)

    def without_dates(self) -> Duty:
        """What every duty of the schedule has in common."""
        anchor = self.schedule.anchor
        told = Input(
            self.calendar.starts, anchor.on.isoformat(), (anchor.entry,) if anchor.entry else ()
        )
        duty = new_duty(self.calendar, self.schedule.law.pack, self.story.circuit, self.as_of)
        return duty._replace(
            title=self.title, start=anchor.on, every=self.every, inputs=(told,),
            rules=self.rules(duty.rules),
        )  # fmt: skip

    def run(self) -> list[Duty]:
        """One duty for each period."""
        by_year = self.calendar.grid == CALENDAR_YEAR
        return self.calendar_years() if by_year else self.grid()

    @property
    def begins(self) -> date:
        """The day before the first that counts: an exceedance is in the period it starts."""
        anchor = self.schedule.anchor.on
        return plus_days(anchor, -1) if self.calendar.starts == "exceedance" else anchor

    @property
    def every(self) -> str:
        """The step in words: "3 months", "year", "calendar year"."""
        if self.calendar.grid == CALENDAR_YEAR:
            return CALENDAR_YEAR
        every = self.calendar.every
        return every.unit if every.number == 1 else every.words()

    @property
    def title(self) -> str:
        """What is owed of which circuits, with its step."""
        return f"{self.calendar.title}, once each {self.every}"

    def rules(self, rules: tuple[RuleRef, ...]) -> tuple[RuleRef, ...]:
        """The rules of the calendar; what speaks of mothballing only where there was one."""
        if any(event.kind == "mothball" for event in self.story.events):
            return rules
        return tuple(rule for rule in rules if not rule.rule.endswith("/inspect-mothballed"))

    def grid(self) -> list[Duty]:
        """A fixed grid from the anchor: each date is counted from it (QUARTER_CHAIN)."""
        anchor, every = self.schedule.anchor.on, self.calendar.every
        last = self.ends_on or plus_months(self.as_of, YEAR)
        moved = self.schedule.replaced
        if moved is not None:
            last = min(plus_months(moved.on, YEAR), max(last, moved.on))
        if self.retired is not None:
            last = min(last, self.calendar.every.after(self.retired.on))
        if chosen(self.schedule.law, "quarter-chain") or chosen(self.schedule.law, "ca-grid"):
            return self.chain(last)
        out, before, times = [], self.begins, 1
        while (due := every.after(anchor, times)) <= last:
            out.append(self.duty(due, every.words(times), before, due))
            before, times = due, times + 1
        return out

    def chain(self, last: date) -> list[Duty]:
        """Each date counted from the last inspection, or from the last date without one."""
        out, start, before, every = [], self.schedule.anchor.on, self.begins, self.calendar.every
        while (due := every.after(start)) <= last:
            made = self.inspection(before, due)
            out.append(self.duty(due, every.words(), before, due)._replace(start=start))
            start = before = made.on if made is not None else due
        return out

    def calendar_years(self) -> list[Duty]:
        """One in each calendar year from the year of the exceedance to that of the run's end."""
        anchor, out = self.schedule.anchor.on, []
        end = self.ends_on or plus_months(self.as_of, YEAR)
        if self.retired is not None:
            end = min(end, self.retired.on)
        made: Event | None = None
        for year in range(anchor.year, end.year + 1):
            first, last = year_bounds(year)
            before = max(plus_days(first, -1), plus_days(anchor, -1))
            apart = self.calendar.apart
            limit = apart.after(made.on) if apart is not None and made is not None else last
            if apart is not None and made is not None and first <= limit < last:
                duty = self.duty(limit, apart.words(), before, last)
                out.append(duty._replace(start=made.on))
            else:
                out.append(self.duty(last, f"end of {year}", before, last))
            made = next(reversed(self.inspections(before, last)), made)
        return out

    def duty(self, due: date, after: str, before: date, last: date) -> Duty:
        """The inspection of the period that ends on `due` and began after `before`."""
        schedule = self.schedule
        duty = self.plain._replace(after=after, due=due)
        moved = schedule.replaced
        if moved is not None and due > moved.on:
            return settled(duty, None, (moved,))
        done = self.inspection(before, last) or self.made_late(last)
        if done is not None:
            return settled(duty, end_of(done))
        if self.retired is not None and due > self.retired.on:
            return settled(duty, None, (self.retired,))._replace(status=LAPSED)
        waived = self.waived(duty, due)
        if waived is not None:
            return waived
        stopped = self.stopped(due)
        if stopped is not None:
            return settled(duty, None, (stopped,))._replace(status=LAPSED)
        mothballed = self.mothballed(due)
        if mothballed is not None:
            return settled(duty, None, (mothballed,))._replace(status=LAPSED)
        if self.monitors:
            rules = duty.rules + self.lapsed_upkeep(due)
            duty = duty._replace(
                portion=self.portion(due), rules=rules, unless=self.watching(due)
            )  # fmt: skip
        let_go = schedule.law.rules.get("binding-ends")
        return settled(duty, bound_until=schedule.bound_until, past=MISSED, let_go=let_go)

    def inspection(self, before: date, last: date) -> Event | None:
        """The first complete inspection of the period (LATE_INSPECTION)."""
        return next(iter(self.inspections(before, last)), None)

    def made_late(self, last: date) -> Event | None:
        """By the other reading of LATE_INSPECTION: one of the next period serves this one too."""
        if not chosen(self.schedule.law, "late-inspection"):
            return None
        return self.inspection(last, self.calendar.every.after(last))

    def inspections(self, before: date, last: date) -> list[Event]:
        """The complete inspections after a date up to another, oldest first."""
        return [event for event in self.made if before < event.on <= last]

    def of_a_leak(self, made: Event) -> bool:
        """By DETECTION_INSPECTION: it looked for a leak that was known and not repaired."""
        law = self.schedule.law
        if "detection-inspection" not in law.readings or chosen(law, "detection-inspection"):
            return False
        told = [
            event for event in self.story.events
            if event.kind in ("detection", "repair") and event.on <= made.on
        ]  # fmt: skip
        last = max(told, key=lambda event: (event.on, event.entry), default=None)
        return last is not None and last.kind == "detection"

    def stopped(self, due: date) -> End | None:
        """The run was full before the date (STOP_82_CALENDAR): nothing is owed any more."""
        end, span = self.ends_on, self.calendar.stops_after
        if end is None or span is None or end >= due or end > self.as_of:
            return None
        bound = self.schedule.bound_until
        if bound is not None and bound <= end:
            return None
        if chosen(self.schedule.law, "stop-82-calendar"):
            return None
        words = counted(span.number, span.unit).replace(
            str(span.number), _NUMBERS.get(span.number, str(span.number)), 1
        )
        return End(end, f"{words} without an exceedance")

    def mothballed(self, due: date) -> End | None:
        """By the other reading of INSPECT_MOTHBALLED: the circuit stood mothballed on the date."""
        if not chosen(self.schedule.law, "inspect-mothballed") or due > self.as_of:
            return None
        stops = [e for e in self.story.events if e.kind == "mothball" and e.on <= due]
        added = [part.on for part in self.story.history.additions if part.on <= due]
        if not stops or any(stops[-1].on <= on for on in added if on != stops[-1].on):
            return None
        return End(due, "mothball", stops[-1].entry)

    # The detector in place of the inspection.

    def monitor(self, due: date) -> Event | None:
        """The detector that watches on a date."""
        return next((e for e in reversed(self.monitors) if e.on <= due), None)

    def kept_up(self, monitor: Event, due: date) -> Event | None:
        """The audit (or installation) that is not too old on a date; None where all are."""
        upkeep = self.calendar.upkeep
        done = [e for e in self.story.events if e.kind == "monitor-audit" and e.on <= due]
        last = max((monitor, *done), key=lambda e: e.on)
        return last if upkeep is None or upkeep.after(last.on) >= due else None

    def waived(self, duty: Duty, due: date) -> Duty | None:
        """The inspection falls away where the whole circuit is watched on its date."""
        monitor = self.monitor(due)
        if monitor is None or monitor.part != "all" or self.as_of < due:
            return None
        audit = self.kept_up(monitor, due)
        if audit is None and not chosen(self.schedule.law, "ald-lapse"):
            return None
        end = End(due, WATCHED, (audit or monitor).entry)
        return settled(duty, None, (end,))._replace(status=LAPSED)

    def watching(self, due: date) -> str:
        """What would take a date to come away: a detector that watches the whole circuit."""
        monitor = self.monitor(due)
        if monitor is None or monitor.part != "all" or self.as_of >= due:
            return ""
        if self.kept_up(monitor, due) is None:
            return ""
        return f"the detector of {monitor.on.isoformat()} still watches all of it on that day"

    def portion(self, due: date) -> str:
        """What of the circuit stays on the schedule where a part of it is watched."""
        monitor = self.monitor(due)
        if monitor is None or monitor.part == "all" or self.kept_up(monitor, due) is None:
            return ""
        return NOT_WATCHED

    def lapsed_upkeep(self, due: date) -> tuple[RuleRef, ...]:
        """The reading behind a whole circuit that is due though it has a detector."""
        monitor = self.monitor(due)
        rule = self.schedule.law.rules.get("ald-lapse")
        if monitor is None or rule is None or self.kept_up(monitor, due) is not None:
            return ()
        return (rule,)
