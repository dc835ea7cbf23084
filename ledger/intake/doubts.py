"""What makes a whole row doubtful, so that a person is asked whether it counts."""

from __future__ import annotations

from ledger.intake.sheets import HIDDEN, STRUCK, SUM

ALONE, POUNDS = "alone", "pounds"

DOUBTS = {
    HIDDEN: "is hidden in the sheet",
    STRUCK: "is struck through in the sheet",
    SUM: "holds a formula that adds up other rows",
    ALONE: "holds an amount and no day, and is no sum of the rows above it; where it is a job,"
    " fill in its day and its unit",
    POUNDS: "is a note that names pounds; where they were moved, give them a row of their own"
    " with a day and a unit",
}
"""What each mark of a row means, as the rest of a sentence."""
UNTAKEABLE = (ALONE, POUNDS)
"""Marks of rows that are no record as they stand: nothing in them is read but the doubt."""
