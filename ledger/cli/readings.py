"""The command that takes the readings at a unit and says what they come to: readings.

It needs no book.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Annotated

import typer

from ledger.cli.common import AsCsv, AsJson, AsXlsx, Explain, good
from ledger.cli.pressures import Altitude, Barometer, air_of, job_of, name_of, put_answer
from ledger.facts.problems import refuse

if TYPE_CHECKING:
    from ledger.properties.units import Air
    from ledger.reports.readings_table import Readings

METERING = {"fixed": "fixed", "orifice": "fixed", "piston": "fixed", "capillary": "fixed",
            "txv": "valve", "txvs": "valve", "eev": "valve", "valve": "valve"}  # fmt: skip
"""Metering devices in the trade's words: a fixed orifice, or a valve that holds superheat."""

Degrees = "a bare number is F"


def register(app: typer.Typer) -> None:
    """Put the command on the app."""
    app.command()(readings)


def readings(
    refrigerant: Annotated[str, typer.Argument(help="Refrigerant, R-410A; may be left out with saturations typed in.")] = "",
    suction: Annotated[str, typer.Option("--suction", help="Suction pressure, 118 (psig) or with its unit.")] = "",
    suction_line: Annotated[str, typer.Option("--suction-line", help=f"Suction line temperature, 52 F ({Degrees}).")] = "",
    suction_saturation: Annotated[str, typer.Option("--suction-saturation", help="Suction saturation, in place of a pressure.")] = "",
    liquid: Annotated[str, typer.Option("--liquid", help="Liquid line or head pressure, 340 (psig) or with its unit.")] = "",
    liquid_line: Annotated[str, typer.Option("--liquid-line", help="Liquid line temperature, 95 F.")] = "",
    condensing_saturation: Annotated[str, typer.Option("--condensing-saturation", help="Condensing saturation, in place of a pressure.")] = "",
    return_air: Annotated[str, typer.Option("--return", help="Return air, dry bulb.")] = "",
    supply_air: Annotated[str, typer.Option("--supply", help="Supply air, dry bulb.")] = "",
    wet_bulb: Annotated[str, typer.Option("--wet-bulb", help="Return air, wet bulb.")] = "",
    lowest_return: Annotated[str, typer.Option("--lowest-return", help="Coolest return air expected, as at night.")] = "",
    outdoor: Annotated[str, typer.Option("--outdoor", help="Outdoor air at the condenser.")] = "",
    metering: Annotated[str, typer.Option("--metering", help="Metering device: fixed (orifice) or txv (valve).")] = "",
    target_superheat: Annotated[str, typer.Option("--target-superheat", help="The maker's superheat, degrees F.")] = "",
    target_subcooling: Annotated[str, typer.Option("--target-subcooling", help="The maker's subcooling, degrees F.")] = "",
    amps: Annotated[str, typer.Option("--amps", help="Amps drawn by the compressor.")] = "",
    rla: Annotated[str, typer.Option("--rla", help="Rated-load amps on its plate.")] = "",
    waited: Annotated[str, typer.Option("--waited", help="Minutes since the last stage of a charge.")] = "",
    microns: Annotated[str, typer.Option("--microns", help="Vacuum reached before charging.")] = "",
    opening: Annotated[bool, typer.Option("--opening", help="Say the level to evacuate to before opening (40 CFR 82.156).")] = False,
    charge: Annotated[str, typer.Option("--charge", help="Full charge, for the level before opening.")] = "",
    altitude: Altitude = "", barometer: Barometer = "", explain: Explain = False, as_json: AsJson = False,
    as_csv: AsCsv = False, as_xlsx: AsXlsx = "",
) -> None:  # fmt: skip
    """Superheat, subcooling, split, approach, coil, amps: what readings come to and what is unusual."""
    from ledger.reports.readings_table import Readings, readings_table

    air = air_of(altitude, barometer)
    for pressure, typed in ((suction, suction_saturation), (liquid, condensing_saturation)):
        if pressure and typed:
            raise refuse("option-unfit", "The saturation is given twice.",
                         "Give the pressure or the saturation.")  # fmt: skip
    if (suction or liquid) and not refrigerant:
        raise refuse("field-missing", "The refrigerant is not given.",
                     "Name it, or type the saturations in.")  # fmt: skip
    if bool(amps) != bool(rla):
        raise refuse("field-missing", "Amps are held against the RLA.", "Give --amps and --rla.")
    read = Readings(
        name_of(refrigerant) if refrigerant else "",
        _pressure(suction, air), _degrees(suction_saturation), _degrees(suction_line),
        _pressure(liquid, air), _degrees(condensing_saturation), _degrees(liquid_line),
        _degrees(return_air), _degrees(lowest_return), _degrees(supply_air), _degrees(wet_bulb),
        _degrees(outdoor), _metering(metering), _number(target_superheat, "F"),
        _number(target_subcooling, "F"), _number(amps, "A", above=0), _number(rla, "A", above=0),
        _number(waited, "min"), _number(microns, "microns"),
    )  # fmt: skip
    _fits(read)
    table, workings = readings_table(read, air, _level(read.refrigerant, charge, opening))
    put_answer(table, workings, explain, as_json, as_csv, as_xlsx)


def _fits(read: Readings) -> None:
    """Refuse an answer about nothing, and readings that cannot be."""
    from ledger.properties.units import fahrenheit
    from ledger.reports.readings_table import Readings

    bare = Readings(read.refrigerant, metering=read.metering)
    if read == bare:
        raise refuse("field-missing", "No reading is given.",
                     "Give some, such as --suction 118 --suction-line 52.")  # fmt: skip
    if (
        read.wet_bulb is not None
        and read.return_air is not None
        and read.wet_bulb > read.return_air
    ):
        raise refuse("value-unclear",
                     f"The wet bulb ({fahrenheit(read.wet_bulb):.1f} F) is over the dry bulb"
                     f" ({fahrenheit(read.return_air):.1f} F), which cannot be.",
                     "Look at the two thermometers.")  # fmt: skip
    if read.lowest_return is not None and read.return_air is None:
        raise refuse("field-missing", "The return air now is not given.", "Add --return.")


def _level(name: str, charge: str, opening: bool) -> str:
    """The level before opening in one line, as `evacuation` has it."""
    if not opening:
        if charge:
            raise refuse("option-unfit", "--charge is for the level before opening.",
                         "Add --opening, or leave it out.")  # fmt: skip
        return ""
    from ledger.law.evacuation import evacuation

    found = evacuation(job_of(name, "", charge, "", "", False, True))
    if found is None:
        return ""
    levels = "; ".join(f"{level.text} ({level.when})" for level in found.levels)
    return f"{levels} [40 CFR 82.156, Table 1; more with tarebook evacuation]."


def _degrees(text: str) -> float | None:
    from ledger.properties.units import read_temperature

    return good(read_temperature(text, "f")) if text else None


def _pressure(text: str, air: Air) -> float | None:
    from ledger.properties.units import read_pressure

    return good(read_pressure(text, air, "psig")) if text else None


def _number(text: str, unit: str, above: float | None = None) -> float | None:
    """A plain number, its unit allowed behind it."""
    if not text:
        return None
    found = re.fullmatch(
        rf"([0-9]{{1,6}}(?:\.[0-9]{{1,3}})?) ?(?:{unit})?", text.strip(), re.I | re.A
    )
    number = float(found[1]) if found else None
    if number is None or (above is not None and number <= above):
        raise refuse("value-unclear", f'"{text}" is not read as a number of {unit}.',
                     f"Write it like 9.8 {unit}.")  # fmt: skip
    return number


def _metering(text: str) -> str:
    words = text.strip().casefold()
    if words and words not in METERING:
        raise refuse("value-unclear", f'"{text}" is no metering device.', "Choose fixed or txv.")
    return METERING.get(words, "")
