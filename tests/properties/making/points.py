"""The saturation curves of one refrigerant, point by point, every point guarded."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from itertools import pairwise

from tests.properties.making.fluids import (
    LIQUID,
    Equilibrium,
    Fluid,
    SaturationState,
    first_guess,
    saturated_by_fugacities,
)

LOWEST_KELVIN, HIGHEST_KELVIN = 150, 450
LEAST_PASCAL = 500.0
"""Saturation under 5 mbar is asked by nobody, and equations of state are poor there."""
ANCHORS = (240, 260, 220, 200, 290, 320)
"""Temperatures at which a blend's first point is tried; the others go on from a neighbour."""
SAME = 1e-6
"""The share by which CoolProp's own saturation pressure may differ from equal fugacities."""
SMOOTH = 2e-3
"""The share by which a pressure may differ from what its neighbours say."""


class Unsound(Exception):
    """Why a refrigerant's data cannot be trusted."""


@dataclass(slots=True)
class Line:
    """One saturation curve at whole kelvins, rising; `filled` are those CoolProp gave none for."""

    states: list[SaturationState] = field(default_factory=list)
    filled: list[float] = field(default_factory=list)

    @property
    def by_kelvin(self) -> dict[int, SaturationState]:
        """The states by their temperature."""
        return {round(state.kelvin): state for state in self.states}


def line(fluid: Fluid, quality: int) -> Line:
    """The guarded curve of a refrigerant; Unsound where CoolProp is silently wrong on it."""
    found = _mixture_line(fluid, quality) if fluid.mixture else _own_line(fluid, quality)
    found.states = [state for state in found.states if state.pascal >= LEAST_PASCAL]
    _guard_order(found, quality)
    return found


def _span(fluid: Fluid) -> tuple[int, int]:
    top = min(HIGHEST_KELVIN, math.ceil(fluid.critical) - 1 if not fluid.mixture else 10**6)
    return max(LOWEST_KELVIN, math.ceil(fluid.lowest + 0.01)), top


def _own_line(fluid: Fluid, quality: int) -> Line:
    """Of a pure or pseudo-pure equation: CoolProp's own states, whose solver never gives up."""
    found = Line()
    low, high = _span(fluid)
    for kelvin in range(low, high + 1):
        try:
            found.states.append(fluid.saturated(kelvin, quality))
        except ValueError:
            if found.states:
                break
    return found


def _mixture_line(fluid: Fluid, quality: int) -> Line:
    """Of a mixture: by equal fugacities from an anchor upwards and downwards, CoolProp beside."""
    low, high = _span(fluid)
    anchor, start = _anchor(fluid, quality)
    up, filled_up = _walk(fluid, quality, range(anchor, high + 1), start)
    down, filled_down = _walk(fluid, quality, range(anchor - 1, low - 1, -1), start)
    return Line([*reversed(down), *up], sorted([*filled_down, *filled_up]))


def _anchor(fluid: Fluid, quality: int) -> tuple[int, Equilibrium]:
    for kelvin in ANCHORS:
        try:
            return kelvin, first_guess(fluid, kelvin, quality)
        except ValueError:
            continue
    raise Unsound("CoolProp finds no saturation state to begin from")


def _walk(
    fluid: Fluid, quality: int, kelvins: range, start: Equilibrium
) -> tuple[list[SaturationState], list[float]]:
    states: list[SaturationState] = []
    filled: list[float] = []
    for kelvin in kelvins:
        try:
            state, start = saturated_by_fugacities(fluid, kelvin, quality, start)
        except ValueError:
            break
        if state.pascal < LEAST_PASCAL:
            break
        try:
            own = fluid.saturated(kelvin, quality).pascal
        except ValueError:
            filled.append(kelvin)
        else:
            if abs(own / state.pascal - 1) > SAME:
                which = "bubble" if quality == LIQUID else "dew"
                raise Unsound(
                    f"CoolProp's {which} pressure at {(kelvin - 273.15) * 1.8 + 32:.0f} F is"
                    f" {own / 1e3:,.0f} kPa where fugacities are equal at"
                    f" {state.pascal / 1e3:,.0f} kPa, and nothing warns of it"
                )
        states.append(state)
    return states, filled


def _guard_order(found: Line, quality: int) -> None:
    """Keep the longest run of states over which pressure and density are monotonic and smooth."""
    states = found.states
    breaks = [n for n in range(1, len(states)) if not _in_order(states, n, quality)]
    ends = [0, *breaks, len(states)]
    begin, end = max(pairwise(ends), key=lambda run: run[1] - run[0], default=(0, 0))
    if end - begin < 40:
        raise Unsound("fewer than 40 points in a row are monotonic")
    found.states = states[begin:end]


def _in_order(states: list[SaturationState], n: int, quality: int) -> bool:
    lower, upper = states[n - 1], states[n]
    denser = upper.density > lower.density
    return upper.pascal > lower.pascal and denser != (quality == LIQUID) and not _jumps(states, n)


def _jumps(states: list[SaturationState], n: int) -> bool:
    if not 2 <= n < len(states) - 2:
        return False
    a, b, c, d = (math.log(states[n + by].pascal) for by in (-2, -1, 1, 2))
    return abs(math.log(states[n].pascal) - (4 * (b + c) - a - d) / 6) > SMOOTH


def guard_pair(bubble: Line, dew: Line, slack: float) -> None:
    """Bubble pressure at or over dew pressure wherever both are known, within a share `slack`."""
    dews = dew.by_kelvin
    for state in bubble.states:
        other = dews.get(round(state.kelvin))
        if other is not None and state.pascal < other.pascal * (1 - slack):
            raise Unsound(
                f"bubble pressure {state.pascal / 1e3:,.1f} kPa under dew pressure"
                f" {other.pascal / 1e3:,.1f} kPa at {state.kelvin:.0f} K"
            )
