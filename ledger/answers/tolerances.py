"""When a difference is within tolerance, to explain, or for the owner to sign: the user's table.

No regulator publishes such figures. The defaults are ours (workflow 3.5) and a book may set its
own, level by level.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import NamedTuple

from ledger.facts.mass import NOTHING, POUND, Mass, half_up, in_unit

SETTING = "tolerance"
"""The kind of setting that holds a book's own figures for a level."""

WITHIN, EXPLAIN, OWNER_SIGNS = "within tolerance", "explain", "owner signs"


class Bound(NamedTuple):
    """A difference up to which a word holds: the greater of a mass and a percentage."""

    mass: Mass = NOTHING
    percent: Fraction = Fraction(0)

    def of(self, base: int) -> Fraction:
        """The bound in counts, `base` being what the percentage is of."""
        return max(Fraction(self.mass), self.percent * base * Fraction(1, 100))

    def text(self) -> str:
        """As it is typed and printed: "0.10 lb", "1 %", "1 % or 5 lb"."""
        parts = []
        if self.percent:
            parts.append(f"{_plain(self.percent)} %")
        if self.mass or not parts:
            parts.append(f"{_plain(in_unit(self.mass, 'lb'))} lb")
        return " or ".join(parts)

    def value(self) -> dict[str, object]:
        """As a setting keeps it: counts, and the percentage as a ratio of whole numbers."""
        ratio = [self.percent.numerator, self.percent.denominator]
        return {"counts": int(self.mass), "percent": ratio}


class Tolerance(NamedTuple):
    """One level: its name, what is compared, the two bounds, and what a percentage is of.

    `entry` is the entry that set it, 0 for our default.
    """

    name: str
    title: str
    within: Bound
    explain: Bound
    of_what: str = ""
    entry: int = 0

    def judged(self, difference: int, base: int = 0) -> str:
        """The word for a difference in counts, either way, with what a percentage is of."""
        size = abs(difference)
        if size <= self.within.of(base):
            return WITHIN
        return EXPLAIN if size <= self.explain.of(base) else OWNER_SIGNS


def _pounds(text: str) -> Mass:
    return Mass(int(Fraction(text) * POUND))


DEFAULTS: tuple[Tolerance, ...] = (
    Tolerance("same-scale", "one weighing against the book, same scale",
              Bound(_pounds("0.10")), Bound(_pounds("0.5"))),
    Tolerance("other-scale", "one weighing against the book, other scale or stamped tare",
              Bound(_pounds("0.5")), Bound(_pounds("1.5"))),
    Tolerance("reclaimer", "half-ton, our net against the reclaimer's",
              Bound(_pounds("5"), Fraction(1)), Bound(percent=Fraction(2)), "our net"),
    Tolerance("truck-week", "one truck, a week", Bound(_pounds("1")), Bound(_pounds("3"))),
    Tolerance("refrigerant-month", "one refrigerant, a month", Bound(percent=Fraction(1)),
              Bound(percent=Fraction(3)), "pounds issued"),
    Tolerance("no-destination", "a year's purchased pounds without a destination",
              Bound(), Bound(percent=Fraction(1, 2)), "pounds purchased"),
)  # fmt: skip
"""The levels in order, with our defaults (workflow 3.5; no regulator publishes one)."""


def tolerances(own: Mapping[str, tuple[dict[str, dict[str, object]], int]]) -> list[Tolerance]:
    """Every level, a book's own figures in place of ours.

    `own` maps a level to the value of its setting (see `setting_value`) and the entry number.
    """
    found = []
    for one in DEFAULTS:
        if one.name in own:
            value, entry = own[one.name]
            one = one._replace(
                within=_bound(value["within"]), explain=_bound(value["explain"]), entry=entry
            )
        found.append(one)
    return found


def setting_value(within: Bound, explain: Bound) -> dict[str, dict[str, object]]:
    """What a setting of a level holds."""
    return {"within": within.value(), "explain": explain.value()}


def _bound(value: Mapping[str, object]) -> Bound:
    counts, ratio = value["counts"], value["percent"]
    assert isinstance(counts, int) and isinstance(ratio, list)
    return Bound(Mass(counts), Fraction(ratio[0], ratio[1]))


def _plain(value: Fraction) -> str:
    """A figure with as many decimals as it needs, two at most."""
    text = half_up(value, 2)
    return text.rstrip("0").rstrip(".") if "." in text else text
