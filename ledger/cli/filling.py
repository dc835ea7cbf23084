"""Commands before and after filling a cylinder: room, heel, hoses."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Annotated

import typer

from ledger.cli.answers import cut_of, name_of, refrigerant_name
from ledger.cli.common import (
    AsCsv,
    AsJson,
    AsOf,
    AsXlsx,
    BookOption,
    Explain,
    KnownAt,
    good,
    now,
    open_book,
)
from ledger.cli.output import Output, put
from ledger.facts.problems import refuse

if TYPE_CHECKING:
    from collections.abc import Sequence

    from ledger.answers.working import Working
    from ledger.facts.mass import Quantity
    from ledger.reports.heel_tables import Emptied, Hose
    from ledger.reports.table import Table

GoingIn = Annotated[
    str, typer.Option("--refrigerant", "-r", help="What is to go in; what is in it, if left out.")
]
Altitude = Annotated[
    str, typer.Option("--altitude", help="Altitude, 5280 ft or 1600 m; sea level if left out.")
]


def register(app: typer.Typer) -> None:
    """Put the commands on the app."""
    for command in (room, heel, hoses):
        app.command()(command)


def room(
    cylinders: Annotated[list[str], typer.Argument(help="Cylinders; all that can be filled again, if left out.")] = [],  # noqa: B006
    refrigerant: GoingIn = "", as_of: AsOf = "", known_at: KnownAt = "",
    explain: Explain = False, as_json: AsJson = False, as_csv: AsCsv = False, as_xlsx: AsXlsx = "",
    book: BookOption = "",
) -> None:  # fmt: skip
    """Before the job: the room left in a cylinder, its limit, and the gross weight to stop at."""
    from ledger.book.known import BookKnown
    from ledger.book.rooms import rooms, rooms_named
    from ledger.reports.room_table import room_table
    from ledger.reports.stock_tables import common

    output = Output(as_json, as_csv, as_xlsx)
    with open_book(book) as opened, opened.reading() as reader:
        cut = cut_of(reader, as_of, known_at)
        before = cut.known_at + 1 if cut.known_at else 0
        known = BookKnown(reader.connection, now(), opened.zone, before)
        what = refrigerant_name(reader, refrigerant)
        names = [name_of(reader, "cylinder", one) for one in cylinders]
        found = rooms_named(reader, known, cut, names, what) if names else rooms(
            reader, known, cut, what
        )  # fmt: skip
        table = room_table(found, _plain(output), **common(reader, cut))
        tell_table(table, [one.working() for one in found], explain, output, opened.zone)


def _plain(output: Output) -> bool:
    return not (output.as_json or output.as_csv or output.as_xlsx)


def tell_table(
    table: Table, workings: Sequence[Working], explain: bool, output: Output, zone: str = "",
) -> None:  # fmt: skip
    """Print the table, with the workings where they are asked for; dated where there is a zone."""
    from dataclasses import replace

    if explain and (output.as_json or output.as_xlsx):
        lines = [line.strip() for working in workings for line in working.to_lines()]
        table = replace(table, notes=[*table.notes, *lines])
    put(table, output, zone or "UTC", dated_as_of=bool(zone))
    if explain and _plain(output):
        for working in workings:
            typer.echo("\n".join(("", *working.to_lines())))


def heel(
    what: Annotated[str, typer.Argument(help="Refrigerant, R-410A, or a cylinder of the book.")],
    water: Annotated[str, typer.Option("--water-capacity", help="Water capacity of the cylinder; 29.5 lb if not known.")] = "",
    temperature: Annotated[str, typer.Option("--temperature", help="Of the cylinder; 77 F if left out.")] = "",
    evaporator: Annotated[str, typer.Option("--evaporator", help="Evaporating temperature of the system it was run into; 40 F if left out.")] = "",
    altitude: Altitude = "", explain: Explain = False, as_json: AsJson = False,
    as_csv: AsCsv = False, as_xlsx: AsXlsx = "", book: BookOption = "",
) -> None:  # fmt: skip
    """What is left in a cylinder called empty, by how it was emptied."""
    from dataclasses import replace

    from ledger.properties.heel import EVAPORATOR_F, ROOM_F
    from ledger.properties.units import read_air
    from ledger.reports.heel_tables import heel_table

    one = replace(
        _emptied(what, water, book),
        room_f=_fahrenheit(temperature, ROOM_F),
        evaporator_f=_fahrenheit(evaporator, EVAPORATOR_F),
        air=good(read_air(altitude, "")),
    )
    table, workings = heel_table(one)
    tell_table(table, workings, explain, Output(as_json, as_csv, as_xlsx))


def _emptied(what: str, water: str, book: str) -> Emptied:
    """A refrigerant with a typed or a typical water capacity, or a cylinder of the book."""
    from ledger.intake.fields import read_mass
    from ledger.properties.heel import TYPICAL_WATER
    from ledger.refrigerants.spelling import recognise

    typed = good(read_mass(water)) if water else None
    if typed is not None and typed.mass <= 0:
        raise refuse("amount-not-positive", f"The water capacity is {water}.",
                     "Give what is stamped on the cylinder, in pounds of water.")  # fmt: skip
    found = recognise(what)
    if not isinstance(found, str):
        return _of_cylinder(what, typed, book)
    basis = "typed" if typed else "a disposable of 25 to 30 lb; common practice, no source"
    return _of(found, typed.mass if typed else None, basis, TYPICAL_WATER)


def _of(refrigerant: str, water: int | None, basis: str, usual: Fraction) -> Emptied:
    from ledger.facts.mass import POUND
    from ledger.properties.heel import EVAPORATOR_F, ROOM_F
    from ledger.properties.units import SEA_LEVEL
    from ledger.reports.heel_tables import Emptied

    pounds = Fraction(water, POUND) if water else usual
    return Emptied(refrigerant, pounds, basis, ROOM_F, EVAPORATOR_F, SEA_LEVEL)


def _of_cylinder(what: str, typed: Quantity | None, book: str) -> Emptied:
    """A cylinder of the book: its refrigerant, its water capacity, and what it weighs."""
    from dataclasses import replace

    from ledger.book.cut import Cut
    from ledger.book.known import BookKnown
    from ledger.book.rooms import rooms_named
    from ledger.facts.mass import POUND, Mass
    from ledger.properties.heel import TYPICAL_WATER

    with open_book(book) as opened, opened.reading() as reader:
        name = name_of(reader, "cylinder", what)
        known = BookKnown(reader.connection, now(), opened.zone)
        (one,) = rooms_named(reader, known, Cut(), [name], "")
    water = typed or one.water
    basis = "typed" if typed else f"cylinder {name}"
    if water is None:
        usual = {"disposable": TYPICAL_WATER}.get(one.kind)
        if usual is None:
            raise refuse(
                "field-missing", f"The water capacity of cylinder {name} is not in the book.",
                "Add --water-capacity, or mend the cylinder.",
            )  # fmt: skip
        basis = "a disposable of 25 to 30 lb; common practice, no source"
    found = _of(one.filling.refrigerant, water.mass if water else None, basis, TYPICAL_WATER)
    if one.seen is None or one.tare is None or one.seen.book_then != one.book:
        return found
    net = Mass(max(0, one.seen.gross.mass - one.tare.weight.mass))
    if 10 * net > POUND * found.water:
        return found
    words = f"{one.seen.gross.written} gross on {one.seen.day} less tare {one.tare.weight.written}"
    return replace(found, weighed=net, weighed_words=f"{words}, {one.tare.basis}",
                   entries=(one.seen.entry,))  # fmt: skip


def _fahrenheit(text: str, usual: float) -> float:
    from ledger.properties.units import fahrenheit, read_temperature

    return fahrenheit(good(read_temperature(text, "f"))) if text else usual


def hoses(
    refrigerant: Annotated[str, typer.Argument(help="Refrigerant, R-410A.")],
    each: Annotated[
        list[str], typer.Option("--hose", help='A hose, bore x length in inches: "1/4 x 60", "3/8 x 72 vapour"; repeat for more.')
    ] = [],  # noqa: B006
    hook_ups: Annotated[int, typer.Option("--hook-ups", help="Hook-ups to count, a year's for one.")] = 1,
    temperature: Annotated[str, typer.Option("--temperature", help="Of what is in the hose; 90 F if left out.")] = "",
    explain: Explain = False, as_json: AsJson = False, as_csv: AsCsv = False, as_xlsx: AsXlsx = "",
) -> None:  # fmt: skip
    """What stays in the hoses at one hook-up, by bore, length, liquid or vapour."""
    from ledger.intake.fields import read_refrigerant
    from ledger.properties.hoses import LINE_F
    from ledger.reports.heel_tables import hose_table

    if hook_ups < 1 or hook_ups > 100_000:
        raise refuse("option-unfit", f"{hook_ups} hook-ups cannot be counted.",
                     "Give --hook-ups of 1 to 100,000.")  # fmt: skip
    found = [_hose(one) for one in each or ("3/16 x 60", "1/4 x 60", "3/8 x 60")]
    name = good(read_refrigerant(refrigerant, {}))
    table, workings = hose_table(name, found, _fahrenheit(temperature, LINE_F), hook_ups)
    tell_table(table, workings, explain, Output(as_json, as_csv, as_xlsx))


def _hose(text: str) -> Hose:
    """A hose as typed: bore x length in inches, then liquid (understood) or vapour."""
    import re

    from ledger.properties.hoses import LIQUID, PHASES
    from ledger.reports.heel_tables import Hose

    words = text.casefold().replace("vapor ", "vapour ").replace("in.", "").replace('"', "")
    words = re.sub(r"\bvapor\b", "vapour", words)
    shape = re.fullmatch(
        r"\s*(\d+/\d+|\d*\.?\d+)\s*(?:in)?\s*x\s*(\d+(?:\.\d+)?)\s*(?:in)?\s*(\w*)\s*", words
    )
    phase = (shape[3] or LIQUID) if shape else ""
    try:
        bore, length = (Fraction(shape[1]), Fraction(shape[2])) if shape else (0, 0)
    except ZeroDivisionError:
        bore, length = 0, 0
    if shape is None or phase not in PHASES or not 0 < bore <= 4 or not 0 < length <= 2400:
        raise refuse(
            "value-unclear", f'"{text}" is no hose.',
            'Write bore x length in inches, "1/4 x 60" or "3/8 x 72 vapour".',
        )  # fmt: skip
    return Hose(Fraction(bore), Fraction(length), phase, shape[1])
