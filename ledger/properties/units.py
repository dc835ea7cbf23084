"""Reads and prints temperatures and pressures as the trade writes them; inside, kelvin and pascal.

A gauge reads against the air around it: every gauge pressure is read with the pressure of that
air, from a barometer, an altitude, or one standard atmosphere.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from ledger.facts.problems import Problem

PSI = 6894.757293168
"""Pascals in a pound a square inch (0.45359237 kg x 9.80665 m/s2 / (0.0254 m)2)."""
INHG = 3386.389
"""Pascals in an inch of mercury at 32 F."""
MMHG = 133.322387415
ATMOSPHERE = 101325.0
LEGAL_BASE = 29.9 * INHG
"""The atmosphere of 40 CFR 82.156, Table 1: 29.9 inches of mercury."""
ZERO_C = 273.15

GAUGE_UNITS = {"psig": PSI, "barg": 1e5, "kpag": 1e3}
ABSOLUTE_UNITS = {"psia": PSI, "bara": 1e5, "kpaa": 1e3, "pa": 1.0, "inhga": INHG, "mmhga": MMHG}
VACUUM = "inhg"
PRESSURE_UNITS = ("psig", "psia", "inHg", "barg", "bara", "kPag", "kPaa")
"""How a pressure can be printed; inHg is vacuum under the air around."""

_NUMBER = r"(?P<number>[-+]?(?:\d{1,3}(?:,\d{3})+(?:\.\d*)?|\d+(?:\.\d*)?|\.\d+))"
_READING = re.compile(rf"{_NUMBER}\s*(?P<unit>[^\d].*)?")
_UNIT_WORDS = {
    "psi": "psi", "psi g": "psig", "psi a": "psia", "psi gauge": "psig", "psi absolute": "psia",
    "bar": "bar", "bar g": "barg", "bar a": "bara", "bar(a)": "bara", "bar(g)": "barg",
    "kpa": "kpa", "kpa g": "kpag", "kpa a": "kpaa", "kpa(a)": "kpaa", "kpa(g)": "kpag",
    "in hg": "inhg", "in. hg": "inhg", "inhg vacuum": "inhg", "in hg vacuum": "inhg",
    "inhg (vacuum)": "inhg", "in hg vac": "inhg", "inhg vac": "inhg", '" hg': "inhg",
    "mm hg absolute": "mmhga",
    "mmhg absolute": "mmhga", "mmhg a": "mmhga",
}  # fmt: skip
_DEGREES = {"f": "f", "c": "c", "k": "k", "fahrenheit": "f", "celsius": "c", "kelvin": "k"}


def fahrenheit(kelvin: float) -> float:
    """Degrees Fahrenheit."""
    return (kelvin - ZERO_C) * 1.8 + 32


def celsius(kelvin: float) -> float:
    """Degrees Celsius."""
    return kelvin - ZERO_C


def kelvin_of(number: float, degree: str) -> float:
    """Kelvin from degrees of F, C or K."""
    if degree.casefold() == "f":
        return (number - 32) / 1.8 + ZERO_C
    return number + ZERO_C if degree.casefold() == "c" else number


@dataclass(frozen=True, slots=True)
class Air:
    """The pressure of the air around a gauge, in pascal, and where it was taken from."""

    pascal: float
    words: str

    def gauge(self, pascal: float) -> float:
        """A pressure over (or, below nothing, under) that of the air, in pascal."""
        return pascal - self.pascal


SEA_LEVEL = Air(ATMOSPHERE, "14.696 psia, standard at sea level")
LOWEST_FEET, HIGHEST_FEET = -1500, 36000


def air_at(feet: float) -> Air:
    """The standard atmosphere at an altitude in feet (ICAO, in the troposphere)."""
    pascal = ATMOSPHERE * (1 - 2.25577e-5 * feet * 0.3048) ** 5.25588
    return Air(pascal, f"{pascal / PSI:.3f} psia, standard at {feet:,.0f} ft")


def in_unit(pascal: float, unit: str, air: Air = SEA_LEVEL) -> float:
    """An absolute pressure in a unit of PRESSURE_UNITS; ValueError for another."""
    name = unit.casefold()
    if name in GAUGE_UNITS:
        return (pascal - air.pascal) / GAUGE_UNITS[name]
    if name in ABSOLUTE_UNITS:
        return pascal / ABSOLUTE_UNITS[name]
    if name == VACUUM:
        return (air.pascal - pascal) / INHG
    raise ValueError(f"{unit} is no unit of pressure")


def pascal_of(number: float, unit: str, air: Air = SEA_LEVEL) -> float:
    """The absolute pressure in pascal of a number in a unit; the inverse of `in_unit`."""
    name = unit.casefold()
    if name in GAUGE_UNITS:
        return number * GAUGE_UNITS[name] + air.pascal
    if name in ABSOLUTE_UNITS:
        return number * ABSOLUTE_UNITS[name]
    if name == VACUUM:
        return air.pascal - number * INHG
    raise ValueError(f"{unit} is no unit of pressure")


def read_temperature(text: str, bare: str = "") -> float | Problem:
    """Kelvin from "40 F", "4.4C"; a number alone is in degrees of `bare`, or asked about."""
    number, unit = _parts(text)
    degree = _DEGREES.get(unit.lstrip("°").strip()) if unit else bare
    if number is None or not degree:
        return _unclear(text, "a temperature", "40 F or 4.4 C")
    kelvin = kelvin_of(number, degree)
    if not 0 < kelvin < 2000:
        return _unclear(text, "a temperature", "40 F or 4.4 C")
    return kelvin


def read_pressure(text: str, air: Air = SEA_LEVEL, bare: str = "") -> float | Problem:
    """Pascal, absolute, from "118 psig", "4 inHg", "8.1 bara"; a bare number is in `bare`.

    What can be gauge or absolute (psi, bar, kPa alone) is asked about, and so are inches of
    mercury under nothing, which count either way.
    """
    number, unit = _parts(text)
    unit = _UNIT_WORDS.get(unit, unit.replace(" ", "")) if unit else bare.casefold()
    if number is not None and unit in ("psi", "bar", "kpa"):
        shown = "kPa" if unit == "kpa" else unit
        return Problem(
            "quantity-unclear",
            f'"{text}" can be gauge or absolute.',
            f"Write {number:g} {shown}g or {number:g} {shown}a.",
        )
    if number is None or unit not in (*GAUGE_UNITS, *ABSOLUTE_UNITS, VACUUM):
        return _unclear(text, "a pressure", "118 psig, 132.7 psia, 4 inHg or 8.1 bara")
    if unit == VACUUM and number < 0:
        return Problem(
            "quantity-unclear",
            f'"{text}" can be a vacuum or a pressure above the air.',
            f"Write {-number:g} inHg (vacuum) or {-number * INHG / PSI:.1f} psig.",
        )
    pascal = pascal_of(number, unit, air)
    if pascal < 0:
        return Problem(
            "quantity-unclear",
            f'"{text}" is below a full vacuum, {-air.pascal / PSI:.2f} psig here.',
            "Look at the unit and at the altitude.",
        )
    return pascal


def is_temperature(text: str) -> bool:
    """Whether a reading carries a degree: "40 F"."""
    unit = _parts(text)[1]
    return unit.lstrip("°").strip() in _DEGREES


def is_bare(text: str) -> bool:
    """Whether a reading is a number without a unit."""
    number, unit = _parts(text)
    return number is not None and not unit


def read_air(altitude: str, barometer: str) -> Air | Problem:
    """The air around a gauge from "5280 ft" or "24.6 inHg"; sea level where neither is given."""
    if altitude and barometer:
        return Problem("option-unfit", "The air is given twice.",
                       "Give --altitude or --barometer.")  # fmt: skip
    if altitude:
        return _altitude(altitude)
    if not barometer:
        return SEA_LEVEL
    number, unit = _parts(barometer)
    scale = {"": INHG, "inhg": INHG, "in hg": INHG, "psia": PSI, "hpa": 100.0, "mbar": 100.0,
             "kpa": 1e3, "mmhg": MMHG}.get(unit)  # fmt: skip
    if number is None or scale is None or not 30_000 <= number * scale <= 115_000:
        return _unclear(barometer, "the pressure of the air", "29.1 inHg, 14.3 psia or 985 hPa")
    pascal = number * scale
    return Air(pascal, f"{pascal / PSI:.3f} psia, by the barometer ({barometer.strip()})")


def _altitude(text: str) -> Air | Problem:
    number, unit = _parts(text)
    feet = {"": 1.0, "ft": 1.0, "feet": 1.0, "m": 1 / 0.3048, "meters": 1 / 0.3048}.get(unit)
    if number is None or feet is None or not LOWEST_FEET <= number * feet <= HIGHEST_FEET:
        return _unclear(text, "an altitude", "5280 ft or 1600 m")
    return air_at(number * feet)


def _parts(text: str) -> tuple[float | None, str]:
    """The number of a reading and its unit in small letters; None where it is no number."""
    words = " ".join(text.replace("−", "-").split())
    found = _READING.fullmatch(words)
    if found is None:
        return None, ""
    return float(found["number"].replace(",", "")), (found["unit"] or "").strip().casefold()


def _unclear(text: str, what: str, such: str) -> Problem:
    return Problem("quantity-unclear", f'"{text}" is not read as {what}.', f"Write it as {such}.")
