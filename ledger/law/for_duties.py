"""Draws clocks, calendars and yearly reports out of a rule pack as the records the duties use."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any

from ledger.answers.duty_law import (
    Calendar,
    Clock,
    DutyLaw,
    DutyTable,
    Limit,
    Longer,
    Record,
    Span,
    When,
    YearlyReport,
)
from ledger.answers.working import RuleRef
from ledger.facts.mass import KILOGRAM, POUND
from ledger.law.blocks import Block
from ledger.law.for_rates import rule_ref
from ledger.law.loader import Pack, RuleValue

_UNITS = ("hour", "day", "week", "month", "quarter", "year")
_CHOICE = "choice"


def law_for_duties(pack: Pack, known_at: date | None = None) -> DutyTable:
    """The duty law of one pack by period.

    The readings of a book are put in place on the pack before; `known_at` gives the figures as
    this program had them on an earlier day.
    """
    days = law_days(pack)
    laws = tuple(Drawing(pack, day, known_at).law() for day in days)
    return DutyTable(
        pack=pack.name,
        subpart=pack.subpart,
        starts=tuple(day.toordinal() for day in days),
        laws=laws,
        by_rate=any(clock.starts == "exceedance" for law in laws for clock in law.clocks),
    )


def law_days(pack: Pack) -> list[date]:
    """Every day on which a value or a block of a pack begins or has ended."""
    found = set(pack.starts())
    for kind in ("clocks", "calendars", "papers"):
        for block in pack.blocks.of(kind).values():
            found.add(block["from"])
            if "to" in block:
                found.add(date.fromordinal(block["to"].toordinal() + 1))
    return sorted(found)


class Drawing:
    """One pack read on one day."""

    def __init__(self, pack: Pack, day: date, known_at: date | None) -> None:
        self.pack = pack
        self.day = day
        self.known_at = known_at

    def law(self) -> DutyLaw:
        """Everything in force on the day."""
        blocks = self.pack.blocks
        found = {name: self.value(name) for name in self.pack.rules}
        chosen = {name: value for name, value in found.items() if value}
        clocks = tuple(self.clock(name, row) for name, row in blocks.on("clocks", self.day))
        return DutyLaw(
            pack=self.pack.name,
            subpart=self.pack.subpart,
            clocks=clocks,
            by_name={clock.name: clock for clock in clocks},
            by_duty={
                duty: tuple(clock for clock in clocks if clock.duty == duty)
                for duty in {clock.duty for clock in clocks}
            },
            calendars=tuple(
                made
                for name, row in blocks.on("calendars", self.day)
                if (made := self.calendar(name, row)) is not None
            ),
            yearly=self.yearly(),
            records=tuple(
                self.record(row)
                for _, row in blocks.on("papers", self.day)
                if row["paper"] == "record"
            ),
            extension_signed=self.flag("ext-signed"),
            plan_extension_signed=self.flag("plan-ext-signed"),
            readings={n: str(v.value) for n, v in chosen.items() if v.unit == _CHOICE},
            rules={name: rule_ref(self.pack, value) for name, value in chosen.items()},
        )

    def value(self, name: str) -> RuleValue | None:
        """A value of the pack on the day; None where it has none."""
        if name not in self.pack.rules:
            return None
        return self.pack.value(name, self.day, self.known_at)

    def flag(self, name: str) -> bool:
        """A value that is yes or no; no where the pack has none."""
        found = self.value(name)
        return found is not None and found.value is True

    def clock(self, name: str, row: Block) -> Clock:
        """A clock with its figures put in."""
        longer = tuple(self.longer(one) for one in row.get("longer", ()))
        return Clock(
            name=name,
            title=row["title"],
            duty=row["duty"],
            kind=row["kind"],
            who=row["who"],
            cite=row["cite"],
            begins=row["from"],
            ends_after=row.get("to"),
            starts=row["starts"],
            ends=frozenset(row["ends"]),
            given=row.get("given", ""),
            length=self.span(row.get("length")),
            day=self.date(row.get("day")),
            floor=self.date(row.get("floor")),
            cap=self.span(row.get("cap")),
            cap_starts=row.get("cap_starts", ""),
            also_by=frozenset(row.get("also_by", ())),
            longer=longer,
            suspended_by=frozenset(row.get("suspended_by", ())),
            when=self.when(row.get("when", {})),
            limbs=frozenset(row["limbs"]) if "limbs" in row else None,
            rules=self.refs(row.get("length"), row.get("day"), *row.get("readings", ())),
        )

    def longer(self, row: Block) -> Longer:
        """A ground with its figures."""
        return Longer(
            ground=row["when"],
            starts=row.get("starts", ""),
            length=self.span(row.get("length")),
            cap=self.span(row.get("cap")),
            cap_shutdown=self.span(row.get("cap_shutdown")),
            rules=self.refs(row.get("length"), row.get("condition"), *row.get("readings", ())),
        )

    def calendar(self, name: str, row: Block) -> Calendar | None:
        """A calendar with its figures; None where its period has no value on the day."""
        every = self.span(row["every"])
        if every is None:
            return None
        return Calendar(
            name=name,
            title=row["title"],
            duty=row["duty"],
            who=row["who"],
            cite=row["cite"],
            starts=row["starts"],
            every=every,
            grid=row["grid"],
            when=self.when(row.get("when", {})),
            stops_after=self.span(row.get("stops_after")),
            waived_by=frozenset(row.get("waived_by", ())),
            upkeep=self.span(row.get("upkeep")),
            floor=self.date(row.get("floor")),
            apart=self.span(row.get("apart")),
            begins=row["from"],
            limbs=frozenset(row["limbs"]) if "limbs" in row else None,
            rules=self.refs(
                row["every"], row.get("apart"), row.get("stops_after"), *row.get("readings", ())
            ),
        )

    def record(self, row: Block) -> Record:
        """A record with the circuits it is kept of."""
        return Record(
            title=row["title"],
            duty=row["duty"],
            who=row["who"],
            cite=row["cite"],
            rules=self.refs(row.get("given_rule"), *row.get("readings", ())),
            scope=row.get("scope", ""),
            when=self.when(row.get("when", {})),
        )

    def yearly(self) -> YearlyReport | None:
        """The report on a year's loss, where the pack has one on the day."""
        for _, row in self.pack.blocks.on("papers", self.day):
            percent, due = self.value(row.get("given_rule", "")), self.value(row.get("due", ""))
            first = self.value(row.get("first", ""))
            if percent is None or due is None or not isinstance(percent.value, int):
                continue
            month, day = map(int, str(due.value).split("-"))
            return YearlyReport(
                title=row["title"],
                duty=row["duty"],
                who=row["who"],
                cite=row["cite"],
                percent=percent.value,
                month=month,
                day=day,
                first_year=int(str(first.value)) if first else 0,
                rules=self.refs(row["given_rule"], row["due"], *row.get("readings", ())),
            )
        return None

    def span(self, name: str | None) -> Span | None:
        """A rule that holds a length of time; None where it holds none."""
        value = self.value(name) if name else None
        if value is None or not isinstance(value.value, int) or isinstance(value.value, bool):
            return None
        unit = value.unit
        if not unit.startswith(_UNITS):  # "in a year after ...", "test in a calendar year"
            unit = unit.partition("in a ")[2].removeprefix("calendar ")
        for known in _UNITS:
            if unit.startswith(known):
                return Span(value.value, known, rule_ref(self.pack, value))
        return None

    def date(self, name: str | None) -> date | None:
        """A rule that holds a date."""
        value = self.value(name) if name else None
        return value.value if value is not None and isinstance(value.value, date) else None

    def limit(self, name: str | None) -> Limit | None:
        """A rule that holds a size line in pounds or kilograms."""
        value = self.value(name) if name else None
        if value is None or not isinstance(value.value, int):
            return None
        unit = KILOGRAM if value.unit.startswith("kg") else POUND
        return Limit(value.value * unit, value.edge == "at least", rule_ref(self.pack, value))

    def when(self, row: Mapping[str, Any]) -> When:
        """Which circuits are meant."""
        return When(
            size=self.limit(row.get("size")),
            size_under=self.limit(row.get("size_under")),
            category=self.texts(row.get("category")),
            not_category=self.texts(row.get("not_category")),
            indoors=row.get("indoors"),
            added=self.limit(row.get("added")),
            added_percent=self.percent(row.get("added_pct")),
            federal_owner=row.get("federal_owner"),
        )

    def percent(self, name: str | None) -> int | None:
        """A rule that holds a whole percentage."""
        value = self.value(name) if name else None
        return value.value if value is not None and isinstance(value.value, int) else None

    def texts(self, told: tuple[str, ...] | str | None) -> frozenset[str] | None:
        """Texts written out, or those of a rule."""
        if told is None or isinstance(told, tuple):
            return None if told is None else frozenset(told)
        value = self.value(told)
        return (
            frozenset(map(str, value.value)) if value and isinstance(value.value, tuple) else None
        )

    def refs(self, *names: str | None) -> tuple[RuleRef, ...]:
        """The printed references of rules, those without a value on the day left out."""
        return tuple(_found(self, (name for name in names if name)))


def _found(drawing: Drawing, names: Iterable[str]) -> Iterable[RuleRef]:
    for name in names:
        value = drawing.value(name)
        if value is not None:
            yield rule_ref(drawing.pack, value)
