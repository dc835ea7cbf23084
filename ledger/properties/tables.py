"""Loads the generated property tables: one small index, and one file a refrigerant when asked."""

from __future__ import annotations

import json
import sys
from array import array
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from ledger.properties.curves import Curve, Grid

FOLDER = Path(__file__).parent / "tables"
INDEX = "index.json"

CURVES = ("bubble", "dew", "liquid", "vapour")
"""The curves a table may have over temperature: the logarithm of the bubble and of the dew
pressure in pascal, the density of saturated liquid and the logarithm of that of saturated
vapour in kg/m3."""
GRIDS = ("superheated", "hot")
"""The compressibility of superheated vapour, over temperature and over the share of the highest
pressure: the dew pressure in `superheated`, that at its last temperature in `hot`."""


@dataclass(frozen=True, slots=True)
class Comparison:
    """One published table a refrigerant was held against: the worst deviation found."""

    source: str
    kind: str
    curve: str
    deviation: str


@dataclass(frozen=True, slots=True)
class Record:
    """What the index says of one refrigerant.

    `source` is CoolProp's name; a `pure` refrigerant has one saturation curve. `bounds` are the
    errors of interpolation against CoolProp, the largest found and doubled, by kind: `pressure`
    (share of the absolute pressure), `kelvin`, `liquid`, `vapour` and `superheated` (shares of
    the density). `compared` are the published tables; `filled` says over what temperatures
    CoolProp's own solver gave up, and the equal-fugacity solver stepped in. `dropped` gives the
    reason for each curve that is not there.
    """

    name: str
    source: str
    pure: bool
    critical_kelvin: float | None
    kilograms_a_mole: float
    bounds: Mapping[str, float]
    compared: tuple[Comparison, ...]
    filled: Mapping[str, tuple[float, float]]
    dropped: Mapping[str, str]
    parts: Mapping[str, Mapping[str, Any]]


@dataclass(frozen=True, slots=True)
class Index:
    """The versions behind the tables, the records, and the refrigerants without sound data."""

    table_version: str
    coolprop: str
    records: Mapping[str, Record]
    unsound: Mapping[str, str]

    @property
    def stamp(self) -> str:
        """Table and library in a few words, as printed with derived figures."""
        return f"property table {self.table_version} of CoolProp {self.coolprop}"


@dataclass(frozen=True, slots=True)
class Table:
    """The curves and grids of one refrigerant."""

    curves: Mapping[str, Curve]
    grids: Mapping[str, Grid]


@cache
def index() -> Index:
    """The shipped index, read once in a process."""
    return read_index(FOLDER)


def read_index(folder: Path) -> Index:
    """The index of a folder of tables."""
    content = json.loads((folder / INDEX).read_text(encoding="utf-8"))
    return Index(
        content["table_version"],
        content["coolprop"],
        {name: _record(name, row) for name, row in content["refrigerants"].items()},
        content["unsound"],
    )


def _record(name: str, row: Mapping[str, Any]) -> Record:
    return Record(
        name,
        row["source"],
        row["pure"],
        row["critical_kelvin"],
        row["kilograms_a_mole"],
        row["bounds"],
        tuple(Comparison(**one) for one in row["compared"]),
        {curve: (band[0], band[1]) for curve, band in row["filled"].items()},
        row["dropped"],
        row["parts"],
    )


def load(record: Record, folder: Path = FOLDER) -> Table:
    """The table of one refrigerant: little-endian doubles, its parts one after another."""
    numbers = array("d")
    numbers.frombytes((folder / file_name(record.name)).read_bytes())
    if sys.byteorder == "big":
        numbers.byteswap()
    curves: dict[str, Curve] = {}
    grids: dict[str, Grid] = {}
    begin = 0
    for name, part in record.parts.items():
        values = numbers[begin : begin + part["count"]]
        begin += part["count"]
        if name in CURVES:
            curves[name] = Curve(part["start"], part["step"], values)
        else:
            grids[name] = Grid(part["start"], part["step"], part["rows"], values)
    if record.pure and "bubble" in curves:
        curves["dew"] = curves["bubble"]
    if begin != len(numbers):
        raise ValueError(f"{file_name(record.name)} does not hold what {INDEX} says")
    return Table(curves, grids)


def file_name(refrigerant: str) -> str:
    """The file of a refrigerant's table."""
    return f"{refrigerant}.bin"
