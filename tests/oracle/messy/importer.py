"""The one place that knows the importer: how papers are handed to it and how its report reads.

Whoever changes the importer changes this module; the truth and the judge stay as they are.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime
from fractions import Fraction
from pathlib import Path

from ledger.book.journal import Book, BookPlace
from ledger.book.known import BookKnown
from ledger.book.record import Recorder
from ledger.facts.entry import Draft
from ledger.facts.facts import Described, Evidence, Fact, Movement, Setting
from ledger.facts.mass import GRAM, POUND, Mass, quantity
from ledger.facts.problems import Problem, Refused
from ledger.facts.verbs import opening
from ledger.intake.columns import SETTING, ColumnMap
from ledger.intake.importing import run_import
from ledger.intake.report import ImportReport
from tests.oracle.messy.held import Moved
from tests.oracle.messy.paper import ADDED, RECOVERED, Paper, Shop, Tab

MOMENT = datetime(2026, 3, 30, 16, tzinfo=UTC)
OPENED = "2025-01-02"

RECORDED, FLAGGED, ASKED, REJECTED, SKIPPED, KNOWN, REFUSED = (
    "recorded", "flagged", "asked", "rejected", "skipped", "known already", "refused",
)  # fmt: skip
"""What can become of a row. `refused` is a row of a file that was not taken in at all."""

_AREAS = {
    "wrong-refrigerant": "refrigerant", "second-refrigerant": "cylinder",
    "circuit-needed": "circuit", "cylinder-short": "cylinder", "over-capacity": "cylinder",
    "disposable-recovery": "cylinder", "no-certification": "person", "other-owner": "cylinder",
    "recovered-not-stock": "cylinder", "cylinder-quarantined": "cylinder",
    "weights-reversed": "pounds", "weights-disagree": "pounds", "date-before-unit": "day",
}  # fmt: skip
_WORDS = (
    ("cylinder", ("cylinder", "tank")), ("person", ("technician", "person", "who did")),
    ("circuit", ("unit", "circuit", "site")), ("day", ("day", "date")),
)  # fmt: skip


@dataclass(slots=True)
class Taken:
    """One paper taken in: the report, or why it was refused.

    `chosen` says that a person named the sheets to take in, and so decided about the others.
    """

    paper: Paper
    report: ImportReport | None
    refusal: str = ""
    chosen: bool = False
    places: dict[tuple[str, int], tuple[str, frozenset[str]]] = field(default_factory=dict)


def new_book(shop: Shop, folder: Path) -> Book:
    """A book that holds the masters of the shop, and cylinders with plenty in them."""
    place = BookPlace.parse(folder / "shop.tarebook")
    book = Book.create(place, "America/Chicago", "Example Refrigeration", "office", MOMENT)
    _record(book, "masters", *_masters(shop))
    return book


def _record(book: Book, key: str, *facts: Fact) -> None:
    with book.writing() as writer:
        known = BookKnown(writer.connection, MOMENT, book.zone)
        Recorder(writer, known, MOMENT).must_record(Draft(key, "masters", OPENED, facts))


def _new(kind: str, name: str, /, **fields: object) -> Described:
    return Described(kind, name, {k.replace("_", " "): v for k, v in fields.items()}, new="yes")


def _masters(shop: Shop) -> Iterator[Fact]:
    for site in shop.sites:
        yield _new("site", site, zone="America/Chicago")
    for unit, site in dict.fromkeys((one.unit, one.site) for one in shop.units):
        yield _new("unit", unit, site=site)
    for one in shop.units:
        charge = quantity(Mass(one.full_charge * POUND)).body()
        yield _new(
            "circuit", one.circuit, unit=one.unit, refrigerant=one.refrigerant,
            full_charge={"method": "maker", "charge": charge},
        )  # fmt: skip
    for person in shop.people:
        card = {"type": "Universal", "number": f"608-{person.initials}"}
        yield _new("person", person.name, certification=card, initials=person.initials)
    for cylinder in shop.cylinders:
        yield _new("cylinder", cylinder.name, kind="half-ton", refrigerant=cylinder.refrigerant)
        if cylinder.kind == "supply":
            full = quantity(Mass(900 * POUND))
            yield from opening(
                cylinder.name, cylinder.refrigerant, full, Evidence("stated"), "virgin", ""
            )


def confirm(book: Book, papers: list[Paper]) -> None:
    """Keep a column map for each table, as a person who knows what the columns mean would."""
    maps: dict[str, ColumnMap] = {}
    for paper in papers:
        for tab in paper.tabs:
            for number, table in enumerate(tab.tables, start=1):
                # Of maps that fit, that with the most columns comes first by its name.
                name = f"{99 - len(table.headings)} {paper.name} {tab.name} {number}"
                columns = {one.text: one.meaning for one in table.headings}
                unit = next((one.unit for one in table.headings if one.unit), "lb")
                maps[name] = ColumnMap(name, columns=columns, unit=unit, header_row=table.row)
    facts = [Setting(SETTING, name, one.body()) for name, one in maps.items()]
    # Papers of one name come again with other columns, so the key says when the maps were kept.
    _record(book, f"maps after entry {head(book)}", *facts)


def take(book: Book, paper: Paper, path: Path) -> Taken:
    """Take a paper in; where sheets of it cannot be read, those with work on them by name."""
    wanted = [tab.name for tab in paper.tabs if tab.records and not tab.hidden]
    sheets: list[list[str]] = [[]] if path.suffix == ".csv" else [[], wanted]
    refusal = ""
    for some in sheets:
        try:
            report = run_import(book, path, moment=MOMENT, sheets=some)
        except Refused as refused:
            refusal = "; ".join(problem.line() for problem in refused.problems)
            continue
        return Taken(paper, report, chosen=bool(some), places=_places(report))
    return Taken(paper, None, refusal)


def _places(report: ImportReport) -> dict[tuple[str, int], tuple[str, frozenset[str]]]:
    found: dict[tuple[str, int], tuple[str, frozenset[str]]] = {}
    for outcome, rows in (
        (KNOWN, report.already), (KNOWN, report.duplicates), (ASKED, report.questions),
        (REJECTED, report.rejected),
    ):  # fmt: skip
        for one in rows:
            found[one.sheet, one.row] = (outcome, frozenset())
    for one in report.flagged:
        areas = frozenset(_area(problem) for problem in one.problems)
        found[one.sheet, one.row] = (FLAGGED, areas)
    return found


def _area(problem: Problem) -> str:
    """What part of a row a flag is about; "any" for a word the table above does not know."""
    if problem.code in ("field-missing", "unknown-id"):
        sentence = problem.sentence.casefold()
        return next((area for area, words in _WORDS if any(w in sentence for w in words)), "any")
    return _AREAS.get(problem.code, "any")


def outcome_of(taken: Taken, tab: Tab, row: int, moved: list[Moved]) -> tuple[str, frozenset[str]]:
    """What became of a row, and the parts of it that a flag is about.

    `moved` are the movements that the book holds from this row of this import.
    """
    if taken.report is None:
        return REFUSED, frozenset()
    name = "" if taken.paper.name.endswith(".csv") else tab.name
    if (name, row) in taken.places:
        outcome, areas = taken.places[name, row]
        return outcome, areas.union(*(one.areas for one in moved))
    if moved:
        return RECORDED, moved[0].areas
    if tab.hidden and (taken.chosen or any(name in note for note in taken.report.notes)):
        return ASKED, frozenset()
    return SKIPPED, frozenset()


def moved_in(book: Book, after: int = 0) -> list[Moved]:
    """Every movement into or out of a circuit that stands, from entries later than `after`."""
    found = []
    with book.reading() as reader:
        for entry in reader.entries(after + 1):
            back = {line for line, _ in reader.reversed_lines(entry.number)}
            file, tab, row = _source(str(entry.content().get("source", "")))
            for line, fact in enumerate(entry.facts()):
                if isinstance(fact, Movement) and line not in back:
                    one = _moved(fact, entry.occurred_on, entry.number, file, tab, row)
                    found += [one] if one else []
    return found


def _source(text: str) -> tuple[str, str, int]:
    parts = text.split("!")
    if len(parts) < 2 or not parts[-1].isdigit():
        return text, "", 0
    return parts[0], "!".join(parts[1:-1]), int(parts[-1])


def _moved(fact: Movement, day: str, entry: int, file: str, tab: str, row: int) -> Moved | None:
    direction = {"addition": ADDED, "recovery": RECOVERED}.get(fact.purpose)
    if direction is None:
        return None
    circuit = fact.target if direction == ADDED else fact.source
    cylinder = fact.source if direction == ADDED else fact.target
    return Moved(
        file, tab, row, direction, day, _name(circuit, "circuit:"), fact.refrigerant,
        Fraction(fact.mass.mass, GRAM), fact.mass.written, _name(cylinder, "cylinder:"), entry,
        frozenset(_marked(fact, _name(circuit, "circuit:"))),
    )  # fmt: skip


def _marked(fact: Movement, circuit: str) -> Iterator[str]:
    """The parts of a movement that the book itself says are not known or not exact."""
    if fact.amount == "estimated":
        yield "pounds"
    if fact.refrigerant == "unknown":
        yield "refrigerant"
    if not circuit:
        yield "circuit"


def _name(holder: str, kind: str) -> str:
    return holder.removeprefix(kind) if holder.startswith(kind) else ""


def head(book: Book) -> int:
    """The number of the last entry."""
    with book.reading() as reader:
        return reader.head()[0]
