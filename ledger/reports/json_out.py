"""A table as JSON in which every amount is exact, for other programs and for tests."""

from __future__ import annotations

import json
from fractions import Fraction

from ledger.facts.mass import Quantity, half_up, in_unit
from ledger.reports.cells import counts, exact_text, is_text, members, ratio, totals
from ledger.reports.safe import for_json
from ledger.reports.table import Column, Table


def as_object(table: Table) -> dict[str, object]:
    """The table as plain values, keys in a fixed order, every column in every row."""
    head = table.head
    return {
        "title": table.title,
        "answer": table.answer,
        "as_of": table.as_of,
        "known_at": table.known_at,
        "head": None if head is None else {"number": head[0], "digest": head[1]},
        "columns": [_column(column) for column in table.columns],
        "rows": [
            {column.key: value_of(column, row.get(column.key)) for column in table.columns}
            for row in table.rows
        ],
        "totals": _totals(table),
        "cautions": list(table.cautions),
        "notes": list(table.notes),
    }


def render(table: Table) -> str:
    """The table as one JSON object, indented, ending in a line feed.

    Control characters in data are written as \\u escapes, so that printing it is harmless.
    """
    text = json.dumps(as_object(table), ensure_ascii=False, indent=2, allow_nan=False)
    return for_json(text) + "\n"


def value_of(column: Column, value: object) -> object:
    """One cell: text and null as they are, numbers exact.

    A mass is `{"counts", "lb"}` with exact decimal text, or null and `lb_rounded` where
    pounds have no finite decimal; `written` is added where somebody wrote it. A number is
    decimal text to the column's places. A percentage
    is `{"numerator", "denominator", "percent"}`, the last rounded to the column's places.
    """
    if value is None or is_text(value):
        return value
    if column.kind in ("mass", "quantity") or isinstance(value, Quantity):
        return _mass(column, value)
    if column.kind == "percent":
        exact = ratio(value)
        return {
            "numerator": exact.numerator,
            "denominator": exact.denominator,
            "percent": half_up(exact * 100, column.places).replace(",", ""),
        }
    if column.kind == "number":
        return half_up(ratio(value), column.places).replace(",", "")
    if column.kind == "list":
        return members(value)
    if column.kind == "money":
        return half_up(Fraction(counts(value), 100), 2).replace(",", "")
    return counts(value)


def _mass(column: Column, value: object) -> dict[str, object]:
    number, unit = counts(value), column.mass_unit
    exact = exact_text(number, unit, column.places)
    cell: dict[str, object] = {"counts": number, unit: exact}
    if exact is None:
        cell[f"{unit}_rounded"] = half_up(in_unit(number, unit), column.places).replace(",", "")
    if isinstance(value, Quantity):
        cell["written"] = value.written
    return cell


def _column(column: Column) -> dict[str, object]:
    return {
        "key": column.key,
        "heading": column.heading,
        "kind": column.kind,
        "unit": column.unit_shown,
    }


def _totals(table: Table) -> dict[str, object]:
    sums = totals(table)
    return {
        column.key: value_of(column, sums[column.key])
        for column in table.columns
        if column.key in sums
    }
