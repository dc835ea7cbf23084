"""Knows the rows of a sheet that add others up: by their words, or by their arithmetic."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from functools import lru_cache
from numbers import Real

from ledger.facts.mass import OUNCE, POUND, Quantity
from ledger.facts.problems import Problem
from ledger.intake.fields import read_mass
from ledger.intake.headers import header_words
from ledger.intake.plan import Plan
from ledger.intake.reading import EMPTY
from ledger.intake.sheets import HIDDEN, Row, cell_text

_CORE = re.compile(
    r"\b(?:sub ?|grand ?)?totals?\b|\bsum\b|\bsums\b|\bcarr(?:ied|y) (?:forward|over)\b"
    r"|\bbrought forward\b|\bbalance forward\b|\b[cb] [fo]\b|\bytd\b|\byear to date\b"
)
_BESIDE = frozenset((
    *("total", "totals", "sub", "subtotal", "subtotals", "grand", "grandtotal", "sum", "sums"),
    *("carried", "carry", "brought", "forward", "over", "balance", "c", "b", "f", "o", "ytd"),
    *("year", "month", "week", "day", "page", "quarter", "to", "date", "running", "for", "of"),
    *("the", "this", "all", "from", "last", "so", "far", "in", "out", "report", "sheet", "tab"),
    *("lb", "lbs", "pounds", "oz", "kg", "g", "refrigerant", "used", "added", "recovered"),
    *("charged", "removed", "net", "truck", "jobs", "rows", "q1", "q2", "q3", "q4", "weight"),
    *("january", "february", "march", "april", "may", "june", "july", "august", "september"),
    *("october", "november", "december", "jan", "feb", "mar", "apr", "jun", "jul", "aug"),
    *("sep", "sept", "oct", "nov", "dec", "spring", "summer", "fall", "autumn", "winter"),
))  # fmt: skip
_NAMED = re.compile(r"(?:[a-z ]* )?r ?\d{2,3}[a-z]{0,2}\b|\d{2,3}a\b|\d+")
_OF_ONE = re.compile(r"(?<![a-z0-9])r ?\d{2,3}[a-z]{0,2}(?![a-z0-9])")
_WEIGHINGS = ("gross before", "gross after", "gross", "tare", "readings")
"""Weights of a cylinder, which a row may give instead of what was moved."""
_POUNDS = re.compile(
    r"(?:\d|\b(?:an?|one|two|three|four|five|six|seven|eight|nine|ten|half)\b)[ -]*"
    r"(?:lbs?|#|pounds?|oz|ounces?|kgs?|kilos?|g|grams?)(?![a-z0-9])",
    re.IGNORECASE,
)
_TOLERANCE = OUNCE * 4 // 5
"""0.05 lb: the most that a total written with one decimal is off."""


@lru_cache(maxsize=4096)
def is_total(text: str) -> bool:
    """Whether a text says total and nothing that is not about one: "June total", "c/f"."""
    words = header_words(text[:120])
    if not words or _CORE.search(words) is None:
        return False
    return all(word in _BESIDE for word in _NAMED.sub(" ", words).split())


@lru_cache(maxsize=4096)
def may_be_total(text: str) -> bool:
    """Whether a text begins or ends with a word for a total: "RTU-1 Total"."""
    words = header_words(text[:120])
    found = _CORE.search(words)
    return found is not None and (found.start() == 0 or found.end() == len(words))


def names_pounds(text: str) -> bool:
    """Whether words speak of an amount of refrigerant: "also put 3 lb in RTU-4"."""
    return _POUNDS.search(text) is not None


@dataclass(slots=True)
class _Column:
    """Sums of one column: of all that can be read, of its numbers, of the rows that are shown."""

    read: int = 0
    numbers: int = 0
    shown: int = 0
    shown_numbers: int = 0

    def ways(self) -> set[int]:
        return {self.read, self.numbers, self.shown, self.shown_numbers}


@dataclass(slots=True)
class _Stretch:
    """The rows since some point of a table, and the sums of its columns."""

    rows: int = 0
    columns: dict[int, _Column] = field(default_factory=dict)


class Sums:
    """The sums of a table since its top, its last headings and its last total."""

    def __init__(self, plan: Plan, masses: tuple[int, ...]) -> None:
        self._units = {one.index: one.unit for one in plan.columns if one.index in masses}
        self._stretches = [_Stretch(), _Stretch(), _Stretch()]
        fields = {one.index: one.field for one in plan.columns if one.index in masses}
        self._amounts = [at for at, name in fields.items() if name not in _WEIGHINGS]
        self._weighings = [at for at, name in fields.items() if name in _WEIGHINGS]
        # What a row moved is known where it gives the amount in the unit of its column; of a
        # column with other rows nobody can say here what it comes to.
        self._unsure = set(self._amounts if "amount unit" in plan.places else ())

    def add(self, row: Row) -> None:
        """Add one row of the table."""
        for stretch in self._stretches:
            stretch.rows += 1
        self._weigh(row.cells)
        shown = HIDDEN not in row.marks
        for index, unit in self._units.items():
            if index >= len(row.cells):
                continue
            cell = row.cells[index]
            if (mass := _mass(cell, unit)) is None:
                continue
            number = not isinstance(cell, str)
            for stretch in self._stretches:
                column = stretch.columns.setdefault(index, _Column())
                column.read += mass
                column.numbers += mass if number else 0
                column.shown += mass if shown else 0
                column.shown_numbers += mass if shown and number else 0

    def _weigh(self, cells: list[object]) -> None:
        """Note the columns whose sum this row leaves open."""
        count = len(cells)
        there = [at for at in self._amounts if at < count and not _is_empty(cells[at])]
        self._unsure.update(at for at in there if _mass(cells[at], self._units[at]) is None)
        if not there and any(at < count and not _is_empty(cells[at]) for at in self._weighings):
            self._unsure.update(self._amounts)

    def headed(self) -> None:
        """The headings stand once more."""
        self._stretches[1] = _Stretch()

    def summed(self) -> None:
        """A total stands here."""
        self._stretches[2] = _Stretch()

    def equal(self, row: Row, least: int = 1) -> bool:
        """Whether each amount of a row is the sum of its column over at least so many rows."""
        filled = [
            (index, row.cells[index]) for index in self._units
            if index < len(row.cells) and row.cells[index] not in (None, "")
        ]  # fmt: skip
        return bool(filled) and any(
            stretch.rows >= least and all(self._is(stretch, *one) for one in filled)
            for stretch in self._stretches
        )

    def differs(self, row: Row) -> tuple[int, int] | None:
        """What a total says and what the rows since the last one come to, where they differ.

        None where that cannot be told: rows give weights instead of the amount, or the total
        is that of one refrigerant.
        """
        if any(isinstance(cell, str) and _OF_ONE.search(header_words(cell[:120]))
               for cell in row.cells):  # fmt: skip
            return None
        for index in self._amounts:
            if index in self._unsure:
                continue
            unit = self._units[index]
            said = _mass(row.cells[index], unit) if index < len(row.cells) else None
            if said and not any(self._is(one, index, row.cells[index]) for one in self._stretches):
                found = self._stretches[2].columns.get(index, _Column())
                return said, found.read
        return None

    def _is(self, stretch: _Stretch, index: int, cell: object) -> bool:
        said = _mass(cell, self._units[index])
        if said is None:
            return False
        ways = stretch.columns.get(index, _Column()).ways()
        return said == 0 or any(abs(said - one) <= _off(cell) for one in ways)


def _is_empty(cell: object) -> bool:
    return cell is None or (isinstance(cell, str) and cell_text(cell) in EMPTY)


def _mass(cell: object, unit: str) -> int | None:
    """The mass of a cell as counts; None where it holds none that can be read."""
    if isinstance(cell, str):
        found = read_mass(cell_text(cell), unit)
    elif isinstance(cell, Real) and not isinstance(cell, bool):
        found = read_mass(cell, unit)  # type: ignore[arg-type]
    else:
        return None
    if isinstance(found, Problem):
        return None
    assert isinstance(found, Quantity)
    return int(found.mass)


def _off(cell: object) -> int:
    """How far a total may be off, by the decimals it is written with."""
    decimals = len(cell_text(cell).partition(".")[2].rstrip("lbs# kgoz"))
    return min(POUND // (2 * 10 ** min(decimals, 6)) if decimals else 0, _TOLERANCE) + 1000
