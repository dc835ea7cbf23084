"""What a cell says: one reading of every value, shared by all the ways a table is printed."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from fractions import Fraction

from ledger.facts.mass import COUNTS_PER_UNIT, Quantity, exact_decimal, half_up
from ledger.reports.table import Column, Table

EXACT_PLACES = 6
"""Decimals of a plain number whose exact decimal would be longer (3120 g in pounds)."""


def is_text(value: object) -> bool:
    """Whether a cell holds words: "unknown", or a sentence in place of a number."""
    return isinstance(value, str)


def counts(value: object) -> int:
    """The whole number of a mass, whole or money cell; TypeError for anything inexact."""
    if isinstance(value, Quantity):
        return int(value.mass)
    if isinstance(value, int) and not isinstance(value, bool):
        return value
    raise TypeError(f"a cell holds {value!r}, which is not a whole number of counts")


def ratio(value: object) -> Fraction:
    """The exact number of a percent or number cell: a Fraction, or an int (1 is 100 %)."""
    if isinstance(value, Fraction):
        return value
    return Fraction(counts(value))


def members(value: object) -> list[object]:
    """The members of a list cell: words or entry numbers."""
    if isinstance(value, (list, tuple)):
        return list(value)
    raise TypeError(f"a list cell holds {value!r}, which is not a list or tuple")


def day(value: object) -> date | None:
    """The date of a date cell, or None where its words are not one ("unknown", "2025-08")."""
    if isinstance(value, date):
        raise TypeError("a date cell holds ISO text, not a date object")
    try:
        return date.fromisoformat(value) if isinstance(value, str) and len(value) == 10 else None
    except ValueError:
        return None


def exact_number(column: Column, value: object) -> Fraction | None:
    """The number of a cell in the unit it is printed in, or None where it holds none.

    Pounds for a mass, whole units of currency for money, the ratio (not times 100) for a
    percentage.
    """
    if value is None or is_text(value) or not column.is_number:
        return None
    if column.kind in ("percent", "number"):
        return ratio(value)
    number = counts(value)
    if column.kind == "mass":
        return Fraction(number, COUNTS_PER_UNIT[column.mass_unit])
    return Fraction(number, 100) if column.kind == "money" else Fraction(number)


def exact_text(mass: int, unit: str, places: int) -> str | None:
    """A mass as exact decimal text with at least `places` decimals, or None without one."""
    text = exact_decimal(mass, unit)
    if text is None:
        return None
    whole, _, part = text.partition(".")
    part = part.rstrip("0").ljust(places, "0")
    return f"{whole}.{part}" if part else whole


def plain_number(column: Column, value: object) -> str | None:
    """A number cell as plain decimal text without separators: "1234.50"; None without one.

    A mass is exact where its decimal ends within EXACT_PLACES, else rounded to them;
    a percentage is times 100 and rounded to the column's places.
    """
    number = exact_number(column, value)
    if number is None:
        return None
    if column.kind == "percent":
        return half_up(number * 100, column.places).replace(",", "")
    if column.kind == "mass":
        exact = exact_text(counts(value), column.mass_unit, column.places)
        if exact is not None and len(exact.partition(".")[2]) <= max(EXACT_PLACES, column.places):
            return exact
        return half_up(number, max(EXACT_PLACES, column.places)).replace(",", "")
    if column.kind == "number":
        return half_up(number, column.places).replace(",", "")
    return half_up(number, 2 if column.kind == "money" else 0).replace(",", "")


def shown(column: Column, value: object, separator: str = ", ") -> str:
    """A cell as people read it: rounded to the column's places, with thousands separators.

    Whole numbers carry none, because most are entry numbers, days or years.
    """
    if value is None:
        return ""
    if isinstance(value, str):
        return value
    if column.kind == "list":
        return separator.join(str(member) for member in members(value))
    if isinstance(value, Quantity) and column.kind in ("quantity", "text"):
        return value.written
    if column.kind == "text":
        return str(counts(value))
    number = exact_number(column, value)
    if number is None:
        raise TypeError(f"column {column.key} of kind {column.kind} holds {value!r}")
    if column.kind == "percent":
        return half_up(number * 100, column.places)
    if column.kind == "whole":
        return str(number)
    return half_up(number, 2 if column.kind == "money" else column.places)


def totals(table: Table) -> dict[str, int]:
    """The exact sum of every column that asks for one, over the cells that hold a number."""
    return {
        column.key: sum(counts(value) for value in _numbers(table, column))
        for column in table.columns
        if column.total
    }


def totals_label(table: Table) -> str:
    """What a totals row is called: some cells of its columns may be unknown."""
    summed = [column for column in table.columns if column.total]
    missing = any(is_text(row.get(column.key)) for row in table.rows for column in summed)
    return "Total of what is known" if missing else "Total"


def label_column(columns: Sequence[Column]) -> str:
    """The key of the column a totals row writes its label in: the first that is not summed."""
    return next((column.key for column in columns if not column.total), "")


def totals_row(table: Table) -> dict[str, object]:
    """The totals as a row of the table, with its label; empty where nothing is summed."""
    sums: dict[str, object] = dict(totals(table))
    if sums and (key := label_column(table.columns)):
        sums[key] = totals_label(table)
    return sums


def _numbers(table: Table, column: Column) -> list[object]:
    found = (row.get(column.key) for row in table.rows)
    return [value for value in found if value is not None and not is_text(value)]
