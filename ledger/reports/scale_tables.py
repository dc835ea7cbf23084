"""Scales with their checks and bias, and the table of tolerances, for print."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from ledger.answers.scale_checks import OUT_OF_USE, ScaleBias
from ledger.answers.tolerances import Tolerance
from ledger.book.scale_log import ScaleOnRecord
from ledger.facts.mass import Mass, pounds
from ledger.reports.table import Column, Table
from ledger.reports.words import counted

SCALE_COLUMNS = (
    Column("scale", "Scale"),
    Column("kind", "Kind"),
    Column("place", "Place"),
    Column("step", "Display step", "quantity"),
    Column("readings", "Readings", "whole"),
    Column("checks", "Checks", "whole"),
    Column("last", "Last check", "date"),
    Column("off", "Last off by", "mass", places=3),
    Column("bias", "Mean bias", "mass", places=3),
    Column("spread", "Spread", "mass", places=3),
    Column("remark", "Remark"),
)
TOLERANCE_COLUMNS = (
    Column("level", "Level"),
    Column("title", "Difference of"),
    Column("within", "Within tolerance up to"),
    Column("explain", "Explain up to"),
    Column("of_what", "Percent of"),
    Column("set_by", "Set by"),
)
OUT = f"off by more than {pounds(OUT_OF_USE, 1)} lb at the last check: take it out of use"
NEVER = "in use, never checked"
OURS = "our default"


def scale_table(
    scales: Sequence[ScaleOnRecord], biases: Mapping[str, ScaleBias], **common: Any
) -> Table:
    """Every scale of the book, those checked with what the check weights say."""
    rows = [_scale_row(one, biases.get(one.name)) for one in scales]
    out = [row["scale"] for row in rows if row["remark"] == OUT]
    never = sum(1 for row in rows if row["remark"] == NEVER)
    said = [counted(len(rows), "scale")]
    said += [f"{', '.join(map(str, out))} to take out of use"] if out else []
    said += [f"{never} in use and never checked"] if never else []
    return Table(
        "Scales", SCALE_COLUMNS, rows, answer=f"{'; '.join(said)}.",
        notes=["Above nothing a scale reads high. A bias is told, not taken off any weight.",
               "Check with a weight of half its capacity or more (common practice, weak source)."],
        **common,
    )  # fmt: skip


def _scale_row(one: ScaleOnRecord, bias: ScaleBias | None) -> dict[str, Any]:
    row: dict[str, Any] = {
        "scale": one.name, "kind": one.kind, "place": one.place, "step": one.step,
        "readings": one.readings, "checks": len(bias.checks) if bias else 0,
        "remark": NEVER if one.readings and not bias else None,
    }  # fmt: skip
    if bias is not None:
        row |= {
            "last": bias.last.day, "off": bias.last.off, "bias": Mass(round(bias.bias)),
            "spread": bias.spread, "remark": OUT if bias.out_of_use else None,
        }  # fmt: skip
    return row


def tolerance_table(levels: Sequence[Tolerance], **common: Any) -> Table:
    """The table of tolerances: the book's own figures, and our defaults."""
    rows = [
        {
            "level": one.name, "title": one.title, "within": one.within.text(),
            "explain": one.explain.text(), "of_what": one.of_what or None,
            "set_by": f"entry {one.entry}" if one.entry else OURS,
        }
        for one in levels
    ]  # fmt: skip
    own = sum(1 for one in levels if one.entry)
    return Table(
        "Tolerances", TOLERANCE_COLUMNS, rows,
        answer=f"{counted(len(rows), 'level')}, {own} set by this book. Beyond the second figure"
        " the owner signs.",
        notes=["No regulator publishes a tolerance; the defaults are this project's own.",
               "Where a level has both, the greater of pounds and percent counts."],
        **common,
    )  # fmt: skip
