"""Net pounds from gross weights, kept in the unit the scale showed."""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache
from itertools import pairwise

from ledger.facts.facts import Evidence
from ledger.facts.mass import COUNTS_PER_UNIT, OUNCE, POUND, Mass, Quantity, exact_decimal, quantity
from ledger.facts.problems import Problem

OUT, IN = -1, 1
"""Direction of a movement as seen by the cylinder on the scale."""


def _decimals(text: str) -> int:
    return len(text.split()[0].partition(".")[2]) if text else 0


def in_words_of(mass: Mass, *like: Quantity) -> Quantity:
    """A computed mass written as the scale would show it: same unit, as many decimals.

    Pounds-and-ounces stay pounds and ounces. Falls back to an exact unit where the shown
    one cannot hold the amount.
    """
    words = like[0].written.split()
    if "lb" in words and "oz" in words:
        whole, rest = divmod(mass, POUND)
        ounces = exact_decimal(rest, "oz")
        if mass >= 0 and ounces is not None:
            return Quantity(mass, f"{whole} lb {ounces} oz")
    return _shown(mass, words[-1], max(_decimals(one.written) for one in like))


@lru_cache(maxsize=16_384)
def _shown(mass: Mass, unit: str, places: int) -> Quantity:
    """A mass in one unit with at least so many decimals; kept, because nets repeat."""
    text = exact_decimal(mass, unit) if unit in COUNTS_PER_UNIT else None
    if text is None or len(text.partition(".")[2]) > 4:
        return quantity(mass)
    missing = places - len(text.partition(".")[2])
    if missing > 0:
        text = f"{text}{'' if '.' in text else '.'}{'0' * missing}"
    return Quantity(mass, f"{text} {unit}")


def net_of(
    amount: Quantity | None,
    readings: tuple[Quantity, ...],
    direction: int,
    scale: str = "",
) -> tuple[Quantity, Evidence] | Problem:
    """The net of one movement and the evidence for it.

    `readings` are the gross weights of the cylinder in the order they were read: none (only
    the net is known), two (before and after) or more (stages). `direction` is OUT where the
    cylinder gets lighter, IN where it gets heavier. An amount typed beside the weights must
    be the same to the last digit.
    """
    if not readings:
        if amount is None:
            return Problem("field-missing", "No amount was given.", "Give the pounds or weights.")
        return amount, Evidence("net", scale)
    if len(readings) == 1:
        return Problem(
            "field-missing",
            f"Only one gross weight was given ({readings[0].written}).",
            "Give the gross weight before and after.",
        )
    masses = [reading.mass for reading in readings]
    steps = [direction * (after - before) for before, after in pairwise(masses)]
    if min(steps) < 0:
        verb = "heavier" if direction == OUT else "lighter"
        return Problem(
            "weights-reversed",
            f"The cylinder got {verb} ({' to '.join(r.written for r in readings)}), which this"
            " movement cannot do.",
            "Check the order of the weights and which cylinder was on the scale.",
        )
    net = in_words_of(Mass(sum(steps)), readings[0], readings[-1])
    if amount is not None and amount.mass != net.mass:
        return Problem(
            "weights-disagree",
            f"The amount {amount.written} and the weights {readings[0].written} to"
            f" {readings[-1].written} ({net.written}) differ.",
            "Leave the amount out, or mend the weights.",
        )
    if len(readings) == 2:
        return net, Evidence("gross", scale, readings[0], readings[1])
    return net, Evidence("stages", scale, readings=readings)


def ounces_echo(amount: Quantity) -> str:
    """The other way to say a pound amount, so a slip is seen: "4.80 lb = 4 lb 12.8 oz"."""
    whole, rest = divmod(amount.mass, POUND)
    tenths = Fraction(rest * 10, OUNCE)
    rounded = (2 * tenths.numerator + tenths.denominator) // (2 * tenths.denominator)
    if rounded == 160:
        whole, rounded = whole + 1, 0
    return f"{whole} lb {rounded // 10}.{rounded % 10} oz"
