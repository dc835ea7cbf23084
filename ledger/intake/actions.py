"""The movements a row can record, in the words shops use for them, and what each one says.

Common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache

from ledger.intake.headers import header_words
from ledger.intake.occasion_words import EVERYDAY, SAID, TWO_WAYS, VERBS, fields_for

VISIT = "visit"
"""The verb of a row in which refrigerant was both recovered and added."""

INITIAL, FOLLOW_UP = "initial test", "follow-up test"
"""The two verification tests of a repair."""

_WHO = ("technician", "supervised by", "ticket")
_WEIGHTS = ("gross before", "gross after", "readings", "scale")
_UNIT = ("site", "unit", "circuit")


@dataclass(frozen=True, slots=True)
class Action:
    """One movement: its words, and the fields that say what it was.

    `verb` is the entry's verb, as on the command line. `fields` make up the content by which
    a row is known again; others on the row are kept in its note. `order` is 0 where
    refrigerant comes into a cylinder, 2 where it leaves one, 1 else: within a day, what came
    in is recorded before what went out. `known` are the fields as a set.
    """

    verb: str
    words: str
    fields: tuple[str, ...]
    order: int
    known: frozenset[str] = field(init=False, repr=False)

    def __post_init__(self) -> None:
        """Keep the fields as a set, for the question that every cell of a row asks."""
        object.__setattr__(self, "known", frozenset(self.fields))


ACTIONS: dict[str, Action] = {
    "charge": Action(
        "charge",
        "charge, charged, charging, added, add, addition, top off, topped off, top up, topped up,"
        " refrigerant added, recharge, recharged, put in",
        (*_UNIT, "refrigerant", "amount", *_WEIGHTS, "cylinder", "claim", *_WHO),
        2,
    ),
    "recover": Action(
        "recover",
        "recover, recovered, recovery, rec, removed, pulled, pulled out, refrigerant recovered",
        (*_UNIT, "refrigerant", "amount", *_WEIGHTS, "cylinder", "to cylinder", "claim", *_WHO),
        0,
    ),
    VISIT: Action(
        VISIT,
        "",
        (*_UNIT, "refrigerant", "added", "recovered", "cylinder", "to cylinder", "scale", *_WHO),
        1,
    ),
    "receive": Action(
        "receive",
        "receive, received, receipt, purchase, purchased, bought, delivery, delivered",
        ("supplier", "party", "invoice", "cylinder", "cylinder kind", "refrigerant", "amount",
         "gross", "tare", "scale", "stock", "batch", "reclaimer", "price", "deposit", "place",
         *_WHO),
        0,
    ),
    "transfer": Action(
        "transfer",
        "transfer, transferred, consolidate, consolidated, decanted",
        ("cylinder", "to cylinder", "refrigerant", "amount", *_WEIGHTS, *_WHO),
        1,
    ),
    "issue": Action(
        "issue", "issue, issued, load out, loaded, on truck", ("cylinder", "place", *_WHO), 1
    ),
    "move": Action("move", "move, moved, put at", ("cylinder", "place", *_WHO), 1),
    "weigh": Action(
        "weigh",
        "weigh, weighed, weighing, weight check, weigh in",
        ("cylinder", "gross", "scale", "state", *_WHO),
        1,
    ),
    "ship": Action(
        "ship",
        "ship, shipped, shipment, sent, sent to reclaimer, sent out",
        ("cylinder", "party", "refrigerant", "amount", *_WEIGHTS, *_WHO),
        2,
    ),
    "return": Action(
        "return",
        "return, returned, return to supplier, returned to supplier, sent back",
        ("cylinder", "party", "supplier", "refrigerant", "amount", *_WEIGHTS, *_WHO),
        2,
    ),
    "added by others": Action(
        "added by others",
        "added by others, by others, other contractor, added by other contractor, others",
        (*_UNIT, "party", "refrigerant", "amount", "ticket"),
        1,
    ),
    "release": Action(
        "release",
        "release, released, vented, known release, known loss",
        ("cylinder", *_UNIT, "refrigerant", "amount", "cause", *_WEIGHTS, *_WHO),
        2,
    ),
    "heel": Action(
        "empty",
        "heel, heel written off, heel write off, emptied, empty",
        ("cylinder", "refrigerant", "amount", *_WEIGHTS, *_WHO),
        2,
    ),
    "repair": Action(
        "repair",
        "repair, repaired, leak repair, fixed",
        (*_UNIT, "where", "how", "evacuated", "leak places", *_WHO),
        1,
    ),
    INITIAL: Action(
        "test",
        "initial test, initial verification, initial verification test",
        (*_UNIT, "result", "leaks", "how", "leak places", *_WHO),
        1,
    ),
    FOLLOW_UP: Action(
        "test",
        "follow-up test, followup test, follow-up verification, follow-up verification test",
        (*_UNIT, "result", "leaks", "how", "leak places", *_WHO),
        1,
    ),
    "opening": Action(
        "opening",
        "opening, opening balance, brought forward, on hand, starting balance",
        ("cylinder", "cylinder kind", "refrigerant", "amount", "gross", "tare", "scale", "stock",
         "owner", "place", *_WHO),
        0,
    ),
}  # fmt: skip
"""Every movement by the name it has in a column map, and every dated event."""

EVENTS = {
    name: Action(
        VERBS.get(said.what, "event"), f"{name}, {said.words}" if said.words else name,
        fields_for(said), 1,
    )
    for name, said in SAID.items()
}  # fmt: skip
"""Dated events of a circuit or a site, by the word a row has for them."""

OFFERED = (*(name for name in ACTIONS if name != VISIT), *EVERYDAY)
"""What is offered where the action of a row is not understood."""

ACTIONS |= EVENTS


def meanings(text: str) -> tuple[str, ...]:
    """What a cell may mean that can be read two ways ("shutdown"); empty for any other."""
    return TWO_WAYS.get(header_words(text), ())


@lru_cache(maxsize=1)
def _by_words() -> dict[str, str]:
    return {
        header_words(word): name
        for name, action in ACTIONS.items()
        for word in action.words.split(",")
        if word
    }


@lru_cache(maxsize=1024)
def action_of(text: str) -> str:
    """The movement that a cell names ("Topped off"), or empty."""
    return _by_words().get(header_words(text), "")


_STOCKS = {
    "new": "virgin", "virgin": "virgin", "reclaimed": "reclaimed", "recovered": "recovered",
    "unknown": "unknown",
}  # fmt: skip


def stock_of(text: str) -> str:
    """The stock kind that a cell names, or empty."""
    return _STOCKS.get(header_words(text), "")
