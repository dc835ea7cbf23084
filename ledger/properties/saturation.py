"""Properties of one refrigerant: saturation both ways, densities, superheated vapour.

Everything here is in kelvin, pascal and kg/m3; `ledger.properties.units` reads and prints what
people use. A figure that is not known is a `NoSoundData`, which says why.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import exp, log

from ledger.properties.curves import Curve
from ledger.properties.no_data import NoSoundData
from ledger.properties.tables import Record, Table, index, load
from ledger.properties.units import fahrenheit

GAS_CONSTANT = 8.314462618
"""J/(mol K), exact since 2019 to these digits."""

WATER_77F = 997.047
"""Density of water at 77 F and one atmosphere, kg/m3 (IAPWS-95)."""

KELVIN_77F = 298.15


@dataclass(frozen=True, slots=True, eq=False)
class Properties:
    """One refrigerant's tables. Get it from `properties`.

    The bubble point is where liquid of the refrigerant's composition begins to boil (subcooling),
    the dew point where its vapour begins to condense (superheat); for a pure refrigerant they
    are the same.
    """

    record: Record
    table: Table
    bubble: Curve | None
    dew: Curve | None

    @property
    def name(self) -> str:
        """The refrigerant, as the register writes it."""
        return self.record.name

    @property
    def one_curve(self) -> bool:
        """Whether bubble and dew point are the same: a pure refrigerant."""
        return self.record.pure

    def range(self, curve: str) -> tuple[float, float] | NoSoundData:
        """The lowest and highest temperature of a curve, in kelvin."""
        found = None if curve in self.record.dropped else self.table.curves.get(curve)
        return self._dropped(curve) if found is None else (found.first, found.last)

    def bubble_pressure(self, kelvin: float) -> float | NoSoundData:
        """The absolute pressure in pascal at which the liquid begins to boil."""
        curve = self.bubble
        if curve is not None and curve.first <= kelvin <= curve.last:
            return exp(curve.at(kelvin))
        return self._outside("bubble", kelvin)

    def dew_pressure(self, kelvin: float) -> float | NoSoundData:
        """The absolute pressure in pascal at which the vapour begins to condense."""
        curve = self.dew
        if curve is not None and curve.first <= kelvin <= curve.last:
            return exp(curve.at(kelvin))
        return self._outside("dew", kelvin)

    def bubble_temperature(self, pascal: float) -> float | NoSoundData:
        """The temperature in kelvin at which liquid under an absolute pressure begins to boil."""
        curve = self.bubble
        if curve is not None and pascal > 0:
            height = log(pascal)
            if curve.low <= height <= curve.high:
                return curve.inverse(height)
        return self._beyond("bubble", pascal)

    def dew_temperature(self, pascal: float) -> float | NoSoundData:
        """The temperature in kelvin at which vapour at an absolute pressure condenses."""
        curve = self.dew
        if curve is not None and pascal > 0:
            height = log(pascal)
            if curve.low <= height <= curve.high:
                return curve.inverse(height)
        return self._beyond("dew", pascal)

    def liquid_density(self, kelvin: float) -> float | NoSoundData:
        """The density in kg/m3 of the liquid at its bubble point."""
        curve = self.table.curves.get("liquid")
        if curve is not None and curve.first <= kelvin <= curve.last:
            return curve.at(kelvin)
        return self._outside("liquid", kelvin)

    def vapour_density(self, kelvin: float) -> float | NoSoundData:
        """The density in kg/m3 of the vapour at its dew point."""
        curve = self.table.curves.get("vapour")
        if curve is not None and curve.first <= kelvin <= curve.last:
            return exp(curve.at(kelvin))
        return self._outside("vapour", kelvin)

    def superheated_density(self, kelvin: float, pascal: float) -> float | NoSoundData:
        """The density in kg/m3 of vapour at or under its dew pressure, down to none at all."""
        near, hot = self.table.grids.get("superheated"), self.table.grids.get("hot")
        if near is None or hot is None:
            return self._dropped("superheated")
        if not near.first <= kelvin <= hot.last:
            return self._outside("superheated", kelvin)
        if pascal < 0:
            return NoSoundData(self.name, "superheated vapour", "no pressure is below a vacuum")
        dew = self.table.curves["dew"]
        grid = near if kelvin <= near.last else hot
        highest = exp(dew.at(min(kelvin, near.last)))
        if pascal > highest * (1 + 1e-9):
            return self._too_dense(kelvin, near.last)
        z = grid.at(kelvin, pascal / highest)
        return pascal * self.record.kilograms_a_mole / (z * GAS_CONSTANT * kelvin)

    def specific_gravity(self) -> float | NoSoundData:
        """Liquid at its bubble point at 77 F, to water at 77 F."""
        density = self.liquid_density(KELVIN_77F)
        return density if isinstance(density, NoSoundData) else density / WATER_77F

    def _dropped(self, which: str) -> NoSoundData:
        reason = self.record.dropped.get(which, "it has no table")
        return NoSoundData(self.name, _WORDS[which], reason)

    def _outside(self, which: str, kelvin: float) -> NoSoundData:
        if which in self.record.dropped:
            return self._dropped(which)
        critical = self.record.critical_kelvin
        if critical is not None and kelvin >= critical and which != "superheated":
            reason = f"above its critical temperature of {fahrenheit(critical):.1f} F there is none"
            return NoSoundData(self.name, _WORDS[which], reason)
        low, high = self._ends(which)
        reason = (
            f"{fahrenheit(kelvin):.1f} F is outside what is proven,"
            f" {fahrenheit(low):.0f} to {fahrenheit(high):.0f} F"
        )
        return NoSoundData(self.name, _WORDS[which], reason)

    def _ends(self, which: str) -> tuple[float, float]:
        if which == "superheated":
            return self.table.grids["superheated"].first, self.table.grids["hot"].last
        curve = self.table.curves[which]
        return curve.first, curve.last

    def _beyond(self, which: str, pascal: float) -> NoSoundData:
        if which in self.record.dropped:
            return self._dropped(which)
        low, high = self._ends(which)
        above = pascal > 1e5 and log(pascal) > self.table.curves[which].high
        end = fahrenheit(high if above else low)
        reason = f"the pressure is {'over' if above else 'under'} that at {end:.0f} F, the end of"
        return NoSoundData(self.name, _WORDS[which], f"{reason} what is proven")

    def _too_dense(self, kelvin: float, last: float) -> NoSoundData:
        at = fahrenheit(min(kelvin, last))
        reason = f"the pressure is over its dew pressure at {at:.0f} F"
        return NoSoundData(self.name, _WORDS["superheated"], reason)


_WORDS = {
    "bubble": "bubble point", "dew": "dew point", "liquid": "density of saturated liquid",
    "vapour": "density of saturated vapour", "superheated": "density of superheated vapour",
}  # fmt: skip


@lru_cache(maxsize=256)
def properties(name: str) -> Properties | NoSoundData:
    """The properties of a refrigerant of the register, its file read once when first asked for."""
    found = index().records.get(name)
    if found is None:
        reason = index().unsound.get(name, "it is not in the register")
        return NoSoundData(name, "saturation properties", reason)
    table = load(found)
    return Properties(found, table, table.curves.get("bubble"), table.curves.get("dew"))
