"""Readings at a unit as one table: what they come to, what is usual, and what lies outside."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from ledger.answers.working import Input, Working
from ledger.properties import at_unit
from ledger.properties.at_unit import Checked
from ledger.properties.no_data import NoSoundData
from ledger.properties.saturation import Properties, properties
from ledger.properties.target_superheat import NoTarget
from ledger.properties.units import Air, fahrenheit
from ledger.reports.property_words import caution, number, provenance, source_note, told
from ledger.reports.table import Column, Table

COLUMNS = (
    Column("what", "What"),
    Column("value", "Value", "number", places=1),
    Column("unit", "Unit"),
    Column("usual", "Usual"),
    Column("outside", "Outside"),
    Column("source", "Source"),
)
HOT = "Hot and moving parts and live terminals: lock out where a hand goes in (29 CFR 1910.147)."
"""Shown with every answer: readings are taken at a running unit."""


@dataclass(frozen=True, slots=True)
class Readings:
    """What was read at a unit; None is what was not. Temperatures in kelvin, pressures in pascal.

    `suction_at` and `condensing_at` are saturation temperatures typed in, in place of a pressure.
    `metering` is fixed, valve or empty; targets are the maker's, in F.
    """

    refrigerant: str = ""
    suction: float | None = None
    suction_at: float | None = None
    suction_line: float | None = None
    liquid: float | None = None
    condensing_at: float | None = None
    liquid_line: float | None = None
    return_air: float | None = None
    lowest_return: float | None = None
    supply_air: float | None = None
    wet_bulb: float | None = None
    outdoor: float | None = None
    metering: str = ""
    target_superheat: float | None = None
    target_subcooling: float | None = None
    amps: float | None = None
    rated_amps: float | None = None
    waited: float | None = None
    microns: float | None = None


@dataclass(slots=True)
class _Ends:
    """Saturation at one side, in F: the colder and the warmer end of a glide."""

    bubble: float
    dew: float


def readings_table(read: Readings, air: Air, opening: str = "") -> tuple[Table, list[Working]]:
    """Everything that can be computed of the readings; `opening` is the level before opening."""
    unknown: list[str] = []
    found = list(_computed(read, unknown))
    outside = [one.sentence for one in found if one.sentence]
    rows: list[dict[str, object]] = [
        {
            "what": one.what[:1].upper() + one.what[1:], "value": number(one.value, 1),
            "unit": one.unit, "usual": one.usual, "source": one.source,
            "outside": "yes" if one.sentence else "",
        }
        for one in found
    ]  # fmt: skip
    answer = " ".join(outside) or (
        "Nothing lies outside what is usual." if any(one.usual for one in found)
        else "Nothing to hold against what is usual."
    )  # fmt: skip
    one = properties(read.refrigerant) if read.refrigerant else None
    notes = [*unknown, *(f"{one.what[:1].upper() + one.what[1:]}: {one.note}." for one in found
                         if one.note and (one.sentence or not one.usual))]  # fmt: skip
    if isinstance(one, Properties):
        notes += [f"Gauge pressure against air of {air.words}.", source_note(one)]
    if opening:
        notes.append(f"Before opening: {opening}")
    notes.append("Usual ranges are for steady running; the maker's figures go before them.")
    cautions = [line for line in (caution(read.refrigerant), HOT) if line]
    title = f"Readings, {read.refrigerant}" if read.refrigerant else "Readings"
    table = Table(title, COLUMNS, rows, answer=answer, notes=notes, cautions=cautions)
    behind = provenance(one) if isinstance(one, Properties) else ()
    return table, [_working(checked, behind) for checked in found]


def _working(one: Checked, behind: tuple[Input, ...]) -> Working:
    inputs = [Input("usual", f"{one.usual} ({one.source})")] if one.usual else []
    if not one.usual and one.source:
        inputs.append(Input("source", one.source))
    physical = behind if one.unit == "F" and "saturation" in f"{one.what} {one.how}" else ()
    notes = (one.note,) if one.note else ()
    return Working(
        one.what[:1].upper() + one.what[1:], one.how, (*inputs, *physical),
        f"{told(one.value)} {one.unit}", notes=notes,
    )  # fmt: skip


def _computed(read: Readings, unknown: list[str]) -> Iterator[Checked]:
    low = _ends(read.refrigerant, read.suction, read.suction_at, unknown)
    high = _ends(read.refrigerant, read.liquid, read.condensing_at, unknown)
    yield from _low_side(read, low, unknown)
    yield from _high_side(read, high)
    if read.return_air is not None and read.supply_air is not None:
        yield at_unit.split(fahrenheit(read.return_air), fahrenheit(read.supply_air))
    if read.amps is not None and read.rated_amps is not None:
        yield at_unit.amps(read.amps, read.rated_amps)
    if read.waited is not None:
        yield at_unit.settled(read.waited)
    if read.microns is not None:
        yield at_unit.deep_vacuum(read.microns)


def _low_side(read: Readings, low: _Ends | None, unknown: list[str]) -> Iterator[Checked]:
    target = read.target_superheat
    if target is None and read.metering == "fixed" and None not in (read.outdoor, read.wet_bulb):
        assert read.outdoor is not None and read.wet_bulb is not None
        made = at_unit.orifice_target(fahrenheit(read.outdoor), fahrenheit(read.wet_bulb))
        if isinstance(made, NoTarget):
            unknown.append(f"No target superheat: {made.reason}.")
        else:
            target = made.value
            yield made
    if low is None:
        return
    air = [None if one is None else fahrenheit(one)
           for one in (read.return_air, read.lowest_return)]  # fmt: skip
    yield at_unit.coil(min(low.bubble, low.dew), *air)
    if read.suction_line is not None:
        yield at_unit.superheat(fahrenheit(read.suction_line) - low.dew, target, read.metering)


def _high_side(read: Readings, high: _Ends | None) -> Iterator[Checked]:
    if high is None:
        return
    if read.liquid_line is not None:
        value = high.bubble - fahrenheit(read.liquid_line)
        yield at_unit.subcooling(value, read.target_subcooling)
    middle = (high.bubble + high.dew) / 2
    if read.outdoor is not None:
        yield at_unit.approach(middle, fahrenheit(read.outdoor))
    else:
        yield Checked("condensing saturation", middle, "F", "middle of bubble and dew point")


def _ends(name: str, pascal: float | None, typed: float | None, unknown: list[str]) -> _Ends | None:
    """Both saturation temperatures at a pressure; typed in, they are one."""
    if typed is not None:
        return _Ends(fahrenheit(typed), fahrenheit(typed))
    if pascal is None:
        return None
    one = properties(name)
    if isinstance(one, NoSoundData):
        unknown.append(f"{one.sentence()} Type the saturation temperatures in.")
        return None
    bubble, dew = one.bubble_temperature(pascal), one.dew_temperature(pascal)
    for end in (bubble, dew):
        if isinstance(end, NoSoundData):
            unknown.append(end.sentence())
            return None
    assert not isinstance(bubble, NoSoundData) and not isinstance(dew, NoSoundData)
    return _Ends(fahrenheit(bubble), fahrenheit(dew))
