"""What stays in the hoses at one hook-up: the volume of their bore times the density in it."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from math import pi

from ledger.facts.mass import OUNCE, Mass
from ledger.properties.filling import CUBIC_METRES_AN_INCH3, KILOGRAMS_A_POUND
from ledger.properties.no_data import NoSoundData
from ledger.properties.saturation import properties
from ledger.properties.tables import index
from ledger.properties.units import kelvin_of

LIQUID, VAPOUR = "liquid", "vapour"
PHASES = (LIQUID, VAPOUR)
LINE_F = 90.0
"""Temperature of a liquid hose at work; common practice, no source."""

SPLIT = "a split of the charge"
OWN_LINE = "a line of its own"


@dataclass(frozen=True, slots=True)
class HoldUp:
    """What hoses hold: `mass` exact, to the tenth of an ounce; the density is in kg/m3."""

    refrigerant: str
    phase: str
    mass: Mass
    density: float
    cubic_inches: float
    kelvin: float
    data: str


@lru_cache(maxsize=1024)
def hold_up(
    refrigerant: str, phase: str, bore_inches: Fraction, length_inches: Fraction,
    line_f: float = LINE_F,
) -> HoldUp | NoSoundData:  # fmt: skip
    """What one hose holds, saturated at `line_f`; ValueError for another phase than PHASES."""
    if phase not in PHASES:
        raise ValueError(f"{phase} is neither liquid nor vapour")
    one = properties(refrigerant)
    if isinstance(one, NoSoundData):
        return one
    kelvin = kelvin_of(line_f, "F")
    density = one.liquid_density(kelvin) if phase == LIQUID else one.vapour_density(kelvin)
    if isinstance(density, NoSoundData):
        return density
    inches = pi / 4 * float(bore_inches) ** 2 * float(length_inches)
    kilograms = density * inches * CUBIC_METRES_AN_INCH3
    tenths = round(kilograms / KILOGRAMS_A_POUND * 160)
    return HoldUp(
        refrigerant, phase, Mass(tenths * OUNCE // 10), density, inches, kelvin, index().stamp
    )


def how_counted(evidence: str) -> str:
    """How the hoses of a hook-up are counted, by the evidence of its pounds (`Evidence.how`).

    Gross weights of the cylinder alone before and after hold the hoses in the recorded net: they
    split the charge and are no second deduction. Where only a net was read, the scale was zeroed
    after the hoses were primed: the priming is outside the net and a line of its own.
    """
    return SPLIT if evidence in ("gross", "stages") else OWN_LINE
