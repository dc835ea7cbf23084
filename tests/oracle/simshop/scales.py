"""Scales as they are: display steps, a gain that is a little off, an offset, noise."""

from __future__ import annotations

from dataclasses import dataclass
from random import Random

from ledger.facts.mass import COUNTS_PER_UNIT, Mass, Quantity
from tests.oracle.simshop.matter import lb
from tests.oracle.simshop.parameters import Parameters


@dataclass(frozen=True, slots=True)
class Display:
    """What a scale can show: steps of `step` in the last of `places` decimals of a unit."""

    unit: str
    places: int
    step: int

    @property
    def counts(self) -> int:
        """One step in counts."""
        return self.step * COUNTS_PER_UNIT[self.unit] // int(10**self.places)

    def shown(self, counts: float) -> Quantity:
        """The nearest step, with the words on the display."""
        steps = max(0, round(counts / self.counts))
        whole, part = divmod(steps * self.step, 10**self.places)
        return Quantity(Mass(steps * self.counts), f"{whole}.{part:0{self.places}d} {self.unit}")


EXACT = Display("lb", 3, 1)
ON_TRUCKS = (
    Display("lb", 2, 1), Display("lb", 2, 2), Display("oz", 1, 5), Display("oz", 1, 1),
    Display("lb", 2, 5),
)  # fmt: skip
BENCH = (Display("lb", 2, 2), Display("lb", 1, 1), Display("lb", 1, 2))
FLOOR = (Display("lb", 1, 5), Display("lb", 1, 2))
HOOK = (Display("lb", 1, 1), Display("lb", 1, 2))


@dataclass(frozen=True, slots=True)
class Scale:
    """A scale: reading = mass x (1 + gain) + offset + noise, to the nearest step.

    `offset` and `noise` in counts. Zeroed with the cylinder on it, the offset drops out.
    """

    name: str
    display: Display
    gain: float
    offset: float
    noise: float

    def gross(self, true: int, r: Random) -> Quantity:
        """What it shows for a gross weight."""
        return self.display.shown(true * (1 + self.gain) + self.offset + self._noise(r))

    def net(self, true: int, r: Random) -> Quantity:
        """What it shows for a change since it was zeroed, at least one step."""
        found = self.display.shown(true * (1 + self.gain) + self._noise(r))
        return found if found.mass else self.display.shown(self.display.counts)

    def _noise(self, r: Random) -> float:
        # Nobody reads a display that jumps by more than three times its usual restlessness.
        return max(-3.0, min(3.0, r.gauss(0, 1))) * self.noise


def scale(
    name: str, displays: tuple[Display, ...], parameters: Parameters, r: Random, size: float = 1
) -> Scale:
    """A scale drawn for a shop; `size` multiplies offset and noise (a floor scale)."""
    display = r.choice(displays) if parameters.coarse else EXACT
    within = max(-2.0, min(2.0, r.gauss(0, 1)))
    return Scale(
        name,
        display,
        max(-2.0, min(2.0, r.gauss(0, 1))) * parameters.gain_spread,
        lb(1) * within * parameters.offset_spread * size,
        lb(1) * parameters.noise * size,
    )
