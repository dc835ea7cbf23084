"""Saturation answers as tables: one reading either way, and the table for the pocket."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, floor

from ledger.answers.working import Input, Working
from ledger.properties.no_data import NoSoundData
from ledger.properties.saturation import Properties, properties
from ledger.properties.units import Air, celsius, fahrenheit, in_unit, kelvin_of
from ledger.reports.property_words import (
    PLACES,
    POUNDS_A_FOOT3,
    VACUUM_NOTE,
    caution,
    number,
    provenance,
    source_note,
    told,
)
from ledger.reports.table import Column, Row, Table

BUBBLE, DEW = "bubble", "dew"
CUBIC = "a cubic through the four nearest points of the table, one each kelvin"


@dataclass(frozen=True, slots=True)
class Reading:
    """What was read: an absolute pressure in pascal or a temperature in kelvin, as written."""

    written: str
    pascal: float | None
    kelvin: float | None


@dataclass(frozen=True, slots=True)
class Point:
    """One saturation point: bubble or dew, with its own phase's density in kg/m3 where known."""

    curve: str
    kelvin: float
    pascal: float
    density: float | NoSoundData


def points(one: Properties, reading: Reading) -> dict[str, Point | NoSoundData]:
    """The bubble and the dew point of a reading."""
    found: dict[str, Point | NoSoundData] = {}
    for curve in (BUBBLE, DEW):
        found[curve] = _point(one, curve, reading)
    return found


def _point(one: Properties, curve: str, reading: Reading) -> Point | NoSoundData:
    if reading.pascal is not None:
        pascal: float | NoSoundData = reading.pascal
        kelvin = (one.bubble_temperature if curve == BUBBLE else one.dew_temperature)(
            reading.pascal
        )
    else:
        assert reading.kelvin is not None
        kelvin = reading.kelvin
        pascal = (one.bubble_pressure if curve == BUBBLE else one.dew_pressure)(reading.kelvin)
    if isinstance(kelvin, NoSoundData):
        return kelvin
    if isinstance(pascal, NoSoundData):
        return pascal
    density = one.liquid_density(kelvin) if curve == BUBBLE else one.vapour_density(kelvin)
    return Point(curve, kelvin, pascal, density)


SATURATION_COLUMNS = (
    Column("point", "Point"),
    Column("fahrenheit", "Temperature", "number", "F", places=1),
    Column("celsius", "Temperature", "number", "C", places=1),
    Column("psig", "Pressure", "number", "psig", places=1),
    Column("psia", "Pressure", "number", "psia", places=1),
    Column("vacuum", "Vacuum", "number", "inHg", places=1),
    Column("bara", "Pressure", "number", "bar abs.", places=2),
    Column("kpaa", "Pressure", "number", "kPa abs.", places=0),
    Column("density", "Density", "number", "lb/ft3", places=3),
    Column("kilograms", "Density", "number", "kg/m3", places=2),
    Column("of", "Density of"),
)


def saturation_table(name: str, reading: Reading, air: Air) -> tuple[Table, list[Working]]:
    """Bubble and dew point of a refrigerant at a pressure or a temperature."""
    title = f"Saturation of {name}"
    one = properties(name)
    if isinstance(one, NoSoundData):
        return _nothing(title, SATURATION_COLUMNS, one, name), []
    found = points(one, reading)
    rows = [_saturation_row(one, point, air) for point in found.values()]
    lacking = {point.sentence(): None for point in found.values() if isinstance(point, NoSoundData)}
    known = [point for point in found.values() if isinstance(point, Point)]
    answer = _answer(one, known, reading, air) if known else next(iter(lacking))
    table = Table(
        title, SATURATION_COLUMNS, [row for row in rows if row], answer=answer,
        notes=[*(lacking if known else ()), f"Gauge pressures against air of {air.words}.",
               *([VACUUM_NOTE] if any(row.get("vacuum") for row in rows) else []),
               source_note(one)],
        cautions=[line for line in (caution(name),) if line],
    )  # fmt: skip
    return table, [_working(one, point, reading, air) for point in known]


def _saturation_row(one: Properties, point: Point | NoSoundData, air: Air) -> Row:
    if isinstance(point, NoSoundData):
        return {}
    vacuum = in_unit(point.pascal, "inHg", air)
    row: dict[str, object] = {
        "point": "saturation" if one.one_curve else point.curve,
        "fahrenheit": number(fahrenheit(point.kelvin), 1),
        "celsius": number(celsius(point.kelvin), 1),
        "psig": number(in_unit(point.pascal, "psig", air), 1),
        "psia": number(in_unit(point.pascal, "psia", air), 1),
        "vacuum": number(vacuum, 1) if vacuum > 0 else None,
        "bara": number(in_unit(point.pascal, "bara"), 2),
        "kpaa": number(in_unit(point.pascal, "kpaa"), 0),
        "of": "liquid" if point.curve == BUBBLE else "vapour",
    }
    if not isinstance(point.density, NoSoundData):
        row["density"] = number(point.density * POUNDS_A_FOOT3, 3)
        row["kilograms"] = number(point.density, 2)
    return row


def _answer(one: Properties, known: list[Point], reading: Reading, air: Air) -> str:
    """The two points in one line, in degrees or in gauge pressure, whichever was asked for."""
    words = {BUBBLE: "bubble point (liquid)", DEW: "dew point (vapour)"}
    if reading.pascal is not None:
        parts = [f"{words[p.curve]} {told(fahrenheit(p.kelvin))} F" for p in known]
        one_value = f"saturated at {told(fahrenheit(known[0].kelvin))} F"
    else:
        parts = [f"{words[p.curve]} {gauge(p.pascal, air)}" for p in known]
        one_value = f"saturated at {gauge(known[0].pascal, air)}"
    return f"{one.name} at {reading.written}: {one_value if one.one_curve else ', '.join(parts)}."


def gauge(pascal: float, air: Air) -> str:
    """A pressure as a gauge shows it: psig, or inches of vacuum under the air."""
    if pascal < air.pascal:
        return f"{told(in_unit(pascal, 'inHg', air))} inHg vacuum"
    return f"{told(in_unit(pascal, 'psig', air))} psig"


def _working(one: Properties, point: Point, reading: Reading, air: Air) -> Working:
    which = "saturation" if one.one_curve else f"{point.curve} point"
    result = (
        f"{fahrenheit(point.kelvin):.2f} F at {point.pascal / 1e3:.2f} kPa absolute"
        f" ({gauge(point.pascal, air)})"
    )
    sought = "the temperature at which" if reading.pascal is not None else "by"
    return Working(
        f"{one.name}, {which}",
        f"{sought} the logarithm of the absolute pressure over temperature, {CUBIC}"
        + (", is that of the pressure read" if reading.pascal is not None else ""),
        (Input("read", reading.written), Input("air", air.words), *provenance(one)),
        result,
    )


def _nothing(title: str, columns: tuple[Column, ...], why: NoSoundData, name: str) -> Table:
    """The answer of a refrigerant without sound data."""
    return Table(
        title, columns, [], answer=why.sentence(),
        notes=["Saturation values typed in from the maker's table are taken by superheat and"
               " subcooling (--saturation)."],
        cautions=[line for line in (caution(name),) if line],
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Pocket:
    """How a pocket table is laid out: whole degrees from, to and by, F or C; a unit; the air."""

    first: int
    last: int
    step: int
    degree: str
    unit: str
    air: Air


def pocket_table(name: str, pocket: Pocket) -> tuple[Table, list[Working]]:
    """The pressure-temperature table of a refrigerant.

    In psig a pressure under that of the air stands as inches of vacuum, as a gauge shows it; and
    in inches of vacuum one above the air stands as psig.
    """
    title = f"Pressure and temperature of {name}"
    one = properties(name)
    if isinstance(one, NoSoundData):
        return _nothing(title, _pocket_columns(one, pocket), one, name), []
    return pocket_of(one, pocket)


def pocket_of(one: Properties, pocket: Pocket) -> tuple[Table, list[Working]]:
    """The pressure-temperature table of properties that are there."""
    name = one.name
    title = f"Pressure and temperature of {name}"
    columns = _pocket_columns(one, pocket)
    first, last = _clipped(one, pocket)
    rows = [
        row for degrees in range(first, last + 1, pocket.step)
        if len(row := _pocket_row(one, pocket, degrees)) > 1
    ]  # fmt: skip
    degree = pocket.degree
    notes = [f"Gauge pressures against air of {pocket.air.words}."]
    if first > pocket.first or last < pocket.last:
        notes.append(
            f"Proven from {first} to {last} {degree} in these steps; beyond, no sound data."
        )
    notes += [
        why.sentence()
        for curve in (BUBBLE, DEW)
        if isinstance(why := one.range(curve), NoSoundData)
    ]
    if not one.one_curve:
        notes.append("Superheat is counted from the dew point, subcooling from the bubble point.")
    notes += _unit_notes(rows, pocket)
    answer = f"{name}, {first} to {last} {degree}, {pocket.unit}." if rows else _beyond(one)
    return Table(
        title, columns, rows, answer=answer, notes=[*notes, source_note(one)],
        cautions=[line for line in (caution(name),) if line],
    ), [Working(
        title, f"the logarithm of the absolute pressure over temperature, {CUBIC}",
        (Input("air", pocket.air.words), *provenance(one)), answer.rstrip("."),
    )]  # fmt: skip


def _unit_notes(rows: list[Row], pocket: Pocket) -> list[str]:
    """What the units mean that stand in the cells."""
    cells = [cell for row in rows for key, cell in row.items() if key != "temperature"]
    vacuum = pocket.unit == "inHg"
    if pocket.unit == "psig":
        vacuum = any(isinstance(cell, str) for cell in cells)
    notes = [VACUUM_NOTE] if vacuum else []
    if pocket.unit == "inHg" and any(isinstance(cell, str) for cell in cells):
        notes.append("psig: above the air, where there is no vacuum.")
    return notes


def _beyond(one: Properties) -> str:
    low, high = _ends(one)
    ends = f"{fahrenheit(low):.0f} to {fahrenheit(high):.0f} F"
    return f"No sound data for {one.name} at these temperatures; it reaches from {ends}."


def _ends(one: Properties) -> tuple[float, float]:
    known = [found for curve in (BUBBLE, DEW)
             if not isinstance(found := one.range(curve), NoSoundData)]  # fmt: skip
    return min(low for low, _ in known), max(high for _, high in known)


def _clipped(one: Properties, pocket: Pocket) -> tuple[int, int]:
    """The steps of the table that lie within the refrigerant's own range."""
    low, high = (fahrenheit(end) if pocket.degree == "F" else celsius(end) for end in _ends(one))
    below = max(0, ceil((low - pocket.first) / pocket.step))
    first = pocket.first + below * pocket.step
    last = first + floor((min(high, pocket.last) - first) / pocket.step) * pocket.step
    return first, last


def _pocket_columns(one: Properties | NoSoundData, pocket: Pocket) -> tuple[Column, ...]:
    places = PLACES[pocket.unit]
    curves = ("saturation",) if isinstance(one, Properties) and one.one_curve else (BUBBLE, DEW)
    headings = {"saturation": "Saturation", BUBBLE: "Bubble (liquid)", DEW: "Dew (vapour)"}
    return (
        Column("temperature", "Temperature", "number", pocket.degree, places=0),
        *(Column(curve, headings[curve], "number", pocket.unit, places=places)
          for curve in curves),
    )  # fmt: skip


def _pocket_row(one: Properties, pocket: Pocket, degrees: int) -> Row:
    kelvin = kelvin_of(degrees, pocket.degree)
    row: dict[str, object] = {"temperature": number(degrees, 0)}
    for curve in (BUBBLE, DEW):
        found = (one.bubble_pressure if curve == BUBBLE else one.dew_pressure)(kelvin)
        if not isinstance(found, NoSoundData):
            row["saturation" if one.one_curve else curve] = _pocket_cell(found, pocket)
    return row


def _pocket_cell(pascal: float, pocket: Pocket) -> object:
    if pocket.unit == "psig" and pascal < pocket.air.pascal:
        return f"{told(in_unit(pascal, 'inHg', pocket.air))} inHg"
    if pocket.unit == "inHg" and pascal > pocket.air.pascal:
        return f"{told(in_unit(pascal, 'psig', pocket.air))} psig"
    return number(in_unit(pascal, pocket.unit, pocket.air), PLACES[pocket.unit])
