"""The figures of a facility's yearly report, from plain facts: systems, services, refrigerants.

Which columns a report has is data of the pack (`Paper.fields`); this module knows where each
comes from. What the book does not hold is a gap, never a guess or a zero.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from fractions import Fraction
from typing import NamedTuple

from ledger.answers.facility import Facility
from ledger.answers.facility_law import FacilityLaw, Paper
from ledger.answers.working import Input, RuleRef, Working
from ledger.facts.calendar import year_bounds
from ledger.facts.mass import COUNTS_PER_UNIT, half_up

PURCHASED, CHARGED, RECOVERED = "purchased", "charged", "recovered"
RECLAIM, DESTRUCTION = "shipped for reclaim", "shipped for destruction"
STORED = "in store on 31 December"
FLOWS = (PURCHASED, CHARGED, RECOVERED, RECLAIM, DESTRUCTION)

FIELDS: Mapping[str, tuple[str, ...]] = {
    "system": ("identification", "installed", "temperature class", "full charge", "refrigerant"),
    "service": (
        "detected", "repaired", "verification", "reason for delay", "cause", "quantity added",
        "technician", "certificate",
    ),
    "refrigerant": (*FLOWS, STORED),
}  # fmt: skip
"""The columns this module knows, by what a row is of."""

NOT_OVER = "the year is not over"
NOT_RECORDED = "not recorded"


class Flow(NamedTuple):
    """Refrigerant that came to, went from or moved within the site on a date.

    `kind` is one of FLOWS; `mass` in counts of 1.25 ng, None where nobody knows it.
    """

    entry: int
    kind: str
    on: date
    refrigerant: str
    mass: int | None


class Stored(NamedTuple):
    """What is in cylinders on the site at the end of the year, in counts; None: not known."""

    refrigerant: str
    mass: int | None
    entries: tuple[int, ...] = ()


class SystemFacts(NamedTuple):
    """One circuit as it was at the end of the year, or when it was taken out.

    `charge` is the full charge in counts. `temperature_class` is low, medium or other, empty
    where it is not recorded. `before` are other refrigerants it held earlier in the year.
    """

    circuit: str
    installed: date | None
    temperature_class: str
    charge: int | Fraction | None
    refrigerant: str
    before: tuple[str, ...] = ()
    entries: tuple[int, ...] = ()


class Verification(NamedTuple):
    """One verification test: its date, "initial" or "follow-up", whether it was passed."""

    on: date
    which: str
    passed: bool


class ServiceFacts(NamedTuple):
    """One leak, or one service without a leak, of one circuit.

    `on` is the day the leak was found, or of the service; it says which year it is of. `leak`:
    one was found. `late`: the repair took longer than the rule gives without a reason, so that
    one is asked for. `added` in counts, 0 for none, None where nobody knows it.
    """

    circuit: str
    on: date
    leak: bool
    repaired: date | None = None
    tests: tuple[Verification, ...] = ()
    late: bool = False
    delay: str = ""
    cause: str = ""
    added: int | None = 0
    technician: str = ""
    certificate: str = ""
    entries: tuple[int, ...] = ()


class Cell(NamedTuple):
    """One figure of the report: its column, its words, the entries; `mass` in counts if it is one.

    `at_least` where an amount that nobody knows would make it more.
    """

    field: str
    text: str
    entries: tuple[int, ...] = ()
    mass: int | None = None
    at_least: bool = False


class ReportRow(NamedTuple):
    """One row: of a system, a service or a refrigerant (`part`), and whose."""

    part: str
    subject: str
    cells: tuple[Cell, ...]

    def cell(self, field: str) -> Cell | None:
        """The cell of a column."""
        return next((one for one in self.cells if one.field == field), None)


class ReportGap(NamedTuple):
    """What the report asks for and the book does not hold."""

    part: str
    subject: str
    field: str
    says: str


class FacilityReport(NamedTuple):
    """The yearly report of one facility as far as the facts go by the end of `as_of`.

    `apart` are flows and stores of refrigerants that no reported system held; they are in no
    row. `rules` are the lists of columns.
    """

    site: str
    pack: str
    year: int
    as_of: date
    cite: str
    rows: tuple[ReportRow, ...]
    gaps: tuple[ReportGap, ...]
    apart: tuple[str, ...]
    rules: tuple[RuleRef, ...]

    def of(self, part: str) -> tuple[ReportRow, ...]:
        """The rows of systems, services or refrigerants."""
        return tuple(row for row in self.rows if row.part == part)

    def working(self, row: ReportRow) -> Working:
        """The whole explanation of one row: each figure with the entries it was summed from."""
        return Working(
            title=f"{self.site}, {row.subject}, {self.year} ({self.cite})",
            formula="each figure is the sum of the entries behind it, from 1 January through "
            + min(self.as_of, year_bounds(self.year)[1]).isoformat(),
            inputs=tuple(Input(one.field, one.text, one.entries) for one in row.cells),
            result=f"one row of the part on each {row.part}",
            rules=self.rules,
            notes=tuple(f"{one.field}: {one.says}" for one in self.gaps if _of(one, row)),
        )


def _of(gap: ReportGap, row: ReportRow) -> bool:
    return (gap.part, gap.subject) == (row.part, row.subject)


def systems_of_year(
    facility: Facility, law: FacilityLaw, year: int, as_of: date
) -> tuple[str, ...]:
    """The circuits that stood on the site and were, or may be, bound at some time in a year."""
    first, last = year_bounds(year)
    found = []
    for system in facility.systems:
        days = {first, *(day for day in system.days() if first < day <= min(last, as_of))}
        bindings = (system.standing(law.subpart, day) for day in days)
        if any(one is not None and one.binds != "no" for one in bindings):
            found.append(system.circuit)
    return tuple(found)


def facility_report(
    site: str, year: int, paper: Paper, as_of: date, systems: Iterable[SystemFacts],
    services: Iterable[ServiceFacts] = (), flows: Iterable[Flow] = (),
    stores: Iterable[Stored] = (), pack: str = "", unit: str = "lb",
) -> FacilityReport:  # fmt: skip
    """The report of a year in the columns of a paper, masses in `unit` (lb or kg).

    `systems` are those of `systems_of_year`. A leak is of the year it was found in, whenever it
    was repaired. A refrigerant has a row where a reported system held it in the year.
    """
    return _Report(year, paper, as_of, list(systems), unit).told(
        site, pack, list(services), list(flows), list(stores)
    )


class _Report:
    """One report while it is put together."""

    def __init__(
        self, year: int, paper: Paper, as_of: date, systems: list[SystemFacts], unit: str
    ) -> None:
        self.paper = paper
        self.unit = unit
        self.as_of = as_of
        self.first, self.last = year_bounds(year)
        self.year = year
        self.systems = systems
        self.gaps: list[ReportGap] = []
        asked = [word for part in paper.fields for word in part.words]
        self.asked = {part: [word for word in asked if word in FIELDS[part]] for part in FIELDS}
        known = {word for words in FIELDS.values() for word in words}
        self.strange = [word for word in asked if word not in known]

    def told(
        self, site: str, pack: str, services: list[ServiceFacts], flows: list[Flow],
        stores: list[Stored],
    ) -> FacilityReport:  # fmt: skip
        """All rows with what is open."""
        covered = {name for one in self.systems for name in (one.refrigerant, *one.before) if name}
        flows = [one for one in flows if self.in_year(one.on)]
        held = {one.circuit for one in self.systems}
        rows = [self.system(one) for one in self.systems] if self.asked["system"] else []
        if self.asked["service"]:
            told = [one for one in services if self.in_year(one.on) and one.circuit in held]
            rows += [self.service(one) for one in sorted(told, key=_by_day)]
        if self.asked["refrigerant"]:
            rows += [self.refrigerant(name, flows, stores) for name in sorted(covered)]
        self.gaps += [
            ReportGap("", "", word, "the program keeps no such column") for word in self.strange
        ]
        return FacilityReport(
            site=site,
            pack=pack,
            year=self.year,
            as_of=self.as_of,
            cite=self.paper.cite,
            rows=tuple(rows),
            gaps=tuple(self.gaps),
            apart=tuple(_apart(covered, flows, stores)),
            rules=tuple(part.rule for part in self.paper.fields),
        )

    def in_year(self, day: date) -> bool:
        """Whether a date is in the year, and has come."""
        return self.first <= day <= min(self.last, self.as_of)

    def mass(self, counts: int | Fraction) -> str:
        """A mass in the unit of the report, rounded for print only."""
        return f"{half_up(counts * Fraction(1, COUNTS_PER_UNIT[self.unit]), 2)} {self.unit}"

    def row(self, part: str, subject: str, cells: Mapping[str, Cell | str | None]) -> ReportRow:
        """A row in the columns that are asked for; a reason in place of a figure is a gap."""
        out = []
        for field in self.asked[part]:
            found = cells.get(field)
            if isinstance(found, Cell):
                out.append(found)
                continue
            self.gaps.append(ReportGap(part, subject, field, found or NOT_RECORDED))
            out.append(Cell(field, ""))
        return ReportRow(part, subject, tuple(out))

    def system(self, one: SystemFacts) -> ReportRow:
        """The row of a system."""
        told = {
            "identification": one.circuit,
            "installed": one.installed.isoformat() if one.installed else "",
            "temperature class": one.temperature_class,
            "full charge": self.mass(one.charge) if one.charge is not None else "",
            "refrigerant": one.refrigerant,
        }
        return self.row("system", one.circuit, _cells(told, one.entries))

    def service(self, one: ServiceFacts) -> ReportRow:
        """The row of a leak or a service; what only a leak has is asked of a leak alone."""
        subject = f"{one.circuit}, {one.on.isoformat()}"
        tests = [
            f"{test.which} {test.on.isoformat()} {'passed' if test.passed else 'failed'}"
            for test in one.tests
        ]
        told = {"technician": one.technician, "certificate": one.certificate}
        told["quantity added"] = self.mass(one.added) if one.added is not None else ""
        if one.leak:
            told["detected"] = one.on.isoformat()
            told["repaired"] = one.repaired.isoformat() if one.repaired else ""
            told["verification"] = ", ".join(tests)
            told["cause"] = one.cause
        cells = _cells(told, one.entries)
        nothing = () if one.leak else ("detected", "repaired", "verification", "cause")
        for field in (*nothing, *(() if one.late or one.delay else ("reason for delay",))):
            cells[field] = Cell(field, "none")
        if one.delay:
            cells["reason for delay"] = Cell("reason for delay", one.delay, one.entries)
        if one.leak and one.repaired is None:
            cells["repaired"] = "not repaired by the book"
        return self.row("service", subject, cells)

    def refrigerant(self, name: str, flows: list[Flow], stores: list[Stored]) -> ReportRow:
        """The row of a refrigerant: sums of the year, and what is in store at its end."""
        cells: dict[str, Cell | str | None] = {}
        for kind in FLOWS:
            own = [one for one in flows if one.refrigerant == name and one.kind == kind]
            cells[kind] = self.sum(name, kind, [(one.mass, (one.entry,)) for one in own])
        held = [(one.mass, one.entries) for one in stores if one.refrigerant == name]
        over = self.as_of >= self.last
        cells[STORED] = self.sum(name, STORED, held) if over else NOT_OVER
        return self.row("refrigerant", name, cells)

    def sum(self, name: str, field: str, parts: list[tuple[int | None, tuple[int, ...]]]) -> Cell:
        """A sum in pounds; with an amount that nobody knows it is at least that much."""
        total = sum(mass for mass, _ in parts if mass is not None)
        open_ = any(mass is None for mass, _ in parts)
        if open_ and field in self.asked["refrigerant"]:
            self.gaps.append(ReportGap("refrigerant", name, field, "an amount is not known"))
        entries = tuple(sorted({entry for _, several in parts for entry in several}))
        text = f"{'at least ' if open_ else ''}{self.mass(total)}"
        return Cell(field, text, entries, total, open_)


def _cells(told: Mapping[str, str], entries: tuple[int, ...]) -> dict[str, Cell | str | None]:
    return {field: Cell(field, text, entries) if text else None for field, text in told.items()}


def _by_day(one: ServiceFacts) -> tuple[date, str, tuple[int, ...]]:
    return one.on, one.circuit, one.entries


def _apart(covered: set[str], flows: list[Flow], stores: list[Stored]) -> Iterator[str]:
    """Refrigerants that moved or lie in store and that no reported system held."""
    found = {one.refrigerant for one in flows}
    found |= {one.refrigerant for one in stores if one.mass != 0}
    yield from sorted(found - covered)
