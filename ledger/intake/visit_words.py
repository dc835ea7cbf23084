"""The parts of a visit as a technician types them: "suction=118", "410-17=31.4,30.2,29.15"."""

from __future__ import annotations

import re
from collections.abc import Iterable

from ledger.facts.facts import Evidence
from ledger.facts.mass import Quantity
from ledger.facts.problems import Problem, refuse
from ledger.facts.visit import READINGS
from ledger.facts.weights import net_of
from ledger.intake.fields import read_mass

_NUMBER = re.compile(r"-?\d{1,6}(?:\.\d{1,3})?")


def _good(value: Quantity | Problem) -> Quantity:
    if isinstance(value, Problem):
        raise refuse(value.code, value.sentence, value.remedy)
    return value


def parted(text: str, what: str, like: str) -> tuple[str, str]:
    """The two sides of "name=value"; refused where one is not there."""
    name, sign, value = text.partition("=")
    if not sign or not name.strip() or not value.strip():
        raise refuse("value-unclear", f'"{text}" is no {what}.', f"Write it like {like}.")
    return name.strip(), value.strip()


def readings(moment: str, texts: Iterable[str]) -> list[tuple[str, str, str]]:
    """Readings of one moment: each a number in the unit of its name, that unit allowed behind."""
    found = []
    for text in texts:
        typed, value = parted(text, "reading", '"suction=118"')
        name = " ".join(typed.casefold().replace("-", " ").replace("_", " ").split())
        if name not in READINGS:
            raise refuse("value-unclear", f'"{typed}" is no reading.',
                         f"Readings: {', '.join(READINGS)}.")  # fmt: skip
        unit, _ = READINGS[name]
        if unit:
            bare = value[: -len(unit)].strip() if value.endswith(unit) else value
            if not _NUMBER.fullmatch(bare):
                raise refuse("value-unclear", f'"{value}" is no {name} in {unit}.',
                             f"Write a number, such as {name}=40.")  # fmt: skip
            value = f"{bare} {unit}"
        found.append((moment, name, value))
    return found


def told(text: str, unit: str) -> tuple[Quantity, Quantity]:
    """The pounds a customer was told it would take: "3" or "2 to 4"."""
    low, _, high = text.casefold().partition(" to ")
    first = _good(read_mass(low.strip(), unit))
    last = _good(read_mass(high.strip(), unit)) if high else first
    if first.mass <= 0 or last.mass < first.mass:
        raise refuse("value-unclear", f'"{text}" is no range of pounds.', 'Write it as "2 to 4".')
    return first, last


def weighed(
    text: str, direction: int, scale: str, unit: str
) -> tuple[str, Quantity, Evidence]:  # fmt: skip
    """A cylinder with its gross weights "410-17=31.4,30.2", or with the net alone "410-17=2.2"."""
    cylinder, value = parted(text, "cylinder with its weights", '"410-17=31.4,29.15"')
    parts = [part.strip() for part in value.split(",")]
    if len(parts) == 1:
        return cylinder, _good(read_mass(parts[0], unit)), Evidence("net", scale)
    found = net_of(None, tuple(_good(read_mass(part, unit)) for part in parts), direction, scale)
    if isinstance(found, Problem):
        raise refuse(found.code, found.sentence, found.remedy)
    return cylinder, *found


def work(texts: Iterable[str]) -> list[tuple[str, str]]:
    """What was done to which part: "flare nut=tightened"."""
    return [parted(text, "work on a part", '"flare nut=tightened"') for text in texts]
