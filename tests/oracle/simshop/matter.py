"""What the simulated refrigerants are like: heels by how a cylinder is emptied, liquid density.

Heels are pounds left in a disposable of 0.473 cubic feet at 77 F and specific gravities those of
the liquid at 77 F, both from the shop's trade workflow brief (sections 3.3 and 3.6, computed there
from an open property library). A year draws its own factors on top of them.
"""

from __future__ import annotations

from dataclasses import dataclass

from ledger.facts.mass import POUND

GRAIN = POUND // 1000
"""Every true mass is a whole number of thousandths of a pound, so that nothing is ever rounded."""

LIQUID_OUT, RUNNING, ATMOSPHERE, VACUUM = (
    "liquid out", "emptied into running system", "pulled to 0 psig", "pulled to 15 in. Hg",
)  # fmt: skip
HOWS = (LIQUID_OUT, RUNNING, ATMOSPHERE, VACUUM)
"""The ways to empty a disposable, the least thorough first."""


def lb(pounds: float) -> int:
    """Pounds as a true mass: counts, to the nearest thousandth of a pound."""
    return round(pounds * 1000) * GRAIN


@dataclass(frozen=True, slots=True)
class Refrigerant:
    """One refrigerant: `heels` in pounds in the order of HOWS, `nominal` pounds in a disposable."""

    name: str
    heels: tuple[float, float, float, float]
    gravity: float
    nominal: int
    flammable: bool = False


REFRIGERANTS = (
    Refrigerant("R-410A", (1.95, 0.91, 0.09, 0.04), 1.062, 25),
    Refrigerant("R-404A", (1.93, 0.92, 0.12, 0.06), 1.047, 24),
    Refrigerant("R-454B", (1.49, 0.71, 0.08, 0.04), 0.989, 20, flammable=True),
    Refrigerant("R-448A", (1.42, 0.67, 0.11, 0.05), 1.101, 25),
    Refrigerant("R-22", (1.31, 0.65, 0.11, 0.05), 1.194, 30),
    Refrigerant("R-407C", (1.29, 0.61, 0.11, 0.05), 1.141, 25),
    Refrigerant("R-134a", (0.96, 0.45, 0.13, 0.06), 1.210, 30),
)
BY_NAME = {one.name: one for one in REFRIGERANTS}
