"""Reads a short list from a sheet: one row of headings, and the columns somebody asks for.

For lists that a command takes beside its options, such as the cylinders of a truck with their
weights. The first row with all the needed headings begins the list; every sheet of the file is
looked through until one has them.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import NamedTuple

from ledger.facts.problems import refuse
from ledger.intake.headers import header_words
from ledger.intake.sheets import Merged, SheetFile, Struck, Unread, cell_text, open_sheets


class ListRow(NamedTuple):
    """One row of a list: where it stands ("truck.xlsx!Sheet1!3"), and its texts by field."""

    where: str
    values: dict[str, str]


def read_list(path: Path, fields: Mapping[str, str], needed: Sequence[str]) -> list[ListRow]:
    """The rows of a list that hold anything under the headings asked for.

    `fields` maps a field to its headings, separated by commas; `needed` are those without which
    it is no such list. Refused (`column-map-needed`) where no sheet has them, and where a cell
    has no value of its own.
    """
    table = {
        header_words(word): name for name, words in fields.items() for word in words.split(",")
    }
    with open_sheets(path) as file:
        for sheet in file.sheets:
            found = list(_rows(file, path, sheet, table, needed))
            if found:
                return found
    wanted = ", ".join(needed)
    raise refuse(
        "column-map-needed", f"{path.name} has no row of headings with {wanted} and rows below it.",
        f"Put the headings {wanted} above the columns.",
    )  # fmt: skip


def _rows(
    file: SheetFile, path: Path, sheet: str, table: Mapping[str, str], needed: Sequence[str]
) -> Iterator[ListRow]:
    columns: dict[int, str] = {}
    for row in file.rows(sheet):
        if not columns:
            seen = {table.get(_words(cell), ""): at for at, cell in enumerate(row.cells)}
            if all(name in seen for name in needed):
                columns = {at: name for name, at in seen.items() if name}
            continue
        where = "!".join(part for part in (path.name, sheet, str(row.number)) if part)
        values = {}
        for at, name in columns.items():
            cell = row.cells[at] if at < len(row.cells) else None
            if isinstance(cell, Unread | Struck | Merged):
                raise refuse("value-unclear", f"{where}: a cell under {name} has no value of its"
                             " own.", "Type the value into the cell.")  # fmt: skip
            values[name] = cell_text(cell)
        if any(values.get(name) for name in needed):
            yield ListRow(where, values)


def _words(cell: object) -> str:
    return header_words(cell) if isinstance(cell, str) else ""
