"""Tells by its words whether the one text of a row is a day, a figure or a remark."""

from __future__ import annotations

import re

_FIGURES = frozenset("0123456789")
_DAY_WORDS = frozenset((
    *("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"),
    *("mon", "tue", "wed", "thu", "fri", "sat", "sun"),
))  # fmt: skip
_WHOLE_WORDS = (
    *("january", "february", "march", "april", "june", "july", "august", "september"),
    *("october", "november", "december", "monday", "tuesday", "wednesday", "thursday"),
    *("friday", "saturday", "sunday", "sept", "tues", "thur", "thurs"),
)
_NAMES = frozenset((*_DAY_WORDS, *_WHOLE_WORDS))
_AROUND = frozenset((
    *("st", "nd", "rd", "th", "of", "at", "a", "p", "am", "pm", "m", "t", "z", "utc", "gmt"),
    *("h", "hr", "hrs", "hours"),
))  # fmt: skip
"""What stands beside the figures of a day or a time."""
_WORDS = re.compile(r"[^\W\d_]+")
_FIGURE = re.compile(
    r"[-–—]|[$~]? ?[-+]?(?:\d[\d,]*)?\.?\d+ ?(?:lbs?|#|oz|kg|g|%)?\.?", re.IGNORECASE
)
_YEAR_ALONE = re.compile(r"(?:19|20)\d\d")
_NOTE_WORDS = ("note", "notes", "nb", "n.b.", "remark", "remarks", "ps", "p.s.", "*", "**", "***")
_LONG_NAME = 6
"""Words in a lone cell of a list that make a remark of it, not a name."""


def begins_as_day(text: str) -> bool:
    """Whether a text begins with a figure or the name of a month or weekday."""
    text = text.lstrip()
    return text[:1] in _FIGURES or text[:3].casefold() in _DAY_WORDS


def is_day_alone(cell: object) -> bool:
    """Whether a cell says a day, right or wrong, and nothing else: no "448-19 not found".

    A month, or a year, is no day: it heads the rows below it.
    """
    if not isinstance(cell, str):
        return True
    text = " ".join(cell.split())
    words = [word.casefold() for word in _WORDS.findall(text)]
    bare = _YEAR_ALONE.sub("", text)
    return (
        begins_as_day(text)
        and not _FIGURES.isdisjoint(bare)
        and all(word in _NAMES or word in _AROUND for word in words)
    )


def is_figure(text: str) -> bool:
    """Whether a text is a number, with or without its unit, or the dash that stands for none."""
    return _FIGURE.fullmatch(text) is not None


def is_note_word(text: str) -> bool:
    """Whether a text announces a remark: "Note:"."""
    return text.casefold().rstrip(":") in _NOTE_WORDS


def is_remark(text: str) -> bool:
    """Whether the one text of a row in a list is a remark, not a name."""
    words = text.split()
    return bool(words) and (
        is_note_word(words[0]) or text.startswith("*") or len(words) > _LONG_NAME
    )
