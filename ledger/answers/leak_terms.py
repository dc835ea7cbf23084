"""What a circuit's rate is measured with on a date: full charge, method, category, law, trigger.

Each of these is a series with start dates. They are looked up once for every stretch of days on
which none of them changes, not once for every addition.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Protocol, TypeVar

from ledger.answers.leak_history import CircuitHistory, FullCharge
from ledger.answers.leak_law import ANNUALIZING, NO_RULE, Binding, LawTable, RateLaw

BINDING = ("yes", "undecided", "unknown")
"""The findings under which a rate is computed for a subpart; only a plain no leaves it out."""

_FOREVER = date.max.toordinal() + 1


class _Dated(Protocol):
    @property
    def since(self) -> date | None: ...


_T = TypeVar("_T", bound=_Dated)


@dataclass(frozen=True, slots=True)
class Terms:
    """The terms of one subpart over one stretch of days.

    `binding` is None for a figure that no federal rule asks for. `halves` is the full charge
    in halves of a count, `band` its least and greatest where only those are known. `trigger`
    is in percent, None where no category is recorded or no rule applies. `method_entry` and
    `category_entry` are where the two were recorded, 0 where that is not known.
    """

    law: RateLaw
    binding: Binding | None
    method: str
    method_entry: int
    method_recorded: bool
    category: str
    category_entry: int
    trigger: int | None
    full_charge: FullCharge | None
    halves: int | None
    band: tuple[int, int] | None

    @property
    def subpart(self) -> str:
        """ "82", "84", or empty for a figure that no federal rule asks for."""
        return self.law.subpart


def terms_at(history: CircuitHistory, table: LawTable, ordinal: int) -> tuple[list[Terms], int]:
    """The terms in force on a day, one for each subpart, and the last day they hold."""
    charge, end_1 = _in_force(history.full_charges, ordinal)
    method, end_2 = _in_force(history.methods, ordinal)
    category, end_3 = _in_force(history.categories, ordinal)
    scope, end_4 = _in_force(history.scope, ordinal)
    end = min(end_1, end_2, end_3, end_4)
    found = scope.bindings if scope else ()
    bindings: list[Binding | None] = [part for part in found if part.binds in BINDING]
    kind = category.category if category else ""
    terms = []
    for binding in bindings or [None]:
        subpart = binding.subpart if binding else NO_RULE
        law = table.at(subpart, ordinal)
        end = min(end, _next(table.starts[subpart], ordinal))
        terms.append(
            Terms(
                law=law,
                binding=binding,
                method=method.method if method else ANNUALIZING,
                method_entry=method.entry if method else 0,
                method_recorded=method is not None and method.entry > 0,
                category=kind,
                category_entry=category.entry if category else 0,
                trigger=law.triggers.get(kind),
                full_charge=charge,
                halves=charge.halves() if charge else None,
                band=charge.band() if charge else None,
            )
        )
    return terms, end - 1


def _in_force(series: Sequence[_T], ordinal: int) -> tuple[_T | None, int]:
    """The last member that has begun, and the day the next one begins."""
    found: _T | None = None
    for member in series:
        if member.since is not None and member.since.toordinal() > ordinal:
            return found, member.since.toordinal()
        found = member
    return found, _FOREVER


def _next(starts: Sequence[int], ordinal: int) -> int:
    return next((start for start in starts if start > ordinal), _FOREVER)
