"""Checks of readings at a unit: each gives the value, what is usual, and a sentence if outside.

Everything is in degrees F as it is read, microns, minutes and amps. A check says what was found
and what may be behind it, never what is wrong.
"""

from __future__ import annotations

from dataclasses import dataclass

from ledger.properties.target_superheat import FORMULA, NOTE, SOURCE, NoTarget, target_superheat
from ledger.properties.usual import (
    AMPS,
    APPROACH,
    COIL,
    DEEP_VACUUM,
    METERED,
    PRACTICE,
    SETTLED,
    SPLIT,
    SUBCOOLING_BAND,
    SUPERHEAT_BAND,
    SUPERHEAT_SOURCE,
    Usual,
)

FREEZING = 32.0


@dataclass(frozen=True, slots=True)
class Checked:
    """One value held against what is usual.

    `sentence` is empty where it lies inside, or where there is nothing to hold it against.
    `usual` and `source` are print; `how` is the sum in words.
    """

    what: str
    value: float
    unit: str
    how: str
    usual: str = ""
    source: str = ""
    note: str = ""
    sentence: str = ""


def split(return_air: float, supply_air: float) -> Checked:
    """Return air less supply air, in cooling."""
    value = return_air - supply_air
    what = "It is small: airflow high, charge or capacity low, or damp air." if value < 18 else (
        "It is large: airflow low, or very dry air."
    )  # fmt: skip
    return _held(SPLIT, value, "return air less supply air", what)


def approach(condensing: float, outdoor: float) -> Checked:
    """Condensing saturation over outdoor air."""
    value = condensing - outdoor
    what = "It is low: charge or load low." if value < 10 else (
        "It is high: coil dirty, air short, or charge high."
    )  # fmt: skip
    return _held(APPROACH, value, "condensing saturation less outdoor air", what)


def coil_at(saturation: float, return_air: float, later: float) -> float:
    """Coil saturation when the return air has changed: about one degree for each degree."""
    return saturation - (return_air - later)


def coil(saturation: float, return_air: float | None, lowest_return: float | None) -> Checked:
    """Coil saturation against freezing, now and at the lowest return air that is expected."""
    lowest, sentence, how = saturation, "", "suction saturation, the colder end of a glide"
    if return_air is not None and lowest_return is not None:
        lowest = coil_at(saturation, return_air, lowest_return)
        how += f"; {_f(lowest)} at {_f(lowest_return)} return air"
    elif return_air is not None:
        how += f"; {_f(FREEZING)} at {_f(return_air - saturation + FREEZING)} return air"
    if saturation < FREEZING:
        sentence = f"Coil saturation is {_f(saturation)}, under freezing: the coil can ice up."
    elif lowest < FREEZING:
        assert lowest_return is not None
        sentence = (
            f"At {_f(lowest_return)} return air the coil would be at {_f(lowest)}, under freezing:"
            " it can ice up."
        )
    return Checked(COIL.what, saturation, COIL.unit, how, COIL.text, COIL.source, COIL.note,
                   sentence)  # fmt: skip


def superheat(value: float, target: float | None, metering: str) -> Checked:
    """Superheat against the maker's figure, or against the usual range of an expansion valve."""
    how = "suction line less dew point"
    if value < 0:
        sentence = (
            f"Superheat is {_f(value)}: liquid reaches the compressor, or a reading to look at"
            " again."
        )
        return Checked("superheat", value, "F", how, sentence=sentence)
    if target is not None:
        usual = f"{target:.1f} F within {SUPERHEAT_BAND:g}"
        said = ""
        if abs(value - target) > SUPERHEAT_BAND + _FINE:
            said = f"Superheat is {_f(value)}, {_apart(value, target)} the target of {_f(target)}."
        return Checked("superheat", value, "F", how, usual, SUPERHEAT_SOURCE, "", said)
    if metering == "valve":
        found = _held(METERED, value, how, "Look at the bulb, the valve and the charge.")
        return Checked("superheat", value, "F", how, found.usual, found.source, found.note,
                       found.sentence)  # fmt: skip
    return Checked("superheat", value, "F", how)


def orifice_target(outdoor: float, wet_bulb: float) -> Checked | NoTarget:
    """The target superheat of a fixed orifice, as a value of its own."""
    target = target_superheat(outdoor, wet_bulb)
    if isinstance(target, NoTarget):
        return target
    return Checked(
        "target superheat, fixed orifice", target, "F", FORMULA, source=SOURCE, note=NOTE
    )


def subcooling(value: float, target: float | None) -> Checked:
    """Subcooling against the maker's figure."""
    how = "bubble point less liquid line"
    if value < 0:
        sentence = (
            f"Subcooling is {_f(value)}: vapour in the liquid line, or a reading to look at again."
        )
        return Checked("subcooling", value, "F", how, sentence=sentence)
    if target is None:
        return Checked("subcooling", value, "F", how)
    usual, sentence = f"{target:g} F within {SUBCOOLING_BAND:g}", ""
    if abs(value - target) > SUBCOOLING_BAND + _FINE:
        sentence = f"Subcooling is {_f(value)}, {_apart(value, target)} the maker's {target:g} F."
    return Checked(
        "subcooling", value, "F", how, usual, f"maker's figure; {PRACTICE}", "", sentence
    )


def amps(drawn: float, rated: float) -> Checked:
    """Amps drawn as a share of the rated-load amps on the plate."""
    value = drawn / rated * 100
    if value > 100:
        sentence = f"It draws {drawn:g} A, over the {rated:g} A on its plate."
        return Checked(AMPS.what, value, AMPS.unit, "amps / RLA", AMPS.text, AMPS.source,
                       AMPS.note, sentence)  # fmt: skip
    what = "Little load or little charge." if value < 40 else "High load, high pressure or voltage."
    return _held(AMPS, value, "amps / RLA", what)


def settled(minutes: float) -> Checked:
    """Minutes waited after the last stage of a charge."""
    return _held(SETTLED, minutes, "minutes since the last stage", "Wait before reading again.")


def deep_vacuum(microns: float) -> Checked:
    """The vacuum reached before charging."""
    return _held(DEEP_VACUUM, microns, "absolute pressure in microns", "Pull further, or look for"
                 " a leak or moisture.")  # fmt: skip


_FINE = 1e-9
"""Figures typed as decimals meet a band's edge in binary fractions of this much."""


def _held(usual: Usual, value: float, how: str, what: str) -> Checked:
    inside = usual.holds(value) or usual.holds(round(value, 6))
    shown = f"{value:,.1f}".removesuffix(".0")
    sentence = ""
    if not inside:
        name = usual.what[:1].upper() + usual.what[1:]
        sentence = f"{name} is {shown} {usual.unit}; usual is {usual.text}. {what}"
    return Checked(usual.what, value, usual.unit, how, usual.text, usual.source, usual.note,
                   sentence)  # fmt: skip


def _apart(value: float, target: float) -> str:
    return f"{abs(value - target):.1f} F {'over' if value > target else 'under'}"


def _f(value: float) -> str:
    return f"{value:.1f} F".replace("-0.0", "0.0")
