"""The words for a shop's papers and for the truth beside them, which no program decides.

A `Case` is a true shop with the files it kept. Every row of every tab that is meant to be read
by a person has a `Truth`: which true movements it says, and how surely.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction

GRAMS_PER_POUND = Fraction(45359237, 100000)
ADDED, RECOVERED = "added", "recovered"

CERTAIN = "certain"
"""A careful reader has no doubt: recording it exactly is right, asking is allowed."""
ASK = "ask"
"""It can be read two ways or not surely at all: it has to be asked about."""
WRONG = "wrong"
"""It contradicts itself or what is known: no pounds of it without a word about that."""
NOTHING = "nothing"
"""It records no pounds: a title, a total, a note, a struck-out copy, a visit without pounds."""


@dataclass(frozen=True, slots=True)
class Amount:
    """An exact amount as figures: `whole` and `part` read by `style`.

    tenth: 4.8 lb. hundredth: 4.85 lb. ounce: 4 lb 8 oz. kilo: 2.6 kg. gram: 3120 g (no part).
    """

    style: str
    whole: int
    part: int = 0

    @property
    def grams(self) -> Fraction:
        """The exact mass."""
        if self.style == "tenth":
            return (self.whole + Fraction(self.part, 10)) * GRAMS_PER_POUND
        if self.style == "hundredth":
            return (self.whole + Fraction(self.part, 100)) * GRAMS_PER_POUND
        if self.style == "ounce":
            return (self.whole + Fraction(self.part, 16)) * GRAMS_PER_POUND
        if self.style == "kilo":
            return self.whole * 1000 + Fraction(self.part, 10) * 1000
        return Fraction(self.whole)

    @property
    def figures(self) -> str:
        """The bare number, in the unit of the style; of ounces the decimal pounds."""
        if self.style == "ounce":
            ten_thousandths = self.whole * 10_000 + self.part * 625
            whole, part = divmod(ten_thousandths, 10_000)
            return f"{whole}.{part:04d}".rstrip("0").rstrip(".")
        if self.style == "gram":
            return str(self.whole)
        return f"{self.whole}.{self.part:02d}" if self.style == "hundredth" else (
            f"{self.whole}.{self.part}"
        )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Job:
    """One true movement of the shop; `number` is its own, `visit` that of the visit."""

    number: int
    visit: int
    day: str
    site: str
    unit: str
    circuit: str
    refrigerant: str
    direction: str
    amount: Amount
    cylinder: str
    person: str
    ticket: str


@dataclass(frozen=True, slots=True)
class Says:
    """What a row says of one movement: every reading of each part; one each where it is sure.

    `circuits` names circuits; an empty name stands for "not said which". `cylinders` are the
    cylinders it may go to or come from.
    """

    job: int
    direction: str
    days: tuple[str, ...]
    circuits: tuple[str, ...]
    refrigerants: tuple[str, ...]
    grams: tuple[Fraction, ...]
    cylinders: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Truth:
    """The truth about one written row.

    `kind` names the mess, `sure` is one of the four words above, `doubt` the part of the row
    that is in doubt (pounds, day, refrigerant, circuit, row). `flag_ok` says that recording one
    of the readings with a word about the doubt is as good as asking.
    """

    kind: str
    sure: str
    says: tuple[Says, ...] = ()
    doubt: str = ""
    flag_ok: bool = False


@dataclass(frozen=True, slots=True)
class Formula:
    """A formula cell with the result the file keeps, None where it keeps none."""

    text: str
    result: float | int | None


Cell = object
"""What is in a cell: text, a number, a day, a Formula, or None."""


@dataclass(slots=True)
class Line:
    """One row of a tab as written, with its truth; rows of layout have a truth of NOTHING."""

    cells: list[Cell]
    truth: Truth
    hidden: bool = False
    struck: bool = False
    comment: str = ""


@dataclass(frozen=True, slots=True)
class Heading:
    """One column of a table: its heading as written, what a person says it means, its unit."""

    text: str
    meaning: str
    unit: str = ""


@dataclass(slots=True)
class Table:
    """The columns of one table of a tab, and the row its headings stand in (1-based)."""

    headings: list[Heading]
    row: int


@dataclass(slots=True)
class Tab:
    """One sheet of a file; `merged` are ranges such as A3:A5. `records` is false for a tab
    that holds no rows of work at all, which a person would not take in."""

    name: str
    lines: list[Line] = field(default_factory=list)
    tables: list[Table] = field(default_factory=list)
    merged: list[str] = field(default_factory=list)
    hidden: bool = False
    records: bool = True


@dataclass(slots=True)
class Paper:
    """One file: its name (the ending says xlsx or csv) and its tabs."""

    name: str
    tabs: list[Tab] = field(default_factory=list)

    def rows(self) -> list[tuple[str, int, Line]]:
        """Every line with its tab (empty in csv) and its row number as a spreadsheet counts."""
        plain = self.name.endswith(".csv")
        return [
            ("" if plain else tab.name, number, line)
            for tab in self.tabs
            for number, line in enumerate(tab.lines, start=1)
        ]


@dataclass(frozen=True, slots=True)
class Unit:
    """A circuit as the book knows it: its unit, its site, refrigerant and full charge in lb."""

    circuit: str
    unit: str
    site: str
    refrigerant: str
    full_charge: int


@dataclass(frozen=True, slots=True)
class Cylinder:
    """A cylinder of the book: `kind` supply or recovery."""

    name: str
    kind: str
    refrigerant: str


@dataclass(frozen=True, slots=True)
class Person:
    """A technician with the initials they sign with."""

    name: str
    initials: str


@dataclass(slots=True)
class Shop:
    """The true shop: its masters, which stand in the book, and what really happened."""

    sites: list[str]
    units: list[Unit]
    cylinders: list[Cylinder]
    people: list[Person]
    jobs: list[Job] = field(default_factory=list)


@dataclass(slots=True)
class Case:
    """A shop and its papers, in the order in which they are taken in.

    `papers` come in first; `again` are the same papers later: sorted, added to, corrected,
    or with rows that moved from one to another.
    """

    seed: int
    shop: Shop
    papers: list[Paper]
    again: list[Paper]
