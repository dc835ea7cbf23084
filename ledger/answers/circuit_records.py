"""Records due on the day of what they are of: mothballing, season, disposal, change of method."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date

from ledger.answers.case_events import Event, Story
from ledger.answers.case_terms import category_on, charge_on, limb_on
from ledger.answers.duty import DONE, Duty, End, end_of, new_duty, settled
from ledger.answers.duty_law import DutyTable
from ledger.answers.leak_result import Rate
from ledger.answers.repair_case import RepairCase
from ledger.answers.working import Input

LOG = "disposal-log"


def recorded(events: Iterable[Event], duty: str, since: date) -> End | None:
    """The record that a person says was made of a duty."""
    found = (e for e in events if e.kind == "record" and e.ground == duty and e.on >= since)
    return end_of(next(found, None))


def record_duties(
    story: Story, cases: list[RepairCase], rates: list[Rate], table: DutyTable, as_of: date
) -> Iterator[Duty]:
    """Every record that became due on a circuit by the end of a date."""
    found = _Records(story, table, as_of)
    yield from found.mothballed(cases)
    yield from found.seasonal(rates)
    yield from found.disposed()
    yield from found.method()


class _Records:
    """The records of one circuit under one pack on one day."""

    def __init__(self, story: Story, table: DutyTable, as_of: date) -> None:
        self.story = story
        self.table = table
        self.as_of = as_of
        self.events = [event for event in story.events if event.on <= as_of]

    def same_day(self, duty: str, on: date, told: Input) -> Duty | None:
        """A record due on the day of what it is of; None where the law asks for none."""
        source = self.table.at(on).record(duty)
        if source is None:
            return None
        if source.scope and limb_on(self.story, self.table.subpart, on) is None:
            return None
        if source.when.holds(category_on(self.story, on), charge_on(self.story, on)) is not True:
            return None
        found = new_duty(source, self.table.pack, self.story.circuit, self.as_of)
        return found._replace(start=on, after="same day", due=on, inputs=(told,))

    def mothballed(self, cases: list[RepairCase]) -> Iterator[Duty]:
        """The record of a mothballing, once refrigerant is added again."""
        for stop in (stop for case in cases for stop in case.stops):
            if stop.resumed is None:
                continue
            told = Input("refrigerant added", stop.resumed.isoformat(), (stop.resumed_entry,))
            duty = self.same_day("mothball-record", stop.resumed, told)
            if duty is not None:
                yield settled(duty, recorded(self.events, "mothball-record", stop.on))

    def seasonal(self, rates: list[Rate]) -> Iterator[Duty]:
        """The record of a seasonal variance: both movements stand in the book."""
        for addition in self.story.history.additions:
            if addition.exempt != "seasonal" or addition.on > self.as_of:
                continue
            day = addition.on
            counted = {entry for rate in rates if rate.on == day for entry in rate.entries}
            if addition.entry in counted:
                continue
            told = Input("seasonal return", day.isoformat(), (addition.entry,))
            duty = self.same_day("seasonal-record", day, told)
            if duty is not None:
                end = End(day, "addition", addition.entry)
                yield settled(duty, end)._replace(status=DONE)

    def disposed(self) -> Iterator[Duty]:
        """The service record of a disposal, and its place in the log of smaller appliances."""
        for event in self.events:
            if event.kind != "retire":
                continue
            told = Input("retired", event.on.isoformat(), (event.entry,))
            for name in ("disposal-record", LOG):
                duty = self.same_day(name, event.on, told)
                if duty is not None and not (name == LOG and self.story.exempt_substitute):
                    yield settled(duty, recorded(self.events, name, event.on))

    def method(self) -> Iterator[Duty]:
        """The record of a change of the site's leak-rate method (METHOD_RECORD_DAY)."""
        for event in self.events:
            if event.kind != "method-change":
                continue
            told = Input("method changed", event.on.isoformat(), (event.entry,))
            duty = self.same_day("method-record", event.on, told)
            if duty is not None:
                made = end_of(event) if event.conditions else None
                yield settled(duty, made or recorded(self.events, "method-record", event.on))
