"""Writes a report to a workbook file, whole or not at all, never over a file that is there."""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from tempfile import mkdtemp

from ledger.facts.problems import Problem, Refused
from ledger.reports.definitions import Definition, Sheet
from ledger.reports.table import Table


def write_workbook(
    definition: Definition,
    tables: Mapping[str, Table],
    path: Path,
    settings: Mapping[str, str],
    *,
    overwrite: bool = False,
) -> Path:
    """Write the report `definition` with one table per sheet, by sheet key; gives the path.

    `settings` are the shop's `name`, `address` and `paper` ("letter" or "a4"). The file
    appears complete or not at all. FileExistsError where `path` is there and `overwrite` is
    not said; Refused where the definition asks for a sheet or column the tables do not have.
    Tables it does not ask for are left out.
    """
    from ledger.reports.xlsx_out import write

    _check(definition, tables)
    with drafted(path, overwrite) as draft:
        write(definition, tables, draft, settings)
    return path


@contextmanager
def drafted(path: Path, overwrite: bool = False) -> Iterator[Path]:
    """A passing name beside `path` to write a file under, which is given its own at the end.

    FileExistsError where `path` is there and `overwrite` is not said.
    """
    if path.exists() and not overwrite:
        raise FileExistsError(f"{path} is there already and was left as it is.")
    place = Path(mkdtemp(prefix=".tarebook-", dir=path.parent))
    draft = place / "report.xlsx"
    try:
        yield draft
        _settle(draft, path, overwrite)
    finally:
        draft.unlink(missing_ok=True)
        place.rmdir()


def write_table(
    table: Table, path: Path, settings: Mapping[str, str], *, overwrite: bool = False
) -> Path:
    """Write one table as a workbook of one sheet, laid out by the table's own columns."""
    sheet = Sheet("table", "Table", tuple(table.columns))
    definition = Definition("table", table.title, (sheet,))
    return write_workbook(definition, {"table": table}, path, settings, overwrite=overwrite)


def _check(definition: Definition, tables: Mapping[str, Table]) -> None:
    """Refuse a definition that asks for what the report does not have; it may ask for less."""
    problems = []
    for sheet in definition.sheets:
        if sheet.key not in tables:
            sentence = f"The report {definition.name} has no sheet {sheet.key!r}."
            problems.append(Problem("field-unknown", sentence, f"It has {', '.join(tables)}."))
            continue
        rows = tables[sheet.key].rows
        known = {key for row in rows for key in row}
        known.update(column.key for column in tables[sheet.key].columns)
        for column in sheet.columns:
            if rows and not column.formula and column.key not in known:
                sentence = f"The sheet {sheet.title} has nothing named {column.key!r}."
                problems.append(
                    Problem("field-unknown", sentence, f"It has {', '.join(sorted(known))}.")
                )
    if problems:
        raise Refused(problem.at(f"{definition.name}.toml") for problem in problems)


def _settle(draft: Path, path: Path, overwrite: bool) -> None:
    """Give the finished file its name; without `overwrite` only where nothing bears it."""
    with draft.open("rb+") as file:
        os.fsync(file.fileno())
    if overwrite:
        os.replace(draft, path)
        return
    try:
        os.link(draft, path)
    except FileExistsError:
        raise FileExistsError(f"{path} is there already and was left as it is.") from None
    except OSError:
        # A file system without links, such as a memory stick: look, then rename.
        if path.exists():
            raise FileExistsError(f"{path} is there already and was left as it is.") from None
        os.replace(draft, path)
