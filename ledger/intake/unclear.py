"""What cannot be read in one way only: the text, the reason and the readings, for a person."""

from __future__ import annotations

import re
from dataclasses import dataclass

MAX_TEXT = 64
"""Longest text looked at, in characters; no amount, date or time needs more."""

_HYPHENS = "\u2010\u2011\u2012\u2013\u2014\u2015\u2212\ufe58\ufe63\uff0d"
_INVISIBLE = "\u00ad\u200b\u200c\u200d\u2060\ufeff"
_FRACTIONS = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}
_PLAIN = (
    {ord(sign): "-" for sign in _HYPHENS}
    | {ord(sign): "" for sign in _INVISIBLE}
    | {ord(sign): f" {text}" for sign, text in _FRACTIONS.items()}
    | {0x2044: "/", 0x2215: "/", 0x2019: "'"}
)
_UNIT_NEXT = r"(?![a-z])|(?=(?:lbs?|oz|kg|g)\b)"
_LETTER_O = re.compile(rf"o(?=[0-9o.,])|(?<=[0-9.,])o(?:{_UNIT_NEXT})")
_LETTER_L = re.compile(rf"[il|](?=[0-9.,])|(?<=[0-9.,])[il|](?:{_UNIT_NEXT})")
_COUNT_WORDS = ("no", "one", "two", "three", "four", "five", "six")


@dataclass(frozen=True, slots=True)
class Unclear:
    """A text that a person has to settle, because nothing here guesses.

    `text` is what was written (cut at MAX_TEXT), `why` the rest of a sentence that begins
    with it ("has no unit"), `readings` what it may mean, the likelier first. Of each reading
    the part before " (" can be given back to the same parser, which then accepts it.
    """

    text: str
    why: str
    readings: tuple[str, ...] = ()

    def sentence(self) -> str:
        """One plain sentence: what is unclear, and what to write instead where that is known."""
        shown = "".join(sign if sign.isprintable() else " " for sign in self.text).strip()
        start = f'"{shown}" {self.why}' if shown else f"An empty cell {self.why}"
        if len(self.readings) > 1:
            listed = ", ".join(self.readings[:-1])
            return f"{start}: {listed} or {self.readings[-1]}; write the one you mean."
        if self.readings:
            return f"{start}; if {self.readings[0]} is meant, write that."
        return f"{start}."


def too_long(text: str) -> Unclear:
    """The answer to a text over MAX_TEXT, given without looking into it."""
    return Unclear(f"{text[:MAX_TEXT]}…", f"is longer than {MAX_TEXT} characters")


def ways(count: int) -> str:
    """The reason where several readings are equally good: "can be read two ways"."""
    if count < 2:
        return "is not plainly one number"
    word = _COUNT_WORDS[count] if count < len(_COUNT_WORDS) else str(count)
    return f"can be read {word} ways"


def plain(text: str) -> str:
    """The text in lower case with one kind of space, hyphen and slash, and fractions spelled out.

    Digits and letters of other alphabets stay as they are; `foreign` finds them.
    """
    return " ".join(text.translate(_PLAIN).split()).lower()


def foreign(text: str) -> str | None:
    """Why a text with other than plain (ASCII) characters is not read; None where all are."""
    if text.isascii():
        return None
    if any(sign.isnumeric() for sign in text if not sign.isascii()):
        return "has figures of another alphabet; write 0 to 9"
    return "has a character that is not a plain letter, figure or sign"


def letters_to_figures(text: str) -> str:
    """A plain text with the letters o, l and i turned into 0 and 1 where they touch a figure."""
    for _ in range(2):  # a second pass reaches the neighbour of one just turned
        text = _LETTER_L.sub("1", _LETTER_O.sub("0", text))
    return text
