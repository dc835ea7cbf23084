"""Cuts a message into pieces, each taken for one thing or for nothing known.

Nothing is decided here but what a run of letters is: a name of the book, an amount, a reading, a
word of `text_words`. What is in none of them is a piece of kind UNKNOWN, which is asked about.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from ledger.facts.mass import Quantity
from ledger.intake import text_shapes as shapes
from ledger.intake.quantities import parse_quantity
from ledger.intake.text_names import Names
from ledger.intake.text_words import (
    FILLERS,
    FIRST,
    FROM,
    HINTS,
    INTO_WORDS,
    LAST,
    NOTHING_CAME,
    OTHER_STUFF,
    PHRASES,
    VERBS,
    WEIGHED,
    WORK,
    spelled_nearly,
)
from ledger.intake.unclear import Unclear, plain
from ledger.refrigerants.spelling import recognise

(
    UNIT, CYLINDER, SITE, PERSON, LETTER, TWO, NO_NAME, AMOUNT, UNCLEAR, NUMBER, REFRIGERANT, VERB,
    SOURCE, TARGET, FIRST_WEIGHT, LAST_WEIGHT, WEIGHTS, ARROW, BREAK, PAUSE, AND, DAY, TICKET,
    READING, NOTHING, NO_MOVE, STUFF, WORD, DID, PLUS, UNKNOWN,
) = (
    "unit", "cylinder", "site", "person", "circuit letter", "two names", "no name", "amount",
    "unclear amount", "number", "refrigerant", "verb", "source", "target", "first weight",
    "last weight", "weights", "arrow", "break", "pause", "and", "day", "ticket", "reading",
    "nothing came", "no movement", "other stuff", "word", "work", "plus", "unknown",
)  # fmt: skip
"""The kinds of piece."""


@dataclass(slots=True)
class Piece:
    """One piece: its kind, the words as written in the message, and what they are taken for."""

    kind: str
    text: str
    value: Any = None


@dataclass(frozen=True, slots=True)
class Lexicon:
    """What a message is read with: names of the book, and the user's names of refrigerants."""

    names: Names
    refrigerants: Mapping[str, str]


def pieces(message: str, lexicon: Lexicon) -> list[Piece]:
    """The pieces of a message in order, lines and sentences parted by breaks."""
    found: list[Piece] = []
    for line in message.splitlines():
        if found:
            found.append(Piece(BREAK, ";"))
        text = plain(line)
        place = 0
        while place < len(text):
            if text[place] == " ":
                place += 1
                continue
            piece, end = _piece(text, place, lexicon)
            if piece is not None:
                found.append(piece)
            place = max(end, place + 1)
    return found


Reader = Callable[[str, int, Lexicon], tuple[Piece | None, int] | None]


def _piece(text: str, at: int, lexicon: Lexicon) -> tuple[Piece | None, int]:
    for reader in _READERS:
        if (found := reader(text, at, lexicon)) is not None:
            return found
    return Piece(UNKNOWN, text[at]), at + 1


def _sign(text: str, at: int, _: Lexicon) -> tuple[Piece | None, int] | None:
    """Signs between words: what parts sentences, what parts words, what is only for the eye."""
    sign, rest = text[at], text[at + 1 : at + 2]
    if match := shapes.arrow.match(text, at):
        after = text[match.end() :].lstrip()[:1]
        if ((after.isdigit() or after == ".") and sign != ">") or (sign == ">" and rest == " "):
            return Piece(ARROW, match[0]), match.end()
    if sign in ";!" or (sign == "." and not rest.isdigit()):
        return Piece(BREAK, sign), at + 1
    if sign == ",":
        return Piece(PAUSE, sign), at + 1
    if sign == "&":
        return Piece(AND, sign), at + 1
    if sign == "+" and (at == 0 or text[at - 1] == " "):
        return Piece(PLUS, sign), at + 1
    if sign in ':()"*👍🙂' or (sign == "-" and not (rest.isdigit() or rest == ".")):
        return None, at + 1
    return None


def _whole(pattern: re.Pattern[str], kind: str) -> Reader:
    """A reader for a pattern that stands at the beginning of a word; its first group is kept."""

    def read(text: str, at: int, _: Lexicon) -> tuple[Piece | None, int] | None:
        match = pattern.match(text, at)
        if match is None or _within_a_word(text, at):
            return None
        groups = [group for group in match.groups() if group]
        return Piece(kind, match[0].strip(), groups[0] if groups else match[0]), match.end()

    return read


def _within_a_word(text: str, at: int) -> bool:
    return at > 0 and text[at - 1].isalnum() and text[at].isalnum()


def _name(text: str, at: int, lexicon: Lexicon) -> tuple[Piece | None, int] | None:
    found = lexicon.names.at(text, at)
    if found is None:
        return None
    written = text[at : found.end]
    if len(found.things) > 1:
        return Piece(TWO, written, found.things), found.end
    kind, name = found.things[0]
    if kind == "person" and len(written) < 4 and not shapes.by.search(text[:at]):
        return None
    return Piece(UNIT if kind == "circuit" else kind, written, name), found.end


def _initials(text: str, at: int, lexicon: Lexicon) -> tuple[Piece | None, int] | None:
    """Two or three letters after "by" or a dash: the initials of whoever did it."""
    match = shapes.initials.match(text, at)
    if match is None or not shapes.by.search(text[:at]) or match[0] in FILLERS:
        return None
    return Piece(PERSON, match[0], match[0].upper()), match.end()


def _led(text: str, at: int, lexicon: Lexicon) -> tuple[Piece | None, int] | None:
    """A cylinder that is called one: "cyl 410-017", "tank 4"."""
    match = shapes.led.match(text, at)
    if match is None or _within_a_word(text, at):
        return None
    if lexicon.names.at(text, match.start(1)) is not None:
        return _name(text, match.start(1), lexicon)
    if name := lexicon.names.cylinder(match[1]):
        return Piece(CYLINDER, match[1], name), match.end()
    return Piece(NO_NAME, match[1], CYLINDER), match.end()


def _quantity(text: str, at: int, lexicon: Lexicon) -> tuple[Piece | None, int] | None:
    match = shapes.amount.match(text, at)
    if match is None or _within_a_word(text, at):
        return None
    end = _trimmed(text, at, match.end())
    written = text[at:end]
    bare = not re.search(shapes.UNIT_OF_MASS, written)
    if bare and shapes.like_a_number_with_a_dash.match(text, at) is not None:
        return None
    more = shapes.loose.match(text, end) if shapes.in_pounds.search(written) else None
    if more is not None and lexicon.names.at(text, end + 1) is None:
        end, written = more.end(), text[at : more.end()]
    if bare and text[end : end + 1].isalpha():
        return None
    guess = shapes.guess.match(written)
    read = parse_quantity(written[guess.end() :] if guess else written)
    if guess and isinstance(read, Quantity):
        read = Unclear(written, "is marked as not exact", (read.written,))
    if isinstance(read, Unclear):
        return Piece(UNCLEAR, written, read), end
    if bare and shapes.two_or_three_figures.fullmatch(written) and _is_a_refrigerant(written):
        return Piece(NUMBER, written, read), end
    return Piece(AMOUNT, written, read), end


def _trimmed(text: str, at: int, end: int) -> int:
    """The end without what parts words; a full stop at the end ends a sentence."""
    while end > at and text[end - 1] in " ,.":
        end -= 1
    return end


def _is_a_refrigerant(written: str) -> bool:
    """Whether figures are the number of a refrigerant itself; 10 is only near R-410A."""
    found = recognise(written)
    return isinstance(found, str) or any(has_number(one, written) for one in found.candidates)


def has_number(refrigerant: str, written: str) -> bool:
    """Whether a refrigerant has just the number that is written, whatever its letters."""
    ours, theirs = (_figures(one) for one in (refrigerant, written))
    return bool(ours) and ours == theirs


def _figures(text: str) -> str:
    found = re.search(r"[0-9]+", text)
    return found[0] if found else ""


def _refrigerant(text: str, at: int, lexicon: Lexicon) -> tuple[Piece | None, int] | None:
    for alias in lexicon.refrigerants:
        end = at + len(alias)
        if text.startswith(alias, at) and not text[end : end + 1].isalnum():
            return Piece(REFRIGERANT, alias, recognise(alias, lexicon.refrigerants)), end
    match = shapes.refrigerant.match(text, at)
    if match is None or _within_a_word(text, at):
        return None
    read = recognise(match[0])
    if isinstance(read, str) or any(has_number(one, match[0]) for one in read.candidates):
        return Piece(REFRIGERANT, match[0], read), match.end()
    return None


def _unnamed(text: str, at: int, lexicon: Lexicon) -> tuple[Piece | None, int] | None:
    """What is written like a name and is none of the book's."""
    match = shapes.like_a_name.match(text, at)
    if match is None or _within_a_word(text, at):
        return None
    kind = lexicon.names.kind_like(match[0])
    return (Piece(NO_NAME, match[0], kind), match.end()) if kind else None


def _phrase(text: str, at: int, _: Lexicon) -> tuple[Piece | None, int] | None:
    if _within_a_word(text, at):
        return None
    for phrase in _phrases_by_first().get(text[at], ()):
        end = at + len(phrase)
        if text.startswith(phrase, at) and not _goes_on(text[end : end + 2]):
            return _known(phrase), end
    return None


def _goes_on(rest: str) -> bool:
    """Whether a word goes on: "added-not", "it's"."""
    return rest[:1].isalnum() or rest[:1] == "'" or (rest[:1] == "-" and rest[1:].isalpha())


def _known(phrase: str) -> Piece:
    for kind, words in _KINDS:
        if phrase in words:
            return Piece(kind, phrase, phrase)
    raise AssertionError(phrase)


_KINDS: tuple[tuple[str, Any], ...] = (
    (VERB, VERBS), (NOTHING, NOTHING_CAME), (SOURCE, FROM), (TARGET, INTO_WORDS),
    (FIRST_WEIGHT, FIRST), (LAST_WEIGHT, LAST), (WEIGHTS, WEIGHED), (STUFF, OTHER_STUFF),
    (DID, WORK), (WORD, FILLERS),
)  # fmt: skip
_BY_FIRST: dict[str, list[str]] = {}


def _phrases_by_first() -> dict[str, list[str]]:
    if not _BY_FIRST:
        for phrase in PHRASES:
            _BY_FIRST.setdefault(phrase[0], []).append(phrase)
    return _BY_FIRST


def _last(text: str, at: int, _: Lexicon) -> tuple[Piece | None, int] | None:
    """Any other word: a verb with one slip of the key, a joining word, or unknown."""
    match = shapes.word.match(text, at)
    assert match is not None
    word = match[0]
    if word == "and":
        return Piece(AND, word), match.end()
    if word in ("then", "also", "plus"):
        return Piece(PAUSE, word), match.end()
    if word not in HINTS and (verb := spelled_nearly(word)):
        return Piece(VERB, word, verb), match.end()
    return Piece(UNKNOWN, word, word), match.end()


def _with_slash(text: str, at: int, _: Lexicon) -> tuple[Piece | None, int] | None:
    match = shapes.with_slash.match(text, at)
    return None if match is None or _within_a_word(text, at) else (None, match.end())


def _hello(text: str, at: int, _: Lexicon) -> tuple[Piece | None, int] | None:
    match = shapes.greeting.match(text, at)
    if match is None or _within_a_word(text, at):
        return None
    known = match[1] in HINTS or match[1] in PHRASES or match[1] in ("no", "not", "dont", "cancel")
    return None if known else (Piece(WORD, match[0], match[0]), match.end())


_READERS: tuple[Reader, ...] = (
    _with_slash, _hello, _whole(shapes.no_movement, NO_MOVE), _whole(shapes.plate, READING),
    _whole(shapes.ticket, TICKET), _whole(shapes.day, DAY), _led, _name, _initials,
    _whole(shapes.letter, LETTER), _whole(shapes.clock, READING), _sign,
    _whole(shapes.labelled, READING), _whole(shapes.measured, READING), _refrigerant,
    _quantity, _unnamed, _phrase, _last,
)  # fmt: skip
