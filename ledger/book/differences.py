"""Says where rows of a query table differ from what the journal gives, in words."""

from __future__ import annotations

from typing import Any

from ledger.book.projections import Row
from ledger.book.schema import COLUMNS, ORDER
from ledger.facts.problems import Problem

REMEDY = "Run tarebook rebuild, which makes the query tables again; the journal is not affected."


def differences(table: str, expected: list[Row], stored: list[Row]) -> list[Problem]:
    """The rows that are missing, too many, or different in a column, as problems."""
    if expected == stored:
        return []
    wanted, there = _by_key(table, expected), _by_key(table, stored)
    problems = []
    for key in sorted(wanted.keys() | there.keys()):
        where = _where(table, key)
        if key not in there:
            problems.append(_problem(where, f"The query table {where} is missing."))
        elif key not in wanted:
            problems.append(_problem(where, f"The query table {where} is not in the journal."))
        else:
            problems += _columns(table, where, wanted[key], there[key])
    return problems


def _columns(table: str, where: str, wanted: Row, there: Row) -> list[Problem]:
    return [
        _problem(
            f"{where} column {column}",
            f"The query table {where}, column {column}, says {stored!r};"
            f" the journal says {recorded!r}.",
        )
        for column, recorded, stored in zip(COLUMNS[table], wanted, there, strict=True)
        if recorded != stored
    ]


def _by_key(table: str, rows: list[Row]) -> dict[tuple[Any, ...], Row]:
    places = [COLUMNS[table].index(name) for name in ORDER[table]]
    return {tuple(row[place] for place in places): row for row in rows}


def _where(table: str, key: tuple[Any, ...]) -> str:
    """A row in words; lines and parts are counted from 1 as they are printed elsewhere."""
    if table == "reversal":
        return f"{table} entry {key[0]} of entry {key[1]} line {key[2] + 1}"
    parts = f" part {key[2] + 1}" if len(key) > 2 else ""
    return f"{table} entry {key[0]} line {key[1] + 1}{parts}"


def _problem(where: str, sentence: str) -> Problem:
    return Problem("book-damaged", sentence, REMEDY, where)
