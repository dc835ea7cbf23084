"""Measures what interpolation costs: curves against CoolProp halfway between their nodes."""

from __future__ import annotations

import math
from collections.abc import Sequence

from ledger.properties.curves import Curve
from tests.properties.making.fluids import (
    Equilibrium,
    Fluid,
    SaturationState,
    first_guess,
    saturated_by_fugacities,
)


def between(
    fluid: Fluid, quality: int, states: Sequence[SaturationState]
) -> list[SaturationState | None]:
    """The state halfway between each two; None where neither solver gives one."""
    middles: list[SaturationState | None] = []
    start: Equilibrium | None = None
    for state in states[:-1]:
        kelvin = state.kelvin + 0.5
        try:
            middles.append(fluid.saturated(kelvin, quality))
            if fluid.mixture:
                start = first_guess(fluid, kelvin, quality)
            continue
        except ValueError:
            pass
        try:
            if start is None:
                raise ValueError("nothing to begin from")
            found, start = saturated_by_fugacities(fluid, kelvin, quality, start)
            middles.append(found)
        except ValueError:
            middles.append(None)
    return middles


def curve_error(
    start: float, values: Sequence[float], exact: Sequence[float | None], *, relative: bool = False
) -> float:
    """The largest difference halfway between nodes; infinite where nothing was found to compare.

    Of logarithms that is a share already; `relative` makes one of plain values.
    """
    curve = Curve(start, 1.0, values)
    worst = 0.0
    for n in range(len(values) - 1):
        own = exact[n]
        if own is None:
            return math.inf
        by = abs(curve.at(start + n + 0.5) - own)
        worst = max(worst, by / abs(own) if relative else by)
    return worst


def kelvin_error(
    start: float, values: Sequence[float], middles: Sequence[SaturationState | None]
) -> float:
    """The largest difference in kelvin of temperatures found from exact pressures."""
    curve = Curve(start, 1.0, values)
    return max(
        abs(curve.inverse(math.log(state.pascal)) - state.kelvin)
        for state in middles[: len(values) - 1]
        if state is not None
    )
