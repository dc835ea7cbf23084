"""Finds gross weights among the pieces of a message: "was 31.4 now 29.15", "21.4 > 20.15 > 18.9".

Two numbers are weights only where a word, an arrow or the cylinder before them says so; "2 to 3 lb"
is a range, and is asked about. Common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass

from ledger.facts.mass import Quantity
from ledger.intake.text_pieces import (
    AMOUNT,
    ARROW,
    CYLINDER,
    DID,
    FIRST_WEIGHT,
    LAST_WEIGHT,
    NUMBER,
    PAUSE,
    SOURCE,
    TARGET,
    UNCLEAR,
    UNKNOWN,
    WEIGHTS,
    WORD,
    Piece,
)
from ledger.intake.text_words import IDLE

_NUMBERS = (AMOUNT, NUMBER, UNCLEAR)


@dataclass(frozen=True, slots=True)
class Gross:
    """The gross weights of one cylinder in order; `unclear` are pieces that are no clear weight.

    `said` is whether a word says that they are gross weights. Where only an arrow or a "to" does,
    or "stages", they may be the pounds of each stage, and the cylinder's tare has to bear them out.
    """

    readings: tuple[Quantity, ...]
    unclear: tuple[Piece, ...] = ()
    said: bool = True
    spoken: bool = False
    """Whether a "to" joins them: where they rise, they may be a range of pounds as well."""


def with_weights(pieces: list[Piece]) -> list[Piece]:
    """The pieces with each run of gross weights as one piece, and idle words let go."""
    found: list[Piece] = []
    place = 0
    while place < len(pieces):
        if (end := _run(pieces, place)) > place:
            run = pieces[place:end]
            numbers = [one for one in run if one.kind in _NUMBERS]
            said = any(
                one.kind in (FIRST_WEIGHT, LAST_WEIGHT, WEIGHTS) and "stage" not in one.text
                for one in run
            )
            spoken = any(one.kind == TARGET for one in run)
            found.append(
                Piece(WEIGHTS, " ".join(one.text for one in run), _gross(numbers, said, spoken))
            )
            place = end
            continue
        found.append(_idle(pieces, place))
        place += 1
    return found


def _gross(numbers: list[Piece], said: bool, spoken: bool) -> Gross:
    unclear = tuple(one for one in numbers if one.kind == UNCLEAR)
    readings = tuple(one.value for one in numbers if one.kind != UNCLEAR)
    return Gross(readings, unclear, said, spoken)


def _idle(pieces: list[Piece], place: int) -> Piece:
    """A word about weights that has no number beside it: idle, or one that is asked about."""
    piece = pieces[place]
    if piece.kind == LAST_WEIGHT and piece.text == "down to":
        return Piece(DID, piece.text, piece.text)
    if piece.kind == FIRST_WEIGHT and piece.text == "went from":
        return Piece(SOURCE, piece.text, piece.text)
    if piece.kind in (FIRST_WEIGHT, LAST_WEIGHT, WEIGHTS) and not isinstance(piece.value, Gross):
        return Piece(WORD if piece.text in IDLE else UNKNOWN, piece.text, piece.text)
    return piece


def _run(pieces: list[Piece], start: int) -> int:
    """Where a run of weights that begins here ends; `start` where none does."""
    for rule in (_labelled_pair, _trailed_pair, _listed, _chained, _one):
        if (end := rule(pieces, start)) > start:
            return end
    return start


def _kind(pieces: list[Piece], place: int) -> str:
    return pieces[place].kind if place < len(pieces) else ""


def _past(pieces: list[Piece], place: int) -> int:
    """Past a comma or a word that means nothing."""
    while _kind(pieces, place) in (PAUSE, WORD):
        place += 1
    return place


def _labelled_pair(pieces: list[Piece], start: int) -> int:
    """ "was 31.4 now 29.15", "start 31.40, end 29.15", "gross before 31.4 gross after 29.15"."""
    if _kind(pieces, start) != FIRST_WEIGHT or _kind(pieces, start + 1) not in _NUMBERS:
        return start
    second = _past(pieces, start + 2)
    if _kind(pieces, second) not in (LAST_WEIGHT, ARROW, TARGET):
        return start
    if pieces[second].kind == TARGET and pieces[second].text != "to":
        return start
    return second + 2 if _kind(pieces, second + 1) in _NUMBERS else start


def _trailed_pair(pieces: list[Piece], start: int) -> int:
    """ "31.4 before, 29.15 after": each number before its word, and none left over."""
    if _kind(pieces, start) not in _NUMBERS or _kind(pieces, start + 1) != FIRST_WEIGHT:
        return start
    second = _past(pieces, start + 2)
    trailed = _kind(pieces, second) in _NUMBERS and _kind(pieces, second + 1) == LAST_WEIGHT
    return second + 2 if trailed and _kind(pieces, second + 2) not in _NUMBERS else start


def _listed(pieces: list[Piece], start: int) -> int:
    """ "gross 21.40, 20.15, 18.90", "scale 31.2 to 20.7": two or more after the word."""
    if _kind(pieces, start) != WEIGHTS:
        return start
    place = start + 1
    while _kind(pieces, place) in (WORD, WEIGHTS, FIRST_WEIGHT, SOURCE):
        place += 1
    end, count = place, 0
    while _kind(pieces, place) in _NUMBERS:
        count, end = count + 1, place + 1
        place = end
        to = _kind(pieces, place) == TARGET and pieces[place].text == "to"
        if _kind(pieces, place) in (ARROW, PAUSE, LAST_WEIGHT) or to:
            place += 1
    return end if count > 1 else start


def _chained(pieces: list[Piece], start: int) -> int:
    """ "31.4 -> 29.15" anywhere; "31.4 to 29.15" after its cylinder or after "from"."""
    place = start
    told = start > 0 and pieces[_before(pieces, start)].kind == CYLINDER
    if _kind(pieces, place) == SOURCE and pieces[place].text == "from":
        place, told = place + 1, True
    if _kind(pieces, place) == FIRST_WEIGHT:
        place, told = place + 1, True
    if _kind(pieces, place) not in _NUMBERS:
        return start
    end = place + 1
    while _joins(pieces, end, told) and _kind(pieces, end + 1) in _NUMBERS:
        end += 2
    return end if end > place + 1 else start


def _before(pieces: list[Piece], place: int) -> int:
    place -= 1
    while place > 0 and pieces[place].kind in (WORD, PAUSE):
        place -= 1
    return place


def _joins(pieces: list[Piece], place: int, told: bool) -> bool:
    kind = _kind(pieces, place)
    if kind == ARROW:
        return True
    to = kind == TARGET and pieces[place].text == "to"
    return told and (to or kind == LAST_WEIGHT)


def _one(pieces: list[Piece], start: int) -> int:
    """A single weight with its word, which is not enough and is asked about."""
    kinds = (_kind(pieces, start), _kind(pieces, start + 1))
    labels = (FIRST_WEIGHT, LAST_WEIGHT, WEIGHTS)
    if kinds[0] in labels and kinds[1] in _NUMBERS:
        return start + 2
    if (
        kinds[0] in _NUMBERS
        and kinds[1] in labels
        and pieces[start + 1].text in ("now", "before", "after")
    ):
        return start + 2
    return start
