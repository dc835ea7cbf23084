"""Keeps out what lacks refrigerant only because a row that may have brought it waits for an answer.

Recorded at once, such a row would post a difference that the answer then makes wrong.
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

    def asked(self, problems: list[Problem], taken: set[str]) -> list[Problem]:
        """The problems of a row with its lack as a question, where an open row may end it.

        `taken` are the cylinders that the row takes from.
        """
        if not (self._somewhere or self._cylinders & {folded(one) for one in taken}):
            return problems
        return [
            replace(
                one,
                sentence=f"{one.sentence} A row that may have filled it waits for an answer.",
                remedy="Answer that row first; take records this one all the same.",
                choices=(TAKE, LEAVE),
            )
            if one.code == SHORT
            else one
            for one in problems
        ]
