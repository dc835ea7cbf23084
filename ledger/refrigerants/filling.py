"""The bounds on filling a cylinder that are data: filling densities, shares, what is assumed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from pathlib import Path
from typing import NamedTuple

from ledger.refrigerants.substances import EVIDENCE, Basis, Figure
from ledger.refrigerants.toml_table import Table, parse

FILE = "filling.toml"
MARKS = (*EVIDENCE, "interpretation")


class Assumed(NamedTuple):
    """What stands in for a figure nobody has: the specific gravity, how much of it, and why."""

    gravity: Fraction
    share: Fraction
    reason: str


@dataclass(frozen=True, slots=True)
class FillData:
    """The shipped figures.

    `cubic_inches` of a pound of water (60 F); `share` of the two 80 % rules with their words;
    `densities` the filling densities as shares of the water capacity; `assumed` where a
    refrigerant has no density, `unsure` where it is not known what is in the cylinder.
    """

    cubic_inches: Figure
    share: Fraction
    without_gravity: str
    with_gravity: str
    practice: Basis
    liquid_full: Basis
    service_pressure: Basis
    assumed: Assumed
    unsure: Assumed
    densities: Mapping[str, Figure]


def _basis(table: Table) -> Basis:
    return Basis(table.text("cite"), table.text("evidence", MARKS))


def read(text: str) -> FillData:
    """The figures of a TOML text; RegisterError naming file and key where it is unfit."""
    top = parse(FILE, text).only(
        ("water", "practice", "liquid_full", "service_pressure", "assumed", "unsure",
         "filling_density")
    )  # fmt: skip
    water = top.table("water").only(("cubic_inches", "cite", "evidence"))
    practice = top.table("practice").only(
        ("share", "without_gravity", "with_gravity", "cite", "evidence")
    )
    cited = ("cite", "evidence")
    assumed = top.table("assumed").only(("gravity", "reason", "evidence"))
    unsure = top.table("unsure").only(("share", "gravity", "reason", "evidence"))
    densities: dict[str, Figure] = {}
    for row in top.tables("filling_density"):
        row.only(("refrigerant", "percent", *cited))
        name = row.text("refrigerant")
        if name in densities:
            row.wrong(f"{name} is listed twice", "refrigerant")
        densities[name] = Figure(row.number("percent") * Fraction(1, 100), _basis(row))
    return FillData(
        Figure(water.number("cubic_inches"), _basis(water)),
        practice.number("share"),
        practice.text("without_gravity"),
        practice.text("with_gravity"),
        _basis(practice),
        _basis(top.table("liquid_full").only(cited)),
        _basis(top.table("service_pressure").only(cited)),
        Assumed(assumed.number("gravity"), practice.number("share"), assumed.text("reason")),
        Assumed(unsure.number("gravity"), unsure.number("share"), unsure.text("reason")),
        densities,
    )


@lru_cache(maxsize=1)
def fill_data() -> FillData:
    """The figures shipped with the program, read once."""
    return read((Path(__file__).parent / FILE).read_text(encoding="utf-8"))
