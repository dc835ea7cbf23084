"""The one table every answer is handed over in, whatever it is then printed as."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal, get_args

from ledger.facts.mass import COUNTS_PER_UNIT

Kind = Literal[
    "text", "whole", "number", "mass", "percent", "date", "time", "moment", "quantity", "money",
    "list",
]  # fmt: skip
"""What a column holds.

text      words
whole     a count or an entry number: int
number    a measured or computed figure that is neither: Fraction, printed to the column's places
mass      exact counts of 1.25 ng (an int, see ledger.facts.mass), printed in the column's unit
percent   a ratio as Fraction: Fraction(1, 5) is 20 %
date      ISO text, "2026-03-30"
time      time of day, "14:05"
moment    a moment in UTC as an entry records it, "2026-03-30T16:05:09.123456Z"
quantity  a Quantity, printed back as it was written
money     whole hundredths of the unit (cents): int
list      a sequence of words or entry numbers
"""

KINDS: tuple[str, ...] = get_args(Kind)
NUMERIC_KINDS = frozenset({"whole", "number", "mass", "percent", "money"})
"""Kinds that are numbers in a sheet and stand to the right."""

UNKNOWN = "unknown"
"""The cell of a value that nobody knows; None is a cell with nothing in it."""

KEY = re.compile(r"[a-z][a-z0-9_]*")
"""How a column key is spelled."""

Row = Mapping[str, object]


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a table.

    `key` names the cell of a row; `heading` is what people read, without the unit. `unit` is
    lb unless said for a mass, % for a percentage, the currency for money. `width` is in
    characters, 0 for as wide as its content asks. `places` are decimals in print. `formula`
    is what a workbook writes in place of the value, "={gross_before}-{gross_after}" (see
    ledger.reports.formulas). `total` is "SUM" where a totals row adds the column up.
    """

    key: str
    heading: str
    kind: Kind = "text"
    unit: str = ""
    width: int = 0
    places: int = 2
    formula: str = ""
    total: str = ""

    def __post_init__(self) -> None:
        if not KEY.fullmatch(self.key):
            raise ValueError(f"column key {self.key!r} is not lower case letters, digits and _")
        if self.kind not in KINDS:
            raise ValueError(f"column {self.key}: kind {self.kind!r} is none of {', '.join(KINDS)}")
        if self.total not in ("", "SUM"):
            raise ValueError(f"column {self.key}: total is SUM or nothing, not {self.total!r}")
        if self.total and self.kind not in ("whole", "mass", "money"):
            raise ValueError(f"column {self.key}: a column of kind {self.kind} is not added up")
        if self.kind == "mass" and self.mass_unit not in COUNTS_PER_UNIT:
            raise ValueError(f"column {self.key}: {self.unit!r} is not a unit of mass")
        if self.places < 0 or self.width < 0:
            raise ValueError(f"column {self.key}: places and width are not negative")

    @property
    def mass_unit(self) -> str:
        """The unit masses of this column are printed in: lb unless said."""
        return self.unit or "lb"

    @property
    def is_number(self) -> bool:
        """Whether the cells are numbers."""
        return self.kind in NUMERIC_KINDS

    @property
    def unit_shown(self) -> str:
        """The unit printed with the heading; empty where there is none."""
        return self.unit or {"mass": "lb", "percent": "%"}.get(self.kind, "")

    def label(self) -> str:
        """The heading with its unit: "Net (lb)"."""
        return f"{self.heading} ({self.unit_shown})" if self.unit_shown else self.heading


@dataclass(frozen=True, slots=True)
class Table:
    """An answer laid out: one line that says it, then the rows, then what to know about them.

    A row maps column keys to values (see Kind); a missing key or None is an empty cell, a
    str stands as text in a column of any kind ("unknown", "cannot be computed"). Keys no
    column names are ignored, so one row can serve several layouts. `as_of` is the ISO date
    the answer is for, `known_at` what had been recorded by when, `head` the number and
    digest of the last entry of the book. `cautions` are one line each.
    """

    title: str
    columns: Sequence[Column]
    rows: Sequence[Row]
    answer: str = ""
    notes: Sequence[str] = ()
    as_of: str = ""
    known_at: str = ""
    head: tuple[int, str] | None = None
    cautions: Sequence[str] = ()

    def __post_init__(self) -> None:
        keys = [column.key for column in self.columns]
        if len(set(keys)) != len(keys):
            raise ValueError(f"table {self.title!r} has two columns of one key")

    def provenance(self, *, short: bool = False) -> str:
        """As-of date, knowledge and head in one line, as printed under every report.

        `short` leaves out the knowledge, for the foot of a page.
        """
        parts = []
        if self.as_of:
            parts.append(f"as of {self.as_of}")
        if self.known_at and not short:
            parts.append(f"as recorded by {self.known_at}")
        if self.head is not None:
            number, digest = self.head
            parts.append(f"entry {number}, digest {digest[:12]}")
        line = "; ".join(parts)
        return line[:1].upper() + line[1:]
