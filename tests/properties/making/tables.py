"""Puts the guarded curves of a refrigerant together, measures them, and writes the files."""

from __future__ import annotations

import json
import math
import sys
from array import array
from collections.abc import Callable
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import Any

from ledger.properties.curves import Curve
from ledger.properties.tables import INDEX, Comparison, file_name
from ledger.refrigerants.register import register
from tests.properties.making.fluids import LIQUID, VAPOUR, Fluid, build
from tests.properties.making.measuring import between, curve_error, kelvin_error
from tests.properties.making.points import Line, Unsound, guard_pair, line
from tests.properties.making.published import Result, held, printed_as_one, worst_found
from tests.properties.making.superheated import Vapour

COOLPROP = "8.0.0"
TABLE_VERSION = "1"

PRESSURE_WITHIN, LIQUID_WITHIN, VAPOUR_WITHIN = 2e-5, 2e-4, 2e-4
"""The share by which a value between nodes may differ; where it is more, the curve ends."""

FLOOR = {"pressure": 1e-5, "kelvin": 1e-3, "liquid": 1e-5, "vapour": 1e-5, "superheated": 1e-4}
"""No bound is stated smaller: the gas constants of libraries differ in the sixth digit."""

SAME_PAIRS = {"R-417B": "R-417A", "R-417C": "R-417A"}
"""Blends of the same components as one that misses its published table by percents."""

CURVE_OF = {LIQUID: "bubble", VAPOUR: "dew"}


@dataclass(slots=True)
class Made:
    """One refrigerant's table, and what is said of it in the index."""

    name: str
    source: str
    pure: bool
    critical_kelvin: float | None
    kilograms_a_mole: float
    bounds: dict[str, float] = field(default_factory=dict)
    compared: list[Comparison] = field(default_factory=list)
    filled: dict[str, list[float]] = field(default_factory=dict)
    dropped: dict[str, str] = field(default_factory=dict)
    parts: dict[str, dict[str, Any]] = field(default_factory=dict)
    values: dict[str, list[float]] = field(default_factory=dict)

    def put(self, name: str, start: float, values: list[float], **more: Any) -> None:
        """Add a curve or grid."""
        self.parts[name] = {"start": start, "count": len(values), "step": 1.0, **more}
        self.values[name] = values

    def curve(self, name: str) -> Curve:
        """A curve as the program reads it."""
        part = self.parts[name]
        return Curve(part["start"], part["step"], self.values[name])

    def drop(self, curve: str, reason: str) -> None:
        """Leave a curve out, and what rests on it."""
        with_it = {"bubble": ("bubble", "liquid"), "dew": ("dew", "vapour", "superheated", "hot")}
        for name in with_it[curve]:
            self.parts.pop(name, None)
            self.values.pop(name, None)
            if name != "hot":
                self.dropped[name] = reason
                self.bounds.pop(name, None)


def make(names: tuple[str, ...] = ()) -> tuple[list[Made], dict[str, str]]:
    """The tables of all refrigerants (or those named), and the reasons of those without."""
    made: list[Made] = []
    unsound: dict[str, str] = {}
    for name in names or register().names():
        found = register().get(name)
        assert found is not None
        try:
            made.append(one(name, found.kind))
        except Unsound as reason:
            unsound[name] = str(reason)
    for name, like in SAME_PAIRS.items():
        if like in unsound:
            made = [table for table in made if table.name != name]
            unsound[name] = f"of the same components as {like}, which is {unsound[like]}"
    return made, unsound


def one(name: str, kind: str) -> Made:
    """One refrigerant's table; Unsound with the reason where none of it can be trusted."""
    fluid = build(name, kind)
    if isinstance(fluid, str):
        raise Unsound(fluid)
    pure = kind == "pure"
    critical = None if fluid.mixture else fluid.critical
    made = Made(name, fluid.source, pure, critical, fluid.kilograms_a_mole)
    bubble = line(fluid, LIQUID)
    dew = line(fluid, VAPOUR)
    if not pure:
        guard_pair(bubble, dew, 1e-9)
    _curves(made, fluid, bubble, LIQUID)
    _curves(made, fluid, dew, VAPOUR)
    _superheated(made, fluid, dew)
    _hold(made)
    if not {"bubble", "dew"} & set(made.parts):
        raise Unsound(made.dropped["bubble"])
    return made


def _curves(made: Made, fluid: Fluid, found: Line, quality: int) -> None:
    """Pressure and density of one curve, each ended where a cubic no longer follows it."""
    which = CURVE_OF[quality]
    start, states = found.states[0].kelvin, found.states
    middles = between(fluid, quality, states)
    pressures = [math.log(state.pascal) for state in states]
    ended = _ended(start, pressures, [m and math.log(m.pascal) for m in middles], PRESSURE_WITHIN)
    error = curve_error(start, ended, [m and math.log(m.pascal) for m in middles])
    _widen(made, "pressure", error)
    _widen(made, "kelvin", kelvin_error(start, ended, middles))
    if not (made.pure and quality == VAPOUR):
        made.put(which, start, ended)
    density: Callable[[float], float] = (lambda x: x) if quality == LIQUID else math.log
    name = "liquid" if quality == LIQUID else "vapour"
    exact = [m and density(m.density) for m in middles]
    limit = LIQUID_WITHIN if quality == LIQUID else VAPOUR_WITHIN
    values = _ended(start, [density(state.density) for state in states], exact, limit,
                    relative=quality == LIQUID)  # fmt: skip
    made.put(name, start, values)
    _widen(made, name, curve_error(start, values, exact, relative=quality == LIQUID))
    inside = [kelvin for kelvin in found.filled if kelvin < start + len(ended)]
    if inside:
        made.filled[which] = [min(inside), max(inside)]


def _ended(
    start: float, values: list[float], exact: list[float | None], within: float,
    *, relative: bool = False,
) -> list[float]:  # fmt: skip
    """The values up to where a cubic between them is no longer within a share."""
    while len(values) > 40 and curve_error(start, values, exact, relative=relative) > within:
        values = values[:-1]
    if len(values) <= 40:
        raise Unsound("a cubic between its points does not follow them")
    return values


def _widen(made: Made, kind: str, error: float) -> None:
    """Twice the largest error found between nodes, to two digits, rounded up; FLOOR at least."""
    doubled = max(2 * error, FLOOR[kind])
    digits = 1 - math.floor(math.log10(doubled))
    bound = math.ceil(doubled * 10**digits) / 10**digits
    made.bounds[kind] = max(made.bounds.get(kind, 0.0), bound)


def _superheated(made: Made, fluid: Fluid, dew: Line) -> None:
    name = "bubble" if made.pure else "dew"
    top = int(made.curve(name).last)
    pressures = {round(s.kelvin): s.pascal for s in dew.states if s.kelvin <= top}
    vapour = Vapour(fluid, pressures)
    low = max(min(pressures), int(made.curve(name).first))
    parts = vapour.grids(low, int(made.curve("vapour").last))
    if parts is None:
        made.dropped["superheated"] = "its vapour is not followed by a grid within 0.1 %"
        return
    for grid, part in zip(("superheated", "hot"), parts, strict=True):
        made.put(grid, part.start, part.values, step=part.step, rows=part.rows)
    _widen(made, "superheated", vapour.error(*parts))


def _hold(made: Made) -> None:
    """Hold the curves against published tables, and drop those outside a table's tolerance."""

    def pressure(curve: str, kelvin: float) -> float | None:
        found = made.curve("bubble" if made.pure else curve)
        return math.exp(found.at(kelvin)) if found.first <= kelvin <= found.last else None

    def temperature(curve: str, pascal: float) -> float | None:
        found = made.curve("bubble" if made.pure else curve)
        inside = found.low <= math.log(pascal) <= found.high
        return found.inverse(math.log(pascal)) if inside else None

    results: list[Result] = list(held(made.name, pressure, temperature))
    together = printed_as_one(made.name)
    for result in results:
        made.compared.append(Comparison(result.source, result.kind, result.curve, result.deviation))
        if result.over and result.curve not in made.dropped:
            reason = f"off a published table ({result.over})"
            if together:
                raise Unsound(f"its {result.curve} point is {reason}, where bubble and dew are one")
            made.drop(result.curve, reason)
    made.compared += worst_found(made.name)


def write(folder: Path, made: list[Made], unsound: dict[str, str]) -> int:
    """Write every table and the index; the bytes written."""
    folder.mkdir(parents=True, exist_ok=True)
    for old in folder.iterdir():
        old.unlink()
    rows = {}
    for table in made:
        numbers = array("d")
        for name in table.parts:
            numbers.extend(table.values[name])
        if sys.byteorder == "big":
            numbers.byteswap()
        (folder / file_name(table.name)).write_bytes(numbers.tobytes())
        row = asdict(table)
        del row["name"], row["values"]
        rows[table.name] = row
    content = {
        "table_version": TABLE_VERSION,
        "coolprop": COOLPROP,
        "refrigerants": rows,
        "unsound": dict(sorted(unsound.items())),
    }
    text = json.dumps(content, separators=(",", ":"), ensure_ascii=False) + "\n"
    (folder / INDEX).write_text(text, encoding="utf-8")
    return sum(path.stat().st_size for path in folder.iterdir())
