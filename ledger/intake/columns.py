"""How the columns of one sheet are read: the map a book remembers, and the one proposed at sight.

A sheet whose headings say in plain words what is needed takes no saved map; for any other the
proposal says what was seen, what would be done, and what a person has to decide.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from ledger.facts.mass import COUNTS_PER_UNIT
from ledger.facts.masters import FIELDS
from ledger.facts.problems import Problem, refuse
from ledger.intake.headers import (
    MOVEMENTS,
    field_of,
    fields_of,
    header_unit,
    header_words,
    is_reject_heading,
    sheet_action,
    sheet_constants,
    sheet_kind,
    speaks_of_pounds,
)
from ledger.intake.receipts import (
    amounts_noted,
    are_receipts,
    heads_amount,
    with_day_received,
)
from ledger.intake.sheets import cell_text, column_letter

SETTING = "column map"
"""The setting under which a book keeps its maps, each by its name."""
_LOOKED_AT = 20
_REPEATED = ("note",)


@dataclass(frozen=True, slots=True)
class ColumnMap:
    """How the columns of one kind of sheet are read.

    `records` is movements or a kind of masters; `columns` maps a heading to a field, and
    `constants` a field to the text that every row of the sheet has there. Other headings are
    kept as notes, save those in `ignored`. `unit` is that of a bare number where the heading
    names none, `year` that of a day without one, `header_row` the row of the headings, 0
    where it is found by its words.
    """

    name: str
    records: str = MOVEMENTS
    columns: dict[str, str] = field(default_factory=dict)
    constants: dict[str, str] = field(default_factory=dict)
    ignored: tuple[str, ...] = ()
    unit: str = "lb"
    date_order: str = "mdy"
    year: int = 0
    header_row: int = 0

    def body(self) -> dict[str, Any]:
        """The value under which a book keeps the map: text, whole numbers, lists and objects."""
        return {
            "records": self.records, "columns": dict(self.columns),
            "constants": dict(self.constants), "ignored": list(self.ignored), "unit": self.unit,
            "date order": self.date_order, "year": self.year, "header row": self.header_row,
        }  # fmt: skip

    @classmethod
    def from_body(cls, name: str, body: dict[str, Any]) -> ColumnMap:
        """Read a kept map back; KeyError or TypeError on another shape."""
        return cls(
            name, body["records"], dict(body["columns"]), dict(body["constants"]),
            tuple(body["ignored"]), body["unit"], body["date order"], body["year"],
            body["header row"],
        )  # fmt: skip

    def problems(self) -> list[Problem]:
        """What is wrong with a map that somebody wrote: unknown records, fields, units."""
        if self.records != MOVEMENTS and self.records not in FIELDS:
            kinds = ", ".join((MOVEMENTS, *FIELDS))
            return [
                Problem("value-unclear", f'"{self.records}" is no kind of row.', f"Choose {kinds}.")
            ]
        known = fields_of(self.records)
        found = [
            Problem(
                "field-unknown",
                f'A row of {self.records} has no field "{name}".',
                f"Fields: {', '.join(known)}.",
            )
            for name in dict.fromkeys((*self.columns.values(), *self.constants))
            if name not in known
        ]
        counted = Counter(self.columns.values())
        found += [
            Problem("option-unfit", f'Two columns are mapped to "{name}".', "Ignore one of them.")
            for name, count in counted.items()
            if count > 1 and name not in _REPEATED
        ]
        if self.unit not in COUNTS_PER_UNIT or self.date_order not in ("mdy", "dmy"):
            found.append(
                Problem("value-unclear", "The map's unit or order of dates is none.",
                        "Units: lb, oz, kg, g. Orders: mdy, dmy.")
            )  # fmt: skip
        return found

    def fits(self, headers: Sequence[object]) -> bool:
        """Whether every heading of the map is in this row of cells."""
        there = {header_words(cell_text(cell)) for cell in headers}
        return bool(self.columns) and all(header_words(one) in there for one in self.columns)


@dataclass(frozen=True, slots=True)
class Seen:
    """One heading: where it stands, what it says, and the field it would go to.

    An empty field means that the column is kept as a note (`why` says so), or asked about.
    """

    column: str
    header: str
    field: str
    why: str

    def said(self) -> str:
        """What is done with the column, in a few words: "recovered (in kg)"."""
        return f"{self.field} ({self.why})" if self.field and self.why else self.field or self.why


@dataclass(frozen=True, slots=True)
class Proposal:
    """What the headings of a sheet say: the map that would be used, and what is left to ask.

    `sources` says of what every row has where it was found, " (from the title in row 1)".
    """

    sheet: str
    map: ColumnMap
    seen: tuple[Seen, ...]
    questions: tuple[str, ...]
    sources: dict[str, str] = field(default_factory=dict)

    @property
    def ready(self) -> bool:
        """Whether the sheet can be taken in without a person's word."""
        return not self.questions

    def lines(self) -> list[str]:
        """The proposal in plain sentences: what was seen, what would be done, what is asked."""
        title = f"Sheet {self.sheet}: " if self.sheet else ""
        records = "pounds moved" if self.map.records == MOVEMENTS else f"{self.map.records}s"
        said = [f"{title}{records}, headings in row {self.map.header_row}."]
        said += [f"  {one.column} {one.header}: {one.said()}" for one in self.seen]
        said += [
            f"  every row: {name} = {text}{self.sources.get(name, '')}"
            for name, text in self.map.constants.items()
        ]
        return said + [f"  To decide: {question}" for question in self.questions]


def find_header(rows: Sequence[Sequence[object]], sheet: str = "") -> int:
    """The index of the row that holds the most headings among the first ones; -1 for none.

    A row needs two known headings, because a title above the table may hold one; where the
    sheet's name declares its records, their name alone will do.
    """
    best, found, kind = 1, -1, sheet_kind(sheet)
    for index, cells in enumerate(rows[:_LOOKED_AT]):
        texts = [cell_text(cell) for cell in cells if isinstance(cell, str)]
        most = fields_named(texts)
        if most > best or (found < 0 and kind and _names(kind, texts)):
            best, found = max(most, 1), index
    return found


def known_headings(texts: Sequence[str]) -> int:
    """How many of these texts are headings of one kind of records, at most."""
    return max(len(_known(records, texts)) for records in (MOVEMENTS, *FIELDS))


def fields_named(texts: Sequence[str]) -> int:
    """How many fields of one kind of records these texts head, at most.

    Words of one field, such as "Warehouse" and "warehouse", are rather a row than its headings.
    """
    return max(len({*_known(records, texts)}) for records in (MOVEMENTS, *FIELDS))


def _known(records: str, texts: Sequence[str]) -> list[str]:
    """The fields that texts head, for one kind of records."""
    return [name for text in texts if text and (name := field_of(records, text))]


def _names(kind: str, texts: list[str]) -> bool:
    """Whether a row is the one heading of a list of names."""
    return [field_of(kind, text) for text in texts if text] == ["name"]


def propose(header: Sequence[object], sheet: str, header_row: int = 1) -> Proposal:
    """What a sheet's headings and name say about how to read it; nothing is guessed.

    `sheet` is the name of the tab, or of the file where it has no tabs.
    """
    headers = [cell_text(cell) for cell in header]
    records = _records(headers, sheet)
    if not records:
        nothing = ColumnMap(sheet, header_row=header_row)
        question = "Which records are these: movements of pounds, or sites, units, cylinders ...?"
        return Proposal(sheet, nothing, _seen(headers, MOVEMENTS, {}), (question,))
    columns, questions = _columns(headers, records)
    constants: dict[str, str] = {}
    sources: dict[str, str] = {}
    if records == MOVEMENTS:
        columns = with_day_received(headers, columns)
        action = sheet_action(sheet)
        if not set(columns.values()) & {"action", "added", "recovered"}:
            if action:
                constants["action"] = action
            elif are_receipts(columns):
                constants["action"], sources["action"] = "receive", " (from the headings)"
    else:
        questions += amounts_noted(headers, records, bool(sheet_kind(sheet)))
        given = columns.values()
        constants = {k: v for k, v in sheet_constants(sheet).items()
                     if k in fields_of(records) and k not in given}  # fmt: skip
    found = ColumnMap(sheet, records, columns, constants, header_row=header_row)
    questions += _missing(found)
    return Proposal(sheet, found, _seen(headers, records, columns), tuple(questions), sources)


def with_constant(found: Proposal, name: str, text: str, source: str) -> Proposal:
    """The proposal with what every row has for a field, said by something beside the headings."""
    asked = _missing(found.map)
    changed = replace(found.map, constants=found.map.constants | {name: text})
    questions = [one for one in found.questions if one not in asked] + _missing(changed)
    sources = found.sources | {name: f" (from {source})"}
    return replace(found, map=changed, questions=tuple(questions), sources=sources)


def as_mapped(column_map: ColumnMap, header: Sequence[object], sheet: str, row: int) -> Proposal:
    """What a map that somebody made does with the headings of a sheet; nothing is left to ask."""
    headers = [cell_text(cell) for cell in header]
    wanted = {header_words(one): name for one, name in column_map.columns.items()}
    dropped = {header_words(one) for one in column_map.ignored}
    seen = []
    for index, one in enumerate(headers):
        words = header_words(one)
        if words:
            name, unit = wanted.get(words, ""), header_unit(one)
            why = f"in {unit}" if name and unit else "kept as a note"
            why = "passed over" if words in dropped or is_reject_heading(one) else why
            seen.append(Seen(column_letter(index), one, name, "" if name and not unit else why))
    return Proposal(sheet, replace(column_map, header_row=row), tuple(seen), ())


def _records(headers: list[str], sheet: str) -> str:
    """The records that the headings are about: by the sheet's name, else by what they say."""
    named = sheet_kind(sheet)
    as_moved = with_day_received(headers, _columns(headers, MOVEMENTS)[0])
    if are_receipts(as_moved, plainly=bool(named)):
        return MOVEMENTS
    if named and "name" in {field_of(named, one) for one in headers if one}:
        return named
    found = {field_of(MOVEMENTS, one) for one in headers if one}
    moved = found & {"amount", "added", "recovered", "gross before", "readings", "gross", "action"}
    signs = ("date" in found, bool(moved), bool(sheet_action(sheet)))
    if sum(signs) > 1:
        return MOVEMENTS
    scores: dict[str, int] = {}
    for kind in FIELDS:
        fields = [field_of(kind, one) for one in headers if one]
        if "name" in fields:
            scores[kind] = len(set(fields) - {"", "note"})
    best = [kind for kind, score in scores.items() if score == max(scores.values()) > 1]
    return best[0] if len(best) == 1 else MOVEMENTS if "date" in found else ""


def _columns(headers: list[str], records: str) -> tuple[dict[str, str], list[str]]:
    """The field of each heading, and what cannot be decided from the words alone."""
    columns: dict[str, str] = {}
    questions: list[str] = []
    taken: dict[str, str] = {}
    for header in headers:
        if not header or is_reject_heading(header):
            continue
        name = field_of(records, header)
        if header in columns:
            questions.append(f'Two columns are headed "{header}"; rename one.')
        elif name and (name not in taken or name in _REPEATED):
            columns[header] = name
            taken[name] = header
        elif name:
            questions.append(f'"{taken[name]}" and "{header}" both say {name}: which one is it?')
        elif records == MOVEMENTS and speaks_of_pounds(header):
            questions.append(f'What is in the column "{header}"? Map it, or ignore it.')
    return columns, questions


def _seen(headers: list[str], records: str, columns: dict[str, str]) -> tuple[Seen, ...]:
    seen = []
    for index, header in enumerate(headers):
        if header:
            name = columns.get(header, "")
            unit = header_unit(header)
            why = f"in {unit}" if name and unit else "" if name else "kept as a note"
            if is_reject_heading(header):
                why = "passed over"
            elif not name and (
                speaks_of_pounds(header) if records == MOVEMENTS else heads_amount(records, header)
            ):
                why = "not understood"
            seen.append(Seen(column_letter(index), header, name, why))
    return tuple(seen)


def _missing(found: ColumnMap) -> list[str]:
    """What a sheet has to say before its rows can be read at all."""
    fields = {*found.columns.values(), *found.constants}
    if found.records != MOVEMENTS:
        return [] if "name" in fields else [f"Which column names the {found.records}?"]
    questions = []
    if "date" not in fields:
        questions.append("Which column holds the day?")
    if not fields & {"action", "added", "recovered"}:
        questions.append("Was it added, recovered, received ...? Set the action for the sheet.")
    if "amount" in fields and fields & {"added", "recovered"}:
        questions.append("One column says added or recovered, another only how much: which counts?")
    amounts = {"amount", "added", "recovered", "gross before", "readings", "gross", "action"}
    if not fields & (amounts if "action" not in found.constants else amounts - {"action"}) and (
        found.constants.get("action")
        not in ("issue", "move", "ship", "return", "heel", "leak inspection")
    ):
        questions.append("Which column holds the pounds, or the weights before and after?")
    if not fields & {"unit", "circuit", "site", "cylinder", "to cylinder"}:
        questions.append("Which column names the unit or the cylinder?")
    return questions


def with_changes(found: ColumnMap, columns: dict[str, str], constants: dict[str, str]) -> ColumnMap:
    """The map with what a person decided: a heading given an empty field is ignored."""
    decided = set(columns.values()) - set(_REPEATED)
    found, constants = with_settings(found, constants)
    kept = {
        header: name
        for header, name in found.columns.items()
        if header not in columns and name not in decided
    }
    chosen = {header: name for header, name in columns.items() if name}
    ignored = [*found.ignored, *(header for header, name in columns.items() if not name)]
    return replace(
        found, columns=kept | chosen, constants=found.constants | constants,
        ignored=tuple(dict.fromkeys(ignored)),
    )  # fmt: skip


SETTINGS = ("year", "date order", "unit of weight")
"""What can be set for a whole sheet beside the fields of its rows."""


def with_settings(found: ColumnMap, said: dict[str, str]) -> tuple[ColumnMap, dict[str, str]]:
    """The map with the year, order of dates and unit that were set, and what else was set.

    Refused with `option-unfit` where the year is none.
    """
    rest = {name: text for name, text in said.items() if name not in SETTINGS}
    year = said.get("year", "")
    if year and not (year.isascii() and year.isdigit() and 1980 <= int(year) <= 2100):
        raise refuse("option-unfit", f'"{year}" is no year.', "Write four figures: year=2025.")
    return replace(
        found, year=int(year) if year else found.year,
        date_order=said.get("date order", found.date_order),
        unit=said.get("unit of weight", found.unit),
    ), rest  # fmt: skip
