"""Gathers the pieces of a message into frames: what was done, where, from what, how much.

A message may tell several movements. A stretch between two commas belongs to the movement before
it unless it brings a second verb, amount, cylinder or unit: then it begins the next.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from ledger.intake.text_pieces import (
    AMOUNT,
    AND,
    BREAK,
    CYLINDER,
    DID,
    LETTER,
    NO_NAME,
    NOTHING,
    NUMBER,
    PAUSE,
    PLUS,
    READING,
    REFRIGERANT,
    SOURCE,
    TARGET,
    UNCLEAR,
    UNIT,
    VERB,
    WEIGHTS,
    Piece,
)
from ledger.intake.text_weights import Gross

_PARTS = (BREAK, PAUSE, AND)
_ENDING = (UNIT, CYLINDER, AMOUNT, NUMBER, WEIGHTS, NO_NAME, READING, VERB)
"""What a "from" or a "to" before it is used up by."""


@dataclass(slots=True)
class Named:
    """A thing named in a frame, and whether "from" or "to" stood before it."""

    name: str
    text: str
    side: str = ""


@dataclass(slots=True)
class Frame:
    """One movement as far as it is told; lists hold more than one where that has to be asked."""

    verbs: list[Piece] = field(default_factory=list)
    amounts: list[Piece] = field(default_factory=list)
    weights: list[Gross] = field(default_factory=list)
    cylinders: list[Named] = field(default_factory=list)
    units: list[Named] = field(default_factory=list)
    letters: list[Piece] = field(default_factory=list)
    refrigerants: list[Piece] = field(default_factory=list)
    nothing: bool = False
    work: bool = False
    together: bool = False
    """Whether the unit stands in one stretch with the verb or the amount."""
    doubtful: list[Piece] = field(default_factory=list)
    """Amounts told beside other words than a verb: "customer approved 3 lb"."""
    after: str = ""
    """The kind of piece that parts it from what stands before."""

    @property
    def told(self) -> bool:
        """Whether anything in it says that refrigerant moved."""
        return bool(self.verbs or self.amounts or self.weights or self.nothing)

    def begins_anew(self, other: Frame) -> bool:
        """Whether the next stretch is of another movement than this."""
        mine = {one.name for one in self.units}
        return bool(
            (self.verbs and other.verbs)
            or (self.amounts and other.amounts)
            or (self.weights and other.weights)
            or (self.cylinders and other.cylinders)
            or (mine and other.units and {one.name for one in other.units} != mine)
        )

    def take(self, other: Frame) -> None:
        """Take a further stretch in."""
        for one, rest in ((self, other), (other, self)):
            if one.amounts and one.units and not one.verbs and rest.verbs and not rest.amounts:
                # "12 lb RTU-3, added from 410-017": the 12 lb may be what the unit holds.
                one.doubtful = list(one.amounts)
        for name in _LISTS:
            getattr(self, name).extend(getattr(other, name))
        known = {one.name for one in self.units}
        self.units += [one for one in other.units if one.name not in known]
        self.nothing = self.nothing or other.nothing
        self.work = self.work or other.work
        self.together = self.together or other.together


_LISTS = ("verbs", "amounts", "weights", "cylinders", "letters", "refrigerants", "doubtful")


def frames_of(pieces: list[Piece]) -> list[Frame]:
    """The movements of a message in order; stretches that tell nothing are among them."""
    found: list[Frame] = []
    for stretch in _stretches(pieces):
        if found and not found[-1].begins_anew(stretch):
            found[-1].take(stretch)
        else:
            found.append(stretch)
    return found


def _stretches(pieces: list[Piece]) -> list[Frame]:
    found: list[Frame] = []
    frame, side, said = Frame(), "", ""
    for place, piece in enumerate(pieces):
        if piece.kind == DID and place and pieces[place - 1].kind == AMOUNT and frame.amounts:
            # "2 lb low", "2 lb vacuum": the amount is of something else.
            frame.doubtful.append(pieces[place - 1])
        parts = piece.kind in _PARTS or (piece.kind == VERB and _full(frame))
        if parts:
            found.append(_closed(frame))
            frame, side = Frame(after=piece.kind), ""
        if piece.kind in (SOURCE, TARGET):
            side, said = piece.kind, piece.text
            continue
        if side and piece.kind in (AMOUNT, NUMBER):
            # "charged to 12 lb" tells what is in it now, not what went in.
            frame.doubtful.append(piece)
        # "29.15 on 410-017" is no way for refrigerant to go; "used 2 lb on RTU-3" is.
        into = side == TARGET and said in ("on", "for") and piece.kind == CYLINDER
        _put(frame, piece, "" if into else side)
        if piece.kind in _ENDING:
            side = ""
    return [*found, _closed(frame)]


def _closed(frame: Frame) -> Frame:
    frame.together = bool(frame.units) and frame.told
    if frame.work and not frame.verbs:
        frame.doubtful += [one for one in frame.amounts if one not in frame.doubtful]
    return frame


def _full(frame: Frame) -> bool:
    """Whether a verb after this begins another stretch without a comma."""
    return bool(frame.verbs and (frame.amounts or frame.weights or frame.nothing))


def _put(frame: Frame, piece: Piece, side: str) -> None:
    if piece.kind == VERB:
        frame.verbs.append(piece)
    elif piece.kind == PLUS and not frame.verbs and not frame.amounts:
        frame.verbs.append(Piece(VERB, piece.text, "added"))
    elif piece.kind in (AMOUNT, NUMBER, UNCLEAR):
        frame.amounts.append(piece)
    elif piece.kind == WEIGHTS:
        frame.weights.append(piece.value)
    elif piece.kind == CYLINDER:
        frame.cylinders.append(Named(piece.value, piece.text, side))
    elif piece.kind == UNIT:
        if piece.value not in {one.name for one in frame.units}:
            frame.units.append(Named(piece.value, piece.text, side))
    elif piece.kind == LETTER:
        frame.letters.append(piece)
    elif piece.kind == REFRIGERANT:
        frame.refrigerants.append(piece)
    elif piece.kind == NOTHING:
        frame.nothing = True
    elif piece.kind == DID:
        frame.work = True
