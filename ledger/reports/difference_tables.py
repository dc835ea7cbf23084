"""Superheat and subcooling: a line's temperature against the saturation of its pressure."""

from __future__ import annotations

from dataclasses import dataclass

from ledger.answers.working import Input, Working
from ledger.properties.no_data import NoSoundData
from ledger.properties.saturation import Properties, properties
from ledger.properties.units import Air, fahrenheit, in_unit
from ledger.reports.property_tables import BUBBLE, DEW
from ledger.reports.property_words import (
    VACUUM_NOTE,
    caution,
    number,
    provenance,
    source_note,
    told,
)
from ledger.reports.table import Column, Table

COLUMNS = (
    Column("line", "Line", "number", "F", places=1),
    Column("saturation", "Saturation", "number", "F", places=1),
    Column("point", "Point"),
    Column("difference", "Difference", "number", "F", places=1),
    Column("celsius", "Difference", "number", "C", places=1),
    Column("basis", "Saturation from"),
)


@dataclass(frozen=True, slots=True)
class Measured:
    """What was measured at a line: its kelvin, and its pressure or a saturation typed in.

    `written` is the pressure as it was typed, empty where the saturation was.
    """

    line: float
    pascal: float | None
    written: str
    saturation: float | None


@dataclass(frozen=True, slots=True)
class Kind:
    """Superheat or subcooling: the point it is counted from and the way it is taken."""

    title: str
    curve: str
    formula: str
    below: str

    def of(self, line: float, saturation: float) -> float:
        """The difference in kelvin; more is more superheat or more subcooling."""
        return line - saturation if self.curve == DEW else saturation - line


SUPERHEAT = Kind(
    "Superheat", DEW, "temperature of the suction line less the dew point at its pressure",
    "below 0: liquid and vapour together, or a reading to look at again",
)  # fmt: skip
SUBCOOLING = Kind(
    "Subcooling", BUBBLE, "bubble point at the liquid line's pressure less the line's temperature",
    "below 0: vapour in the liquid line, or a reading to look at again",
)  # fmt: skip


def difference_table(
    kind: Kind, name: str, measured: Measured, air: Air
) -> tuple[Table, list[Working]]:
    """Superheat or subcooling with what it rests on; no sound data is said, and typed values taken.

    `name` may be empty where the saturation was typed in.
    """
    found = _saturation(kind, name, measured)
    if isinstance(found, NoSoundData):
        notes = ["Type the saturation temperature of the maker's table in with --saturation."]
        return _table(kind, name, [], found.sentence(), notes), []
    saturation, one = found
    by = kind.of(measured.line, saturation) * 1.8
    point = "saturation" if one is not None and one.one_curve else f"{kind.curve} point"
    basis = "typed in"
    if one is not None:
        basis = f"at {measured.written}, {told(in_unit(_pascal(measured), 'psia'))} psia"
    row = {
        "line": number(fahrenheit(measured.line), 1),
        "saturation": number(fahrenheit(saturation), 1), "point": point,
        "difference": number(by, 1), "celsius": number(by / 1.8, 1),
        "basis": "typed in" if one is None else f"{measured.written} of {name}",
    }  # fmt: skip
    notes = [] if one is None else [f"Gauge pressure against air of {air.words}.", source_note(one)]
    if "hg" in measured.written.casefold() and _pascal(measured) < air.pascal:
        notes.insert(1, VACUUM_NOTE)
    if by < 0:
        notes.insert(0, f"{kind.title} {kind.below}.")
    ends = f"{told(fahrenheit(measured.line))} F"
    from_ = f"{point} {told(fahrenheit(saturation))} F ({row['basis']})"
    answer = f"{kind.title} {told(by)} F: line {ends}, {from_}."
    working = Working(
        f"{kind.title}{f' of {name}' if name else ''}", kind.formula,
        (
            Input("line", f"{fahrenheit(measured.line):.2f} F"),
            Input(point, f"{fahrenheit(saturation):.2f} F, {basis}"),
            *(() if one is None else (Input("air", air.words), *provenance(one))),
        ),
        f"{by:.2f} F",
    )  # fmt: skip
    return _table(kind, name, [row], answer, notes), [working]


def _pascal(measured: Measured) -> float:
    assert measured.pascal is not None
    return measured.pascal


def _saturation(
    kind: Kind, name: str, measured: Measured
) -> tuple[float, Properties | None] | NoSoundData:
    """The saturation in kelvin and the properties it came from; None where it was typed in."""
    if measured.saturation is not None:
        return measured.saturation, None
    one = properties(name)
    if isinstance(one, NoSoundData):
        return one
    at = one.dew_temperature if kind.curve == DEW else one.bubble_temperature
    kelvin = at(_pascal(measured))
    return kelvin if isinstance(kelvin, NoSoundData) else (kelvin, one)


def _table(
    kind: Kind, name: str, rows: list[dict[str, object]], answer: str, notes: list[str]
) -> Table:
    title = f"{kind.title} of {name}" if name else kind.title
    lines = [line for line in (caution(name),) if line]
    return Table(title, COLUMNS, rows, answer=answer, notes=notes, cautions=lines)
