"""What the book has at a cut-off, to the minute where times of day are known."""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator, Mapping

from ledger.answers.holdings import Closing, Placed, Row, fold
from ledger.facts.counts import CutOff


class Until:
    """The movements up to a cut-off; read anew for every pass, as what they come from is.

    Lines of entries in `without` are left out.
    """

    def __init__(self, rows: Iterable[Row], cut_off: CutOff, without: Container[int] = ()) -> None:
        self.rows = rows
        self.cut_off = cut_off
        self.without = without

    def __iter__(self) -> Iterator[Row]:
        covers, without = self.cut_off.covers, self.without
        for row in self.rows:
            if covers(row[0], row[1]) and row[2] not in without:
                yield row


def placed_until(
    placed: Iterable[Placed], cut_off: CutOff, times: Mapping[int, str]
) -> Iterator[Placed]:
    """The changes of place up to a cut-off; `times` are the times of day of their entries."""
    for one in placed:
        if cut_off.covers(one.since, times.get(one.entry, "")):
            yield one


def stand(
    rows: Iterable[Row], placed: Iterable[Placed], cut_off: CutOff,
    times: Mapping[int, str] | None = None, without: Container[int] = (),
) -> Closing:  # fmt: skip
    """Every account at a cut-off, as one period from the beginning; see `holdings.fold`."""
    here = list(placed_until(placed, cut_off, times or {}))
    (closing,) = fold(Until(rows, cut_off, without), here, last=cut_off.day)
    return closing
