"""Looks a whole file over before anything is recorded: its sheets, their reading, their order."""

from __future__ import annotations

from array import array
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from ledger.facts.masters import folded
from ledger.facts.problems import Problem, Refused, refuse
from ledger.intake.columns import ColumnMap
from ledger.intake.findings import counted, examples, seen_beside, told
from ledger.intake.headers import MOVEMENTS, REJECT_MARK, header_words
from ledger.intake.masters import MasterFields
from ledger.intake.reading import Reading
from ledger.intake.rows import Fields
from ledger.intake.sheet_rows import SheetRows
from ledger.intake.sheets import Row, SheetFile, cell_text, open_sheets
from ledger.intake.spool import Spool
from ledger.intake.tables import Headings, is_filled, is_summary
from ledger.intake.tables import Looked as Looked
from ledger.intake.years import YearOfTitle

KINDS = ("party", "site", "place", "scale", "machine", "person", "unit", "circuit", "cylinder")
"""The order in which the records of a workbook are taken in, so that each finds what it names."""

_INDEX_BITS = 32
_HELP_HEADINGS = ["Heading", "What to write"]


@dataclass(slots=True)
class Survey:
    """A file looked over: its sheets, its rows on disk, and the order to take them in.

    `masters` and `movements` hold row indexes of the spool; `reader_of` gives the reader of
    the sheet a row is from. `lettered` are units whose circuits have rows of their own, `aliases`
    the book's own names for refrigerants, which the readers go by.
    """

    file: str
    spool: Spool
    sheets: list[Looked] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    masters: dict[str, list[int]] = field(default_factory=dict)
    movements: list[int] = field(default_factory=list)
    readers: dict[str, Fields | MasterFields] = field(default_factory=dict)
    lettered: frozenset[str] = frozenset()
    aliases: dict[str, str] = field(default_factory=dict)

    def reader_of(self, row: Row) -> Fields | MasterFields:
        """The reader of the table that a row is from."""
        return self.readers[row.sheet if not row.table else reader_key(row.sheet, row.table)]

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
    aliases: dict[str, str] | None = None,
) -> list[Looked]:
    """How each table of a file would be read, with what was found in all its rows.

    `maps` are those the book remembers; `chosen` is used wherever its headings are found.
    Nothing is recorded. A sheet without headings, or hidden, is one `Looked` without a proposal.
    """
    with Spool() as spool, _opened(path) as file:
        found = Survey(path.name, spool)
        _all_sheets(file, found, maps, chosen, sheets, aliases or {})
        for looked in found.sheets:
            seen = file.seen(looked.sheet)
            beside = [] if looked.table else seen_beside(seen)
            looked.said = [*counted(looked, seen), *beside, *looked.said, *told(looked)]
            looked.said += examples(_readings(found, looked))
        hidden = [] if sheets else [one for one in file.hidden if one in file.sheets]
        left = [Looked(one, said=[_hidden(file, one)]) for one in hidden]
        return [*found.sheets, *left]


def survey(
    path: Path, spool: Spool, maps: Sequence[ColumnMap], chosen: ColumnMap | None,
    sheets: Sequence[str], aliases: dict[str, str],
) -> Survey:  # fmt: skip
    """Read a file to its end into the spool.

    Refused with the codes of `open_sheets`, with `column-map-needed` where a sheet that
    seems to hold records cannot be read by its headings alone, with `option-unfit` where the
    chosen map names headings that no sheet has.
    """
    with _opened(path) as file:
        found = Survey(path.name, spool, notes=list(file.notes), aliases=aliases)
        if not sheets:
            found.notes += [_hidden(file, one) for one in file.hidden if one in file.sheets]
        keys = _all_sheets(file, found, maps, chosen, sheets, aliases)
        for looked in found.sheets:
            if looked.plan is None:
                _left_out(found, looked, bool(sheets))
            else:
                beside = [] if looked.table else seen_beside(file.seen(looked.sheet))
                said = [*beside, *looked.said, *told(looked)]
                found.notes += [_of_sheet(looked.sheet, one) for one in said]
        found.notes += _comments(file)
        if not found.readers:
            raise _nothing(path, found)
    # Each key holds the moment in its upper and the index in its lower bits.
    found.movements = [key & ((1 << _INDEX_BITS) - 1) for key in sorted(keys)]
    return found


def _opened(path: Path) -> SheetFile:
    """A file without the sheets of a template that only help to fill it in."""
    file = open_sheets(path)
    try:
        file.sheets = [one for one in file.sheets if not _only_helps(file, one)]
    except BaseException:
        file.close()
        raise
    return file


def _only_helps(file: SheetFile, sheet: str) -> bool:
    """Whether a sheet holds the lists of a template, or its help, known by its first headings."""
    if sheet == "Help":
        first = next(file.rows(sheet), None)
        return first is not None and [cell_text(one) for one in first.cells[:2]] == _HELP_HEADINGS
    return sheet.casefold().startswith(REJECT_MARK)


def _all_sheets(
    file: SheetFile, found: Survey, maps: Sequence[ColumnMap], chosen: ColumnMap | None,
    sheets: Sequence[str], aliases: dict[str, str],
) -> array[int]:  # fmt: skip
    """Read the rows of all sheets into the spool; gives the keys of the movements."""
    keys = array("Q")
    fitted = chosen is None or not chosen.columns
    for sheet in _wanted(file, sheets):
        headings = Headings(file.path.name, file.path.stem, sheet, file.kind == "csv", maps, chosen)
        reader = SheetRows(headings, found.spool, file.rows(sheet))
        _take_in(found, reader, aliases, keys)
        found.sheets += reader.tables or [Looked(sheet)]
        fitted = fitted or headings.fitted
    if not fitted and chosen is not None:
        raise _not_there(chosen, found)
    return keys


def _not_there(chosen: ColumnMap, found: Survey) -> Refused:
    """The refusal of a map whose headings no sheet has."""
    there = [one.header for looked in found.sheets if looked.proposal
             for one in looked.proposal.seen]  # fmt: skip
    words = {header_words(one) for one in there}
    missing = [one for one in chosen.columns if header_words(one) not in words]
    named = ", ".join(f'"{one}"' for one in missing or chosen.columns)
    all_there = ", ".join(dict.fromkeys(there)) or "none that are known"
    return refuse(
        "option-unfit",
        f"No sheet of {found.file} has the {'heading' if len(missing) == 1 else 'headings'} {named}"
        f"{'' if missing else ' in one row'}.",
        f"Its headings are: {all_there}.",
    )


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


def _take_in(found: Survey, reader: SheetRows, aliases: dict[str, str], keys: array[int]) -> None:
    """Put the records of a sheet into the spool, each with its place in the order."""
    spool = found.spool
    begun: list[_Table] = []
    for rows, row in reader:
        while row.table >= len(begun):
            begun.append(_Table(found, reader.tables[len(begun)], aliases))
        table = begun[row.table]
        index = spool.add(row)
        rows.kept(index)
        table.looked.rows += 1
        if table.indexes is not None:
            table.indexes.append(index)
            if table.masters is not None:
                table.lettered.add(table.masters.unit_of(row))
            continue
        moment = table.moment(row)
        if table.year is not None:
            table.year.met(moment, row, index)
        keys.append(moment << _INDEX_BITS | index)
    for looked in reader.tables[len(begun) :]:
        begun.append(_Table(found, looked, aliases))
    for table in begun:
        found.lettered |= table.lettered
        table.settle(found, aliases, keys)


class _Table:
    """A table while its rows are put into the spool."""

    def __init__(self, found: Survey, looked: Looked, aliases: dict[str, str]) -> None:
        self.looked = looked
        self.indexes: list[int] | None = None
        self.masters: MasterFields | None = None
        self.lettered: set[str] = set()
        self.year: YearOfTitle | None = None
        self.moment: Callable[[Row], int] = lambda _: 0
        plan = looked.plan
        if plan is None:
            return
        key = reader_key(looked.sheet, looked.table)
        kind = plan.map.records
        if kind == MOVEMENTS:
            fields = Fields(plan, aliases)
            found.readers[key], self.moment = fields, fields.moment
            self.year = YearOfTitle(looked) if looked.year and not plan.map.year else None
            return
        masters = found.readers[key] = MasterFields(plan, aliases)
        self.indexes = found.masters.setdefault(kind, [])
        self.masters = masters if kind == "circuit" else None

    def settle(self, found: Survey, aliases: dict[str, str], keys: array[int]) -> None:
        """Read days without a year by the title of the table, where nothing speaks against it."""
        if self.year is None or self.looked.plan is None:
            return

        def fetch(indexes: Iterable[int]) -> Iterator[tuple[int, Row]]:
            return ((index, Row(*kept)) for index, kept in found.spool.read(indexes))

        dated, moments = self.year.settle(self.looked.plan, aliases, fetch)
        if dated is None:
            return
        self.looked.plan = dated.plan
        found.readers[reader_key(self.looked.sheet, self.looked.table)] = dated
        for place, key in enumerate(keys):
            index = key & ((1 << _INDEX_BITS) - 1)
            if index in moments:
                keys[place] = moments[index] << _INDEX_BITS | index


def reader_key(sheet: str, table: int) -> str:
    """The name under which the reader of a table is kept; the first goes by its sheet's name."""
    return sheet if not table else f"{sheet}\n{table}"


def _of_sheet(sheet: str, said: str) -> str:
    """A sentence with the sheet it is about."""
    return f"Sheet {sheet}: {said}" if sheet else f"{said[:1].upper()}{said[1:]}"


def _comments(file: SheetFile) -> list[str]:
    """That comments at cells are not read, where there are any."""
    count = file.seen(file.sheets[0]).comments if file.sheets else 0
    if not count:
        return []
    stand = "comment stands at a cell" if count == 1 else "comments stand at cells"
    return [f"{count} {stand} of {file.path.name}; comments are not read."]


def _hidden(file: SheetFile, sheet: str) -> str:
    """That a hidden sheet was left out, and how to take it in."""
    count = sum(1 for row in file.rows(sheet) if any(map(is_filled, row.cells)))
    return (
        f"Sheet {sheet} is hidden and was left out; it holds {count} rows."
        f' Take it in with --sheet "{sheet}".'
    )


def _readings(found: Survey, looked: Looked) -> Iterator[Reading]:
    """The rows of one table as they would be read."""
    reader = found.readers.get(reader_key(looked.sheet, looked.table))
    if reader is None:
        return
    for _, kept in found.spool.read(range(len(found.spool))):
        row = Row(*kept)
        if row.sheet == looked.sheet and row.table == looked.table:
            yield reader.read(row)


def _left_out(found: Survey, looked: Looked, asked_for: bool) -> None:
    """A sheet that nobody can read: said where it holds no table, refused where it seems to."""
    name = looked.sheet or found.file
    if looked.proposal is None and not asked_for:
        found.notes.append(f"Sheet {name} was left out: it has no headings that are known.")
        return
    if is_summary(looked) and not asked_for:
        found.notes += [_of_sheet(looked.sheet, one) for one in told(looked)]
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
