"""Which field of a row a word before an answer means: "tech: Dirk Osei", "ckt: B"."""

from __future__ import annotations

import re
from collections.abc import Mapping

from ledger.facts.masters import folded
from ledger.facts.problems import Problem
from ledger.intake.answers import ABOUT_ROW
from ledger.intake.headers import MASS_FIELDS, field_of, fields_of
from ledger.intake.named import NAMED
from ledger.intake.plan import Plan
from ledger.intake.questions import named_parts
from ledger.intake.sheets import Row, cell_text

_WORD = re.compile(r"[^\W\d_]{2}")


def words_for_fields(
    plan: Plan, row: Row, text: str, asked: Mapping[str, Problem]
) -> dict[str, str]:
    """The field of each word that stands before a part of an answer, folded.

    Those are the fields' own names, the headings of the sheet, and the words of the trade. A
    word for a field that is empty in the row means the one asked about of the same kind.
    """
    records = plan.map.records
    names = {folded(name): name for name in (*fields_of(records), *ABOUT_ROW)}
    names = {folded(column.header): column.field for column in plan.columns} | names
    for word in named_parts(text):
        said = folded(word)
        field = names.get(said) or field_of(records, word)
        if field:
            names[said] = _asked_for(field, _is_there(plan, row, field), asked)
    return names


def _is_there(plan: Plan, row: Row, field: str) -> bool:
    at = plan.places.get(field, -1)
    return 0 <= at < len(row.cells) and bool(cell_text(row.cells[at]))


def _asked_for(field: str, is_there: bool, asked: Mapping[str, Problem]) -> str:
    """The field itself, or the one asked about that a person means by its word."""
    if field in asked:
        return field
    if field == "circuit":
        alike = [name for name, one in asked.items() if one.code == "circuit-needed"]
    elif is_there:
        return field
    elif field == "amount":
        alike = [name for name in asked if name in MASS_FIELDS]
    else:
        alike = [name for name in asked if NAMED.get(name) == NAMED.get(field, field)]
    return alike[0] if len(alike) == 1 else field


def unknown_field(text: str) -> Problem | None:
    """What is said of a part of an answer whose first word is no field; None where it has none."""
    word = next(named_parts(text), "")
    if _WORD.search(word) is None:
        return None
    return Problem(
        "value-unclear", f'A row has no field "{word[:60]}", so "{text[:80]}" was not taken in.',
        "Write the heading of the column, such as unit: RTU-3.",
    )  # fmt: skip
