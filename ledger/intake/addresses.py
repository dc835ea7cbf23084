"""Folds street addresses, so that "411 Cordwain Ln" and "411 Cordwain Lane" are one place.

Two people spell one address in two ways; nothing here joins two house numbers, two apartments
or two streets. What one of them left out (the kind of street, the compass point, the
apartment, the town) does not part them. Spellings are common practice, no source.
"""

from __future__ import annotations

import re
from functools import lru_cache
from typing import NamedTuple
from unicodedata import normalize

_TYPES = {
    "ln": "lane ln", "st": "street st str", "rd": "road rd", "ave": "avenue ave av aven",
    "dr": "drive dr drv", "ct": "court ct crt", "blvd": "boulevard blvd boul blv",
    "hwy": "highway hwy hiway", "pkwy": "parkway pkwy pky parkwy pkway", "pl": "place pl",
    "cir": "circle cir circ", "ter": "terrace ter terr", "trl": "trail trl tr", "way": "way wy",
    "sq": "square sq", "loop": "loop", "aly": "alley aly ally", "expy": "expressway expy",
    "fwy": "freeway fwy", "tpke": "turnpike tpke tpk", "rte": "route rte rt", "plz": "plaza plz",
    "cv": "cove cv", "pt": "point pt", "xing": "crossing xing", "row": "row", "run": "run",
    "path": "path", "pike": "pike",
}  # fmt: skip
_KIND = {word: short for short, words in _TYPES.items() for word in words.split()}
_NUMBERED = frozenset(("hwy", "rte", "rd", "fwy", "tpke"))
"""Streets that are known by a number behind their kind: "Hwy 12", "County Road 5"."""
_COMPASS = {
    word: short
    for short, words in {
        "n": "north n", "s": "south s", "e": "east e", "w": "west w",
        "ne": "northeast ne", "nw": "northwest nw", "se": "southeast se", "sw": "southwest sw",
    }.items()
    for word in words.split()
}  # fmt: skip
_MARKS = frozenset((
    "apt", "apartment", "unit", "ste", "suite", "rm", "room", "no", "bldg", "building", "fl",
    "floor", "lot", "trlr", "spc", "space",
))  # fmt: skip
"""Words before the part of a house; which of them stands there does not matter."""
_NAMES = {
    "saint": "st", "mount": "mt", "fort": "ft", "first": "1st", "second": "2nd", "third": "3rd",
    "fourth": "4th", "fifth": "5th", "sixth": "6th", "seventh": "7th", "eighth": "8th",
    "ninth": "9th", "tenth": "10th", "county": "co",
}  # fmt: skip
_HOUSE = re.compile(
    r"([0-9]+)(?: ?- ?([0-9]+)|(?:-?([a-z])| ([a-df-mo-rt-vx-z]))(?= |$))?(?: ([1-3]/[24]))?(?= |$)"
)
"""A number, a second one or a letter, a fraction; a letter apart may be a compass point."""
_LONGEST = 200
"""Characters; what is longer is no address."""


class Address(NamedTuple):
    """A street address in parts, folded; a part that was not written is empty.

    `house` is the number with its letter, `street` the name of the street, `kind` what
    stands behind the name (ln, st), `compass` points before and behind it, `part` the
    apartment or suite, `town` everything after.
    """

    house: str
    street: str
    kind: str = ""
    compass: str = ""
    part: str = ""
    town: str = ""

    @property
    def key(self) -> str:
        """What two spellings of one address always share: house number and street name."""
        return f"{self.house} {self.street}"


@lru_cache(maxsize=1 << 14)
def address_of(text: str) -> Address | None:
    """The address a text begins with, or None where it does not begin with a house number.

    "3 ton rooftop" reads as one too: it is folded and compared, never looked up.
    """
    if len(text) > _LONGEST or not text.lstrip()[:1].isdecimal():
        return None
    plain = normalize("NFKC", text).casefold()
    head, comma, rest = plain.partition(",")
    found = _HOUSE.match(head := _words(head))
    if found is None:
        return None
    number, second, letter, letter_apart, fraction = found.groups()
    house = f"{number}{'-' + second if second else ''}{letter or letter_apart or ''}"
    house += f" {fraction}" if fraction else ""
    words = head[found.end() :].split()
    street, part, behind = _split(words)
    if not street:
        return None
    if comma:
        part, town = _part_first(part, _words(rest).split())
        behind += town
    name, kind, compass = _named(street)
    return Address(house, name, kind, compass, part, " ".join(behind))


def same_address(one: Address, other: Address) -> bool:
    """Whether two texts can mean one address: nothing that both of them say differs."""
    return (
        one.house == other.house
        and one.street == other.street
        and _agree(one.kind, other.kind)
        and _agree(one.compass, other.compass)
        and _agree(one.part, other.part)
        and _towns_agree(one.town, other.town)
    )


def is_street(text: str) -> bool:
    """Whether a text is plainly a street address: a house number, a name and a kind of street."""
    found = address_of(text)
    return found is not None and bool(found.kind)


def _agree(one: str, other: str) -> bool:
    return one == other or not one or not other


def _towns_agree(one: str, other: str) -> bool:
    """Towns agree as far as both were written: "Alden" and "Alden IL 60001"."""
    return all(a == b for a, b in zip(one.split(), other.split(), strict=False))


def _words(text: str) -> str:
    """Words with single spaces; full stops and apostrophes gone, "#" a word of its own."""
    text = re.sub(r"[.'’`]", "", text.replace("#", " # "))
    return " ".join(re.sub(r"[^\w#/-]+", " ", text).split())


def _split(words: list[str]) -> tuple[list[str], str, list[str]]:
    """The words of the street, the part of the house, and what stands behind both."""
    for at, word in enumerate(words):
        marks = word == "#" or (at > 0 and word in _MARKS)
        if marks and at + 1 < len(words):
            part, behind = _part_first("", words[at:])
            return words[:at], part, behind
    end = _end_of_street(words)
    return words[:end], "", words[end:]


def _end_of_street(words: list[str]) -> int:
    """How many words belong to the street: up to its last kind, its number and compass point."""
    kinds = [at for at, word in enumerate(words) if word in _KIND and at > 0]
    if not kinds:
        kinds = [0] if words and _KIND.get(words[0]) in _NUMBERED else []
    if not kinds:
        return len(words)
    end = kinds[-1] + 1
    if _KIND[words[end - 1]] in _NUMBERED and end < len(words) and words[end].isdigit():
        end += 1
    if end < len(words) and words[end] in _COMPASS:
        end += 1
    return end


def _part_first(part: str, words: list[str]) -> tuple[str, list[str]]:
    """The part of a house at the head of some words, without its mark, and the other words."""
    at = 0
    while at < len(words) and (words[at] == "#" or words[at] in _MARKS):
        at += 1
    if not at or at == len(words):
        return part, words
    return part or words[at].lstrip("0") or "0", words[at + 1 :]


def _named(words: list[str]) -> tuple[str, str, str]:
    """Name, kind and compass points of a street; a name is left, whatever the words are."""
    before = after = ""
    if words[0] in _COMPASS and not (len(words) == 2 and words[1] in _KIND) and len(words) > 1:
        before, words = _COMPASS[words[0]], words[1:]
    if len(words) > 1 and words[-1] in _COMPASS:
        after, words = _COMPASS[words[-1]], words[:-1]
    kind = ""
    if len(words) > 1 and words[-1] in _KIND:
        kind, words = _KIND[words[-1]], words[:-1]
    elif len(words) > 1 and words[-1].isdigit() and (short := _KIND.get(words[-2])) in _NUMBERED:
        # The number is the name: "Hwy 12" is not "Hwy 14".
        kind, words = short or "", [*words[:-2], words[-1]]
    name = " ".join(_NAMES.get(word, word) for word in words)
    return name, kind, " ".join(filter(None, (before, after)))
