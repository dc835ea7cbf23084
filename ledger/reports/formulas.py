"""The small language in which a report definition says what a workbook computes.

`={gross_before}-{gross_after}` names cells of the same row; `{cylinders.tare}` names the
whole column `tare` of the sheet `cylinders`. Beside them stand numbers, words in quotes,
arithmetic, comparisons and the functions listed here, and nothing else.
"""

from __future__ import annotations

import re
from collections.abc import Callable

FUNCTIONS = frozenset(
    {"ABS", "AND", "COUNT", "COUNTIF", "IF", "MAX", "MIN", "OR", "ROUND", "SUM", "SUMIF", "SUMIFS"}
)
"""The functions a formula may use: they compute from cells and reach nothing outside."""

_NAME = r"[a-z][a-z0-9_]*"
_REFERENCE = re.compile(rf"\{{(?:({_NAME})\.)?({_NAME})\}}")
_TOKEN = re.compile(
    rf"\s+|\{{(?:{_NAME}\.)?{_NAME}\}}|(?P<function>[A-Z]+)(?=\()|\d+(?:\.\d+)?"
    r"|\"[A-Za-z0-9 .,%-]*\"|<=|>=|<>|[-+*/(),<>=]"
)


def references(formula: str) -> list[tuple[str, str]]:
    """The cells a formula names, in order: (sheet key, column key), sheet empty for the row."""
    return [(match[1] or "", match[2]) for match in _REFERENCE.finditer(formula)]


def fault(formula: str) -> str:
    """What is wrong with the spelling of a formula, as part of a sentence; empty if nothing."""
    if not formula.startswith("="):
        return "does not begin with ="
    place, depth = 1, 0
    while place < len(formula):
        token = _TOKEN.match(formula, place)
        if token is None:
            return f"cannot be read from {formula[place : place + 12]!r} on"
        if token["function"] and token["function"] not in FUNCTIONS:
            return f"uses {token['function']}, which is none of {', '.join(sorted(FUNCTIONS))}"
        depth += {"(": 1, ")": -1}.get(token[0], 0)
        if depth < 0:
            break
        place = token.end()
    if depth:
        return "has brackets that do not match"
    return "" if place > 1 else "says nothing"


def filled(formula: str, cell: Callable[[str], str], column: Callable[[str, str], str]) -> str:
    """The formula for one row: `cell(key)` and `column(sheet, key)` give the addresses."""

    def address(match: re.Match[str]) -> str:
        sheet, key = match[1], match[2]
        return column(sheet, key) if sheet else cell(key)

    return _REFERENCE.sub(address, formula)
