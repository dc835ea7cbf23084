"""What a template workbook is made of: one sheet to fill in, a column at a time.

A template's headings are words that the importer knows, so that a filled sheet is taken in as it
stands. What each kind holds is in `template_sheets` and `template_masters`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Shape = Literal[
    "text", "day", "past", "past or unknown", "time", "mass", "amount", "money", "whole"
]
"""What the cells of a column hold.

text             words, kept as they are typed: "0012" is no number, "4-8" is no day
day              any day
past             a day that is not in the future
past or unknown  the same, or the word unknown
time             time of day
mass             a weight above nothing, or a text with its unit: "4 lb 8 oz"
amount           the same, or as the column's `also` allows
money            dollars and cents
whole            a whole number
"""


@dataclass(frozen=True, slots=True)
class TemplateColumn:
    """One column: its heading, what to write there, an example, and who needs it.

    `choices` names the list the cells choose from (see `template_lists`); with `free` other
    words may be kept after a question. `caution` is one line with its basis. `also` says what an
    amount may be beside a weight: nothing ("recover": on rows of that action) or "unknown".
    """

    heading: str
    what: str
    example: str
    needed: str = "if known"
    shape: Shape = "text"
    choices: str = ""
    free: bool = False
    caution: str = ""
    also: str = ""
    width: int = 14

    @property
    def always(self) -> bool:
        """Whether no row can do without it."""
        return self.needed == EVERY_ROW


EVERY_ROW = "every row"


@dataclass(frozen=True, slots=True)
class Template:
    """One kind of sheet: the name of its tab, what one row is, its columns and its cautions."""

    kind: str
    sheet: str
    row: str
    columns: tuple[TemplateColumn, ...]
    cautions: tuple[tuple[str, str], ...] = ()
    """Lines to keep in mind while filling in, each with its basis."""


OTHER_WORDS = {
    "job": "jobs", "charges": "jobs", "charge": "jobs", "recoveries": "jobs", "recover": "jobs",
    "receive": "receipts", "transfer": "transfers", "issues": "moves", "issue": "moves",
    "move": "moves", "weigh": "weighings", "ship": "shipments", "returns": "shipments",
    "opening-balances": "opening", "openings": "opening", "releases": "losses", "heels": "losses",
    "tests": "repairs", "parties": "customers", "suppliers": "customers", "person": "people",
    "added-by-others": "by-others", "inspections": "events", "inspection": "events",
    "leaks": "events", "plans": "events", "mothballing": "events",
}  # fmt: skip
"""Other words for a kind."""


def templates() -> dict[str, Template]:
    """Every template by its kind, in the order they are listed."""
    from ledger.reports.template_masters import MASTERS
    from ledger.reports.template_sheets import SHEETS

    return {one.kind: one for one in (*SHEETS, *MASTERS)}


def kind_of(text: str) -> str:
    """The kind of template that a word means, or empty."""
    word = "-".join(text.casefold().split())
    known = templates()
    for name in (word, OTHER_WORDS.get(word, ""), f"{word}s"):
        if name in known:
            return name
    return ""
