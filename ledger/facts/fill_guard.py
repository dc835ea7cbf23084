"""The guard on what goes into a cylinder: fill limit, flammable contents, service pressure.

It looks before anything is recorded; history goes in and keeps the mark. What a maker or an
earlier owner filled is held to the law alone, what is filled here to the guideline, too
(49 CFR 173.301, 173.304, 173.304a; AHRI Guideline K). The official text decides.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from ledger.facts.contents import Contents, Holding, Line
from ledger.facts.facts import Movement
from ledger.facts.fill_limit import (
    Filling,
    Tare,
    contents_named,
    limit_of,
    rounded_down,
    rounded_up,
    service_pressure,
    tare_of,
)
from ledger.facts.known import Known
from ledger.facts.mass import POUND, pounds
from ledger.facts.masters import Master
from ledger.facts.problems import Problem

if TYPE_CHECKING:
    from ledger.facts.checks import Side

Found = Iterator[Problem]

FILLED_HERE = frozenset(("recovery", "transfer"))
"""Purposes by which somebody of ours fills a cylinder."""
FILLED_BEFORE = frozenset(("receipt", "opening"))
"""Purposes that say what others had filled."""
LARGEST_DISPOSABLE = (55 * POUND, "at most 55 lb for a disposable, 49 CFR 178.65")
"""Water capacity of the largest disposable cylinder, and its source."""


def fill_problems(known: Known, side: Side, move: Movement) -> Found:
    """What speaks against putting a movement into the cylinder on its taking side."""
    cylinder = side.cylinder
    here = move.purpose in FILLED_HERE
    water = cylinder.now("water capacity")
    if not isinstance(water, list):
        water = LARGEST_DISPOSABLE if cylinder.text("kind") == "disposable" else None
        measured = False
    else:
        measured = True
    if water is not None:
        most, day = side.contents.highest_with(side.seen)
        if 4 * most > 5 * int(water[0]):
            yield _over_capacity(cylinder, most, water)
        elif measured and (here or move.purpose in FILLED_BEFORE):
            yield from _over_limit(known, side, move, most, day, here)
    if here:
        yield from _marked(known, cylinder, move)
        yield from _strong_enough(known, side, move)


def parts_of(contents: Contents, before: Holding, seen: Line) -> tuple[str, ...]:
    """The refrigerants in a cylinder once a movement is in it: as a rule the one it brings."""
    if before.total <= 0 or before.refrigerant in ("", seen.refrigerant):
        return (seen.refrigerant,)
    return contents_named((*put_together(contents, seen), seen.refrigerant))


def put_together(contents: Contents, until: Line | None = None) -> list[str]:
    """Every refrigerant that came into a cylinder since it was last empty, by a moment."""
    found: list[str] = []
    total = 0
    for line in contents.lines:
        if until is not None and line > until:
            break
        total += line.change
        if total <= 0:
            found = []
        elif line.change > 0:
            found.append(line.refrigerant)
    return found


def _over_capacity(cylinder: Master, most: int, water: Any) -> Problem:
    return Problem(
        "over-capacity",
        f"Cylinder {cylinder.name} would hold {pounds(most)} lb, more than"
        f" 125 % of its water capacity ({water[1]}).",
        "Check the weights; over-filled cylinders burst: stop and get the cylinder emptied.",
    )


def _over_limit(known: Known, side: Side, move: Movement, most: int, day: str, here: bool) -> Found:
    cylinder = side.cylinder
    filling = known.filling(parts_of(side.contents, side.before, side.seen))
    share = filling.binding() if here else filling.lawful()
    if share is None:
        return
    water = cylinder.now("water capacity")
    limit = limit_of(share, water[0])
    move_day = side.seen.day
    tare = tare_of(cylinder, move_day)
    by_scale = _on_the_scale(move, tare)
    how = ""
    if by_scale > max(most, limit):
        most, day, how = by_scale, move_day, " by the scale"
    if most <= limit:
        return
    gross = f" ({rounded_down(limit + tare.weight.mass)} lb gross)" if tare else ""
    when = f" on {day}" if day != move_day else ""
    excess = rounded_up(most - limit)
    yield Problem(
        "over-fill-limit",
        f"Cylinder {cylinder.name} would hold {pounds(most)} lb {filling.refrigerant}{how}{when},"
        f" {excess} lb over its fill limit of {rounded_down(limit)} lb net{gross}: {share.rule},"
        f" water capacity {water[1]}.",
        "Stop: liquid that fills a cylinder bursts it as it warms. Put the rest in another"
        f" cylinder; what is in it already comes out with tarebook transfer {excess} --from"
        f" {_quoted(cylinder.name)} --to CYLINDER ({share.cite}).",
    )


def _on_the_scale(move: Movement, tare: Tare | None) -> int:
    """The net by the last gross weight of a cylinder that was filled on the scale; else nothing."""
    how = move.evidence
    if how is None or tare is None or move.source.startswith("cylinder:"):
        return 0
    last = how.after or (how.readings[-1] if how.readings else None)
    return last.mass - tare.weight.mass if last else 0


def _marked(known: Known, cylinder: Master, move: Movement) -> Found:
    """Flammable refrigerant needs the mark; a cylinder the office has yet to enter has none."""
    if not known.flammable(move.refrigerant) or cylinder.provisional:
        return
    if cylinder.text("flammable") != "yes":
        yield Problem(
            "flammable-unmarked",
            f"{move.refrigerant} is flammable and cylinder {cylinder.name} is not marked for"
            " flammable refrigerant.",
            "Use a cylinder that is (red band, left-hand thread, rated relief). Where this one"
            f" carries the mark: tarebook mend cylinder {_quoted(cylinder.name)} --flammable yes.",
        )


def _strong_enough(known: Known, side: Side, move: Movement) -> Found:
    """Pressure at 131 F at most 5/4 of the service pressure (49 CFR 173.301(a)(8))."""
    pressure = service_pressure(side.cylinder)
    if pressure is None:
        return
    filling = known.filling(parts_of(side.contents, side.before, side.seen))
    if filling.borne_by(pressure[0]):
        return
    yield Problem(
        "service-pressure-low",
        f"Cylinder {side.cylinder.name} has a service pressure of {pressure[1]};"
        f" {filling.refrigerant} has {_pressure(filling)} at 131 F, more than 5/4 of that.",
        f"Use a cylinder of {_needed(filling)} psig or more (49 CFR 173.301(a)(8)).",
    )


def _pressure(filling: Filling) -> str:
    assert filling.psig_131f is not None
    least = "at least " if filling.at_least else ""
    return f"{least}{filling.psig_131f.numerator // filling.psig_131f.denominator} psig"


def _needed(filling: Filling) -> int:
    """The least service pressure in psig, to the ten above."""
    assert filling.psig_131f is not None
    least = filling.psig_131f * 4
    return -(-least.numerator // (least.denominator * 50)) * 10


def _quoted(name: str) -> str:
    return f'"{name}"' if " " in name else name
