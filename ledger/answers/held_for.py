"""What is held in custody for one owner: recovered refrigerant in, out and left, line by line."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

RETURNED, SHIPPED = "returned to the owner's equipment", "sent away for the owner"
_OUT = {"addition": RETURNED, "shipment": SHIPPED, "return": SHIPPED}
_IN = {"recovery": "recovered", "opening": "brought forward"}


class Owned(NamedTuple):
    """A movement of refrigerant that belongs to the owner, as it was recorded.

    `into` and `out` say whether it came into or left a cylinder of ours; a transfer does both.
    """

    day: str
    entry: int
    line: int
    purpose: str
    source: str
    target: str
    refrigerant: str
    mass: int
    into: bool
    out: bool
    ticket: str = ""
    person: str = ""


class HeldLine(NamedTuple):
    """One line of the statement, with what is left of that refrigerant after it; in counts."""

    day: str
    entry: int
    what: str
    source: str
    target: str
    refrigerant: str
    came: int
    went: int
    left: int
    ticket: str = ""


def held_for(movements: Iterable[Owned], first: str = "", last: str = "") -> list[HeldLine]:
    """The lines of a stretch of ISO days, in order; what is left counts from the beginning.

    On one day what came in goes before what went out, as the fold of cylinders has it.
    """
    left: dict[str, int] = {}
    lines = []
    for one in sorted(movements, key=lambda m: (m.day, not m.into, m.entry, m.line)):
        if last and one.day > last:
            break
        came, went = (one.mass if one.into else 0), (one.mass if one.out else 0)
        left[one.refrigerant] = left.get(one.refrigerant, 0) + came - went
        if one.day < first:
            continue
        names = _IN if one.into and not one.out else _OUT
        what = "moved between cylinders" if one.into and one.out else names.get(
            one.purpose, one.purpose
        )  # fmt: skip
        lines.append(
            HeldLine(
                one.day, one.entry, what, one.source, one.target, one.refrigerant, came, went,
                left[one.refrigerant], one.ticket,
            )
        )  # fmt: skip
    return lines


def left_of(lines: Iterable[HeldLine]) -> dict[str, int]:
    """What is left of each refrigerant after the last line."""
    return {line.refrigerant: line.left for line in lines}
