"""Names of units, refrigerants, cylinders and people as they are written on a sheet."""

from __future__ import annotations

import random
from dataclasses import dataclass

from tests.oracle.messy.paper import ASK, CERTAIN, WRONG, Cell, Job, Person, Shop

_NICKNAMES = (
    "the roof one by the hatch", "big one out back", "kitchen", "old blue", "left hand one",
    "unit 7B?",
)  # fmt: skip
_TANKS = ("tank 4", "R-tank", "the grey one", "Bo's bottle", "#2", "new cyl")
_SPLIT = {"R-407C": "407", "R-454B": "454", "R-134a": "134"}
"""Numbers that stand for more than one refrigerant when the letter is left out."""
_OTHERS = ("R-410A", "R-22", "R-404A", "R-134a", "R-407C")


@dataclass(frozen=True, slots=True)
class Named:
    """A cell with what it may name; `flag_ok` where a flag is as good as a question."""

    kind: str
    cell: Cell
    sure: str
    names: tuple[str, ...]
    flag_ok: bool = False


def sure_refrigerant(rng: random.Random, name: str) -> str:
    """A spelling that leaves no doubt."""
    bare = name.removeprefix("R-")
    return rng.choice((
        name, name, name, f"R{bare}", bare, f"r{bare.lower()}", f"R {bare}", f" {name}\u00a0",
        f"R-{bare.upper()}",
    ))  # fmt: skip


def doubtful_refrigerant(rng: random.Random, job: Job) -> Named:
    """The number alone, two at once, a colour, or another one than the unit holds."""
    name = job.refrigerant
    other = rng.choice([one for one in _OTHERS if one != name])
    if name in _SPLIT and rng.random() < 0.7:
        return Named("number without letter", _SPLIT[name], ASK, (name,))
    choice = rng.randrange(4)
    if choice == 0:
        text = f"{name.removeprefix('R-')}/{other.removeprefix('R-')}?"
        return Named("two refrigerants", text, ASK, ("unknown",), True)
    if choice == 1:
        return Named("no R-number", rng.choice(("the blue one", "pink tank")), ASK, (name,))
    return Named("another refrigerant than the unit's", other, WRONG, (other,), True)


def sure_unit(rng: random.Random, job: Job) -> tuple[str, str]:
    """The unit, with the circuit where it has several, in a spelling that leaves no doubt."""
    name = job.circuit
    if rng.random() < 0.12:
        return "unit spelled another way", rng.choice(
            (name.replace("-", " ", 1), name.replace("-", "", 1))
        )
    spelled = rng.choice((name, name, name, name.lower(), f"{name} ", f"{name}\u00a0", f" {name}"))
    return "", spelled


def doubtful_unit(rng: random.Random, shop: Shop, job: Job) -> Named:
    """A nickname, no unit, a unit of another site, one nobody knows, or no circuit."""
    if job.circuit != job.unit:
        both = tuple(unit.circuit for unit in shop.units if unit.unit == job.unit)
        return Named("unit without its circuit", job.unit, ASK, (*both, ""), True)
    elsewhere = [
        unit.circuit for unit in shop.units if unit.site != job.site and unit.circuit == unit.unit
    ]
    choice = rng.randrange(4)
    if choice == 0 and elsewhere:
        name = rng.choice(elsewhere)
        return Named("unit of another site", name, WRONG, (name,), True)
    if choice == 1:
        tag = job.unit.partition("-")[0]
        return Named("unit nobody knows", f"{tag}-{rng.randint(70, 99)}", ASK, ("",), True)
    if choice == 2:
        return Named("no unit", None, ASK, ("",), True)
    return Named("nickname of a unit", rng.choice(_NICKNAMES), ASK, (job.circuit, ""), True)


def person_cell(rng: random.Random, person: Person) -> tuple[str, Cell]:
    """A technician by name, initials or first name, now and then by initials nobody knows."""
    first, _, last = person.name.partition(" ")
    draw = rng.random()
    if draw < 0.04:
        return "initials nobody knows", "QX"
    if draw < 0.08:
        return "first name of a person", first
    if draw < 0.12:
        return "initial and last name", f"{first[0]}. {last}"
    return "", rng.choice((person.name, person.initials, person.initials, person.initials.lower()))


def cylinder_cell(rng: random.Random, name: str) -> Named:
    """A cylinder by its name or, now and then, by a nickname or not at all."""
    draw = rng.random()
    if draw < 0.08:
        return Named("nickname of a cylinder", rng.choice(_TANKS), CERTAIN, (name, ""))
    if draw < 0.14:
        return Named("no cylinder", None, CERTAIN, (name, ""))
    return Named("plain", rng.choice((name, name, name.lower(), f"{name} ")), CERTAIN, (name,))
