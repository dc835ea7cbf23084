"""Heels by how a cylinder was emptied, and what hoses hold, as tables with their workings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from ledger.answers.working import Input, Working
from ledger.facts.mass import Mass, half_up, in_unit, pounds
from ledger.properties.heel import (
    INTO_SYSTEM,
    LIQUID_OUT,
    METHODS,
    TO_NOTHING,
    TO_VACUUM,
    VACUUM_INHG,
    WEIGHED,
    Heel,
    heel,
)
from ledger.properties.hoses import LIQUID, HoldUp, hold_up
from ledger.properties.no_data import NoSoundData
from ledger.properties.units import INHG, PSI, Air
from ledger.reports.property_words import POUNDS_A_FOOT3, caution, number, told
from ledger.reports.table import Column, Row, Table

HEEL_CAUTION = (
    "Evacuate to 15 in. Hg and sign the statement before scrap where it is asked (40 CFR 84.116"
    " from 2028; some states now)."
)
HOSE_CAUTION = (
    "Liquid shut in between two closed valves bursts a hose as it warms; gloves and eye protection."
)
OFF_COMPOSITION = (
    "What is left of a blend is not of its composition: pull it into a recovery cylinder, do not"
    " charge it as vapour."
)
COUNTED_ONCE = (
    "Counted once: inside the recorded net where the cylinder was weighed alone before and after,"
    " a line of its own where the scale was zeroed after the hoses were primed."
)

HEEL_COLUMNS = (
    Column("how", "How emptied"),
    Column("psig", "Pressure left", "number", "psig", places=1),
    Column("vacuum", "Vacuum", "number", "inHg", places=1),
    Column("density", "Vapour density", "number", "lb/ft3", places=3),
    Column("left", "Left", "mass"),
)
HOSE_COLUMNS = (
    Column("bore", "Bore", unit="in."),
    Column("length", "Length", "number", "in.", places=0),
    Column("phase", "Holds"),
    Column("ounces", "A hook-up", "mass", "oz", places=1),
    Column("left", "A hook-up", "mass", "lb", places=3),
    Column("year", "All hook-ups", "mass", "lb"),
)


@dataclass(frozen=True, slots=True)
class Emptied:
    """A cylinder called empty: its refrigerant, water capacity in pounds and where that is from.

    Temperatures in F. `weighed` is the net by a last weight, with its words and entries, where
    there is one: it goes before any table.
    """

    refrigerant: str
    water: Fraction
    basis: str
    room_f: float
    evaporator_f: float
    air: Air
    weighed: Mass | None = None
    weighed_words: str = ""
    entries: tuple[int, ...] = ()


def heel_table(one: Emptied) -> tuple[Table, list[Working]]:
    """What is left by each way to empty it, most first; the weighed figure where there is one."""
    title = f"Heel of {one.refrigerant}"
    rows: list[Row] = []
    notes: dict[str, None] = {}
    workings = []
    if one.weighed is not None:
        rows.append({"how": WEIGHED, "left": one.weighed})
        workings.append(_weighed(one))
    for method in METHODS:
        found = heel(one.refrigerant, method, one.water, one.room_f, one.evaporator_f, one.air)
        if isinstance(found, NoSoundData):
            notes[found.sentence()] = None
            continue
        rows.append(_heel_row(one, found))
        workings.append(_heel_working(one, found))
    water = f"{told(float(one.water))} lb of water ({one.basis})"
    where = f"at {told(one.room_f, 0)} F, cylinder of {water}"
    answer = _heel_answer(one, rows, where) if rows else next(iter(notes))
    more = [*(notes if rows else ())]
    if _blend(one.refrigerant):
        more.append(OFF_COMPOSITION)
    if workings:
        more.append(f"From {workings[-1].inputs[-1].value}; more with --explain.")
    table = Table(
        title, HEEL_COLUMNS, rows, answer=answer, notes=more,
        cautions=[HEEL_CAUTION, *filter(None, [caution(one.refrigerant)])],
    )  # fmt: skip
    return table, workings


def _blend(name: str) -> bool:
    from ledger.refrigerants.register import register

    found = register().get(name)
    return found is not None and found.zeotropic


def _heel_row(one: Emptied, found: Heel) -> Row:
    over = found.pascal - one.air.pascal
    return {
        "how": how_words(found.method, one.evaporator_f),
        "psig": number(over / PSI, 1) if over > -PSI / 20 else None,
        "vacuum": number(-over / INHG, 1) if over <= -PSI / 20 else None,
        "density": number(found.density * POUNDS_A_FOOT3, 3),
        "left": found.mass,
    }


def how_words(method: str, evaporator_f: float) -> str:
    """A way to empty a cylinder, with the evaporator it was run into."""
    return f"{method} at {told(evaporator_f, 0)} F" if method == INTO_SYSTEM else method


def _heel_answer(one: Emptied, rows: Sequence[Row], where: str) -> str:
    if one.weighed is not None:
        return f"{one.refrigerant}: {pounds(one.weighed)} lb left by the scale; {where}."
    first, last = rows[0], rows[-1]
    return (
        f"{one.refrigerant}: {pounds(_mass(first))} lb left with the {first['how']},"
        f" {pounds(_mass(last))} lb {last['how']}; {where}."
    )


def _mass(row: Row) -> Mass:
    found = row["left"]
    assert isinstance(found, int)
    return Mass(found)


_PRESSURE = {
    LIQUID_OUT: "dew pressure at the cylinder's temperature",
    INTO_SYSTEM: "dew pressure at the evaporator",
    TO_NOTHING: "the air around",
    TO_VACUUM: f"the air around less {VACUUM_INHG} inHg",
}


def _heel_working(one: Emptied, found: Heel) -> Working:
    feet = found.cubic_metres / 0.3048**3
    return Working(
        f"Heel of {one.refrigerant}, {how_words(found.method, one.evaporator_f)}",
        "density of the vapour x volume of the cylinder",
        (
            Input("water capacity", f"{told(float(one.water))} lb, {one.basis}", one.entries),
            Input("volume", f"{told(feet, 3)} ft3: 27.737 in3 a pound of water at 60 F"
                  " (49 CFR 173.304a(a)(2), note 1)"),
            Input("temperature", f"{told(one.room_f)} F"),
            Input("pressure", f"{told(found.pascal / PSI, 1)} psia: {_PRESSURE[found.method]}"),
            Input("density", f"{told(found.density * POUNDS_A_FOOT3, 3)} lb/ft3 of vapour"),
            Input("data", found.data),
        ),
        f"{pounds(found.mass)} lb",
    )  # fmt: skip


def _weighed(one: Emptied) -> Working:
    assert one.weighed is not None
    return Working(
        f"Heel of {one.refrigerant}, weighed", "gross less tare",
        (Input("weighed", one.weighed_words, one.entries),), f"{pounds(one.weighed)} lb",
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Hose:
    """One hose of a hook-up: bore and length in inches, what it holds, the bore as written."""

    bore: Fraction
    length: Fraction
    phase: str
    written: str


def hose_table(
    refrigerant: str, hoses: Sequence[Hose], line_f: float, hook_ups: int
) -> tuple[Table, list[Working]]:
    """What each hose holds at a hook-up, and at all hook-ups of a year."""
    rows: list[Row] = []
    workings: list[Working] = []
    notes: dict[str, None] = {}
    for one in hoses:
        found = hold_up(refrigerant, one.phase, one.bore, one.length, line_f)
        if isinstance(found, NoSoundData):
            notes[found.sentence()] = None
            continue
        rows.append(_hose_row(one, found, hook_ups))
        workings.append(_hose_working(one, found, line_f))
    total = Mass(sum(_mass(row) for row in rows))
    answer = next(iter(notes), "")
    if rows:
        answer = _hose_answer(refrigerant, rows, total, hook_ups, line_f)
    sources = [f"From {workings[-1].inputs[-1].value}; more with --explain."] if workings else []
    table = Table(
        f"{refrigerant} in hoses", HOSE_COLUMNS, rows, answer=answer,
        notes=[*(notes if rows else ()), COUNTED_ONCE, *sources],
        cautions=[HOSE_CAUTION, *filter(None, [caution(refrigerant)])],
    )  # fmt: skip
    return table, workings


def _hose_answer(
    refrigerant: str, rows: Sequence[Row], total: Mass, hook_ups: int, line_f: float
) -> str:
    at = f"{refrigerant} at {told(line_f, 0)} F"
    if len(rows) == 1:
        year = f", {pounds(total * hook_ups)} lb in {hook_ups} hook-ups" if hook_ups > 1 else ""
        return f"{at}: {pounds(total, 3)} lb a hook-up{year}."
    least, most = min(map(_mass, rows)), max(map(_mass, rows))
    return f"{at}: {pounds(least, 3)} to {pounds(most, 3)} lb a hose and hook-up."


def _hose_row(one: Hose, found: HoldUp, hook_ups: int) -> Row:
    return {
        "bore": one.written, "length": one.length, "phase": one.phase, "ounces": found.mass,
        "left": found.mass, "year": Mass(found.mass * hook_ups),
    }  # fmt: skip


def _hose_working(one: Hose, found: HoldUp, line_f: float) -> Working:
    state = "at its bubble point" if one.phase == LIQUID else "at its dew point"
    return Working(
        f"{found.refrigerant} {one.phase} in a hose of {one.written} in. bore",
        "density x pi / 4 x bore x bore x length",
        (
            Input("bore", f"{one.written} in."),
            Input("length", f"{told(float(one.length), 0)} in."),
            Input("volume", f"{told(found.cubic_inches, 3)} in3"),
            Input("density", f"{told(found.density * POUNDS_A_FOOT3, 3)} lb/ft3, {one.phase}"
                  f" {state}, {told(line_f)} F"),
            Input("data", found.data),
        ),
        f"{pounds(found.mass, 3)} lb = {half_up(in_unit(found.mass, 'oz'), 1)} oz",
    )  # fmt: skip
