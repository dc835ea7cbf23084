"""The compressibility of superheated vapour of one refrigerant on two even grids."""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, log

from ledger.properties.curves import Curve, Grid
from ledger.properties.saturation import GAS_CONSTANT
from tests.properties.making.fluids import Fluid

COLUMNS = 17
ROW_KELVINS = 4.0
HOTTEST_KELVIN = 430.0
WITHIN = 1e-3
"""The share by which a density from the grids may differ from CoolProp's."""


@dataclass(frozen=True, slots=True)
class Part:
    """One grid as it is stored."""

    start: float
    step: float
    rows: int
    values: list[float]

    def grid(self) -> Grid:
        """The grid as the program reads it."""
        return Grid(self.start, self.step, self.rows, self.values)


@dataclass(slots=True)
class Vapour:
    """A fluid's superheated vapour under its dew pressures by whole kelvin."""

    fluid: Fluid
    dew: dict[int, float]

    def grids(self, low: int, high: int) -> tuple[Part, Part] | None:
        """Both grids, the top of the first lowered until WITHIN is kept; None where it never is."""
        top_of_equation = min(HOTTEST_KELVIN, float(self.fluid.state.Tmax()))
        while high - low > 40 and top_of_equation - high < 12:
            high -= 4
        while high - low > 40:
            parts = self._both(low, high, top_of_equation)
            if parts is not None and self.error(*parts) <= WITHIN:
                return parts
            high -= 4
        return None

    def _both(self, low: int, high: int, hottest: float) -> tuple[Part, Part] | None:
        try:
            return self._part(low, high), self._part(high, hottest, self.dew[high])
        except ValueError:
            return None

    def _part(self, low: float, high: float, highest: float | None = None) -> Part:
        rows = max(4, round((high - low) / ROW_KELVINS) + 1)
        step = (high - low) / (rows - 1)
        values = []
        for row in range(rows):
            kelvin = low + row * step
            limit = self._limit(kelvin) if highest is None else highest
            values += [self.z(kelvin, limit * n / (COLUMNS - 1)) for n in range(COLUMNS)]
        return Part(low, step, rows, values)

    def _limit(self, kelvin: float) -> float:
        """The dew pressure between whole kelvins, by the cubic the program uses."""
        first, last = min(self.dew), max(self.dew)
        curve = Curve(first, 1.0, [log(self.dew[k]) for k in range(first, last + 1)])
        return exp(curve.at(kelvin))

    def z(self, kelvin: float, pascal: float) -> float:
        """The compressibility of the vapour; 1 where there is no pressure."""
        if pascal <= 0:
            return 1.0
        density = self.fluid.vapour_density(kelvin, pascal)
        return pascal * self.fluid.kilograms_a_mole / (density * GAS_CONSTANT * kelvin)

    def error(self, near: Part, hot: Part) -> float:
        """The largest share by which the grids differ from CoolProp between their nodes."""
        worst = 0.0
        for part, highest in ((near, None), (hot, self.dew[round(hot.start)])):
            grid = part.grid()
            for row in range(part.rows - 1):
                kelvin = part.start + (row + 0.5) * part.step
                limit = self._limit(kelvin) if highest is None else highest
                for column in range(COLUMNS - 1):
                    share = (column + 0.5) / (COLUMNS - 1)
                    try:
                        own = self.z(kelvin, limit * share)
                    except ValueError:
                        return 1.0
                    worst = max(worst, abs(grid.at(kelvin, share) / own - 1))
        return worst
