"""Deposits on cylinders: what is out, for how long, and a supplier's statement held against it.

The four results are the trade's (workflow 3.11): both agree, they list what we cannot find, we have
what they do not list, returned and not credited.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date
from typing import NamedTuple

AGREE = "both agree"
NOT_OURS = "they list it, we do not find it"
NOT_THEIRS = "we have it, they do not list it"
UNCREDITED = "returned, not credited"
RESULTS = (AGREE, NOT_OURS, NOT_THEIRS, UNCREDITED)


class Deposit(NamedTuple):
    """A deposit paid on a cylinder: supplier, cents, ISO days out and back, what was credited.

    `back` is empty while the cylinder is with us.
    """

    cylinder: str
    supplier: str
    cents: int
    out: str
    entry: int
    serial: str = ""
    back: str = ""
    credited: int = 0

    def days(self, today: str) -> int:
        """Days from out to back, or to an ISO day while it is out."""
        return (date.fromisoformat(self.back or today) - date.fromisoformat(self.out)).days


class Listed(NamedTuple):
    """A line of a supplier's statement; `cylinder` is ours where it was found."""

    supplier: str
    serial: str
    cylinder: str
    cents: int
    out: str
    statement: str
    entry: int


class Compared(NamedTuple):
    """One cylinder of ours, of theirs, or of both, and which of the four results it comes to."""

    result: str
    supplier: str
    cylinder: str
    ours: Deposit | None
    theirs: Listed | None


def compared(deposits: Iterable[Deposit], listed: Iterable[Listed]) -> list[Compared]:
    """Our deposits against the statement lines of the same suppliers, by result and cylinder.

    A supplier without a statement is compared with nothing.
    """
    lines = list(listed)
    theirs = {(one.supplier, one.cylinder): one for one in lines if one.cylinder}
    stated = {one.supplier for one in lines}
    ours = [one for one in deposits if one.supplier in stated]
    found = list(_ours(ours, theirs))
    known = {(one.supplier, one.cylinder) for one in ours}
    for one in lines:
        if (one.supplier, one.cylinder) not in known:
            name = one.cylinder or one.serial
            found.append(Compared(NOT_OURS, one.supplier, name, None, one))
    return sorted(found, key=lambda one: (RESULTS.index(one.result), one.supplier, one.cylinder))


def _ours(deposits: Iterable[Deposit], theirs: dict[tuple[str, str], Listed]) -> Iterator[Compared]:
    for one in deposits:
        line = theirs.get((one.supplier, one.cylinder))
        if one.back and one.credited < one.cents:
            yield Compared(UNCREDITED, one.supplier, one.cylinder, one, line)
        elif one.back and line is not None:
            # Returned and credited by our book, and still on their list.
            yield Compared(NOT_OURS, one.supplier, one.cylinder, one, line)
        elif not one.back:
            result = AGREE if line is not None else NOT_THEIRS
            yield Compared(result, one.supplier, one.cylinder, one, line)
