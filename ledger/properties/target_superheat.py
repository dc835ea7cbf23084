"""Target superheat of a fixed orifice, from outdoor air and the wet bulb of the return air.

The formula is common in the trade: (3 x wet bulb - 80 - outdoor) / 2, in degrees F. Against the
superheat charts of two makers (see tests/properties/unit_values.toml) it is between 4 F low and
2.5 F high at the 18 printed points looked at, where the charts themselves differ by 1 F. Where the
charts print a dash, "do not charge by superheat", the formula gives less than 5 F, and no target
is given.
"""

from __future__ import annotations

from dataclasses import dataclass

LOWEST = 5.0
"""Under this many degrees F the makers' charts print a dash."""
LOW_BY, HIGH_BY = 4.0, 2.5
"""How far the formula was found under and over the charts, F."""
OUTDOOR = (55.0, 115.0)
WET_BULB = (50.0, 76.0)
"""What the charts reach over, F."""
FORMULA = "(3 x wet bulb of the return air - 80 - outdoor air) / 2, in F"
SOURCE = "formula common in the trade"
NOTE = (
    f"the formula was found {LOW_BY:g} F low to {HIGH_BY:g} F high against two makers' charts; the"
    " chart on the unit goes before"
)


@dataclass(frozen=True, slots=True)
class NoTarget:
    """Why no target superheat is given."""

    reason: str


def target_superheat(outdoor: float, wet_bulb: float) -> float | NoTarget:
    """The target in F from outdoor dry bulb and indoor wet bulb, both in F."""
    if not OUTDOOR[0] <= outdoor <= OUTDOOR[1]:
        return NoTarget(f"the charts reach from {OUTDOOR[0]:.0f} to {OUTDOOR[1]:.0f} F outdoors")
    if not WET_BULB[0] <= wet_bulb <= WET_BULB[1]:
        return NoTarget(
            f"the charts reach from {WET_BULB[0]:.0f} to {WET_BULB[1]:.0f} F of wet bulb"
        )
    target = (3 * wet_bulb - 80 - outdoor) / 2
    if target < LOWEST:
        return NoTarget("the makers' charts have a dash here: do not charge by superheat")
    return target
