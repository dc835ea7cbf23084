"""What the check weights say about each scale: readings, bias, spread, and the last check."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

from ledger.answers.working import Input, Working
from ledger.facts.mass import POUND, Mass, Quantity, half_up, in_unit

OUT_OF_USE = Mass(POUND // 10)
"""A scale off by more is taken out of use (workflow 3.4: common practice, weak source)."""


class Check(NamedTuple):
    """One check weight put on a scale: the day, the weight's own mass, what was read, the entry."""

    scale: str
    day: str
    entry: int
    weight: Quantity
    reading: Quantity

    @property
    def off(self) -> Mass:
        """Reading less weight, in counts: above nothing the scale reads high."""
        return Mass(self.reading.mass - self.weight.mass)


@dataclass(frozen=True, slots=True)
class ScaleBias:
    """The checks of one scale, in order of day and entry; there is at least one."""

    scale: str
    checks: tuple[Check, ...]

    @property
    def last(self) -> Check:
        """The last check."""
        return self.checks[-1]

    @property
    def bias(self) -> Fraction:
        """The mean of reading less weight, in counts."""
        return Fraction(sum(check.off for check in self.checks), len(self.checks))

    @property
    def spread(self) -> Mass:
        """The greatest less the least of reading less weight, in counts."""
        offs = [check.off for check in self.checks]
        return Mass(max(offs) - min(offs))

    @property
    def out_of_use(self) -> bool:
        """Whether the last check was off by more than a field check lets pass."""
        return abs(self.last.off) > OUT_OF_USE

    def working(self) -> Working:
        """Every check with its entry, and the mean."""
        inputs = tuple(
            Input(check.day, f"{check.reading.written} read, weight {check.weight.written}",
                  (check.entry,))
            for check in self.checks
        )  # fmt: skip
        return Working(
            f"Bias of scale {self.scale}", "mean of reading less check weight", inputs,
            f"{signed(self.bias)} lb, checks: {len(self.checks)}",
            notes=("A bias is told, not taken off: weights stay as they were read.",),
        )  # fmt: skip


def signed(counts: Fraction | int) -> str:
    """Counts as pounds with their sign, to the thousandth: "+0.031"."""
    text = half_up(in_unit(1, "lb") * counts, 3)
    return text if text.startswith("-") or not text.strip("0.") else f"+{text}"


def scale_biases(checks: Iterable[Check]) -> list[ScaleBias]:
    """Every scale that was ever checked, by name."""
    found: dict[str, list[Check]] = defaultdict(list)
    for check in checks:
        found[check.scale].append(check)
    return [
        ScaleBias(name, tuple(sorted(found[name], key=lambda one: (one.day, one.entry))))
        for name in sorted(found)
    ]
