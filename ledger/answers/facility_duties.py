"""What a site owes on a date: registration, the yearly report and fee, what its records keep.

Pure: the facility, the law and a date go in. Each pack is looked at alone. Which class owes
what, after what and by when is data (`ledger.answers.facility_law`).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date
from typing import NamedTuple

from ledger.answers.circuit_duties import MONTHS
from ledger.answers.duty import OPEN, Duty, End, settled
from ledger.answers.duty_readings import chosen
from ledger.answers.duty_rules import SATURDAY
from ledger.answers.facility import (
    NO_CLASS,
    Class,
    Facility,
    System,
    class_on,
    class_over,
    joined,
)
from ledger.answers.facility_law import (
    AT_START,
    AT_YEAR_END,
    ON_A_DAY,
    FacilityLaw,
    FacilityTable,
    Paper,
)
from ledger.answers.retention import Kept, Recorded, kept
from ledger.answers.working import Input, RuleRef
from ledger.facts.calendar import year_bounds

YEAR_CLASS, REGISTER_DAY = "facility-year-class", "register-day"
FIXED, GONE = "fixed date", "taken out"
NO_START = "the day the system started is not known"


class FacilityDuties(NamedTuple):
    """One site under one pack at the end of a date.

    `of` is its class that day. `kept` says until when the records of its registrations, reports
    and fees stay on site.
    """

    pack: str
    site: str
    as_of: date
    of: Class
    duties: tuple[Duty, ...]
    kept: tuple[Kept, ...]


def facility_duties(
    facility: Facility, tables: Iterable[FacilityTable], as_of: date
) -> list[FacilityDuties]:
    """The duties of a site under each pack as they stand at the end of a date.

    What was recorded later than a reader wants to know is left out of `facility` before
    (`facility.as_known`). What a site owes on account of one circuit (the report on a purge
    exclusion, the record of a change of method) is among the duties of that circuit.
    """
    return [_Site(facility, table, as_of).told() for table in tables]


class _Start(NamedTuple):
    """When a circuit came onto the site as one that is, or may be, bound."""

    system: System
    on: date | None


class _Site:
    """One site under one pack on one day."""

    def __init__(self, facility: Facility, table: FacilityTable, as_of: date) -> None:
        self.facility = facility
        self.table = table
        self.as_of = as_of
        self.law: FacilityLaw = table.at(as_of)
        self._classes: dict[date, Class] = {}
        self.events = sorted(
            (event for event in facility.events if event.on <= as_of),
            key=lambda event: (event.on, event.entry),
        )

    def told(self) -> FacilityDuties:
        """Everything of the site under the pack."""
        of = class_on(self.facility, self.law, self.as_of) if self.law.classes else NO_CLASS
        duties: list[Duty] = []
        if self.law.classes:
            duties += [*self.registrations(), *self.yearly()]
        records = [Recorded(e.entry, e.kind, e.on) for e in self.events]
        law = self.law.retention
        return FacilityDuties(
            pack=self.table.pack,
            site=self.facility.site,
            as_of=self.as_of,
            of=of,
            duties=tuple(duties),
            kept=tuple(kept(records, law, self.as_of)) if law and self.law.classes else (),
        )

    # Registration.

    def registrations(self) -> Iterator[Duty]:
        """One registration for all circuits that are due on one date and ended alike."""
        groups: dict[tuple[date | None, str, End | None, str], list[_Start]] = {}
        papers: dict[str, Paper] = {}
        for system in self.facility.systems:
            is_bound, on = joined(system, self.table, self.as_of)
            found = self.due_by(on) if is_bound else None
            if found is None:
                continue
            due, paper = found
            papers[paper.name] = paper
            key = (due, paper.name, self.registered(system, on), self.unless_of(system))
            groups.setdefault(key, []).append(_Start(system, on))
        for (due, name, end, unless), starts in groups.items():
            if end is None and self.before_the_book(due):
                continue
            yield self.registration(papers[name], due, end, starts)._replace(unless=unless)

    def due_by(self, on: date | None) -> tuple[date | None, Paper] | None:
        """The earliest day a class of the site asks for, from a start on (REGISTER_DAY).

        Not before the first registration of that class; a later change to a class whose first
        registration came earlier may ask for it sooner.
        """
        found: list[tuple[date, Paper]] = []
        for day in self.class_days(on):
            if day not in self._classes:
                self._classes[day] = class_on(self.facility, self.law, day)
            found += self.asked(self._classes[day].may, None if on is None else day)
        if found:
            return min(found, key=lambda one: (one[0], one[1].name))
        of = class_on(self.facility, self.law, self.as_of)
        late = self.law.of(AT_START, of.may)
        return (None, late[0]) if late else None

    def class_days(self, on: date | None) -> list[date]:
        """The days on which the class may change, from a start on as far as the day asked."""
        later = {day for system in self.facility.systems for day in system.days()}
        first = {on} if on is not None else {date.min}
        return sorted(first | {day for day in later if (on or date.min) < day <= self.as_of})

    def asked(self, limb: str, start: date | None) -> Iterator[tuple[date, Paper]]:
        """What a class asks of a circuit that started on a day."""
        first = next(((one.day, one) for one in self.law.of(ON_A_DAY, limb) if one.day), None)
        for new in self.law.of(AT_START, limb):
            due = new.due_after(start) if start is not None else None
            if due is not None:
                yield max((due, new), first, key=lambda one: one[0]) if first else (due, new)

    def registered(self, system: System, on: date | None) -> End | None:
        """The registration that lists a circuit, or where it lists none, all that stood there."""
        for event in self.events:
            if event.kind != "registration":
                continue
            named = system.circuit in event.systems
            if named or (not event.systems and (on is None or on <= event.on)):
                return End(event.on, event.kind, event.entry)
        return None

    def registration(
        self, paper: Paper, due: date | None, end: End | None, starts: list[_Start]
    ) -> Duty:
        """The registration of circuits that are due on one date."""
        told = [Input("site", self.facility.site)]
        for system, on in starts:
            entries = (system.entry,) if system.entry else ()
            told.append(Input(system.circuit, f"started {on}" if on else NO_START, entries))
        duty = self.new(paper, tuple(one.system.circuit for one in starts))
        duty = duty._replace(due=due, inputs=tuple(told))
        if self.plainly(paper, due, starts):
            duty = duty._replace(rules=_left_out(duty.rules, (REGISTER_DAY,)))
        if due is None:
            duty = duty._replace(no_date=NO_START)
        elif paper.starts == ON_A_DAY:
            duty = duty._replace(after=FIXED)
        else:
            on = min(one.on for one in starts if one.on is not None)
            duty = self.counted(duty, paper, on if paper.length else date(due.year - 1, 12, 31))
        ends = [one.system.ended for one in starts]
        last = max((day for day in ends if day is not None), default=None)
        left = last if None not in ends and last and last <= min(due or last, self.as_of) else None
        return self.settled(duty, end, End(left, GONE) if left else None)

    def plainly(self, paper: Paper, due: date | None, starts: list[_Start]) -> bool:
        """Whether the date is that of the text: of a new system, or the first of all."""
        began = date.fromordinal(self.table.starts[0])
        if paper.starts == ON_A_DAY:
            return all(one.on is None or one.on < began for one in starts)
        return all(one.on is None or paper.due_after(one.on) == due for one in starts)

    # What is owed for each calendar year.

    def yearly(self) -> Iterator[Duty]:
        """The reports and fees of each year, that of the running year with them."""
        for year in self.years():
            last = min(year_bounds(year)[1], self.as_of)
            law = self.table.at(last)
            if law.classes and last.toordinal() >= self.table.starts[0]:
                yield from self.of_year(law, year, last)

    def years(self) -> list[int]:
        """The years from the first that something is known of, or from when the book is kept."""
        first = {day.year for one in self.facility.systems for day in one.days()}
        first |= {one.first_year for law in self.table.laws for one in law.papers}
        begin = min(filter(None, first), default=self.as_of.year)
        if self.facility.kept_from is not None:
            begin = max(begin, self.facility.kept_from.year - 1)
        told = {event.period for event in self.events if event.period <= self.as_of.year}
        return sorted({*range(begin, self.as_of.year + 1), *told})

    def of_year(self, law: FacilityLaw, year: int, last: date) -> Iterator[Duty]:
        """What the class of the site owes for one year (FACILITY_YEAR_CLASS)."""
        of = class_over(self.facility, law, year_bounds(year)[0], last)
        at_end = class_on(self.facility, law, last)
        idle = () if (of.limb, of.may) != (at_end.limb, at_end.may) else (YEAR_CLASS,)
        if chosen(law, YEAR_CLASS):
            of = at_end
        sure = {one.duty: one for one in law.of(AT_YEAR_END, of.limb) if one.first_year <= year}
        for paper in law.of(AT_YEAR_END, of.may):
            if paper.first_year <= year:
                other = sure.get(paper.duty)
                yield from self.for_year(law, _without(paper, idle, year), other, of, year)

    def for_year(
        self, law: FacilityLaw, paper: Paper, sure: Paper | None, of: Class, year: int
    ) -> Iterator[Duty]:
        """One report or fee of one year, from its last day."""
        last = year_bounds(year)[1]
        due = paper.due_after(last)
        done = self.event(paper.ends, year)
        if due is None or (done is None and self.before_the_book(due)):
            return
        told = [
            Input("site", self.facility.site),
            Input("class", of.may),
            Input("set by", ", ".join(of.open)),
        ]
        if paper.amount:
            told.append(Input("amount", paper.amount))
        if sure is not None and sure.name != paper.name:
            told.append(Input(f"if {_if_not(of)}", sure.amount or sure.title))
        line = law.class_rules.get(of.may)
        duty = self.new(paper)._replace(
            rules=(*paper.rules, *((line,) if line else ())),
            due=due,
            inputs=tuple(told),
            year=year,
            amount=paper.amount,
            unless="" if sure is not None else _if_not(of),
        )
        duty = self.counted(duty, paper, last)
        yield self.settled(duty, done, self.event(paper.waived_by, year))

    def event(self, kinds: frozenset[str], year: int) -> End | None:
        """The first event of a kind that is for a year."""
        found = (e for e in self.events if e.kind in kinds and e.period == year)
        first = next(found, None)
        return End(first.on, first.kind, first.entry) if first is not None else None

    # The parts of a duty.

    def plain(self, title: str, duty: str, who: str, cite: str, rules: tuple[RuleRef, ...]) -> Duty:
        """A duty of the site, still without its dates."""
        return Duty(
            duty=duty,
            pack=self.table.pack,
            circuit="",
            who=who,
            kind="duty",
            title=title,
            start=None,
            after="",
            due=None,
            status=OPEN,
            cite=cite,
            as_of=self.as_of,
            rules=rules,
            site=self.facility.site,
        )

    def new(self, paper: Paper, systems: tuple[str, ...] = ()) -> Duty:
        """A duty of a paper, still without its dates."""
        found = self.plain(paper.title, paper.duty, paper.who, paper.cite, paper.rules)
        return found._replace(systems=systems)

    def counted(self, duty: Duty, paper: Paper, start: date) -> Duty:
        """The duty with what its date is counted from."""
        words = paper.length.words() if paper.length else ""
        if paper.month_day is not None:
            month, day = paper.month_day
            words = f"next {day} {MONTHS[month - 1]}"
        return duty._replace(start=start, after=words)

    def settled(self, duty: Duty, done: End | None, gone: End | None) -> Duty:
        """The duty with its status, and only those readings that bear on its date."""
        weekend = duty.due is not None and duty.due.weekday() >= SATURDAY
        rules = (r for r in duty.rules if weekend or not r.rule.endswith("-weekend"))
        return settled(duty._replace(rules=tuple(rules)), done, (gone,))

    def unless_of(self, system: System) -> str:
        """Under which condition a circuit need not be registered."""
        found = system.standing(self.law.subpart, self.as_of)
        if found is None or found.binds not in ("undecided", "unknown"):
            return ""
        sure = "a person decides" if found.binds == "undecided" else "it turns out"
        return f"{sure} that the rule does not bind {system.circuit}"

    def before_the_book(self, due: date | None) -> bool:
        """Whether something fell due before the book was kept."""
        began = self.facility.kept_from
        return began is not None and due is not None and due < began


def _left_out(rules: Iterable[RuleRef], names: Iterable[str]) -> tuple[RuleRef, ...]:
    """The rules without those of some names."""
    out = tuple(f"/{name}" for name in names)
    return tuple(rule for rule in rules if not rule.rule.endswith(out)) if out else tuple(rules)


def _without(paper: Paper, idle: Iterable[str], year: int) -> Paper:
    """A paper with the rules that bear on one year: its first year only where that is it."""
    first = paper.first_rules if paper.first_year == year else ()
    return paper._replace(rules=(*_left_out(paper.rules, idle), *first))


def _if_not(of: Class) -> str:
    """Under which condition the site has the class it has for certain."""
    several = len(of.open) > 1
    names = ", ".join(of.open)
    if of.undecided:
        return f"a person decides that the rule does not bind {names}"
    return f"{names} {'turn' if several else 'turns'} out not to be bound, or to be smaller"
