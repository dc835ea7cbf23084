"""A column map held against the headings of one sheet: which cell of a row is which field."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from ledger.facts.problems import Refused, refuse
from ledger.intake.columns import ColumnMap
from ledger.intake.headers import header_unit, header_words, is_reject_heading
from ledger.intake.sheets import Row, cell_text, column_letter


@dataclass(frozen=True, slots=True)
class Column:
    """One column that is read: its place in the row, its field, the unit its heading names."""

    index: int
    field: str
    unit: str
    header: str


@dataclass(slots=True)
class Plan:
    """How the rows of one sheet are read.

    `source` names the sheet in records and messages: "day-sheet.xlsx!Charges", or the file
    alone where it has no tabs. `extras` are columns kept as notes. `width` is the number of
    headings, beyond which a text file has nothing to say.
    """

    source: str
    sheet: str
    map: ColumnMap
    columns: tuple[Column, ...]
    extras: tuple[tuple[int, str], ...]
    constants: dict[str, str]
    width: int
    strict_width: bool
    titles: list[str] = field(default_factory=list)
    first: str = ""
    header_number: int = 0
    places: dict[str, int] = field(default_factory=dict)

    def where(self, row: Row, *fields: str) -> str:
        """The cell of the first of these fields the sheet has: "day-sheet.xlsx!Charges!C17"."""
        return f"{self.source}!{self.cell(row, *fields)}"

    def cell(self, row: Row, *fields: str) -> str:
        """The cell of the first of these fields, such as "C17"; the row's number where none is."""
        for name in fields:
            if name in self.places:
                return f"{column_letter(self.places[name])}{row.number}"
        return str(row.number)

    def repeats_header(self, row: Row) -> bool:
        """Whether a row is the headings once more, as where two sheets were put together."""
        first = next((cell for cell in row.cells if cell not in (None, "")), None)
        if not isinstance(first, str) or header_words(first[:80]) != self.first:
            return False
        return same_headings(row.cells, self.titles)


def same_headings(one: Sequence[object], other: Sequence[object]) -> bool:
    """Whether two rows of headings are the same words in the same columns.

    Columns that this program added do not count: headings that a sheet repeats, or that a
    person put in again, lack them.
    """
    first, second = map(_own_words, (one, other))
    return first == second


def _own_words(cells: Sequence[object]) -> list[str]:
    texts = map(cell_text, cells)
    words = ["" if is_reject_heading(text) else header_words(text) for text in texts]
    while words and not words[-1]:
        words.pop()
    return words


def plan_of(
    column_map: ColumnMap, header: Sequence[object], file: str, sheet: str, text: bool
) -> Plan:
    """Hold a map against the headings of a sheet; refused where they do not go together.

    `text` says that the file is one of separated text, where a row longer than its headings is
    a comma out of place.
    """
    if problems := column_map.problems():
        raise Refused(problems)
    headers = [cell_text(cell) for cell in header]
    while headers and not headers[-1]:
        headers.pop()
    wanted = {header_words(one): name for one, name in column_map.columns.items()}
    dropped = {header_words(one) for one in column_map.ignored}
    columns: list[Column] = []
    extras: list[tuple[int, str]] = []
    for index, title in enumerate(headers):
        words = header_words(title)
        if words and words in wanted:
            name = wanted.pop(words)
            columns.append(Column(index, name, header_unit(title) or column_map.unit, title))
        elif not is_reject_heading(title) and (words not in dropped or not words):
            extras.append((index, title or f"column {column_letter(index)}"))
    if wanted:
        raise refuse(
            "column-map-needed",
            f'The column map "{column_map.name}" wants headings that are not there:'
            f" {', '.join(sorted(wanted))}.",
            "Choose the map that belongs to this sheet, or make another.",
        )
    # The unit of an amount may stand in a column of its own, which then has to be read first.
    columns.sort(key=lambda column: column.field != "amount unit")
    places = {column.field: column.index for column in reversed(columns)}
    source = f"{file}!{sheet}" if sheet else file
    return Plan(
        source, sheet, column_map, tuple(columns), tuple(extras), dict(column_map.constants),
        len(headers), text, headers,
        next((header_words(one) for one in headers if one), ""), places=places,
    )  # fmt: skip
