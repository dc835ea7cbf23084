"""What answers are fed from a book: one door to the adapters, each for a cut of the two times.

Open a reader with `book.reading()`, choose a `Cut`, and hand `circuit_histories` to the leak
rates or `movements` to the balances; `balances_of`, `pounds_of` and `inventory_of` do both steps.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from ledger.book.circuits import circuit_histories, circuit_history_for
from ledger.book.cut import Cut, Names, known_by
from ledger.book.cylinders import cylinders, last_weighings
from ledger.book.reader import Reader
from ledger.book.recorded import Masters
from ledger.book.timeline import Movements, homes, movements, movements_of, placed

if TYPE_CHECKING:
    from ledger.answers.balances import Asked, Balance
    from ledger.answers.inventory import CylinderLine
    from ledger.answers.pounds_balance import PoundsLine

__all__ = [
    "Cut", "Masters", "Movements", "Names", "balances_of", "circuit_histories",
    "circuit_history_for", "cylinders", "homes", "inventory_of", "known_by",
    "last_weighings", "masters_at", "movements", "movements_of", "placed", "pounds_of",
]  # fmt: skip


def masters_at(reader: Reader, cut: Cut) -> Masters:
    """The masters of a book at a cut."""
    return Masters(reader, cut, Names(reader, cut))


def balances_of(reader: Reader, cut: Cut, asked: Asked) -> list[Balance]:
    """The balances asked for, as the book stood at a cut.

    Their workings read the movements once more: ask for them while the reader is open.
    """
    from ledger.answers.balances import balances

    masters = masters_at(reader, cut)
    named = {*asked.by, *asked.keep}
    where = placed(masters) if "place" in named else ()
    whose = homes(masters) if asked.family() == "circuits" and named & {"site", "owner"} else None
    rows = movements(reader, cut, masters.names)
    return balances(rows, _until(asked, cut), where, whose)


def pounds_of(
    reader: Reader,
    cut: Cut,
    unit: str = "year",
    first: str = "",
    last: str = "",
    split: Sequence[str] = (),
    keep: dict[str, str] | None = None,
) -> list[PoundsLine]:
    """The pounds balance, as the book stood at a cut; see `answers.pounds_balance`.

    Its workings read the movements once more: ask for them while the reader is open.
    """
    from ledger.answers.pounds_balance import pounds_balance

    masters = masters_at(reader, cut)
    where = placed(masters) if "place" in {*split, *(keep or {})} else ()
    rows = movements(reader, cut, masters.names)
    last = min(filter(None, (last, cut.as_of)), default="")
    return pounds_balance(rows, unit, first, last, tuple(split), keep, where)


def inventory_of(
    reader: Reader, cut: Cut, keep: dict[str, str] | None = None, gone: bool = False
) -> list[CylinderLine]:
    """The cylinder list, as the book stood at a cut."""
    from ledger.answers.inventory import inventory

    return inventory(cylinders(reader, cut), movements(reader, cut), cut.as_of, keep, gone)


def _until(asked: Asked, cut: Cut) -> Asked:
    return replace(asked, last=min(filter(None, (asked.last, cut.as_of)), default=""))
