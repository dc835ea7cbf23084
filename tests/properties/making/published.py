"""Holds saturation curves against published tables, each within that table's own tolerance."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from ledger.properties.tables import Comparison
from ledger.properties.units import ATMOSPHERE, PSI, fahrenheit, kelvin_of

BASE_PSIA = 14.696
"""What the published gauge pressures were counted from."""
CIRCULAR = "library cross-check"
"""The kind of a row that only guards the library's version, and is evidence of nothing else."""

Pressure = Callable[[str, float], float | None]
"""The absolute pressure in pascal of a curve (bubble, dew) at a temperature in kelvin."""


@cache
def rows() -> dict[str, list[dict[str, Any]]]:
    """The published tables and boiling points."""
    path = Path(__file__).parents[1] / "published.toml"
    found: dict[str, list[dict[str, Any]]] = tomllib.loads(path.read_text(encoding="utf-8"))
    return found


@dataclass(frozen=True, slots=True)
class Result:
    """One published row held against a curve; `over` is what stands outside the tolerance."""

    id: str
    source: str
    kind: str
    curve: str
    deviation: str
    over: str


def held(name: str, pressure: Pressure, temperature: Pressure) -> Iterator[Result]:
    """Every published row of a refrigerant held against its curves."""
    for row in rows()["table"]:
        if row["refrigerant"] == name and row["kind"] != CIRCULAR:
            curve = "dew" if row["curve"] == "dew" else "bubble"
            yield _table(row, curve, lambda kelvin, curve=curve: pressure(curve, kelvin))
    for row in rows()["boiling"]:
        if row["refrigerant"] == name:
            for curve in ("bubble", "dew"):
                yield _boiling(row, curve, temperature(curve, ATMOSPHERE))


ONE_POINT = 0.5
"""Kelvin by which bubble and dew are printed apart, at most, where the two are as good as one."""


def printed_as_one(name: str) -> bool:
    """Whether a blend's bubble and dew point are printed as good as the same.

    One of its curves cannot be off and the other right: a mixture model that misses one of them
    has a glide that is not there.
    """
    return any(
        row["refrigerant"] == name and abs(row["dew_c"] - row["bubble_c"]) <= ONE_POINT
        for row in rows()["boiling"]
    )


def worst_found(name: str) -> list[Comparison]:
    """Deviations from tables that were looked at and whose rows are not kept here."""
    return [
        Comparison(row["source"], row["kind"], "saturation", row["deviation"])
        for row in rows()["worst"]
        if row["refrigerant"] == name
    ]


def off(row: dict[str, Any], fahrenheit: float, psig: float, pascal: float | None) -> float | None:
    """By how many tolerances a pressure is off a printed one; None where there is none."""
    if pascal is None:
        return None
    psia = psig + BASE_PSIA
    return abs(pascal / PSI - psia) / max(row["pct"] * psia / 100, row["psi"])


def _table(row: dict[str, Any], curve: str, pressure: Callable[[float], float | None]) -> Result:
    worst, over = 0.0, ""
    for degrees, psig in zip(row["fahrenheit"], row["psig"], strict=True):
        found = pressure(kelvin_of(degrees, "F"))
        measure = off(row, degrees, psig, found)
        if found is None or measure is None:
            continue
        share = (found / PSI) / (psig + BASE_PSIA) - 1
        worst = max(worst, share, key=abs)
        if measure > 1:
            over = over or f"{share * 100:+.1f} % of the absolute pressure at {degrees:g} F"
    return Result(row["id"], row["source"], row["kind"], curve, f"{worst * 100:+.2f} % psia", over)


def _boiling(row: dict[str, Any], curve: str, kelvin: float | None) -> Result:
    printed = row[f"{curve}_c"] + 273.15
    by = 0.0 if kelvin is None else kelvin - printed
    over = ""
    if kelvin is None or abs(by) > row["kelvin_tolerance"]:
        what = "nothing" if kelvin is None else f"{by * 1.8:+.1f} F"
        over = f"{what} at 1 atm, {fahrenheit(printed):.1f} F printed"
    return Result(row["id"], row["source"], row["kind"], curve, f"{by * 1.8:+.2f} F at 1 atm", over)
