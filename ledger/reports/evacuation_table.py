"""The evacuation level of a job as a table, in the units a gauge on the spot shows."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ledger.properties.units import INHG, MMHG, Air, in_unit
from ledger.reports.property_words import caution, number, told
from ledger.reports.table import Column, Table

if TYPE_CHECKING:
    from ledger.law.evacuation import Evacuation, Level

COLUMNS = (
    Column("level", "Level"),
    Column("when", "For"),
    Column("psia", "Absolute", "number", "psia", places=2),
    Column("mmhg", "Absolute", "number", "mmHg", places=0),
    Column("gauge", "On a gauge here", "number", "inHg vacuum", places=1),
    Column("cite", "Citation"),
)
EXEMPT_KINDS = ("HC", "inorganic")
"""Chemical classes of which some refrigerants are exempt in some end uses."""


def evacuation_table(
    name: str, found: Evacuation, air: Air, exempt_question: bool, near: int | None = None
) -> Table:
    """The level or levels, each as absolute pressure and as vacuum under the air here.

    `near` is a line between pressure classes, in psia, that the refrigerant is within 2 % of.
    """
    rows = [_row(level, air) for level in found.levels]
    first = found.levels[0]
    what = f"{name} ({found.job.pressure} pressure)" if name else f"{found.job.pressure} pressure"
    if found.missing:
        answer = (
            f"{what}: {'; or '.join(level.text for level in found.levels)}; what decides is not"
            f" given: {', '.join(found.missing)}. Enough for all: {first.text}."
        )
    else:
        to = "" if first.percent is not None else "evacuate to "
        answer = f"{what}: {to}{first.text} (40 CFR 82.156(a))."
    notes = list(found.notes)
    if exempt_question:
        notes.append(
            "Some end uses of this refrigerant are exempt (40 CFR 82.154(a)(1)) and not held to"
            " the levels; from memory, text not read."
        )
    if near is not None:
        notes.append(
            f"{name} at 104 F is within 2 % of the line at {near} psia: by another table it could"
            " stand in the class beyond it."
        )
    notes.append(
        f"Inches of vacuum in the rule count from 29.9 inHg; on a gauge here, from {air.words}."
    )
    return Table(
        "Evacuation level", COLUMNS, rows, answer=answer, notes=notes,
        cautions=[line for line in (caution(name),) if line],
    )  # fmt: skip


def _row(level: Level, air: Air) -> dict[str, object]:
    base = level.base_tenths / 10 * INHG
    pascal = level.value * MMHG if level.unit == "mm Hg absolute" else base - level.value * INHG
    vacuum = in_unit(pascal, "inHg", air)
    return {
        "level": level.text,
        "when": level.when,
        "psia": number(in_unit(pascal, "psia"), 2),
        "mmhg": number(pascal / MMHG, 0),
        "gauge": number(vacuum, 1) if vacuum >= 0.05 else f"{told(0.0)}",
        "cite": level.rules[0].cite,
    }
