"""How much a cylinder may hold: shares of its water capacity, the smallest of which is the limit.

Where the shares come from (law, guideline, density) is told beside each; the official text and
the cylinder's own marks decide.
"""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple

from ledger.facts.mass import Mass, Quantity, half_up
from ledger.facts.masters import UNKNOWN, Master

POUND_HUNDREDTH = 3_628_738_960
"""Counts in a hundredth of a pound."""


LIQUID_FULL = "liquid-full at 131 F"
"""The rule of the share at which liquid fills a cylinder at 131 F."""


class Share(NamedTuple):
    """One bound on a net, as a share of the water capacity.

    `rule` is the bound in words, `working` how the share is made of numbers; `cite` and
    `evidence` (a mark of `answers.working`) say where it comes from. `law` is True where it binds
    whoever fills the cylinder, False for a guideline that a maker of refrigerant need not keep.
    """

    rule: str
    share: Fraction
    working: str
    cite: str
    evidence: str
    law: bool


class Filling(NamedTuple):
    """What bounds the filling of a cylinder with one refrigerant, or with several.

    `shares` is never empty. `psig_131f` is the gauge pressure at 131 F, None where it is not
    known; `at_least` where that pressure is over the critical one and depends on the fill.
    `notes` say what is lacking, `data` the version of the property table that was used, empty
    where none was.
    """

    refrigerant: str
    shares: tuple[Share, ...]
    psig_131f: Fraction | None
    at_least: bool = False
    notes: tuple[str, ...] = ()
    data: str = ""

    def binding(self) -> Share:
        """The smallest share: the limit for whoever fills the cylinder in the field."""
        return _smallest(self.shares)

    def borne_by(self, psig: int) -> bool:
        """Whether 5/4 of a service pressure bears the pressure at 131 F, as far as it is known."""
        most = self.psig_131f
        return most is None or 4 * most.numerator <= 5 * psig * most.denominator

    def lawful(self) -> Share | None:
        """The smallest share that binds a maker too; None where no figure of it is known."""
        return min((one for one in self.shares if one.law), key=lambda one: one.share, default=None)


@lru_cache(maxsize=1024)
def _smallest(shares: tuple[Share, ...]) -> Share:
    return min(shares, key=lambda one: one.share)


def limit_of(share: Share, water: int) -> Mass:
    """The largest net of a share of a water capacity, in counts, never rounded up."""
    return Mass(int(water) * share.share.numerator // share.share.denominator)


class Tare(NamedTuple):
    """The empty weight of a cylinder: what, `measured` or `stamped`, and the entry that says so."""

    weight: Quantity
    basis: str
    entry: int


def tare_of(cylinder: Master, day: str = "") -> Tare | None:
    """The tare in force on an ISO day (now, where none is given): a measured one goes first.

    A cylinder filled or emptied since it left its maker weighs what a scale says; the stamp may
    stand for a whole lot.
    """
    for field, basis in (("measured tare", "measured"), ("stamped tare", "stamped")):
        for value in reversed(cylinder.history.get(field, ())):
            if day and value.since > day:
                continue
            if isinstance(value.value, list):
                return Tare(Quantity.from_body(value.value), basis, value.entry)
            break
    return None


def water_capacity(cylinder: Master) -> Quantity | None:
    """The water that fills a cylinder; None where it is not recorded."""
    found = cylinder.now("water capacity")
    return Quantity.from_body(found) if isinstance(found, list) else None


def service_pressure(cylinder: Master) -> tuple[int, str] | None:
    """The service pressure in psig and where it is read: its own field, else the specification.

    In marks of the 3 and 4 series the number after the specification is the service pressure
    (49 CFR 178.35(f)); in others, such as DOT-110A500W, it is not.
    """
    stamped = cylinder.now("service pressure psig")
    if isinstance(stamped, int) and stamped > 0:
        return stamped, f"{stamped} psig"
    return _pressure_in(cylinder.text("dot"))


@lru_cache(maxsize=1024)
def _pressure_in(dot: str) -> tuple[int, str] | None:
    """The service pressure that a specification mark names, with its words."""
    mark = dot.upper().replace(" ", "").replace("-", "").removeprefix("DOT").removeprefix("TC")
    for series in ("4BA", "4BW", "4B", "4E", "3AA", "3AL", "3A", "3E"):
        digits = mark.removeprefix(series)
        if digits != mark and digits[:3].isdigit():
            number = int(digits[: 4 if digits[:4].isdigit() else 3])
            return number, f"{number} psig (mark {dot})"
    return None


def rounded_down(mass: int) -> str:
    """A limit or a room left in decimal pounds, to the hundredth below: what is printed is safe."""
    return half_up(Fraction(mass // POUND_HUNDREDTH, 100), 2)


def rounded_up(mass: int) -> str:
    """An excess in decimal pounds, to the hundredth above."""
    return half_up(Fraction(-(-mass // POUND_HUNDREDTH), 100), 2)


def contents_named(refrigerants: Iterable[str]) -> tuple[str, ...]:
    """What is in a cylinder as a key: each refrigerant once, in order; nothing is `unknown`."""
    return tuple(sorted(dict.fromkeys(refrigerants))) or (UNKNOWN,)
