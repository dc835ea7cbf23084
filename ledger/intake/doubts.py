"""What makes a whole row doubtful, so that a person is asked whether it counts."""

from __future__ import annotations

from ledger.intake.sheets import HIDDEN, STRUCK, Row

ALONE, POUNDS = "alone", "pounds"

DOUBTS = {
    HIDDEN: ("is hidden in the sheet", "Answer take or leave."),
    STRUCK: ("is struck through", "Answer take or leave."),
    ALONE: (
        "holds an amount and no day, and is no sum of the rows above it",
        "Fill in the day and the unit, or answer leave.",
    ),
    POUNDS: (
        "is a note that names pounds",
        "Give them a row of their own with a day and a unit, or answer leave.",
    ),
}
"""What each mark of a row means, as the rest of a sentence, and what a person can do."""
UNTAKEABLE = (ALONE, POUNDS)
"""Marks of rows that are no record as they stand: nothing in them is read but the doubt."""


def doubt_of(row: Row) -> tuple[str, str, tuple[str, ...]] | None:
    """The sentence, the remedy and the answers for a doubtful row; None where it is clear."""
    marks = [mark for mark in row.marks if mark in DOUBTS]
    if not marks:
        return None
    said = " and ".join(DOUBTS[mark][0] for mark in marks)
    bare = [mark for mark in marks if mark in UNTAKEABLE]
    choices = ("leave",) if bare else ("take", "leave")
    return f"Row {row.number} {said}.", DOUBTS[(bare or marks)[0]][1], choices
