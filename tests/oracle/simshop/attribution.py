"""The one place where the judged reconciliation is plugged in: `ATTRIBUTION`.

An attribution is given a book into which a year was typed and the papers of the shop, and tells
for every month, place and refrigerant how many pounds each cause explains. It is not given the
seed, the parameters or the truth. `everything_is_residual` explains nothing: it shows what the
judge says about pounds that are all called residual.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Protocol

from ledger.answers.balances import Asked
from ledger.book.journal import Book
from ledger.book.reader import Reader
from ledger.book.reading import Cut, balances_of
from tests.oracle.simshop.counting import counted
from tests.oracle.simshop.paper import Papers
from tests.oracle.simshop.truth import AT_END, RESIDUAL, Causes, Key


@dataclass(frozen=True, slots=True)
class Attributed:
    """What an attribution found; masses in counts of 1.25 ng.

    `view` is AT_CLOSE or AT_END of `truth`: which state of knowledge each month is told for.
    `causes` holds by month, place and refrigerant the pounds of each cause (the names are
    `truth.CAUSES` and RESIDUAL), positive where more was counted than the shop recorded; what
    the book posted itself as a shortage is a difference to explain, not a record. A difference
    belongs to the month and place where it arose. `trucks` are those whose pounds are
    unexplained.
    """

    view: str
    causes: Mapping[Key, Mapping[str, int]]
    trucks: tuple[str, ...] = ()


class Attribution(Protocol):
    """Explains the differences of a year."""

    def __call__(self, book: Book, papers: Papers) -> Attributed:
        """What explains the differences between the book and the counts in `papers`."""


def everything_is_residual(book: Book, papers: Papers) -> Attributed:
    """Counted less recorded, by the last place a cylinder was counted at; nothing explained."""
    causes: Causes = {}
    before: dict[str, int] = {}
    places: dict[str, str] = {}
    with book.reading() as reader:
        for count in papers.counts:
            now = dict.fromkeys(before, 0)
            what: dict[str, str] = {}
            for row, mass in counted(count.rows):
                now[row.cylinder], places[row.cylinder] = mass, row.place
            for name, refrigerant, mass in recorded(reader, Cut(count.cut_off)):
                now[name] = now.get(name, 0) - mass
                what[name] = refrigerant
            what |= {row.cylinder: row.refrigerant for row in count.rows}
            for name, difference in now.items():
                arisen = difference - before.get(name, 0)
                before[name] = difference
                if arisen and name in what:
                    key = Key(count.month, places.get(name, ""), what[name])
                    of = causes.setdefault(key, {RESIDUAL: 0})
                    of[RESIDUAL] += arisen
    return Attributed(AT_END, causes)


def recorded(reader: Reader, cut: Cut) -> list[tuple[str, str, int]]:
    """Cylinder, refrigerant and counts as the shop recorded them, without posted shortages."""
    asked = Asked(("cylinder", "refrigerant"))
    return [
        (one.key[0], one.key[1], one.closing - one.amount("differences"))
        for one in balances_of(reader, cut, asked)
    ]


def by_weights_and_papers(book: Book, papers: Papers) -> Attributed:
    """By the chains of weights and the shop's papers; see `by_weights`."""
    from tests.oracle.simshop.by_weights import by_weights

    return by_weights(book, papers)


ATTRIBUTION: Attribution = by_weights_and_papers
"""What `table` and the judged run use; whoever builds a reconciliation names it here."""
