"""A shop in miniature whose cylinders stand on scales, and the commands its people type.

What is true is kept here as gross weights alone, in steps of the scale that stands under a pool of
cylinders. Commands carry nothing but such readings; they are recorded late, wrongly, twice, and
put right again, or are of the kind that no book takes.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date, timedelta
from fractions import Fraction

from ledger.facts import verbs
from ledger.facts.entry import Draft
from ledger.facts.facts import Described, Evidence, Fact
from ledger.facts.mass import OUNCE, POUND, Mass, Quantity
from ledger.facts.weights import IN, OUT, net_of

FIRST_DAY = date(2024, 1, 2)
DAYS = 700


@dataclass(frozen=True, slots=True)
class Pool:
    """Cylinders of one refrigerant that are weighed in one unit: `step` counts, `unit` printed."""

    refrigerant: str
    step: int
    unit: str
    per_unit: int

    def shown(self, steps: int) -> Quantity:
        """What the scale shows."""
        text = Fraction(steps, self.per_unit)
        digits = len(str(self.per_unit)) - 1
        decimal = f"{steps // self.per_unit}.{steps % self.per_unit:0{digits}d}"
        assert Fraction(decimal) == text
        return Quantity(Mass(steps * self.step), f"{decimal} {self.unit}")


POOLS = (
    Pool("R-410A", POUND // 100, "lb", 100),
    Pool("R-22", OUNCE // 10, "oz", 10),
    Pool("R-448A", 800_000_000, "kg", 1000),
)
OWNERS = ("Harbor Foods", "Mill Lane Hotel")


@dataclass(slots=True)
class Cylinder:
    """A cylinder on a scale; `gross` by day is the truth, everything in steps of its pool.

    `changes` counts what was done to it on each day.
    """

    name: str
    pool: Pool
    kind: str
    owner: str
    tare: int
    gross: int
    by_day: dict[str, int] = field(default_factory=dict)
    changes: Counter[str] = field(default_factory=Counter)

    @property
    def net(self) -> int:
        """What is in it."""
        return self.gross - self.tare

    def truth(self, day: str) -> int:
        """Gross less tare at the end of a day, in counts."""
        known = [one for one in sorted(self.by_day) if one <= day]
        gross = self.by_day[known[-1]] if known else self.tare
        return (gross - self.tare) * self.pool.step


@dataclass(frozen=True, slots=True)
class Command:
    """One thing to type: the day, and the facts made from its readings."""

    day: str
    time: str
    verb: str
    facts: tuple[Fact, ...]

    def draft(self, key: str, *before: Fact) -> Draft:
        """The draft of the command, `before` its own facts what it puts right."""
        facts = (*before, *self.facts)
        return Draft(key, self.verb, self.day, facts, occurred_time=self.time, zone="UTC")


class World:
    """Makes true commands one after another, as time goes by."""

    def __init__(self, seed: int, commands: int) -> None:
        self.random = random.Random(seed)
        self.commands = commands
        self.made = 0
        self.cylinders = list(self._cylinders())

    def _cylinders(self) -> list[Cylinder]:
        made = []
        for pool in POOLS:
            for number in range(4):
                made.append(self._cylinder(f"{pool.refrigerant}-S{number}", pool, "refillable", ""))
            for owner in OWNERS:
                name = f"{pool.refrigerant}-R {owner}"
                made.append(self._cylinder(name, pool, "recovery", owner))
        return made

    def _cylinder(self, name: str, pool: Pool, kind: str, owner: str) -> Cylinder:
        tare = 27 * POUND // pool.step + self.random.randrange(50)
        return Cylinder(name, pool, kind, owner, tare, tare)

    def masters(self) -> list[Fact]:
        """Everything that has to be in the book before the first command."""
        facts: list[Fact] = [Described("party", name, {}, new="yes") for name in OWNERS]
        facts += [Described("party", name, {}, new="yes") for name in ("Depot", "Reclaim")]
        facts.append(Described("scale", "B1", {}, new="yes"))
        for owner in OWNERS:
            facts.append(Described("site", owner, {"owner": owner}, new="yes"))
            for pool in POOLS:
                unit = self.circuit(pool, owner)
                fields = {"unit": unit, "refrigerant": pool.refrigerant}
                facts.append(Described("unit", unit, {"site": owner}, new="yes"))
                facts.append(Described("circuit", unit, fields, new="yes"))
        for one in self.cylinders:
            fields = {"kind": one.kind, "refrigerant": one.pool.refrigerant}
            facts.append(Described("cylinder", one.name, fields, new="yes"))
        return facts

    @staticmethod
    def circuit(pool: Pool, owner: str) -> str:
        """The unit of an owner that holds the refrigerant of a pool."""
        return f"{owner} {pool.refrigerant}"

    def next(self) -> Command:
        """What really happened next."""
        day = (FIRST_DAY + timedelta(self.made * DAYS // self.commands)).isoformat()
        self.made += 1
        one = self.random.choice(self.cylinders)
        work = self._work(one)
        before = {other.name: other.gross for other in self.cylinders}
        verb, facts = work(one)
        assert one.gross >= one.tare and before[one.name] != one.gross
        for other in self.cylinders:
            other.by_day[day] = other.gross
            other.changes[day] += before[other.name] != other.gross
        time = self.random.choice(("", "", f"{self.made % 24:02d}:00"))
        return Command(day, "" if self._many_a_day() else time, verb, tuple(facts))

    def _many_a_day(self) -> bool:
        """Whether a day has more commands than hours, which would then run backwards."""
        return self.commands > 12 * DAYS

    def _work(self, one: Cylinder) -> Callable[[Cylinder], tuple[str, list[Fact]]]:
        if one.net < 2 * POUND // one.pool.step:
            return self._recover if one.owner else self._receive
        works = [self._charge, self._charge, self._ship, self._transfer]
        if one.net < 20 * POUND // one.pool.step:
            works.append(self._recover if one.owner else self._receive)
        return self.random.choice(works)

    def _some(self, one: Cylinder, most: int) -> int:
        return self.random.randrange(1, max(2, min(most, 9 * POUND // one.pool.step)))

    def _put(self, one: Cylinder, steps: int) -> tuple[Quantity, Evidence]:
        """Change what a cylinder weighs, and read the scale before and after, or in stages."""
        readings = [one.gross]
        if abs(steps) > 2 and self.random.random() < 0.3:
            readings.append(one.gross + steps // 2)
        one.gross += steps
        readings.append(one.gross)
        found = net_of(None, tuple(map(one.pool.shown, readings)), IN if steps > 0 else OUT, "B1")
        assert isinstance(found, tuple)
        return found

    def _receive(self, one: Cylinder) -> tuple[str, list[Fact]]:
        net, evidence = self._put(one, self._some(one, 10**9) + 15 * POUND // one.pool.step)
        what = one.pool.refrigerant
        return "receive", verbs.receive(one.name, "Depot", what, net, evidence)

    def _recover(self, one: Cylinder) -> tuple[str, list[Fact]]:
        net, evidence = self._put(one, self._some(one, 10**9))
        circuit = self.circuit(one.pool, one.owner)
        return "recover", verbs.recover(circuit, one.name, one.pool.refrigerant, net, evidence)

    def _charge(self, one: Cylinder) -> tuple[str, list[Fact]]:
        net, evidence = self._put(one, -self._some(one, one.net))
        circuit = self.circuit(one.pool, one.owner or self.random.choice(OWNERS))
        return "charge", verbs.charge(circuit, one.name, one.pool.refrigerant, net, evidence)

    def _ship(self, one: Cylinder) -> tuple[str, list[Fact]]:
        net, evidence = self._put(one, -one.net)
        facts = verbs.leave(one.name, "Reclaim", one.pool.refrigerant, net, evidence, "shipment")
        return "ship", facts

    def _transfer(self, one: Cylinder) -> tuple[str, list[Fact]]:
        others = [
            other for other in self.cylinders
            if other is not one and (other.pool, other.owner) == (one.pool, one.owner)
        ]  # fmt: skip
        if not others:
            return self._charge(one)
        other, steps = self.random.choice(others), self._some(one, one.net)
        net, evidence = self._put(one, -steps)
        other.gross += steps
        return "transfer", verbs.transfer(one.name, other.name, one.pool.refrigerant, net, evidence)

    # -- what never happened ---------------------------------------------------------------

    def nonsense(self, day: str) -> Command:
        """A command that no book takes."""
        one = self.random.choice(self.cylinders)
        other = next(pool for pool in POOLS if pool != one.pool)
        supply = next(c for c in self.cylinders if c.pool == one.pool and not c.owner)
        wrong = Quantity(Mass(10 * one.pool.step), "wrong")
        net, much = one.pool.shown(10), Quantity(Mass(900 * POUND), "900 lb")
        weighed, circuit = Evidence("net"), self.circuit(one.pool, OWNERS[0])
        facts: list[Fact] = self.random.choice((
            verbs.charge(circuit, one.name, one.pool.refrigerant, much, weighed),
            verbs.receive(one.name, "Depot", other.refrigerant, net, weighed),
            verbs.charge(circuit, "no such cylinder", one.pool.refrigerant, net, weighed),
            verbs.charge(self.circuit(other, OWNERS[0]), supply.name, one.pool.refrigerant, net,
                         weighed),
            verbs.transfer(one.name, one.name, one.pool.refrigerant, net, weighed),
            verbs.charge(circuit, one.name, one.pool.refrigerant, Quantity(Mass(-1), "-1"),
                         weighed),
            verbs.recover("no such unit", one.name, one.pool.refrigerant, wrong, weighed),
        ))  # fmt: skip
        return Command(day, "", "nonsense", tuple(facts))

    def slip(self, day: str) -> Command:
        """A command that never happened and that a book may well take, to be reversed."""
        one = self.random.choice(self.cylinders)
        net, owner = one.pool.shown(self._some(one, 10**9)), self.random.choice(OWNERS)
        circuit, evidence = self.circuit(one.pool, one.owner or owner), Evidence("net")
        choices = [
            verbs.charge(circuit, one.name, one.pool.refrigerant, net, evidence),
            verbs.leave(one.name, "Reclaim", one.pool.refrigerant, net, evidence, "shipment"),
            verbs.recover(circuit, one.name, one.pool.refrigerant, net, evidence)
            if one.owner
            else verbs.receive(one.name, "Depot", one.pool.refrigerant, net, evidence),
        ]
        return Command(day, "", "slip", tuple(self.random.choice(choices)))
