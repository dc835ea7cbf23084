"""The mark of a row: what its cells say, wherever the row stands, for answers to be found again.

A mark is made only for a row that is in question, and where answers are kept already, so that a
clean row of another book never pays for it.
"""

from __future__ import annotations

import re
from collections import Counter
from hashlib import sha256

from ledger.intake.headers import header_words, is_reject_heading
from ledger.intake.plan import Plan
from ledger.intake.sheets import Row, cell_text

_LENGTH = 20
_MARK = re.compile(rf"(r[0-9a-f]{{{_LENGTH}}})(?:-[0-9]+)?")


def said_by(plan: Plan, row: Row) -> str:
    """The mark of what a row says, the same for identical rows.

    The texts of the cells by the words of their headings, in whatever order the columns
    stand, with what the sheet says of all its rows; empty cells and our own columns are left
    out.
    """
    titles = plan.titles
    parts = [
        f"{header_words(title)}\x1f{text}"
        for title, cell in zip(titles, row.cells, strict=False)
        if not is_reject_heading(title) and (text := cell_text(cell))
    ]
    parts += [f"\x1f{text}" for cell in row.cells[len(titles) :] if (text := cell_text(cell))]
    parts += [
        f"{name}\x1f{text}" for name, text in plan.constants.items() if name not in plan.places
    ]
    said = "\x1e".join(sorted(part.casefold() for part in parts))
    # The letter in front keeps a spreadsheet program from taking the mark for a number.
    return f"r{sha256(said.encode('utf-8', 'surrogatepass')).hexdigest()[:_LENGTH]}"


def unnumbered(mark: str) -> str:
    """A mark without the number that tells identical rows apart."""
    return mark.partition("-")[0]


def is_mark(text: str) -> bool:
    """Whether a text has the form of a mark."""
    return _MARK.fullmatch(text) is not None


def still_says(mark: str, plan: Plan, row: Row) -> bool:
    """Whether a row says what it said when it was marked."""
    found = _MARK.fullmatch(mark)
    return found is not None and found[1] == said_by(plan, row)


class Marks:
    """Gives the rows of one import their marks; identical rows are numbered."""

    def __init__(self) -> None:
        self._times: Counter[str] = Counter()

    def next(self, said: str) -> str:
        """The mark that the next row that says this will have."""
        times = self._times[said] + 1
        return said if times == 1 else f"{said}-{times}"

    def of(self, plan: Plan, row: Row) -> str:
        """The mark of a row that is met for the first time."""
        said = said_by(plan, row)
        mark = self.next(said)
        self._times[said] += 1
        return mark
