"""The room left in cylinders as a table: limit, contents by book and scale, what speaks against."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from ledger.answers.room import CAUTION, Room
from ledger.facts.checks import quoted
from ledger.facts.fill_limit import POUND_HUNDREDTH, rounded_down, rounded_up
from ledger.facts.mass import half_up, pounds
from ledger.reports.table import UNKNOWN, Column, Table
from ledger.reports.words import counted

COLUMNS = (
    Column("cylinder", "Cylinder"),
    Column("kind", "Kind"),
    Column("place", "Place"),
    Column("contents", "Contents"),
    Column("book", "Book", "mass"),
    Column("by_scale", "By scale", "mass"),
    Column("weighed_on", "Weighed", "date"),
    Column("water", "Water capacity", "mass"),
    Column("limit", "Limit net", "mass"),
    Column("tare", "Tare", "mass"),
    Column("tare_basis", "Tare is"),
    Column("max_gross", "Stop at gross", "mass"),
    Column("left", "Room left", "mass"),
    Column("within", "Scale within", "mass"),
    Column("basis", "Limit by"),
    Column("against", "Do not fill"),
)
BRIEF = ("cylinder", "place", "contents", "left", "max_gross", "limit", "basis", "against")


def room_table(found: Sequence[Room], brief: bool, **common: Any) -> Table:
    """The rooms asked for; `brief` keeps the columns that fit a terminal."""
    columns = [one for one in COLUMNS if not brief or one.key in BRIEF]
    notes = dict.fromkeys(note for room in found for note in room.filling.notes)
    return Table(
        "Room left", columns, [_row(room) for room in found], answer=_answer(found),
        notes=[*notes, *_over(found), *_of_one(found)], cautions=[CAUTION], **common,
    )  # fmt: skip


def _row(room: Room) -> dict[str, Any]:
    water = room.water
    return {
        "cylinder": room.cylinder, "kind": room.kind, "place": room.place,
        "contents": room.filling.refrigerant, "book": room.book, "by_scale": room.by_scale,
        "weighed_on": room.seen.day if room.seen else None,
        "water": water.mass if water else UNKNOWN, "limit": _safe(room.limit),
        "tare": room.tare.weight.mass if room.tare else UNKNOWN,
        "tare_basis": room.tare.basis if room.tare else None,
        "max_gross": _safe(room.max_gross), "left": _safe(room.left),
        "within": room.uncertainty.mass if room.tare else None,
        "basis": room.filling.binding().rule if water else None,
        "against": " ".join(room.speaks_against) or None,
    }  # fmt: skip


def _safe(mass: int | None) -> object:
    """A limit as it is printed: to the hundredth of a pound below."""
    return UNKNOWN if mass is None else mass // POUND_HUNDREDTH * POUND_HUNDREDTH


def _answer(found: Sequence[Room]) -> str:
    if len(found) == 1:
        (room,) = found
        against = f" Do not fill: {' '.join(room.speaks_against)}" if room.speaks_against else ""
        return f"{room.line()}{against}"
    fit = [room for room in found if not room.speaks_against and room.left and room.left > 0]
    total = sum(room.left or 0 for room in fit)
    return (
        f"{len(fit)} of {counted(len(found), 'cylinder')} can be filled;"
        f" room left in them {rounded_down(total)} lb."
    )


def _of_one(found: Sequence[Room]) -> list[str]:
    """What a person at the scale wants to know, where one cylinder is asked for."""
    if len(found) != 1 or (room := found[0]).tare is None:
        return []
    said = []
    if room.by_scale is not None and room.by_scale != room.book:
        said.append(
            f"By the scale it holds {pounds(room.by_scale)} lb, by the book {pounds(room.book)} lb:"
            " the greater counts."
        )
    stamped = "" if room.tare.basis == "measured" else "; weigh it empty and evacuated to do better"
    said.append(
        f"A net by the scale is good to {room.uncertainty.text()} with a {room.tare.basis}"
        f" tare{stamped}."
    )
    return said


def _when_warm(room: Room) -> str:
    if room.full_at_131f is None:
        return ""
    return f" At 131 F its liquid would fill {half_up(100 * room.full_at_131f, 1)} % of it."


def _over(found: Sequence[Room]) -> list[str]:
    """How to put right what is over its limit."""
    return [
        f"To put {room.cylinder} right: tarebook transfer {rounded_up(-room.left)} --from"
        f" {quoted(room.cylinder)} --to CYLINDER.{_when_warm(room)}"
        for room in found
        if room.left is not None and room.left < 0
    ]
