"""The pounds balance: what was on hand, came in, went out and is on hand, by refrigerant and year.

Every line closes on what the cylinders hold. Transfers between our cylinders cancel out and are
shown; what other contractors added, and what circuits released, never was in our stock and
stands beside the sum.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import NamedTuple

from ledger.answers.balances import PERIOD, Asked, Balance, balances
from ledger.answers.holdings import Placed, Row
from ledger.answers.working import Working

EXTRA = ("stock", "owner", "place")
"""What a pounds balance can be split by beside refrigerant and period."""


class PoundsLine(NamedTuple):
    """One line of the pounds balance; all masses in counts of 1.25 ng.

    closing = opening + brought_forward + received + recovered + transferred_in + moved_in
    - charged - shipped - returned - heel - released - transferred_out - moved_out
    + differences + put_together. `differences` and `put_together` carry their own sign:
    refrigerant put together with another owner's, or of another stock kind, changes lines.
    `contents` is what the cylinders hold at the end, `difference` closing less contents.
    """

    refrigerant: str
    period: str
    stock: str
    owner: str
    place: str
    opening: int
    brought_forward: int
    received: int
    recovered: int
    transferred_in: int
    moved_in: int
    charged: int
    shipped: int
    returned: int
    heel: int
    released: int
    transferred_out: int
    moved_out: int
    differences: int
    put_together: int
    closing: int
    contents: int
    difference: int
    added_by_others: int
    released_from_circuits: int
    balance: Balance

    def working(self) -> Working:
        """The sum of the line with the entries behind every column."""
        return self.balance.working()


def pounds_balance(
    rows: Iterable[Row],
    unit: str = "year",
    first: str = "",
    last: str = "",
    split: tuple[str, ...] = (),
    keep: Mapping[str, str] | None = None,
    placed: Iterable[Placed] = (),
) -> list[PoundsLine]:
    """The lines of the pounds balance, by refrigerant, then as split, then by period.

    `rows` come in order of day, entry and line. `unit` is year, quarter, month, or empty for
    one stretch from `first` to `last` (ISO days). `split` is any of EXTRA; `keep` holds the
    wanted value of refrigerant, stock, owner or place; `placed` is needed for places.
    """
    wrong = [name for name in split if name not in EXTRA]
    if wrong:
        raise ValueError(f"a pounds balance is not split by {', '.join(wrong)}")
    asked = Asked(("refrigerant", *split, PERIOD), keep or {}, unit, first, last)
    found = sorted(balances(rows, asked, placed), key=lambda one: one.key)
    return [_line(one) for one in found]


def _line(one: Balance) -> PoundsLine:
    named = dict(zip(one.by, one.key, strict=True))
    amount = one.amount
    return PoundsLine(
        refrigerant=named["refrigerant"],
        period=named[PERIOD],
        stock=named.get("stock", ""),
        owner=named.get("owner", ""),
        place=named.get("place", ""),
        opening=one.opening,
        brought_forward=amount("brought forward"),
        received=amount("received"),
        recovered=amount("recovered"),
        transferred_in=amount("transferred in"),
        moved_in=amount("moved in"),
        charged=amount("charged"),
        shipped=amount("shipped"),
        returned=amount("returned"),
        heel=amount("heel"),
        released=amount("released"),
        transferred_out=amount("transferred out"),
        moved_out=amount("moved out"),
        differences=amount("differences"),
        put_together=amount("put together"),
        closing=one.closing + one.difference,
        contents=one.closing,
        difference=one.difference,
        added_by_others=amount("added by others"),
        released_from_circuits=amount("released from circuits"),
        balance=one,
    )
