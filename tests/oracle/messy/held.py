"""What a book holds of the movements on paper, and where that is more than is true."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from fractions import Fraction

from tests.oracle.messy.paper import GRAMS_PER_POUND, Says


@dataclass(frozen=True, slots=True)
class Moved:
    """One movement into or out of a circuit as the book holds it, with the row it came from.

    `circuit` and `cylinder` are empty where the book says unknown. `areas` are the parts of
    the movement that the book itself marks as in doubt.
    """

    file: str
    tab: str
    row: int
    direction: str
    day: str
    circuit: str
    refrigerant: str
    grams: Fraction
    written: str
    cylinder: str
    entry: int
    areas: frozenset[str]


def sums_above(says: dict[int, list[Says]], moved: list[Moved]) -> list[str]:
    """Where the book holds more pounds of a circuit, refrigerant, day and direction than are true.

    It does not ask which row a movement came from: for each job the most that any of its rows
    says is allowed, once, on any of the days its rows say.
    """
    allowed: dict[tuple[str, str, str, str], Fraction] = defaultdict(Fraction)
    for rows in says.values():
        most = max((gram for one in rows for gram in one.grams), default=Fraction(0))
        keys = {
            (circuit, refrigerant, day, one.direction)
            for one in rows
            for circuit in one.circuits
            for refrigerant in one.refrigerants
            for day in one.days
        }
        for key in keys:
            allowed[key] += most
    held: dict[tuple[str, str, str, str], Fraction] = defaultdict(Fraction)
    for one in moved:
        held[one.circuit, one.refrigerant, one.day, one.direction] += one.grams
    return [
        f"{' '.join(key)}: {_lb(grams)} lb in the book, {_lb(allowed[key])} lb on paper"
        for key, grams in sorted(held.items())
        if grams > allowed[key]
    ]


def _lb(grams: Fraction) -> str:
    return f"{float(grams / GRAMS_PER_POUND):.4f}"
