"""Cylinders as they truly are, and the customers' circuits."""

from __future__ import annotations

from dataclasses import dataclass
from random import Random

from ledger.facts.facts import Described, Fact
from ledger.facts.mass import Mass, quantity
from tests.oracle.simshop.matter import BY_NAME, HOWS, lb
from tests.oracle.simshop.parameters import Parameters

DISPOSABLE, RECOVERY, HALF_TON = "disposable", "recovery", "half-ton"
_STAMPED = {DISPOSABLE: 7.0, RECOVERY: 27.5, HALF_TON: 340.0}
_CAPACITY = {DISPOSABLE: 29.5, RECOVERY: 47.6, HALF_TON: 1000.0}
FILL = {RECOVERY: 0.68, HALF_TON: 0.7}
"""How far the shop fills a cylinder, of its water capacity: well below any limit."""


@dataclass(slots=True)
class Cylinder:
    """A cylinder; all masses in counts, `stamped` the tare on its collar and `tare` the true one.

    `how` is how it will be emptied and `heel` what that leaves. `in_book` is whether its receipt
    was typed. `gone` is the day it left the shop for good, `lost` whether it was stolen,
    `error` what the last count read beyond its content.
    """

    name: str
    refrigerant: str
    kind: str
    stamped: int
    tare: int
    capacity: int
    content: int
    nominal: int
    place: str
    since: str
    how: str = ""
    heel: int = 0
    leak: int = 0
    sealed: bool = False
    in_book: bool = True
    gone: str = ""
    lost: bool = False
    recorded_place: str = ""
    error: int = 0

    @property
    def gross(self) -> int:
        """What it truly weighs."""
        return self.tare + self.content

    @property
    def usable(self) -> int:
        """What can still be charged out of it."""
        return max(0, self.content - self.heel)

    def room(self) -> int:
        """What the shop would still put into it."""
        return max(0, lb(FILL[self.kind] * self.capacity / lb(1)) - self.content)

    def described(self, place: str) -> Fact:
        """Its card, as the shop begins it."""
        fields: dict[str, object] = {
            "kind": self.kind, "refrigerant": self.refrigerant,
            "stamped tare": quantity(Mass(self.stamped)).body(),
            "water capacity": quantity(Mass(self.capacity)).body(), "place": place,
        }  # fmt: skip
        if self.kind == DISPOSABLE:
            fields["nominal"] = quantity(Mass(self.nominal)).body()
        else:
            fields["requalification due"] = "2029-12-31"
            fields["service pressure psig"] = 400
        if BY_NAME[self.refrigerant].flammable:
            fields["flammable"] = "yes"
        return Described("cylinder", self.name, fields, since=self.since, new="yes")


def new_cylinder(
    name: str, refrigerant: str, kind: str, day: str, place: str, p: Parameters, r: Random
) -> Cylinder:
    """A cylinder with its true tare, its leak and how it will be emptied, all drawn.

    A disposable is full and sealed, the others are empty.
    """
    what = BY_NAME[refrigerant]
    full = kind == DISPOSABLE
    within = max(-1.2, min(1.2, r.gauss(0, 1)))
    spread = p.tare_spread * (1 if kind != HALF_TON else 20)
    how = r.choices(HOWS, p.heel_hows)[0]
    off = max(0.3, r.gauss(1, p.heel_spread)) * p.heel_factor
    label = max(-1.0, min(1.0, r.gauss(0, 1))) * p.label_spread
    nominal = lb(what.nominal) if full else 0
    return Cylinder(
        name, refrigerant, kind, lb(_STAMPED[kind]), lb(_STAMPED[kind]) + lb(within * spread),
        lb(_CAPACITY[kind]), nominal + (lb(label) if full else 0), nominal, place, day,
        how=how, heel=lb(min(3.0, what.heels[HOWS.index(how)] * off)), sealed=full,
        leak=lb(p.leak_lb_a_day * r.uniform(0.3, 1)) if r.random() < p.leaking else 0,
        recorded_place=place,
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Circuit:
    """A customer's circuit; `full` its full charge in counts."""

    name: str
    site: str
    owner: str
    refrigerant: str
    full: int
