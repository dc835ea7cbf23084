"""What is aboard a truck against the materials-of-trade weights of 49 CFR 173.6.

The weights are gross: cylinder and contents. Other hazardous materials of the trade aboard
(nitrogen, torch gas, cleaners) count too; what is not in the book is not in the sum.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from ledger.answers.balances import lb
from ledger.answers.working import Input, RuleRef, Working


class Aboard(NamedTuple):
    """A cylinder on a truck: its gross in counts (None where nobody can say), how it is known.

    `least` is what it weighs at the least where the gross is not known: its contents by the book.
    """

    cylinder: str
    gross: int | None
    basis: str = ""
    entry: int = 0
    least: int = 0


class Load(NamedTuple):
    """What a truck carries, and the weights it is held against."""

    truck: str
    cylinders: tuple[Aboard, ...]
    each: int
    together: int
    rule: RuleRef

    @property
    def total(self) -> int:
        """The gross of all of them; at the least, where one is not known."""
        return sum(one.least if one.gross is None else one.gross for one in self.cylinders)

    @property
    def unknown(self) -> list[str]:
        """The cylinders whose gross nobody can say."""
        return [one.cylinder for one in self.cylinders if one.gross is None]

    @property
    def heavy(self) -> list[str]:
        """The cylinders over the weight for one."""
        return [one.cylinder for one in self.cylinders if (one.gross or 0) > self.each]

    @property
    def over(self) -> bool:
        """Whether the sum, or one cylinder, is over; what is unknown may add to it."""
        return self.total > self.together or bool(self.heavy)

    def sentence(self) -> str:
        """The answer in one line."""
        least = "at least " if self.unknown else ""
        count = len(self.cylinders)
        text = (
            f"{self.truck}: {least}{lb(self.total)} gross in {count}"
            f" cylinder{'' if count == 1 else 's'}, of {lb(self.together)} as materials of trade"
        )
        if self.heavy:
            text += f"; over {lb(self.each)} alone: {', '.join(self.heavy)}"
        if self.unknown:
            text += f"; no gross weight for {', '.join(self.unknown)}"
        if self.over:
            text += "; over, so the full rules for hazardous materials apply"
        mark = "" if self.rule.evidence == "read" else f", {self.rule.evidence}"
        return f"{text} ({self.rule.cite}{mark})."

    def working(self) -> Working:
        """The sum, cylinder by cylinder."""
        inputs = [
            Input(one.cylinder, _told(one), (one.entry,) if one.entry else ())
            for one in self.cylinders
        ]
        return Working(
            f"Gross aboard {self.truck}", "sum of cylinder and contents", tuple(inputs),
            lb(self.total), (self.rule,),
            ("Other hazardous materials aboard count too and are not in this sum.",),
        )  # fmt: skip


def _told(one: Aboard) -> str:
    if one.gross is None:
        return f"not known, at least {lb(one.least)} contents"
    return f"{lb(one.gross)}, {one.basis}"


def load_of(
    truck: str, cylinders: Iterable[Aboard], limits: tuple[int, int], rule: RuleRef
) -> Load:
    """The load of a truck; `limits` are the weights for one cylinder and for all, in counts."""
    found: Sequence[Aboard] = sorted(cylinders)
    return Load(truck, tuple(found), *limits, rule)
