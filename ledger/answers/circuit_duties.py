"""Duties of a circuit that hang on no repair case: detectors, alarms, the year's loss, records."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date
from fractions import Fraction
from typing import NamedTuple

from ledger.answers.case_events import Event, Story
from ledger.answers.case_terms import category_on, charge_on, limb_on
from ledger.answers.case_windows import SHUTDOWN
from ledger.answers.circuit_records import record_duties, recorded
from ledger.answers.duty import LAPSED, OPEN, OVERDUE, Duty, End, end_of, new_duty, settled
from ledger.answers.duty_law import Calendar, Clock, DutyLaw, DutyTable
from ledger.answers.duty_readings import chosen
from ledger.answers.inspections import retired
from ledger.answers.leak_history import Addition
from ledger.answers.leak_result import Rate
from ledger.answers.repair_case import RepairCase
from ledger.answers.working import Input
from ledger.facts.calendar import plus_days, year_bounds
from ledger.facts.mass import half_up, pounds

LAST = "last"
REQUIRED = "required-monitor"
MONITORS = ("monitor", REQUIRED)
"""What the audits of a detector hang on: any, or where the law asks for detectors, such a one."""
KNOW_CHARGE = "know-full-charge"
MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September",
    "October", "November", "December",
)  # fmt: skip


class YearLoss(NamedTuple):
    """What a circuit lost in a calendar year under one pack, in counts of mass.

    `charge` is the full charge in force on 31 December, or on the day of the answer where that is
    earlier; None where it is not one figure.
    """

    year: int
    lost: int
    charge: Fraction | None
    entries: tuple[int, ...]

    @property
    def share(self) -> Fraction | None:
        """The loss as a fraction of the full charge."""
        if not self.charge:
            return None
        return Fraction(self.lost * self.charge.denominator, self.charge.numerator)

    def percent(self, places: int = 1) -> str:
        """The loss in percent of the full charge, rounded for print only."""
        return half_up(100 * self.share, places) if self.share is not None else ""


def year_losses(
    story: Story, rates: Iterable[Rate], subpart: str, as_of: date
) -> list[YearLoss]:  # fmt: skip
    """The pounds that count by calendar year, no test resetting anything (CHRONIC_POUNDS)."""
    found: dict[int, list[Rate]] = {}
    for rate in rates:
        if rate.subpart == subpart and rate.counted:
            found.setdefault(rate.on.year, []).append(rate)
    return [
        YearLoss(
            year=year,
            lost=sum(rate.counted for rate in several),
            charge=charge_on(story, min(year_bounds(year)[1], as_of)),
            entries=tuple(entry for rate in several for entry in rate.entries),
        )
        for year, several in sorted(found.items())
    ]


def circuit_duties(
    story: Story, cases: Iterable[RepairCase], rates: Iterable[Rate],
    losses: Iterable[YearLoss], table: DutyTable, as_of: date,
) -> list[Duty]:  # fmt: skip
    """The duties of a circuit under one pack that no case started."""
    cases, rates = list(cases), list(rates)
    found = list(_Circuit(story, rates, losses, table, as_of).run())
    return found + list(record_duties(story, cases, rates, table, as_of))


class _Circuit:
    """One circuit under one pack on one day."""

    def __init__(
        self, story: Story, rates: list[Rate], losses: Iterable[YearLoss], table: DutyTable,
        as_of: date,
    ) -> None:  # fmt: skip
        self.story = story
        self.losses = losses
        self.rates = [rate for rate in rates if rate.subpart == table.subpart]
        self.table = table
        self.law: DutyLaw = table.at(as_of)
        self.as_of = as_of
        self.events = [event for event in story.events if event.on <= as_of]

    def run(self) -> Iterator[Duty]:
        """Detectors, audits, alarms, the loss of each year."""
        if self.binds(self.as_of):
            makers = {
                "installation": self.install, "day": self.install, "system-start": self.install,
                "alarm": self.alarms, "addition": self.additions, "purge-exclusion": self.purge,
                "start-up": self.start_ups,
            }  # fmt: skip
            for clock in self.law.clocks:
                if clock.duty == KNOW_CHARGE:
                    yield from self.know_charge(clock)
                elif clock.starts in makers:
                    yield from makers[clock.starts](clock)
            for calendar in self.law.calendars:
                if calendar.starts in MONITORS and calendar.grid == LAST:
                    yield from self.audits(calendar)
        yield from self.yearly()

    def new(self, source: Clock | Calendar) -> Duty:
        """A duty of this circuit, still without its dates."""
        return new_duty(source, self.table.pack, self.story.circuit, self.as_of)

    def binds(self, day: date) -> bool:
        """Whether the pack binds, or may bind, the circuit on a day."""
        return limb_on(self.story, self.table.subpart, day) is not None

    def holds(self, clock: Clock, day: date) -> bool:
        """Whether a clock is meant for this circuit, by its limb, category and size on a day."""
        limb = limb_on(self.story, self.table.subpart, day)
        if clock.limbs is not None and limb not in clock.limbs:
            return False
        category, charge = category_on(self.story, day), charge_on(self.story, day)
        return clock.when.holds(category, charge, self.story.indoors) is True

    def of(self, kind: str) -> list[Event]:
        """The events of a kind."""
        return [event for event in self.events if event.kind == kind]

    def install(self, clock: Clock) -> Iterator[Duty]:
        """Install the required detector: days from the installation, or by a fixed date."""
        built = self.story.installed
        if built is None or built > self.as_of or not self.holds(clock, max(built, clock.begins)):
            return
        duty = self.new(clock)._replace(inputs=(Input("installed", built.isoformat()),))
        if clock.starts == "installation" and clock.length is not None and built >= clock.begins:
            length = clock.length
            duty = duty._replace(start=built, after=length.words(), due=length.after(built))
        elif clock.starts == "day" and clock.day and (clock.floor or built) <= built < clock.begins:
            duty = duty._replace(after="fixed date", due=clock.day)
        elif clock.starts == "system-start" and clock.day is not None:
            due = max(built, clock.day)
            if chosen(self.law, "ca-ald-start"):
                due = year_bounds(due.year + 1)[0]
            duty = duty._replace(start=built, after="same day", due=due)
        else:
            return
        yield self.unless_retired(settled(duty, end_of(next(iter(self.of("monitor")), None))))

    def know_charge(self, clock: Clock) -> Iterator[Duty]:
        """Determine the full charge, by a fixed date or on installation if that is later.

        Told only of a circuit without one figure: where it is known there is nothing to do.
        """
        if clock.day is None or charge_on(self.story, self.as_of) is not None:
            return
        built = self.story.installed or clock.day
        due = max(built, clock.day)
        after = "same day" if due == built > clock.day else "fixed date"
        told = Input("full charge", "unknown")
        duty = self.new(clock)._replace(start=built, after=after, due=due, inputs=(told,))
        if after == "fixed date":
            duty = duty._replace(start=None)
        yield self.unless_retired(settled(duty))

    def start_ups(self, clock: Clock) -> Iterator[Duty]:
        """Inspect a seasonal system after each start."""
        for start in self.of("start-up"):
            if clock.length is None or not self.holds(clock, start.on):
                continue
            told = Input("start-up", start.on.isoformat(), (start.entry,))
            due = clock.length.after(start.on)
            duty = self.new(clock)._replace(
                start=start.on, after=clock.length.words(), due=due, inputs=(told,)
            )
            yield self.unless_retired(settled(duty, self.done(clock, start.on)))

    def alarms(self, clock: Clock) -> Iterator[Duty]:
        """Answer each alert; where the rule speaks of required detectors, of those alone."""
        only = any(rule.rule.endswith("/ald-alarm-scope") for rule in clock.rules)
        for alarm in self.of("alarm"):
            watched = any(one.required and one.on <= alarm.on for one in self.of("monitor"))
            if (only and not watched) or clock.length is None or not self.holds(clock, alarm.on):
                continue
            span, longer = clock.length, clock.longer_by(SHUTDOWN)
            told = [Input("alert", alarm.on.isoformat(), (alarm.entry,))]
            if longer is not None and longer.length is not None:
                last = longer.length.after(alarm.on)
                stop = [one for one in self.of(SHUTDOWN) if alarm.on <= one.on <= last]
                if stop:
                    span = longer.length
                    told.append(Input(SHUTDOWN, stop[0].on.isoformat(), (stop[0].entry,)))
            duty = self.new(clock)._replace(
                start=alarm.on, after=span.words(), due=span.after(alarm.on), inputs=tuple(told)
            )
            done = self.done(clock, alarm.on) or recorded(self.events, clock.duty, alarm.on)
            yield settled(duty, done)

    def purge(self, clock: Clock) -> Iterator[Duty]:
        """The report on the first use of the purge exclusion at the facility."""
        first = next(iter(self.of("purge-exclusion")), None)
        elsewhere = self.story.purge_first
        if first is None or clock.length is None or (elsewhere and elsewhere < first.on):
            return
        told = Input("purge exclusion first used", first.on.isoformat(), (first.entry,))
        duty = self.new(clock)._replace(
            start=first.on, after=clock.length.words(), due=clock.length.after(first.on),
            inputs=(told,),
        )  # fmt: skip
        yield settled(duty, recorded(self.events, clock.duty, first.on))

    def done(self, clock: Clock, since: date) -> End | None:
        """What meets a clock that started on a date: an event, or a leak rate."""
        if "leak-rate" in clock.ends:
            made = (one for one in self.rates if one.on >= since and one.required and one.entries)
            rate = next((one for one in made if one.over is not None), None)
            return End(rate.on, "leak-rate", rate.entries[0]) if rate is not None else None
        return end_of(
            next((e for e in self.events if e.kind in clock.ends and e.on >= since), None)
        )

    def additions(self, clock: Clock) -> Iterator[Duty]:
        """Inspect on the day of a large addition; all that was added on a day is one."""
        days: dict[date, list[Addition]] = {}
        for added in self.story.history.additions:
            days.setdefault(added.on, []).append(added)
        for day, several in days.items():
            if day > self.as_of or not self.binds(day) or not self.holds(clock, day):
                continue
            mass = sum(added.mass for added in several)
            if clock.when.calls(mass, charge_on(self.story, day)) is not True:
                continue
            entries = tuple(dict.fromkeys(added.entry for added in several))
            told = Input("added", f"{pounds(mass)} lb", entries)
            span = clock.length
            next_day = chosen(self.law, "ca-addition-inspection-day")
            duty = self.new(clock)._replace(
                start=day, after=span.words() if span else "same day",
                due=span.after(day) if span else day, inputs=(told,),
            )  # fmt: skip
            if next_day and span is None:
                duty = duty._replace(after="1 day", due=plus_days(day, 1))
            yield settled(duty, self.done(clock, day))

    def audits(self, calendar: Calendar) -> Iterator[Duty]:
        """The yearly audit of a detector, counted from the last one or from its installation."""
        required = any(one.starts == REQUIRED for one in self.law.calendars)
        monitors = self.of("monitor")
        if required:
            wanted = calendar.starts == REQUIRED
            monitors = [one for one in monitors if one.required is wanted]
        if not monitors:
            return
        starts = [monitors[0], *(e for e in self.of("monitor-audit") if e.on >= monitors[0].on)]
        for place, start in enumerate(starts):
            due = calendar.every.after(start.on)
            if chosen(self.law, "ald-audit-year"):
                due = year_bounds(due.year)[1]
            done = starts[place + 1] if place + 1 < len(starts) else None
            if not self.binds(due):
                continue
            told = Input(start.kind, start.on.isoformat(), (start.entry,))
            duty = self.new(calendar)._replace(
                start=start.on, after=calendar.every.words(), due=due, inputs=(told,)
            )
            yield self.unless_retired(settled(duty, end_of(done)))

    def unless_retired(self, duty: Duty) -> Duty:
        """The duty, lapsed where the circuit was retired before its date."""
        end = retired(self.story, self.as_of)
        owed = duty.status in (OPEN, OVERDUE) and duty.due is not None
        if end is None or not owed or (duty.due or end.on) <= end.on:
            return duty
        return settled(duty._replace(status=OPEN), None, (end,))._replace(status=LAPSED)

    def yearly(self) -> Iterator[Duty]:
        """The report on a year whose loss reached the line, told as soon as it did."""
        for loss in self.losses:
            last = year_bounds(loss.year)[1]
            report = self.table.at(last).yearly
            if report is None or loss.year < report.first_year:
                continue
            if loss.share is None or 100 * loss.share < report.percent:
                continue
            due = date(loss.year + 1, report.month, report.day)
            charge_day = self.table.at(last).rules.get("full-charge-day")
            rules = report.rules if charge_day is None else (*report.rules, charge_day)
            told = (
                Input("added in the year", f"{pounds(loss.lost)} lb", loss.entries),
                Input(
                    "of the full charge on 31 December"
                    if last <= self.as_of
                    else "of the full charge so far; that on 31 December decides",
                    f"{loss.percent()} %",
                ),
            )
            duty = new_duty(report, self.table.pack, self.story.circuit, self.as_of)._replace(
                start=last,
                after=f"next {due.day} {MONTHS[due.month - 1]}",
                due=due,
                inputs=told,
                rules=rules,
            )
            yield settled(duty, recorded(self.events, report.duty, last))
