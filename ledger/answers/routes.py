"""Which column of which account a movement is posted to, by its two ends and its purpose."""

from __future__ import annotations

from typing import NamedTuple

CYLINDERS = "cylinders"
CIRCUITS = "circuits"
PARTIES = "parties"
OTHERS = "others"


class Family(NamedTuple):
    """One kind of account: its dimensions, and its columns with their sign in the sum.

    A column with sign 0 is shown beside the sum and is no part of it.
    """

    dimensions: tuple[str, ...]
    columns: tuple[str, ...]
    signs: tuple[int, ...]

    def place(self, column: str) -> int:
        """The position of a column."""
        return self.columns.index(column)


def _family(dimensions: tuple[str, ...], **columns: int) -> Family:
    names = tuple(name.replace("_", " ") for name in columns)
    return Family(dimensions, names, tuple(columns.values()))


FAMILIES: dict[str, Family] = {
    CYLINDERS: _family(
        ("cylinder", "place", "refrigerant", "stock", "owner"),
        brought_forward=1, received=1, recovered=1, transferred_in=1, moved_in=1, charged=-1,
        shipped=-1, returned=-1, heel=-1, released=-1, transferred_out=-1, moved_out=-1,
        differences=1, put_together=1, added_by_others=0, released_from_circuits=0,
    ),
    CIRCUITS: _family(
        ("circuit", "site", "owner", "refrigerant"),
        added=1, added_by_others=1, recovered=-1, released=-1, other_in=1, other_out=-1,
    ),
    PARTIES: _family(
        ("party", "refrigerant", "stock", "owner"),
        shipped_to_them=1, returned_to_them=1, received_from_them=-1, added_by_them=-1,
        other_in=1, other_out=-1,
    ),
    OTHERS: _family(("holder", "refrigerant"), taken_in=1, given_out=-1),
}  # fmt: skip
"""Every kind of holder. A circuit's figure is net added, a party's net of both directions.

`differences` and `put together` of cylinders carry their own sign. What comes from or goes to
the air, a named difference or what was brought forward is kept under `others`.
"""

SOURCE_NAME, TARGET_NAME = 5, 7
"""Positions of the two holders' names in a movement row."""

_STOCK = FAMILIES[CYLINDERS]
DIFFERENCES = _STOCK.place("differences")
PUT_TOGETHER = _STOCK.place("put together")
MOVED_IN = _STOCK.place("moved in")
MOVED_OUT = _STOCK.place("moved out")


class Route(NamedTuple):
    """Where the pounds of a movement are posted.

    `leaves` and `enters` are the columns of the cylinder that gives and the one that takes, -1
    where there is none. `unnamed` are (column, sign) of our stock where no cylinder was named.
    `ends` are (family, column, position of the name) of the other holders.
    """

    leaves: int
    enters: int
    unnamed: tuple[tuple[int, int], ...]
    ends: tuple[tuple[str, int, int], ...]


_OUT_OF_STOCK = {
    "circuit": "charged", "party": "shipped", "air": "released", "cylinder": "transferred out",
}  # fmt: skip
_INTO_STOCK = {
    "circuit": "recovered", "party": "received", "cylinder": "transferred in",
    "brought-forward": "brought forward",
}  # fmt: skip
_CIRCUIT_IN = {"cylinder": "added", "difference": "added", "party": "added by others"}
_CIRCUIT_OUT = {"cylinder": "recovered", "difference": "recovered", "air": "released"}


def route_of(source: str, target: str, purpose: str) -> Route:
    """The route of a movement between two kinds of holder."""
    leaves = enters = -1
    ends: list[tuple[str, int, int]] = []
    if source == "cylinder":
        leaves = _STOCK.place(_leaving(target, purpose))
    else:
        ends.append(_end(source, target, purpose, out=True))
    if target == "cylinder":
        enters = _STOCK.place(_INTO_STOCK.get(source, "differences"))
    else:
        ends.append(_end(target, source, purpose, out=False))
    return Route(leaves, enters, _unnamed(source, target, purpose), tuple(ends))


def _leaving(target: str, purpose: str) -> str:
    if purpose == "return" and target == "party":
        return "returned"
    if target == "difference" and purpose == "heel":
        return "heel"
    return _OUT_OF_STOCK.get(target, "differences")


def _unnamed(source: str, target: str, purpose: str) -> tuple[tuple[int, int], ...]:
    """Pounds that went through our stock although no cylinder was named, and what never did."""
    if source == "party" and target == "circuit":
        return ((_STOCK.place("added by others"), 1),)
    if source == "circuit" and target == "air":
        return ((_STOCK.place("released from circuits"), 1),)
    if source == "difference" and target in _OUT_OF_STOCK and target != "cylinder":
        return ((_STOCK.place(_leaving(target, purpose)), 1), (DIFFERENCES, 1))
    if target == "difference" and source in _INTO_STOCK and source != "cylinder":
        return ((_STOCK.place(_INTO_STOCK[source]), 1), (DIFFERENCES, -1))
    return ()


def _end(kind: str, other: str, purpose: str, out: bool) -> tuple[str, int, int]:
    """The account of a holder that is no cylinder; `other` is the holder at the other end."""
    name = SOURCE_NAME if out else TARGET_NAME
    if kind == "circuit":
        side = _CIRCUIT_OUT if out else _CIRCUIT_IN
        column = side.get(other, "other out" if out else "other in")
        return CIRCUITS, FAMILIES[CIRCUITS].place(column), name
    if kind == "party":
        return PARTIES, FAMILIES[PARTIES].place(_party(other, purpose, out)), name
    return OTHERS, FAMILIES[OTHERS].place("given out" if out else "taken in"), name


def _party(other: str, purpose: str, out: bool) -> str:
    stock = other in ("cylinder", "difference")
    if out:
        if other == "circuit":
            return "added by them"
        return "received from them" if stock else "other out"
    if not stock:
        return "other in"
    return "returned to them" if purpose == "return" else "shipped to them"
