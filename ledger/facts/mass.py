"""Exact mass: every amount is a whole number of 1.25-nanogram counts.

One gram is 800,000,000 counts, so a hundredth of a pound, a hundredth of an ounce
and a tenth of a gram are all whole numbers and no sum is ever rounded
(1 lb = 453.59237 g exactly, the international avoirdupois pound).
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import NewType

Mass = NewType("Mass", int)
"""A mass as a count of 1.25 ng; may be negative where it is a difference."""

GRAM = Mass(800_000_000)
KILOGRAM = Mass(1000 * GRAM)
POUND = Mass(362_873_896_000)
OUNCE = Mass(POUND // 16)
NOTHING = Mass(0)

COUNTS_PER_UNIT: dict[str, int] = {"lb": POUND, "oz": OUNCE, "kg": KILOGRAM, "g": GRAM}
"""The units a scale or a label shows, each with its counts."""


@dataclass(frozen=True, slots=True)
class Quantity:
    """A mass as somebody wrote it: the exact amount and the words it was written in.

    `mass` is the amount in counts; `written` is the normalized text in the unit of the
    person who wrote it ("4.80 lb", "4 lb 8 oz", "3120 g"), printed back as it stands.
    """

    mass: Mass
    written: str

    def body(self) -> list[int | str]:
        """The canonical form in a journal body: [counts, written]."""
        return [int(self.mass), self.written]

    @classmethod
    def from_body(cls, body: list[int | str]) -> Quantity:
        """Read the canonical form back."""
        counts, written = body
        return cls(Mass(int(counts)), str(written))


def of_decimal(number: str, unit: str) -> Mass | None:
    """The exact mass of a plain decimal in one unit, or None where it is finer than a count.

    `number` is digits with an optional point ("4.8"); `unit` a key of COUNTS_PER_UNIT.
    """
    whole, _, part = number.partition(".")
    counts = int((whole or "0") + part) * COUNTS_PER_UNIT[unit]
    scale = 10 ** len(part)
    return None if counts % scale else Mass(counts // scale)


def half_up(value: Fraction, places: int) -> str:
    """A ratio as decimal text, rounded half away from zero, with thousands separators."""
    scale = 10**places
    scaled = abs(value) * scale
    number = (2 * scaled.numerator + scaled.denominator) // (2 * scaled.denominator)
    whole, part = divmod(number, scale)
    sign = "-" if value < 0 and number else ""
    return f"{sign}{whole:,}.{part:0{places}d}" if places else f"{sign}{whole:,}"


def in_unit(mass: int, unit: str) -> Fraction:
    """The exact number of `unit` (lb, oz, kg, g) in a mass."""
    return Fraction(mass, COUNTS_PER_UNIT[unit])


def pounds(mass: int, places: int = 2) -> str:
    """A mass in decimal pounds for print, without the unit, rounded half up: "1,234.50"."""
    return half_up(Fraction(mass, POUND), places)


def exact_decimal(mass: int, unit: str) -> str | None:
    """A mass as the shortest exact decimal of `unit`, or None where no finite decimal exists."""
    value = in_unit(mass, unit)
    denominator, places = value.denominator, 0
    for prime in (2, 5):
        count = 0
        while denominator % prime == 0:
            denominator //= prime
            count += 1
        places = max(places, count)
    if denominator != 1:
        return None
    return half_up(value, places).replace(",", "")


def quantity(mass: Mass, unit: str = "lb") -> Quantity:
    """A Quantity for a computed mass, written exactly in `unit`, else in the finest exact unit.

    Counts are 1.25 ng, so grams are always exact; pounds are tried first because the
    trade reads pounds.
    """
    for name in (unit, "lb", "oz", "g"):
        text = exact_decimal(mass, name)
        if text is not None and len(text.partition(".")[2]) <= 4:
            return Quantity(mass, f"{text} {name}")
    return Quantity(mass, f"{exact_decimal(mass, 'g')} g")
