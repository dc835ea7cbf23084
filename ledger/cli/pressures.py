"""Commands at the gauge: saturation, pt, superheat, subcooling, evacuation, properties.

None of them needs a book.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ledger.cli.common import AsCsv, AsJson, AsXlsx, Explain, good
from ledger.facts.problems import refuse

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from ledger.answers.working import Working
    from ledger.facts.mass import Mass
    from ledger.law.evacuation import Job
    from ledger.properties.units import Air
    from ledger.reports.difference_tables import Kind, Measured
    from ledger.reports.property_tables import Reading
    from ledger.reports.table import Table

Altitude = Annotated[
    str,
    typer.Option(
        "--altitude", help="Altitude of the gauge, 5280 ft or 1600 m; sea level if left out."
    ),
]
Barometer = Annotated[
    str,
    typer.Option(
        "--barometer", help="Pressure of the air, 24.6 inHg or 833 hPa, in place of an altitude."
    ),
]
Refrigerant = Annotated[str, typer.Argument(help="Refrigerant, R-410A.")]
Line = Annotated[
    str, typer.Option("--line", "-l", help="Temperature of the line, 52 F (a bare number is F).")
]
Gauge = Annotated[
    str,
    typer.Option(
        "--pressure",
        "-p",
        help="Pressure there: 118 (psig), 132.7 psia, 4 inHg (vacuum), 8.1 barg, 915 kPaa.",
    ),
]
TypedIn = Annotated[
    str,
    typer.Option(
        "--saturation",
        "-s",
        help="Saturation temperature from the maker's table, in place of ours.",
    ),
]


def register(app: typer.Typer) -> None:
    """Put the commands on the app."""
    # A reading may begin with a minus (-40 F), which would else be taken for an option.
    app.command(context_settings={"ignore_unknown_options": True})(saturation)
    for command in (pt, superheat, subcooling, evacuation, properties):
        app.command()(command)


def name_of(text: str) -> str:
    """The register's name; what is not understood at once is asked about as everywhere."""
    from ledger.refrigerants.spelling import recognise

    found = recognise(text)
    if isinstance(found, str):
        return found
    from ledger.intake.fields import read_refrigerant

    return good(read_refrigerant(text, {}))


def air_of(altitude: str, barometer: str) -> Air:
    """The air around the gauge from what was typed."""
    from ledger.properties.units import read_air

    return good(read_air(altitude, barometer))


def put_answer(
    table: Table, workings: Sequence[Working], explain: bool, as_json: bool, as_csv: bool,
    as_xlsx: str,
) -> None:  # fmt: skip
    """Hand the answer over in the form asked for, its workings where they are wanted."""
    from dataclasses import replace

    from ledger.cli.output import Output, put

    output = Output(as_json, as_csv, as_xlsx)
    if explain and (as_json or as_xlsx):
        lines = [line.strip() for working in workings for line in working.to_lines()]
        table = replace(table, notes=[*table.notes, *lines])
    put(table, output, "UTC", dated_as_of=False)
    if explain and not (as_json or as_csv or as_xlsx):
        for working in workings:
            typer.echo("\n".join(("", *working.to_lines())))


def saturation(
    refrigerant: Refrigerant,
    reading: Annotated[
        str, typer.Argument(help="A pressure (118 psig, 4 inHg, 8.1 bara) or a temperature (40 F, 4.4 C).")
    ],
    altitude: Altitude = "", barometer: Barometer = "", explain: Explain = False,
    as_json: AsJson = False, as_csv: AsCsv = False, as_xlsx: AsXlsx = "",
) -> None:  # fmt: skip
    """Bubble and dew point, either way: temperature from a pressure, or pressure from a temperature."""
    from ledger.reports.property_tables import saturation_table

    air = air_of(altitude, barometer)
    table, workings = saturation_table(name_of(refrigerant), _reading(reading, air), air)
    put_answer(table, workings, explain, as_json, as_csv, as_xlsx)


def _reading(text: str, air: Air) -> Reading:
    """A pressure or a temperature; a number alone could be either, and is asked about."""
    from ledger.properties.units import is_bare, is_temperature, read_pressure, read_temperature
    from ledger.reports.property_tables import Reading

    words = " ".join(text.split())
    if is_bare(words):
        raise refuse("quantity-unclear", f'"{words}" can be a pressure or a temperature.',
                     f"Write {words} psig or {words} F.")  # fmt: skip
    if is_temperature(words):
        return Reading(words, None, good(read_temperature(words)))
    return Reading(words, good(read_pressure(words, air)), None)


def pt(
    refrigerant: Refrigerant,
    first: Annotated[int, typer.Option("--from", help="First temperature, whole degrees.")] = -40,
    last: Annotated[int, typer.Option("--to", help="Last temperature, whole degrees.")] = 150,
    step: Annotated[int, typer.Option("--step", help="Degrees from row to row.")] = 5,
    in_celsius: Annotated[bool, typer.Option("--celsius", help="Degrees are C in place of F.")] = False,
    unit: Annotated[str, typer.Option("--unit", help="psig, psia, inHg (vacuum), barg, bara, kPag, kPaa.")] = "psig",
    altitude: Altitude = "", barometer: Barometer = "", explain: Explain = False,
    as_json: AsJson = False, as_csv: AsCsv = False, as_xlsx: AsXlsx = "",
) -> None:  # fmt: skip
    """The pressure-temperature table for the pocket; --xlsx makes the page to print."""
    from ledger.properties.units import PRESSURE_UNITS
    from ledger.reports.property_tables import Pocket, pocket_table

    known = {name.casefold(): name for name in PRESSURE_UNITS}
    if unit.casefold() not in known:
        raise refuse(
            "value-unclear",
            f'"{unit}" is no unit of pressure.',
            f"Choose {', '.join(PRESSURE_UNITS)}.",
        )
    if step < 1 or last < first or (last - first) // step > 1000:
        raise refuse("option-unfit", f"{first} to {last} by {step} makes no table.",
                     "Give --from below --to, and steps of 1 or more that make 1,000 rows at most.")  # fmt: skip
    degree = "C" if in_celsius else "F"
    pocket = Pocket(first, last, step, degree, known[unit.casefold()], air_of(altitude, barometer))
    table, workings = pocket_table(name_of(refrigerant), pocket)
    if as_xlsx and not (as_json or as_csv):
        _page(table, workings if explain else (), as_xlsx)
        return
    put_answer(table, workings, explain, as_json, as_csv, as_xlsx)


def _page(table: Table, workings: Sequence[Working], path: str) -> None:
    """The table on a page of its own, upright."""
    from dataclasses import replace

    from ledger.properties.tables import index
    from ledger.reports.definitions import Definition, Sheet
    from ledger.reports.workbook import write_workbook

    lines = [line.strip() for working in workings for line in working.to_lines()]
    table = replace(table, notes=[*table.notes, *lines])
    sheet = Sheet("table", "Pressure and temperature", tuple(table.columns))
    page = Definition("pt", table.title, (sheet,), orientation="portrait", footer=index().stamp)
    write_workbook(page, {"table": table}, Path(path), {})
    typer.echo(f"Wrote {path}.")


def superheat(
    refrigerant: Annotated[str, typer.Argument(help="Refrigerant, R-410A; may be left out with --saturation.")] = "",
    line: Line = "", pressure: Gauge = "", typed: TypedIn = "", altitude: Altitude = "",
    barometer: Barometer = "", explain: Explain = False, as_json: AsJson = False,
    as_csv: AsCsv = False, as_xlsx: AsXlsx = "",
) -> None:  # fmt: skip
    """Superheat: suction line less the dew point at its pressure."""
    from ledger.reports.difference_tables import SUPERHEAT

    air = air_of(altitude, barometer)
    measured = _measured(refrigerant, line, pressure, typed, air)
    _difference(SUPERHEAT, refrigerant, measured, air, explain, as_json, as_csv, as_xlsx)


def subcooling(
    refrigerant: Annotated[str, typer.Argument(help="Refrigerant, R-410A; may be left out with --saturation.")] = "",
    line: Line = "", pressure: Gauge = "", typed: TypedIn = "", altitude: Altitude = "",
    barometer: Barometer = "", explain: Explain = False, as_json: AsJson = False,
    as_csv: AsCsv = False, as_xlsx: AsXlsx = "",
) -> None:  # fmt: skip
    """Subcooling: bubble point at the liquid line's pressure less its temperature."""
    from ledger.reports.difference_tables import SUBCOOLING

    air = air_of(altitude, barometer)
    measured = _measured(refrigerant, line, pressure, typed, air)
    _difference(SUBCOOLING, refrigerant, measured, air, explain, as_json, as_csv, as_xlsx)


def _measured(refrigerant: str, line: str, pressure: str, typed: str, air: Air) -> Measured:
    """What was measured, read; a saturation typed in stands in place of pressure and refrigerant."""
    from ledger.cli.common import ask
    from ledger.properties.units import read_pressure, read_temperature
    from ledger.reports.difference_tables import Measured

    at = good(read_temperature(ask(line, "Temperature of the line", "--line"), "f"))
    if typed and pressure:
        raise refuse(
            "option-unfit", "The saturation is given twice.", "Give --pressure or --saturation."
        )
    if typed:
        return Measured(at, None, "", good(read_temperature(typed, "f")))
    if not refrigerant:
        raise refuse("field-missing", "The refrigerant is not given.",
                     "Name it, or type the saturation in with --saturation.")  # fmt: skip
    written = " ".join(ask(pressure, "Pressure there", "--pressure").split())
    pascal = good(read_pressure(written, air, "psig"))
    from ledger.properties.units import is_bare

    return Measured(at, pascal, f"{written} psig" if is_bare(written) else written, None)


def _difference(
    kind: Kind, refrigerant: str, measured: Measured, air: Air, explain: bool, as_json: bool,
    as_csv: bool, as_xlsx: str,
) -> None:  # fmt: skip
    from ledger.reports.difference_tables import difference_table

    name = name_of(refrigerant) if refrigerant else ""
    table, workings = difference_table(kind, name, measured, air)
    put_answer(table, workings, explain, as_json, as_csv, as_xlsx)


def evacuation(
    refrigerant: Annotated[str, typer.Argument(help="Refrigerant, R-410A; may be left out with --class.")] = "",
    charge: Annotated[str, typer.Option("--charge", help="Full charge of the appliance or isolated component.")] = "",
    made: Annotated[str, typer.Option("--machine-made", help="Day the recovery equipment was made or imported; a year will do.")] = "",
    class_: Annotated[str, typer.Option("--class", help="Pressure class in place of ours: low, medium, high, very high.")] = "",
    small: Annotated[bool, typer.Option("--small", help="Small appliance: made, charged and sealed in a factory, 5 lb or less.")] = False,
    not_running: Annotated[bool, typer.Option("--not-running", help="Its compressor does not run.")] = False,
    on: Annotated[str, typer.Option("--on", help="Day of the work; today if left out.")] = "",
    altitude: Altitude = "", barometer: Barometer = "", explain: Explain = False,
    as_json: AsJson = False, as_csv: AsCsv = False, as_xlsx: AsXlsx = "",
) -> None:  # fmt: skip
    """The level to evacuate to before opening or disposing (40 CFR 82.156, Table 1)."""
    from ledger.law.evacuation import evacuation as level
    from ledger.properties.pressure_class import pressure_class
    from ledger.refrigerants.register import register as all_refrigerants
    from ledger.reports.evacuation_table import EXEMPT_KINDS, evacuation_table

    name = name_of(refrigerant) if refrigerant else ""
    job = job_of(name, class_, charge, made, on, small, not not_running)
    found = level(job)
    if found is None:
        raise refuse("value-unclear", f"The levels were not in force on {job.on.isoformat()}.",
                     "Give the day of the work.")  # fmt: skip
    known = all_refrigerants().get(name)
    kinds = {part.component.chemical_class for part in known.composition} if known else set()
    question = bool(kinds) and kinds <= set(EXEMPT_KINDS)
    line = pressure_class(name) if name and not class_ else None
    near = line.near_a_line if line else None
    table = evacuation_table(name, found, air_of(altitude, barometer), question, near)
    put_answer(table, [found.working()], explain, as_json, as_csv, as_xlsx)


def job_of(
    name: str, class_: str, charge: str, made: str, on: str, small: bool, running: bool
) -> Job:
    """The job an evacuation level is asked for, from what was typed."""
    from datetime import date

    from ledger.cli.answers import day
    from ledger.cli.common import now
    from ledger.law.evacuation import CLASSES, Job
    from ledger.properties.pressure_class import pressure_class
    from ledger.refrigerants.register import register as all_refrigerants

    pressure = " ".join(class_.casefold().replace("-", " ").split())
    if pressure and pressure not in CLASSES:
        raise refuse(
            "value-unclear", f'"{class_}" is no pressure class.', f"Choose {', '.join(CLASSES)}."
        )
    if not (name or pressure):
        raise refuse("field-missing", "The refrigerant is not given.", "Name it, or give --class.")
    computed = pressure_class(name) if name else None
    known = all_refrigerants().get(name) if name else None
    job = Job(
        pressure or (computed.name if computed else ""),
        _charge(charge), _made(made),
        date.fromisoformat(day(on)) if on else now().date(),
        ozone=bool(known and known.ods), small=small, running=running,
    )  # fmt: skip
    _fits(job, charge, made)
    return job


def _fits(job: Job, charge: str, made: str) -> None:
    """Refuse what no appliance and no machine can be."""
    from ledger.facts.mass import POUND

    if job.charge is not None and job.charge <= 0:
        raise refuse("amount-not-positive", f"The full charge is {charge}.",
                     "Give it, or leave it out where it is not known.")  # fmt: skip
    if job.small and job.charge is not None and job.charge > 5 * POUND:
        raise refuse("option-unfit", f"A small appliance holds 5 lb or less, not {charge}.",
                     "Leave --small out, or put the charge right.")  # fmt: skip
    if job.machine_made is not None and job.machine_made > job.on:
        raise refuse("date-future", f"The equipment was made {made}, after the day of the work"
                     f" ({job.on.isoformat()}).", "Give the day on its plate.")  # fmt: skip
    if not job.small and not job.running:
        raise refuse("option-unfit", "--not-running matters for a small appliance only.",
                     "Leave it out, or add --small.")  # fmt: skip


def _charge(text: str) -> Mass | None:
    from ledger.intake.fields import read_mass

    if not text or text.casefold() == "unknown":
        return None
    return good(read_mass(text)).mass


def _made(text: str) -> date | None:
    """The day recovery equipment was made; of a year alone its first day, which decides all but 1993."""
    from datetime import date

    from ledger.cli.answers import day

    words = text.strip()
    if not words or words.casefold() == "unknown":
        return None
    if words.isascii() and words.isdigit() and len(words) == 4 and 1930 <= int(words) <= 2100:
        if int(words) == 1993:
            raise refuse("date-unclear", "1993 is the year in which the levels changed, on 15 November.",
                         "Give the day, or leave it out.")  # fmt: skip
        return date(int(words), 1, 1)
    return date.fromisoformat(day(words))


def properties(
    refrigerant: Annotated[str, typer.Argument(help="Refrigerant, R-410A; all if left out.")] = "",
    explain: Explain = False, as_json: AsJson = False, as_csv: AsCsv = False, as_xlsx: AsXlsx = "",
) -> None:  # fmt: skip
    """What is known of a refrigerant: pressure class, specific gravity, range and error bound."""
    from ledger.reports.property_list import properties_table

    table, workings = properties_table(name_of(refrigerant) if refrigerant else "")
    put_answer(table, workings, explain, as_json, as_csv, as_xlsx)
