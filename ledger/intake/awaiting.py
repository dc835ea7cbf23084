"""Keeps out what history would record over a refusal, where a person can say what is right.

What lacks refrigerant only because a row that may have brought it waits for an answer would post
a difference that the answer then makes wrong; more than a circuit holds is mostly a slip.
"""

from __future__ import annotations

from dataclasses import replace

from ledger.book.known import BookKnown
from ledger.facts.entry import Draft
from ledger.facts.facts import Movement
from ledger.facts.masters import folded
from ledger.facts.problems import Problem
from ledger.intake.actions import VISIT
from ledger.intake.questions import LEAVE, TAKE
from ledger.intake.reading import Reading

SHORT = "cylinder-short"
_BRINGS = ("recover", "receive", "transfer", "opening", VISIT)
_TOO_MUCH = "above-full-charge"
_MEND = "Mend the amount or the unit in the row; take records it as it stands."
_INTO = ("to cylinder", "cylinder")


def taken_from(draft: Draft) -> set[str]:
    """The cylinders that a draft takes refrigerant from."""
    return {
        fact.source[9:] for fact in draft.facts
        if isinstance(fact, Movement) and fact.source.startswith("cylinder:")
    }  # fmt: skip


class Awaited:
    """The cylinders that rows in question bring refrigerant into, as far as the rows say."""

    def __init__(self) -> None:
        self._cylinders: set[str] = set()
        self._somewhere = False

    def __bool__(self) -> bool:
        return self._somewhere or bool(self._cylinders)

    def add(self, known: BookKnown | None, reading: Reading) -> None:
        """Take note of a row that waits; one whose cylinder is not known may fill any."""
        if reading.action not in _BRINGS:
            return
        name = next((text for field in _INTO if (text := reading.text(field))), "")
        master = known.master("cylinder", name) if name and known is not None else None
        if master is None:
            self._somewhere = True
        else:
            self._cylinders.add(folded(master.name))

    def asked(self, problems: list[Problem], draft: Draft, final: bool) -> list[Problem]:
        """The problems of a row with what a person has to settle as questions; else none.

        More than a circuit holds is asked about wherever it stands. In the end (`final`) so is
        what a cylinder lacks that an open row may have brought.
        """
        taken = {folded(one) for one in taken_from(draft)}
        waits = final and (self._somewhere or bool(self._cylinders & taken))
        asked, others = [], []
        for one in problems:
            if one.code == _TOO_MUCH:
                asked.append(replace(one, remedy=_MEND, choices=(TAKE, LEAVE)))
            elif waits and one.code == SHORT:
                asked.append(
                    replace(
                        one,
                        sentence=f"{one.sentence} A row that may have filled it waits for an"
                        " answer.",
                        remedy="Answer that row first; take records this one all the same.",
                        choices=(TAKE, LEAVE),
                    )
                )
            else:
                others.append(one)
        # What else history is recorded over is flagged once this is settled.
        return asked if all(one.kind.because for one in others) else []
