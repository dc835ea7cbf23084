"""The room left in a cylinder before a job: its limit less what is in it, each with its basis.

What is in it is the greater of what the book says and what the last weighing says, so that a
difference nobody has explained yet does not fill a cylinder too far.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

from ledger.answers.uncertainty import Scale, Uncertainty, of_net
from ledger.answers.working import Input, RuleRef, Working
from ledger.facts.fill_limit import LIQUID_FULL, Filling, Tare, limit_of, rounded_down, rounded_up
from ledger.facts.mass import Mass, Quantity, half_up, in_unit, pounds

IGNORED = "Vapour above the liquid and oil in it are not counted; oil is lighter and takes room."
CAUTION = (
    "Stop at the limit: 80 % leaves room for liquid that expands as it warms; a full cylinder"
    " bursts. Less again where contents are oily or unknown (49 CFR 173.304, 173.304a)."
)


class Seen(NamedTuple):
    """The last weighing: gross, day, entry, the scale, and what the book said then, in counts."""

    gross: Quantity
    day: str
    entry: int
    scale: Scale
    book_then: int


@dataclass(frozen=True, slots=True)
class Room:
    """One cylinder before it is filled.

    `book` is what it holds by the book, in counts. `water` is None where no water capacity is
    recorded: there is no limit then. `water_entry` is the entry that says it. `speaks_against`
    are the sentences of what forbids filling it.
    """

    cylinder: str
    kind: str
    place: str
    filling: Filling
    water: Quantity | None
    water_entry: int
    tare: Tare | None
    book: int
    seen: Seen | None = None
    speaks_against: tuple[str, ...] = ()

    @property
    def limit(self) -> Mass | None:
        """The largest net, in counts."""
        return limit_of(self.filling.binding(), self.water.mass) if self.water else None

    @property
    def by_scale(self) -> Mass | None:
        """What it holds by the last weighing and what moved since; None without weight or tare."""
        if self.seen is None or self.tare is None:
            return None
        net = self.seen.gross.mass - self.tare.weight.mass
        return Mass(net + self.book - self.seen.book_then)

    @property
    def holds(self) -> Mass:
        """The greater of book and scale."""
        return Mass(max(self.book, self.by_scale if self.by_scale is not None else self.book, 0))

    @property
    def left(self) -> Mass | None:
        """The room left, in counts; below nothing it is over its limit."""
        return None if self.limit is None else Mass(self.limit - self.holds)

    @property
    def full_at_131f(self) -> Fraction | None:
        """The share of the cylinder its liquid fills at 131 F; None where no density is known."""
        for one in self.filling.shares:
            if one.rule == LIQUID_FULL and self.water is not None:
                whole = one.share * self.water.mass
                return Fraction(self.holds * whole.denominator, whole.numerator)
        return None

    @property
    def max_gross(self) -> Mass | None:
        """The gross weight to stop at."""
        limit = self.limit
        return Mass(limit + self.tare.weight.mass) if limit is not None and self.tare else None

    @property
    def uncertainty(self) -> Uncertainty:
        """How far a net by the scale can be off, by tare and display step."""
        if self.tare is None:
            return Uncertainty(())
        scale = self.seen.scale if self.seen else Scale()
        return of_net(scale, self.tare.weight.mass, self.tare.basis, self.tare.entry)

    def line(self) -> str:
        """The room left in one line, with the limit and its basis."""
        limit, left = self.limit, self.left
        if limit is None or left is None:
            return (
                f"The water capacity of {self.cylinder} is not in the book, so its limit is not"
                " known: stop at 80 % of it (49 CFR 173.304a)."
            )
        gross = f", {rounded_down(self.max_gross)} lb gross" if self.max_gross is not None else ""
        basis = f"limit {rounded_down(limit)} lb net{gross}: {self.filling.binding().rule}"
        if left < 0:
            return f"Cylinder {self.cylinder} is {rounded_up(-left)} lb over its limit ({basis})."
        return f"Room left in {self.cylinder}: {rounded_down(left)} lb ({basis})."

    def working(self) -> Working:
        """Limit, contents and room with their inputs."""
        binding = self.filling.binding()
        return Working(
            f"Room left in {self.cylinder}",
            "smallest limit less what is in it, the greater of book and scale",
            (*self._limits(), *self._contents()),
            self.line(),
            rules=(
                RuleRef("fill limit", f"{binding.rule} = {binding.working} of the water capacity",
                        binding.cite, binding.evidence),
            ),
            notes=(*self.filling.notes, IGNORED),
        )  # fmt: skip

    def _limits(self) -> list[Input]:
        found = [Input("contents", self.filling.refrigerant)]
        if self.filling.data:
            found.append(Input("densities", self.filling.data))
        if self.water is None:
            return [*found, Input("water capacity (WC)", "not recorded")]
        found.append(Input("water capacity (WC)", self.water.written, (self.water_entry,)))
        for one in self.filling.shares:
            net = rounded_down(limit_of(one, self.water.mass))
            found.append(Input(one.rule, f"{net} lb = WC x {one.working}; {one.cite}"))
        return found

    def _contents(self) -> list[Input]:
        found = [Input("by the book", f"{pounds(self.book)} lb")]
        if self.tare is not None:
            entries = (self.tare.entry,) if self.tare.entry else ()
            weight = f"{self.tare.weight.written}, {self.tare.basis}"
            found.append(Input("tare", weight, entries))
        if self.full_at_131f is not None:
            percent = half_up(100 * self.full_at_131f, 1)
            found.append(Input("liquid at 131 F", f"fills {percent} % of the cylinder"))
        if self.seen is not None and self.by_scale is not None:
            moved = self.book - self.seen.book_then
            since = f", {_signed(moved)} lb moved since" if moved else ""
            weighed = f"{self.seen.gross.written} gross on {self.seen.day}{since}"
            found.append(
                Input("by the scale", f"{pounds(self.by_scale)} lb: {weighed}", (self.seen.entry,))
            )
        if self.tare is not None:
            parts = ", ".join(
                f"{part.what} {half_up(in_unit(part.mass, 'lb'), 2)} lb"
                for part in self.uncertainty.parts
            )
            found.append(
                Input("a net by the scale is within", f"{self.uncertainty.text()} ({parts})")
            )
        return found


def _signed(counts: int) -> str:
    text = half_up(in_unit(1, "lb") * Fraction(counts), 2)
    return text if text.startswith("-") else f"+{text}"
