"""Looks a whole file over before anything is recorded: its sheets, their reading, their order."""

from __future__ import annotations

from array import array
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import chain, islice
from pathlib import Path

from ledger.facts.masters import folded
from ledger.facts.problems import Problem, Refused, refuse
from ledger.intake.columns import ColumnMap, Proposal, as_mapped, find_header, propose
from ledger.intake.headers import MOVEMENTS
from ledger.intake.masters import MasterFields
from ledger.intake.plan import Plan, plan_of
from ledger.intake.rows import Fields
from ledger.intake.sheets import Row, SheetFile, open_sheets
from ledger.intake.spool import Spool

KINDS = ("party", "site", "place", "scale", "machine", "person", "unit", "circuit", "cylinder")
"""The order in which the records of a workbook are taken in, so that each finds what it names."""

_TOP = 30
"""Rows at the top of a sheet in which its headings are looked for."""
_INDEX_BITS = 32


@dataclass(slots=True)
class Looked:
    """One sheet as it was found: its proposal or the map that fits it, and what was skipped."""

    sheet: str
    proposal: Proposal | None = None
    plan: Plan | None = None
    skipped: Counter[str] = field(default_factory=Counter)
    rows: int = 0


@dataclass(slots=True)
class Survey:
    """A file looked over: its sheets, its rows on disk, and the order to take them in.

    `masters` and `movements` hold row indexes of the spool; `reader_of` gives the reader of
    the sheet a row is from. `lettered` are units whose circuits have rows of their own.
    """

    file: str
    spool: Spool
    sheets: list[Looked] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    masters: dict[str, list[int]] = field(default_factory=dict)
    movements: list[int] = field(default_factory=list)
    readers: dict[str, Fields | MasterFields] = field(default_factory=dict)
    lettered: frozenset[str] = frozenset()

    @property
    def total(self) -> int:
        """Rows to take in."""
        return len(self.movements) + sum(map(len, self.masters.values()))

    def skipped(self) -> Counter[str]:
        """Rows that are none, counted by why."""
        total: Counter[str] = Counter()
        for sheet in self.sheets:
            total.update(sheet.skipped)
        return total


def look(
    path: Path,
    maps: Sequence[ColumnMap] = (),
    chosen: ColumnMap | None = None,
    sheets: Sequence[str] = (),
) -> list[Looked]:
    """How each sheet of a file would be read, from its top rows only; nothing is recorded.

    `maps` are those the book remembers; `chosen` is used wherever its headings are found.
    """  # fmt: skip
    with open_sheets(path) as file:
        return [
            _look(file, sheet, list(islice(file.rows(sheet), _TOP)), maps, chosen)
            for sheet in _wanted(file, sheets)
        ]


def survey(
    path: Path, spool: Spool, maps: Sequence[ColumnMap], chosen: ColumnMap | None,
    sheets: Sequence[str], aliases: dict[str, str],
) -> Survey:  # fmt: skip
    """Read a file to its end into the spool.

    Refused with the codes of `open_sheets`, and with `column-map-needed` where a sheet that
    seems to hold records cannot be read by its headings alone.
    """
    with open_sheets(path) as file:
        found = Survey(path.name, spool, notes=list(file.notes))
        wanted = _wanted(file, sheets)
        if not sheets and (hidden := [one for one in file.hidden if one in file.sheets]):
            found.notes.append(f"Hidden sheets were left out: {', '.join(hidden)}.")
        keys = array("Q")
        for sheet in wanted:
            rows = file.rows(sheet)
            top = list(islice(rows, _TOP))
            looked = _look(file, sheet, top, maps, chosen)
            found.sheets.append(looked)
            if looked.plan is None:
                _left_out(found, looked, bool(sheets))
                continue
            _take_in(found, looked, chain(top, rows), aliases, keys)
        if not found.readers:
            raise _nothing(path, found)
    # Each key holds the moment in its upper and the index in its lower bits.
    found.movements = [key & ((1 << _INDEX_BITS) - 1) for key in sorted(keys)]
    return found


def _wanted(file: SheetFile, sheets: Sequence[str]) -> list[str]:
    """The sheets to read: those asked for, else every one that is not hidden."""
    if not sheets:
        return [one for one in file.sheets if one not in file.hidden]
    by_name = {folded(name): name for name in file.sheets}
    unknown = [name for name in sheets if folded(name) not in by_name]
    if unknown:
        has = ", ".join(name for name in file.sheets if name) or "no sheets with names"
        sentence = f'{file.path.name} has no sheet "{unknown[0]}".'
        raise refuse("option-unfit", sentence, f"It has {has}.")
    return list(dict.fromkeys(by_name[folded(name)] for name in sheets))


def _look(
    file: SheetFile, sheet: str, top: list[Row], maps: Sequence[ColumnMap],
    chosen: ColumnMap | None,
) -> Looked:  # fmt: skip
    """Find a sheet's headings and how to read them: by the chosen map, a kept one, or the words."""
    looked = Looked(sheet)
    text = file.kind == "csv"
    cells = [row.cells for row in top]
    for column_map in (*([chosen] if chosen else []), *maps):
        index = _fitting(column_map, top)
        if index >= 0:
            looked.plan = plan_of(column_map, cells[index], file.path.name, sheet, text)
            _below(looked, top[index])
            looked.proposal = as_mapped(
                column_map, cells[index], sheet or file.path.stem, top[index].number
            )
            return looked
    index = find_header(cells, sheet or file.path.stem)
    if index < 0:
        return looked
    looked.proposal = propose(cells[index], sheet or file.path.stem, top[index].number)
    if looked.proposal.ready:
        found = looked.proposal.map
        looked.plan = plan_of(found, cells[index], file.path.name, sheet, text)
        _below(looked, top[index])
    return looked


def _fitting(column_map: ColumnMap, top: list[Row]) -> int:
    """The index of the row in which a map finds its headings, or -1; its own row comes first."""
    fitting = [index for index, row in enumerate(top) if column_map.fits(row.cells)]
    own = [index for index in fitting if top[index].number == column_map.header_row]
    return (own or fitting or [-1])[0]


def _below(looked: Looked, header: Row) -> None:
    assert looked.plan is not None
    looked.plan.header_number = header.number


def _take_in(
    found: Survey, looked: Looked, rows: Iterator[Row], aliases: dict[str, str], keys: array[int]
) -> None:
    """Put the rows below the headings into the spool, each with its place in the order."""
    plan = looked.plan
    assert plan is not None
    kind, spool, skipped = plan.map.records, found.spool, looked.skipped
    moment: Callable[[Row], int] | None = None
    lettered: set[str] = set()
    if kind == MOVEMENTS:
        fields = Fields(plan, aliases)
        found.readers[looked.sheet], moment = fields, fields.moment
        indexes: list[int] = []
    else:
        masters = found.readers[looked.sheet] = MasterFields(plan, aliases)
        indexes = found.masters.setdefault(kind, [])
    start = len(spool)
    for row in rows:
        if row.number <= plan.header_number:
            skipped["above the headings"] += any(_filled(cell) for cell in row.cells)
        elif not any(_filled(cell) for cell in row.cells):
            skipped["empty"] += 1
        elif plan.repeats_header(row):
            skipped["headings repeated"] += 1
        elif moment is not None:
            keys.append(moment(row) << _INDEX_BITS | spool.add(row))
        else:
            indexes.append(spool.add(row))
            if kind == "circuit":
                lettered.add(masters.unit_of(row))
    # The heading row itself is no row above the headings.
    skipped["above the headings"] -= 1
    looked.rows = len(spool) - start
    found.lettered |= lettered


def _filled(cell: object) -> bool:
    return cell is not None and cell != "" and not (isinstance(cell, str) and not cell.strip())


def _left_out(found: Survey, looked: Looked, asked_for: bool) -> None:
    """A sheet that nobody can read: said where it holds no table, refused where it seems to."""
    name = looked.sheet or found.file
    if looked.proposal is None and not asked_for:
        found.notes.append(f"Sheet {name} was left out: it has no headings that are known.")
        return
    questions = looked.proposal.questions if looked.proposal else (
        "no row of it holds headings that are known.",
    )  # fmt: skip
    where = f"{found.file}!{looked.sheet}" if looked.sheet else found.file
    problems = [
        Problem(
            "column-map-needed", f"{question}",
            "Look with --look, then map the column, set the field, or choose other sheets.",
            where,
        )
        for question in questions
    ]  # fmt: skip
    raise Refused(problems)


def _nothing(path: Path, found: Survey) -> Refused:
    return refuse(
        "column-map-needed",
        f"{path.name} has no sheet whose headings are known.",
        "Put headings such as Date, Unit, Added, Cylinder above the columns, or make a map.",
    )
