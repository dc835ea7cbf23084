"""What one row of a sheet says, as it is read: its values, its note, and what keeps it out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any

from ledger.facts.limits import LARGEST_TEXT
from ledger.facts.mass import NOTHING, Quantity
from ledger.facts.problems import Problem
from ledger.intake.plan import Plan
from ledger.intake.sheets import Row, Unread, cell_text

EMPTY = frozenset(("", "-", "--", "–", "—", "n/a"))
"""What people write where there is nothing to write."""
NOTHING_SAID: Mapping[str, str] = MappingProxyType({})
"""What was answered about a row where nothing was."""
UNKNOWN_AMOUNT = Quantity(NOTHING, "unknown")
"""Stands for an amount that nobody knows, which only an addition by others may have."""


@dataclass(slots=True)
class Reading:
    """What one row says: its values by field, and the problems found so far, each with its field.

    `action` is the movement (a key of ACTIONS) or the kind of masters; `day` the ISO day.
    `content` is the SHA-256 of what makes the row this row; the key of its entry is made of
    it and of how often the file has had it before. `tried` marks a recovery of nothing that
    is explained in words ("0 - flat"), `estimated` names the field of an amount that its writer
    marked as not exact. `answers` is what a person answered about the row, by field, where the
    row was read with it; `doubt` the refrigerant as written where its writer did not know it.
    """

    row: Row
    plan: Plan
    action: str = ""
    day: str = ""
    time: str = ""
    note: str = ""
    values: dict[str, Any] = field(default_factory=dict)
    content: str = ""
    problems: list[tuple[str, Problem]] = field(default_factory=list)
    estimated: str = ""
    tried: bool = False
    answers: Mapping[str, str] | None = None
    doubt: str = ""

    def text(self, name: str) -> str:
        """A text field, empty where the row does not have it."""
        found: str = self.values.get(name, "")
        return found

    def add_note(self, text: str) -> None:
        """Keep something a person wrote beside what the row records."""
        self.note = f"{self.note}; {text}" if self.note else text

    def circuit(self) -> str:
        """The circuit as a name of the book: "RTU-3", or "RTU-3/B" of two columns."""
        unit, circuit = self.text("unit"), self.text("circuit")
        if not unit or not circuit or circuit == unit or circuit.startswith(f"{unit}/"):
            return circuit or unit
        if unit.endswith(f"/{circuit}"):
            return unit
        return f"{unit}/{circuit}"


def clean_text(reading: Reading, name: str, cell: object) -> str:
    """The text of a cell; what cannot be kept in the record is a problem."""
    text = cell_text(cell)
    if len(text) > LARGEST_TEXT or not text.isprintable():
        problem = Problem(
            "text-unfit",
            f"The {name} is longer than {LARGEST_TEXT:,} characters or holds control characters.",
            "Shorten or retype it.",
        )
        reading.problems.append((name, problem))
        return ""
    return text


def keep_extras(reading: Reading) -> None:
    """Cells under headings that no field belongs to are kept in the note, not dropped."""
    plan, cells = reading.plan, reading.row.cells
    for index, label in plan.extras:
        if index < len(cells) and cells[index] not in (None, ""):
            cell = cells[index]
            text = cell.why if isinstance(cell, Unread) else clean_text(reading, "note", cell)
            if text not in EMPTY:
                reading.add_note(f"{label}: {text}")
    if len(cells) > plan.width:
        beyond = [cell_text(cell) for cell in cells[plan.width :]]
        if any(beyond) and plan.strict_width:
            problem = Problem(
                "value-unclear",
                f"The row has {len(cells)} cells where the headings are {plan.width}, as when a"
                " comma stands in a cell without quotation marks.",
                "Put the cell with the comma in quotation marks.",
            )
            reading.problems.append(("", problem))
        elif any(beyond):
            reading.add_note(", ".join(text for text in beyond if text))


def unread(header: str, cell: Unread) -> Problem:
    """The problem of a cell that shows no value of its own, or one that a person can settle."""
    if cell.asks:
        return Problem("row-doubtful", f'The cell under "{header}" {cell.why}.',
                       "Answer with the value that is meant.")  # fmt: skip
    return Problem(
        "value-unclear", f'The cell under "{header}" {cell.why}.',
        "Type the value, or open the file in a spreadsheet program and save it again.",
    )  # fmt: skip
