"""What stays in a cylinder called empty, by how it was emptied: vapour density times volume."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from ledger.facts.mass import POUND, Mass
from ledger.properties.filling import KILOGRAMS_A_POUND, volume
from ledger.properties.no_data import NoSoundData
from ledger.properties.saturation import properties
from ledger.properties.tables import index
from ledger.properties.units import INHG, PSI, SEA_LEVEL, Air, kelvin_of

LIQUID_OUT = "liquid out"
INTO_SYSTEM = "into a running system"
TO_NOTHING = "to 0 psig"
TO_VACUUM = "to 15 inHg"
WEIGHED = "weighed"
METHODS = (LIQUID_OUT, INTO_SYSTEM, TO_NOTHING, TO_VACUUM)
"""The ways a cylinder is emptied, with the most left first; `weighed` needs no density."""

TYPICAL_WATER = Fraction(295, 10)
"""Pounds of water a disposable of 25 to 30 lb holds, 0.473 ft3; common practice, no source."""
ROOM_F = 77.0
EVAPORATOR_F = 40.0
VACUUM_INHG = 15


@dataclass(frozen=True, slots=True)
class Heel:
    """What a cylinder of a water capacity holds once emptied in one way.

    `mass` in exact counts, to the hundredth of a pound; `pascal` the absolute pressure left, and
    `density` of the vapour in kg/m3; `cubic_metres` the volume; `data` the property version.
    """

    refrigerant: str
    method: str
    mass: Mass
    pascal: float
    density: float
    cubic_metres: float
    kelvin: float
    data: str

    @property
    def psig(self) -> float:
        """The gauge pressure left, at sea level; below nothing it is a vacuum."""
        return (self.pascal - SEA_LEVEL.pascal) / PSI


@lru_cache(maxsize=1024)
def heel(
    refrigerant: str, method: str, water_pounds: Fraction, room_f: float = ROOM_F,
    evaporator_f: float = EVAPORATOR_F, air: Air = SEA_LEVEL,
) -> Heel | NoSoundData:  # fmt: skip
    """The heel of a cylinder by how it was emptied (METHODS); ValueError for another method.

    `water_pounds` is its water capacity, `room_f` the temperature of the cylinder. Emptied into a
    running system it stands at the dew pressure of `evaporator_f`; to 0 psig and to 15 inches of
    vacuum are against the air around.
    """
    one = properties(refrigerant)
    if isinstance(one, NoSoundData):
        return one
    kelvin = kelvin_of(room_f, "F")
    pascal: float | NoSoundData
    if method == LIQUID_OUT:
        pascal = one.dew_pressure(kelvin)
        density = one.vapour_density(kelvin)
    else:
        pascal = _pressure_left(one.dew_pressure(kelvin_of(evaporator_f, "F")), method, air)
        if isinstance(pascal, NoSoundData):
            return pascal
        density = one.superheated_density(kelvin, pascal)
    for found in (pascal, density):
        if isinstance(found, NoSoundData):
            return found
    assert not isinstance(pascal, NoSoundData) and not isinstance(density, NoSoundData)
    space = volume(water_pounds)
    mass = to_hundredth(density * space)
    return Heel(refrigerant, method, mass, pascal, density, space, kelvin, index().stamp)


def _pressure_left(suction: float | NoSoundData, method: str, air: Air) -> float | NoSoundData:
    if method == INTO_SYSTEM:
        return suction
    if method == TO_NOTHING:
        return air.pascal
    if method == TO_VACUUM:
        return air.pascal - VACUUM_INHG * INHG
    raise ValueError(f"{method} is no way to empty a cylinder")


def to_hundredth(kilograms: float) -> Mass:
    """A computed mass as an exact one, to the nearest hundredth of a pound."""
    hundredths = round(kilograms / KILOGRAMS_A_POUND * 100)
    return Mass(hundredths * POUND // 100)
