"""The month-end count: blind, all places, as scales show it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from ledger.facts.mass import Mass, Quantity, quantity
from tests.oracle.simshop.paper import NOT_THERE, SEEN_SEALED, SEEN_WEIGHED, Count, CountRow
from tests.oracle.simshop.parameters import TRUCKS
from tests.oracle.simshop.shop import Shop
from tests.oracle.simshop.stock import HALF_TON, Cylinder
from tests.oracle.simshop.truth import SCALE, closed_on

ONE_IN = 5
"""Of sealed cylinders one in five is weighed, the others are counted."""


def count(shop: Shop, day: str) -> None:
    """Count at the end of a day; what the count itself gets wrong is a scale difference."""
    month = day[:7]
    rows = []
    for one in shop.cylinders.values():
        error = 0
        if not one.gone:
            row = _row(shop, one)
            rows.append(row)
            read = one.nominal if row.gross is None else row.gross.mass - one.stamped
            error = read - one.content
            shop.truth.held[shop.key(day, one)] += one.content
        elif one.lost:
            rows.append(_absent(one))
        shop.truth.both(shop.key(day, one), one.name, SCALE, error - one.error)
        one.error = error
    ordered = tuple(sorted(rows, key=lambda row: (row.place, row.cylinder)))
    shop.papers.counts.append(Count(month, day, closed_on(month), ordered))


def _row(shop: Shop, one: Cylinder) -> CountRow:
    tare = quantity(Mass(one.stamped))
    label = quantity(Mass(one.nominal)) if one.nominal else None
    if one.sealed and shop.random.randrange(ONE_IN):
        seen: tuple[str, Quantity | None, str] = (SEEN_SEALED, None, "")
    else:
        on = "floor" if one.kind == HALF_TON else "hook" if one.place in TRUCKS else "bench"
        scale = shop.scales[on]
        seen = (SEEN_WEIGHED, scale.gross(one.gross, shop.random), scale.name)
    return CountRow(one.place, one.name, *seen, one.refrigerant, tare, label)


def _absent(one: Cylinder) -> CountRow:
    return CountRow(one.recorded_place, one.name, NOT_THERE, None, "", one.refrigerant, None)


def counted(rows: Iterable[CountRow]) -> Iterator[tuple[CountRow, int]]:
    """Each line with the counts it stands for: label where sealed, else gross less tare."""
    for row in rows:
        if row.seen == SEEN_SEALED and row.label is not None:
            yield row, row.label.mass
        elif row.gross is not None and row.tare is not None:
            yield row, row.gross.mass - row.tare.mass
        else:
            yield row, 0
