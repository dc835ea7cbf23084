"""The disposal log: what was recovered from appliances over 5 and under 50 lb, by month.

The record of 40 CFR 82.156(a)(3): for each appliance where it stood, the day and the refrigerant,
and for each calendar month the pounds of each refrigerant. What an appliance of another size gave
stands apart; where nobody knows the full charge, the pounds count and the gap is told.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import NamedTuple

from ledger.answers.working import Input, RuleRef, Working
from ledger.facts.mass import Quantity, pounds
from ledger.facts.masters import UNKNOWN

IN_LOG, SMALL, LARGE, NO_CHARGE = "in the log", "small", "large", "full charge unknown"
"""What the full charge of an appliance says about a recovery from it."""
SEASONAL = "seasonal"
"""A removal that goes back into the same appliance."""


class Limits(NamedTuple):
    """The full charges between which an appliance belongs in the log, in counts of 1.25 ng.

    It is more than `over` and less than `under`; `rules` are where the two come from.
    """

    over: int
    under: int
    rules: tuple[RuleRef, ...] = ()


class Recovery(NamedTuple):
    """One recovery, or one attempt that brought nothing (an amount of zero).

    `appliance` is the circuit, empty where none was named; `location` the address of its
    site. `charge` are the least and greatest full charge on the day in counts of 1.25 ng,
    None where unknown; `small` says that it is a factory-sealed small appliance.
    """

    entry: int
    line: int
    day: str
    appliance: str
    location: str
    refrigerant: str
    recovered: Quantity
    cylinder: str = ""
    person: str = ""
    charge: tuple[int, int] | None = None
    small: bool = False
    claim: str = ""

    def size(self, limits: Limits) -> str:
        """Where the appliance's full charge puts it; a range counts by its midpoint."""
        if self.small:
            return SMALL
        if self.charge is None:
            return NO_CHARGE
        both = sum(self.charge)
        return SMALL if both <= 2 * limits.over else LARGE if both >= 2 * limits.under else IN_LOG

    def gaps(self, limits: Limits) -> tuple[str, ...]:
        """What the record of it lacks, in words."""
        nothing = not self.recovered.mass
        lacking = {
            "no appliance": not self.appliance,
            "no location": not self.location,
            "no technician": not self.person,
            "refrigerant unknown": self.refrigerant in ("", UNKNOWN),
            NO_CHARGE: bool(self.appliance) and self.size(limits) == NO_CHARGE,
            "no cylinder": not self.cylinder and not nothing,
        }
        return tuple(name for name, lacks in lacking.items() if lacks)


@dataclass(frozen=True, slots=True)
class MonthTotal:
    """What was recovered of one refrigerant in one calendar month ("2025-06").

    `mass` is in counts of 1.25 ng; `recoveries` are what it is the sum of, in order.
    """

    month: str
    refrigerant: str
    mass: int
    recoveries: tuple[Recovery, ...]
    limits: Limits

    @property
    def appliances(self) -> int:
        """How many appliances it came from; a recovery that names none counts as one."""
        named = {one.appliance for one in self.recoveries if one.appliance}
        return len(named) + sum(not one.appliance for one in self.recoveries)

    def without(self, gap: str) -> int:
        """The pounds of it, in counts, whose record has this gap."""
        return sum(one.recovered.mass for one in self.recoveries if gap in one.gaps(self.limits))

    def working(self) -> Working:
        """The sum with the entry behind every part."""
        inputs = tuple(
            Input(
                f"{one.day} {one.appliance or 'no appliance named'}",
                "; ".join((one.recovered.written, *one.gaps(self.limits))),
                (one.entry,),
            )
            for one in self.recoveries
        )
        return Working(
            f"{self.refrigerant} recovered in {self.month}",
            "sum of what was recovered from appliances of the log's size",
            inputs,
            f"{pounds(self.mass)} lb",
            self.limits.rules,
        )


@dataclass(frozen=True, slots=True)
class Disposals:
    """The log: totals by month and refrigerant, and what stands apart with the reason why."""

    totals: tuple[MonthTotal, ...]
    apart: tuple[tuple[str, Recovery], ...]

    def recoveries(self) -> list[Recovery]:
        """Every recovery in the log, by day and entry."""
        found = [one for total in self.totals for one in total.recoveries]
        return sorted(found, key=lambda one: (one.day, one.entry, one.line))


def disposals(
    recoveries: Iterable[Recovery], limits: Limits, months: tuple[str, ...] = ()
) -> Disposals:
    """The log of these months ("2025-06", or "2025" for all of a year); of all where none is named.

    Whether an appliance was disposed of or only opened is not on record, so every recovery
    counts that was not declared seasonal.
    """
    inside: dict[tuple[str, str], list[Recovery]] = {}
    apart: list[tuple[str, Recovery]] = []
    for one in sorted(recoveries, key=lambda one: (one.day, one.entry, one.line)):
        if months and not one.day.startswith(months):
            continue
        size = SEASONAL if one.claim == SEASONAL else one.size(limits)
        if size in (IN_LOG, NO_CHARGE):
            inside.setdefault((one.day[:7], one.refrigerant or UNKNOWN), []).append(one)
        else:
            apart.append((size, one))
    totals = tuple(
        MonthTotal(*key, sum(one.recovered.mass for one in found), tuple(found), limits)
        for key, found in sorted(inside.items())
    )
    return Disposals(totals, tuple(apart))
