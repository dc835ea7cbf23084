"""How far a weight, or the difference of two, can be off: display step, other scale, tare.

Every part stands for itself with its basis; parts that have nothing to do with each other add as
the root of the sum of their squares, rounded up. What is one-sided (heel, hoses, oil) is no
uncertainty and does not belong here.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import isqrt
from typing import NamedTuple

from ledger.answers.working import Input, Working
from ledger.facts.mass import POUND, Mass, half_up, in_unit

UNKNOWN_STEP = Mass(POUND // 10)
"""Display step where no scale, or no step of it, is recorded: the coarser of the common ones,
0.1 lb (workflow 3.4, common practice, no source)."""
OTHER_SCALE = Mass(POUND // 10)
"""How far two scales may differ: what a field check lets pass (workflow 3.4, weak source)."""
STAMPED_TARE = Mass(POUND // 2)
"""A stamped tare of a 30 to 50 lb cylinder, until it is measured empty and evacuated (workflow
3.4, common practice: a maker may stamp one tare for a lot)."""
LARGE_TARE = Mass(100 * POUND)
"""From this tare on a stamp is good to 2 % instead (half-ton, ton)."""
STAMPED_PERCENT = 2


class Scale(NamedTuple):
    """A scale as far as an uncertainty needs it: its name (empty: not recorded) and display step
    in counts (0: not recorded), with the entry that says so."""

    name: str = ""
    step: int = 0
    entry: int = 0


class Part(NamedTuple):
    """One thing that a figure can be off by, either way: what, how much in counts, why so much."""

    what: str
    mass: Mass
    basis: str
    entry: int = 0


@dataclass(frozen=True, slots=True)
class Uncertainty:
    """How far a figure can be off either way, with its parts."""

    parts: tuple[Part, ...]

    @property
    def mass(self) -> Mass:
        """The root of the sum of the squares of the parts, in counts, rounded up."""
        squares = sum(part.mass * part.mass for part in self.parts)
        root = isqrt(squares)
        return Mass(root + (root * root < squares))

    def text(self) -> str:
        """In pounds, half up to the hundredth and never printed as nothing: "0.04 lb"."""
        if not self.parts:
            return "not known"
        pounds = in_unit(max(self.mass, POUND // 100), "lb")
        return f"{half_up(pounds, 2)} lb"

    def working(self, title: str) -> Working:
        """The parts and how they add."""
        inputs = tuple(
            Input(part.what, f"{half_up(in_unit(part.mass, 'lb'), 3)} lb, {part.basis}",
                  (part.entry,) if part.entry else ())
            for part in self.parts
        )  # fmt: skip
        formula = "root of the sum of the squares of what it can be off by"
        return Working(title, formula, inputs, f"within {self.text()} either way")


def of_reading(scale: Scale, what: str = "reading") -> Part:
    """One reading of a scale: off by as much as its display step."""
    if scale.step > 0:
        return Part(what, Mass(scale.step), f"display step of scale {scale.name}", scale.entry)
    named = f"scale {scale.name} has no display step on record" if scale.name else "no scale named"
    return Part(what, UNKNOWN_STEP, f"{named}: a step of 0.1 lb is assumed")


def of_difference(before: Scale, after: Scale) -> Uncertainty:
    """Two gross weights of one cylinder: the tare is in both and drops out.

    On one scale its bias drops out, too; on two, or where one is not named, it does not.
    """
    parts = [of_reading(before, "first reading"), of_reading(after, "second reading")]
    if not before.name or before.name != after.name:
        parts.append(_between())
    return Uncertainty(tuple(parts))


def of_net(scale: Scale, tare: int, tare_basis: str, tare_entry: int = 0) -> Uncertainty:
    """A gross weight less a tare, in counts; `tare_basis` is measured or stamped.

    A measured tare was read on a scale nobody remembers: a step of its own and another scale.
    """
    parts = [of_reading(scale, "gross weight")]
    if tare_basis == "measured":
        parts.append(Part("measured tare", UNKNOWN_STEP, "read on a scale once", tare_entry))
        parts.append(_between())
    elif tare >= LARGE_TARE:
        share = Mass(-(-tare * STAMPED_PERCENT // 100))
        basis = f"{STAMPED_PERCENT} % of a tare from {half_up(in_unit(LARGE_TARE, 'lb'), 0)} lb on"
        parts.append(Part("stamped tare", share, basis, tare_entry))
    else:
        parts.append(Part("stamped tare", STAMPED_TARE, "until measured empty and evacuated",
                          tare_entry))  # fmt: skip
    return Uncertainty(tuple(parts))


def together(found: Iterable[Uncertainty]) -> Uncertainty:
    """Several figures added up: what one scale is off by in each is taken as by chance."""
    return Uncertainty(tuple(part for one in found for part in one.parts))


def _between() -> Part:
    return Part("two scales", OTHER_SCALE, "what a check of a scale in the field lets pass")
