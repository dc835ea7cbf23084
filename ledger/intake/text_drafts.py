"""The entry that a message makes: all its movements in one, under a key of its own words.

A message that is sent again on the same day is the same entry; its words stay in the note.
"""

from __future__ import annotations

import json
from hashlib import sha256

from ledger.facts.entry import Draft
from ledger.facts.facts import Fact
from ledger.facts.verbs import charge, recover, transfer
from ledger.intake.actions import VISIT
from ledger.intake.text_heard import Heard, Move


def draft_of(
    heard: Heard, day: str, by: str, ticket: str, key: str = "", ordinal: int = 1
) -> Draft:
    """The draft of a message without open questions.

    `day`, `by` and `ticket` are used where the message names none itself. `ordinal` tells apart
    messages of the same words in one file.
    """
    day, by, ticket = heard.on or day, heard.by or by, heard.ticket or ticket
    facts = tuple(fact for move in heard.moves for fact in _facts(move))
    verb = heard.moves[0].verb if len(heard.moves) == 1 else VISIT
    words = " ".join(heard.message.split())
    return Draft(
        key or _key(day, words, ordinal), verb, day, facts, by, ticket=ticket, note=words
    )  # fmt: skip


def _facts(move: Move) -> list[Fact]:
    if move.target:
        return transfer(move.cylinder, move.target, move.refrigerant, move.net, move.evidence)
    verb = charge if move.verb == "charge" else recover
    return verb(move.circuit, move.cylinder, move.refrigerant, move.net, move.evidence)


def _key(day: str, words: str, ordinal: int) -> str:
    """Case, spaces and the stop at the end do not make another message."""
    told = [day, words.casefold().rstrip(" .!"), ordinal]
    return f"text:{sha256(json.dumps(told).encode()).hexdigest()[:32]}"
