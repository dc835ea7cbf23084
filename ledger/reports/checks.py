"""Checks report definitions piece by piece and collects every fault with its file and key."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, cast

from ledger.facts.problems import Problem
from ledger.reports.formulas import fault, references
from ledger.reports.table import KEY, KINDS, Kind

if TYPE_CHECKING:
    from ledger.reports.definitions import Sheet

_SHEET_TITLE = re.compile(r"(?!')[^\[\]:*?/\\\x00-\x1f]{1,31}(?<!')")
_WORDS = {str: "text", int: "a whole number", list: "a list"}


class Reader:
    """Takes fields out of a TOML table and remembers what was wrong with them."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.problems: list[Problem] = []

    def say(self, code: str, where: str, sentence: str, remedy: str) -> None:
        """Remember one fault of the key at `where`."""
        self.problems.append(
            Problem(code, f"The key {where} {sentence}.", remedy, f"{self.file}!{where}")
        )

    def fields(
        self,
        content: Mapping[str, object],
        where: str,
        known: Mapping[str, type],
        needed: Sequence[str],
    ) -> dict[str, object]:
        """The fields of the right type; unknown, missing and mistyped ones are faults."""
        fields: dict[str, object] = {}
        for key, value in content.items():
            at = _under(where, key)
            if key not in known:
                self.say("field-unknown", at, "is not known here", f"Known: {', '.join(known)}.")
            elif type(value) is not known[key]:
                self.say("value-unclear", at, f"is not {_WORDS[known[key]]}", "Correct it.")
            else:
                fields[key] = value
        for key in needed:
            if key not in content:
                self.say("field-missing", _under(where, key), "is missing", "Add it.")
            elif fields.get(key) == "":
                self.say("field-missing", _under(where, key), "is empty", "Fill it in.")
        return fields

    def parts(
        self, fields: Mapping[str, object], where: str, key: str
    ) -> Iterator[tuple[Mapping[str, object], str]]:
        """The tables of a list of tables, each with the place it stands at."""
        for number, part in enumerate(cast("list[object]", fields.get(key, []))):
            at = f"{_under(where, key)}[{number}]"
            if isinstance(part, dict):
                yield part, at
            else:
                self.say("value-unclear", at, "is not a table", "Write it as one.")

    def text(self, fields: Mapping[str, object], key: str) -> str:
        """A text field, empty where it is not given."""
        return str(fields.get(key, ""))

    def whole(self, fields: Mapping[str, object], key: str, default: int) -> int:
        """A whole-number field."""
        value = fields.get(key, default)
        return value if isinstance(value, int) else default

    def texts(self, fields: Mapping[str, object], where: str, key: str) -> tuple[str, ...]:
        """A list of texts."""
        found = cast("list[object]", fields.get(key, []))
        for number, value in enumerate(found):
            if not isinstance(value, str):
                at = f"{_under(where, key)}[{number}]"
                self.say("value-unclear", at, "is not text", "Put it in quotes.")
        return tuple(value for value in found if isinstance(value, str))

    def one_of(
        self, fields: Mapping[str, object], where: str, key: str, choices: Sequence[str]
    ) -> None:
        """A field that has a few values."""
        if key in fields and fields[key] not in choices:
            sentence = f"is {fields[key]!r}, which is none of {', '.join(choices)}"
            self.say("value-unclear", _under(where, key), sentence, "Choose one of them.")

    def kind(self, fields: Mapping[str, object], where: str) -> Kind:
        """The kind of a column: text unless said."""
        self.one_of(fields, where, "kind", KINDS)
        found = fields.get("kind", "text")
        return cast("Kind", found if found in KINDS else "text")

    def spelled(self, fields: Mapping[str, object], where: str, key: str) -> None:
        """A key of lower case letters, digits and underscores."""
        if key in fields and not KEY.fullmatch(str(fields[key])):
            self.say(
                "value-unclear",
                _under(where, key),
                f"is {fields[key]!r}",
                "Use lower case letters, digits and _, a letter first.",
            )

    def sheet_title(self, fields: Mapping[str, object], where: str) -> None:
        """A title that a spreadsheet takes as the name of a sheet."""
        if "title" in fields and not _SHEET_TITLE.fullmatch(str(fields["title"])):
            self.say(
                "value-unclear",
                _under(where, "title"),
                "cannot name a sheet",
                "Use 1 to 31 characters without [ ] : * ? / \\ and no ' at either end.",
            )

    def unlike(self, found: Sequence[str], where: str, key: str) -> None:
        """Values that must differ from each other."""
        for value in sorted({value for value in found if found.count(value) > 1}):
            self.say("value-unclear", where, f"has the {key} {value!r} twice", "Give each its own.")


def _under(where: str, key: str) -> str:
    return f"{where}.{key}" if where else key


def check_formulas(file: str, sheets: Sequence[Sheet]) -> list[Problem]:
    """The faults of all formulas: their spelling, the cells they name, and circles."""
    keys = {sheet.key: {column.key for column in sheet.columns} for sheet in sheets}
    problems = []
    for number, sheet in enumerate(sheets):
        for place, column in enumerate(sheet.columns):
            if not column.formula:
                continue
            wrong = fault(column.formula) or _strangers(column.formula, sheet.key, keys)
            if not wrong and _in_circle(sheet, column.key):
                wrong = "leads back to itself"
            if wrong:
                where = f"sheets[{number}].columns[{place}].formula"
                sentence = f"The formula of column {column.key} {wrong}."
                problems.append(
                    Problem("value-unclear", sentence, "Correct it.", f"{file}!{where}")
                )
    return problems


def _strangers(formula: str, own: str, keys: Mapping[str, set[str]]) -> str:
    for sheet, key in references(formula):
        if key not in keys.get(sheet or own, set()):
            name = f"{sheet}.{key}" if sheet else key
            return f"names {{{name}}}, which is no column of the report"
    return ""


def _in_circle(sheet: Sheet, start: str) -> bool:
    """Whether a cell's formula depends on the cell itself through others of its row."""
    seen: set[str] = set()
    ahead = [start]
    while ahead:
        column = sheet.column(ahead.pop())
        for other, key in references(column.formula if column else ""):
            if other not in ("", sheet.key):
                continue
            if key == start:
                return True
            if key not in seen:
                seen.add(key)
                ahead.append(key)
    return False
