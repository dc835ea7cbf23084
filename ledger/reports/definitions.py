"""Reads the layouts of reports from TOML, strictly: what is misspelled is named, not ignored.

A shop puts a file of the same name into a folder of its own to have a report its way.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from ledger.facts.problems import Problem, Refused
from ledger.reports.checks import Reader, check_formulas
from ledger.reports.table import Column, Kind
from ledger.resources import folder

_NAME = re.compile(r"[a-z][a-z0-9-]*")
FOOTER_LIMIT = 60
"""The longest footer, in characters: it shares a line with date, head and page number."""

_COLUMN_KEYS = {
    "key": str,
    "heading": str,
    "kind": str,
    "unit": str,
    "width": int,
    "places": int,
    "formula": str,
    "total": str,
}
_SHEET_KEYS = {"key": str, "title": str, "order": list, "notes": list, "columns": list}
_REPORT_KEYS = {
    "title": str,
    "audience": str,
    "orientation": str,
    "footer": str,
    "citations": list,
    "sheets": list,
}


@dataclass(frozen=True, slots=True)
class Sheet:
    """One sheet of a workbook: its columns, the keys its rows are ordered by, its own notes."""

    key: str
    title: str
    columns: tuple[Column, ...]
    order: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()

    def column(self, key: str) -> Column | None:
        """The column named `key`, if there is one."""
        return next((column for column in self.columns if column.key == key), None)


@dataclass(frozen=True, slots=True)
class Definition:
    """A report as laid out: for whom, on which sheets, resting on which rules.

    `name` is the file's name without its ending; `footer` is printed at the foot of every
    page; `orientation` is landscape or portrait.
    """

    name: str
    title: str
    sheets: tuple[Sheet, ...]
    audience: str = ""
    orientation: str = "landscape"
    footer: str = ""
    citations: tuple[str, ...] = ()

    def sheet(self, key: str) -> Sheet | None:
        """The sheet named `key`, if there is one."""
        return next((sheet for sheet in self.sheets if sheet.key == key), None)


def names(overrides: Path | None = None) -> list[str]:
    """The names of all reports, those of the shop's own folder included."""
    places = [folder("reports"), *([overrides] if overrides else [])]
    return sorted({path.stem for place in places for path in place.glob("*.toml")})


def load(name: str, overrides: Path | None = None) -> Definition:
    """The report `name`, from the shop's own folder where it is there, else the shipped one.

    Refused, naming file and key, where the file is missing or wrong.
    """
    places = [*([overrides] if overrides else []), folder("reports")]
    if _NAME.fullmatch(name):
        for place in places:
            if (path := place / f"{name}.toml").is_file():
                return read(path)
    known = ", ".join(names(overrides))
    raise Refused(
        [Problem("file-missing", f"There is no report named {name!r}.", f"There are: {known}.")]
    )


def read(path: Path) -> Definition:
    """One definition file; Refused with every fault found in it."""
    try:
        content = tomllib.loads(path.read_text(encoding="utf-8"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as fault:
        raise Refused(
            [Problem("file-unfit", f"This is not TOML: {fault}.", "Correct the file.", path.name)]
        ) from fault
    reader = Reader(path.name)
    definition = _report(path.stem, content, reader)
    if not reader.problems:
        reader.problems.extend(check_formulas(path.name, definition.sheets))
    if reader.problems:
        raise Refused(reader.problems)
    return definition


def _report(name: str, content: Mapping[str, object], reader: Reader) -> Definition:
    fields = reader.fields(content, "", _REPORT_KEYS, needed=("title", "audience", "sheets"))
    reader.one_of(fields, "", "orientation", ("landscape", "portrait"))
    if len(reader.text(fields, "footer")) > FOOTER_LIMIT:
        reader.say(
            "value-unclear",
            "footer",
            f"is longer than {FOOTER_LIMIT} characters",
            "Shorten it; the foot of a page has one line.",
        )
    sheets = tuple(
        _sheet(part, where, reader) for part, where in reader.parts(fields, "", "sheets")
    )
    if not sheets:
        reader.say("value-unclear", "sheets", "names no sheet", "Give at least one.")
    reader.unlike([sheet.key for sheet in sheets], "sheets", "key")
    reader.unlike([sheet.title.lower() for sheet in sheets], "sheets", "title")
    return Definition(
        name=name,
        title=reader.text(fields, "title"),
        sheets=sheets,
        audience=reader.text(fields, "audience"),
        orientation=reader.text(fields, "orientation") or "landscape",
        footer=reader.text(fields, "footer"),
        citations=reader.texts(fields, "", "citations"),
    )


def _sheet(content: Mapping[str, object], where: str, reader: Reader) -> Sheet:
    fields = reader.fields(content, where, _SHEET_KEYS, needed=("key", "title", "columns"))
    reader.sheet_title(fields, where)
    reader.spelled(fields, where, "key")
    found = [_column(part, at, reader) for part, at in reader.parts(fields, where, "columns")]
    columns = tuple(column for column in found if column is not None)
    if not found:
        reader.say("value-unclear", f"{where}.columns", "names no column", "Give at least one.")
    reader.unlike([column.key for column in columns], f"{where}.columns", "key")
    order = reader.texts(fields, where, "order")
    keys = {column.key for column in columns}
    for key in order:
        if key.removeprefix("-") not in keys and len(columns) == len(found):
            reader.say(
                "field-unknown",
                f"{where}.order",
                f"names the unknown column {key!r}",
                "Order by columns of the sheet.",
            )
    return Sheet(
        key=reader.text(fields, "key"),
        title=reader.text(fields, "title"),
        columns=columns,
        order=order,
        notes=reader.texts(fields, where, "notes"),
    )


def _column(content: Mapping[str, object], where: str, reader: Reader) -> Column | None:
    fields = reader.fields(content, where, _COLUMN_KEYS, needed=("key", "heading"))
    before = len(reader.problems)
    reader.spelled(fields, where, "key")
    kind: Kind = reader.kind(fields, where)
    if len(reader.problems) > before or "key" not in fields:
        return None
    try:
        return Column(
            key=reader.text(fields, "key"),
            heading=reader.text(fields, "heading"),
            kind=kind,
            unit=reader.text(fields, "unit"),
            width=reader.whole(fields, "width", 0),
            places=reader.whole(fields, "places", 2),
            formula=reader.text(fields, "formula"),
            total=reader.text(fields, "total"),
        )
    except ValueError as fault:
        reader.say("value-unclear", where, f"is not a column: {fault}", "Correct it.")
        return None
