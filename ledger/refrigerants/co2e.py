"""Mass to carbon dioxide equivalent and back, exact, with the GWP set always named."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from ledger.facts.mass import KILOGRAM, Mass, half_up
from ledger.refrigerants.substances import Gwp, Refrigerant


@dataclass(frozen=True, slots=True)
class Co2e:
    """A mass of refrigerant as metric tons of carbon dioxide equivalent.

    `tonnes` is exact, and None where the set lists no constituent; `gwp` carries the set,
    what it leaves out, and the sources.
    """

    mass: Mass
    tonnes: Fraction | None
    gwp: Gwp

    def line(self, places: int = 3) -> str:
        """The figure as it is printed, rounded half up, with the set and what it leaves out."""
        if self.tonnes is None:
            return f"no t CO2e: no listed GWP ({self.gwp.set_name})"
        left_out = ", ".join(self.gwp.left_out)
        note = f"; {left_out} left out" if left_out else ""
        return f"{half_up(self.tonnes, places)} t CO2e ({self.gwp.set_name}{note})"


def co2e(mass: Mass, refrigerant: Refrigerant, set_name: str) -> Co2e:
    """The CO2 equivalent of a mass in one GWP set; ValueError for an unknown set.

    kg x GWP / 1000, the GWP unrounded.
    """
    gwp = refrigerant.gwp(set_name)
    return Co2e(mass, None if gwp.value is None else tonnes(mass, gwp.value), gwp)


def tonnes(mass: Mass, gwp: Fraction) -> Fraction:
    """Metric tons of CO2 equivalent of a mass at a GWP, exact."""
    return Fraction(mass, 1000 * KILOGRAM) * gwp


def kilograms_at(tonnes_co2e: Fraction, gwp: Fraction) -> Fraction:
    """The kilograms of refrigerant that are so many metric tons of CO2 equivalent, exact.

    ValueError where the GWP is 0: no mass ever reaches the figure.
    """
    if gwp == 0:
        raise ValueError("At a GWP of 0 no mass amounts to any CO2 equivalent.")
    return 1000 * tonnes_co2e / gwp
