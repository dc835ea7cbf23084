"""How much refrigerant a circuit holds, estimated from lines, coils and a receiver; not weighed.

Liquid is counted by its density at a temperature; vapour beside it is left out. This is the
component-volume way of 40 CFR 82.152, full charge (b), whose method is "calculated".
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from math import pi

from ledger.facts.problems import Problem
from ledger.properties.no_data import NoSoundData
from ledger.properties.saturation import properties
from ledger.properties.units import kelvin_of, read_temperature

BORES: dict[str, float] = {
    "1/4": 0.190, "5/16": 0.248, "3/8": 0.311, "1/2": 0.430, "5/8": 0.545, "3/4": 0.666,
    "7/8": 0.785, "1-1/8": 1.025,
}  # fmt: skip
"""Bore in inches by outside diameter: refrigeration tube as makers' charge tables have it (check
values F-017 to F-028); 5/8 in is Type L, ASTM B88, from memory."""
LINE_AT_F = 105.0
"""Temperature of the liquid line where none is given, F; common practice, no source."""
UNDER, OVER = 0.10, 0.20
"""Each computed part may be this share less or more: this project's choice. Makers' own ounces a
foot were found 17 to 41 % over bore x density at 105 F (F-017 to F-019), and within 1 % of it at
77 F in another maker's table (F-024 to F-028)."""
POUNDS_A_FOOT3 = 0.3048**3 / 0.45359237
FOOT3 = {"ft3": 1.0, "cu ft": 1.0, "in3": 1 / 1728, "cu in": 1 / 1728, "l": 0.0353147,
         "liters": 0.0353147, "litres": 0.0353147}  # fmt: skip

_line = re.compile(
    r"(?P<od>[0-9](?:-[0-9])?/?[0-9]*) ?(?:in\.?|inch|\")? ?[x*] ?(?P<feet>[0-9]{1,4}(?:\.[0-9]+)?)"
    r" ?(?:ft|feet|')?(?: at (?P<at>.+))?"
)
_part = re.compile(
    r"(?P<name>[a-z][a-z ]*?)[: ]+(?P<volume>[0-9]*\.?[0-9]+) ?(?P<unit>ft3|cu ft|in3|cu in|l"
    r"|liters|litres),? ?(?:(?P<share>[0-9]+(?:\.[0-9]+)?) ?%(?: liquid)?,?)? ?at (?P<at>.+)"
)


@dataclass(frozen=True, slots=True)
class Part:
    """One part that holds liquid: its volume in cubic feet, liquid share, temperature in F."""

    name: str
    foot3: float
    share: float
    at: float

    def pounds(self, refrigerant: str) -> float | NoSoundData:
        """The liquid in it, in pounds."""
        density = pounds_a_foot3(refrigerant, self.at)
        if isinstance(density, NoSoundData):
            return density
        return self.foot3 * self.share * density


def pounds_a_foot3(refrigerant: str, at: float) -> float | NoSoundData:
    """Density of saturated liquid in lb/ft3 at a temperature in F."""
    one = properties(refrigerant)
    if isinstance(one, NoSoundData):
        return one
    found = one.liquid_density(kelvin_of(at, "F"))
    return found if isinstance(found, NoSoundData) else found * POUNDS_A_FOOT3


def line_foot3(od: str, feet: float) -> float:
    """The volume of a length of tube, in cubic feet; KeyError for a size that is not listed."""
    return pi / 4 * (BORES[od] / 12) ** 2 * feet


def ounces_a_foot(refrigerant: str, od: str, at: float = LINE_AT_F) -> float | NoSoundData:
    """Ounces of liquid in a foot of liquid line."""
    density = pounds_a_foot3(refrigerant, at)
    return density if isinstance(density, NoSoundData) else line_foot3(od, 1) * density * 16


def read_line(text: str) -> Part | Problem:
    """A liquid line from "3/8 x 40 ft", "5/8 x 120 ft at 105 F"."""
    found = _line.fullmatch(" ".join(text.casefold().split()))
    if found is None or found["od"] not in BORES or not 0 < float(found["feet"]) <= 5000:
        sizes = ", ".join(BORES)
        return Problem("value-unclear", f'"{text}" is not read as a liquid line.',
                       f'Write "3/8 x 40 ft"; sizes are {sizes} in outside.')  # fmt: skip
    at = _at(found["at"]) if found["at"] else LINE_AT_F
    if isinstance(at, Problem):
        return at
    feet = float(found["feet"])
    return Part(f"liquid line {found['od']} in x {feet:g} ft", line_foot3(found["od"], feet), 1, at)


def read_part(text: str) -> Part | Problem:
    """A coil or receiver from "receiver 0.25 ft3 80 % at 90 F"; full of liquid without a share."""
    found = _part.fullmatch(" ".join(text.casefold().split()))
    share = float(found["share"] or 100) / 100 if found else 0
    volume = float(found["volume"]) * FOOT3[found["unit"]] if found else 0
    if found is None or not 0 < share <= 1 or not 0 < volume <= 2000:
        return Problem("value-unclear", f'"{text}" is not read as a part with liquid in it.',
                       'Write "receiver 0.25 ft3 80 % at 90 F": name, volume, share of liquid,'
                       " temperature.")  # fmt: skip
    at = _at(found["at"])
    return at if isinstance(at, Problem) else Part(found["name"], volume, share, at)


def _at(text: str) -> float | Problem:
    kelvin = read_temperature(text, "f")
    return kelvin if isinstance(kelvin, Problem) else (kelvin - 273.15) * 1.8 + 32
