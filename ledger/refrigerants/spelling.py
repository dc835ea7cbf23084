"""Understands refrigerant names as people write them, and asks where one could mean two."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from types import MappingProxyType

from ledger.refrigerants.register import register

NO_ALIASES: Mapping[str, str] = MappingProxyType({})

_INVISIBLE = "\u00ad\u200b\u200c\u200d\u200e\u200f\u2060\ufeff"
_DASHES = "\u2010\u2011\u2012\u2013\u2014\u2015\u2212\u00af\ufe58\ufe63\uff0d"
_PLAIN = str.maketrans({**dict.fromkeys(_INVISIBLE, ""), **dict.fromkeys(_DASHES, "-")})

_FORM = re.compile(
    r"(?:(?P<prefix>refrigerant|r|cfc|hcfc|hcfo|hfc|hfo|hfe|hco|hc|pfc|fc|halon)[\s\-_.]*)?"
    r"(?P<number>[0-9]{2,4})"
    r"(?:[\s\-_.]*(?P<letters>[a-z]{1,4}1?(?:[\s\-]*\(?[\s\-]*[ez][\s\-]*\)?)?)|\.0+)?"
)
"""A class prefix, the number, the letters. `.0` is what a sheet makes of a bare number."""
_NAME = re.compile(r"R-(?P<number>[0-9]+)(?P<letters>.*)")
_NUMBERS = re.compile(r"([0-9]+)[\s\-_.]*([a-z]*1?)")
_SEPARATORS = re.compile(r"(?<![0-9])[\s\-_.,()]+|[\s\-_.,()]+(?![0-9])")
"""What may be left away in a name: all but what parts two numbers."""
_DIGIT_MEANT = {"o": "0", "l": "1"}
_SLIPS = re.compile(r"(?<=[0-9])[ol]|[ol](?=[0-9])")

LONGEST_NAME = 60
"""Characters; what is longer is a sentence and not looked into."""

_ALSO = {"HFO": ("hfc",), "HCFO": ("hcfc",), "PFC": ("fc",)}
"""Other prefixes that law or trade puts before a chemical class."""

_Known = tuple[tuple[str, str], ...]
"""The substances of one number, each as (letters, name)."""

ADD_ALIAS = "Write its R-number, or add the name to your aliases."


@dataclass(frozen=True, slots=True)
class Unclear:
    """A name that was not understood: what was written, what it may mean, and why it is asked.

    `candidates` are names of the register, possibly none; `why` is one sentence.
    """

    text: str
    candidates: tuple[str, ...]
    why: str

    @property
    def remedy(self) -> str:
        """What the reader can do about it, as one sentence."""
        if not self.candidates:
            return ADD_ALIAS
        if len(self.candidates) == 1:
            return f"Write {self.candidates[0]} if that is meant."
        return f"Write which is meant: {', '.join(self.candidates)}."


def alias_key(text: str) -> str:
    """The key under which an alias is kept: one case, plain spaces and dashes."""
    plain = unicodedata.normalize("NFKC", text).translate(_PLAIN)
    return " ".join(plain.casefold().split())


def recognise(text: str, aliases: Mapping[str, str] = NO_ALIASES) -> str | Unclear:
    """The register name for what somebody wrote, or Unclear; never a guess between two.

    `aliases` is the user's own table, its keys made with `alias_key`; it is looked up first,
    and what it gives is read like any other name. A number without a letter is understood
    where exactly one refrigerant of the register has it ("410"), save that a bare number of
    the ethane series ("134") is another substance than the one with the letter.
    """
    if aliases:
        meant = aliases.get(alias_key(text))
        if meant is not None:
            return _by_alias(text, meant)
    return _plain(text)


def near(text: str, count: int = 3) -> tuple[str, ...]:
    """Up to `count` names of the register that look like what was written, the nearest first."""
    from difflib import get_close_matches

    written = _SLIPS.sub(lambda slip: _DIGIT_MEANT[slip[0]], _letters(alias_key(text))[:40])
    if written[:1].isdigit():
        written = f"r{written}"
    if len(written) < 3:
        return ()
    looks = {_letters(name.casefold()): name for name in register().refrigerants}
    return tuple(looks[look] for look in get_close_matches(written, looks, count, 0.6))


def _by_alias(text: str, meant: str) -> str | Unclear:
    name = _plain(meant)
    if isinstance(name, str):
        return name
    return Unclear(text, name.candidates, f"The alias {text!r} stands for {meant!r}: {name.why}")


@lru_cache(maxsize=8192)
def _plain(text: str) -> str | Unclear:
    """What the text means without aliases; kept, because sheets repeat the same few names."""
    cleaned = alias_key(text).rstrip(" .,;:")
    if not cleaned:
        return Unclear(text, (), "No refrigerant is written.")
    if len(cleaned) > LONGEST_NAME:
        return Unclear(text, (), "That is too long for the name of a refrigerant.")
    name = _index().other_names.get(_SEPARATORS.sub("", cleaned))
    if name is not None:
        return _registered(text, name)
    form = _FORM.fullmatch(cleaned)
    if form is not None:
        number, letters = form["number"].lstrip("0"), _letters(form["letters"] or "")
        return _numbered(text, form["prefix"] or "", number, letters)
    return _not_a_name(text, cleaned)


def _not_a_name(text: str, cleaned: str) -> Unclear:
    """Why a text that is no name is none, with every refrigerant whose number stands in it."""
    written = _NUMBERS.findall(cleaned)
    meant: dict[str, None] = {}
    for number, letters in written:
        known = _index().by_number.get(number.lstrip("0"), ())
        exact = [name for own, name in known if own == letters]
        meant.update(dict.fromkeys(filter(_is_registered, exact or (name for _, name in known))))
    candidates = tuple(meant) or near(text)
    if len(written) > 1:
        return Unclear(text, candidates, f"{text!r} holds more than one number.")
    if meant:
        return Unclear(text, candidates, f"{text!r} is more than an R-number.")
    return Unclear(text, candidates, f"{text!r} is not a name of the register.")


def _numbered(text: str, prefix: str, number: str, letters: str) -> str | Unclear:
    """Find a refrigerant by its number and letters, then hold the class prefix against it."""
    known = _index().by_number.get(number, ())
    name = _by_letters(text, letters, known) if letters else _by_number(prefix, number, known)
    if isinstance(name, Unclear):
        return replace(name, text=text)
    if not _prefix_fits(prefix, name):
        why = f"{name} is no {prefix.upper()}."
        return Unclear(text, (name,) if _is_registered(name) else (), why)
    return _registered(text, name)


def _by_letters(text: str, letters: str, known: _Known) -> str | Unclear:
    """The substance with these letters; the (E) or (Z) may be left away where only one exists."""
    exact = [name for own, name in known if own == letters]
    loose = [name for own, name in known if own[:-1] == letters and name.endswith(")")]
    found = exact or loose
    if len(found) == 1:
        return found[0]
    if found:
        why = f"{text!r} may be any of {len(found)} isomers."
        return Unclear(text, tuple(filter(_is_registered, found)), why)
    others = tuple(name for _, name in known if _is_registered(name))
    return Unclear(text, others or near(text), f"{text!r} is not in the register.")


def _by_number(prefix: str, number: str, known: _Known) -> str | Unclear:
    """The one refrigerant with this number, where there is one."""
    exact = [name for own, name in known if not own]
    if prefix and exact:
        return exact[0]
    found = tuple(name for _, name in known if _is_registered(name))
    if not found:
        if exact:
            return exact[0]
        return Unclear("", near(number), "No refrigerant of the register has that number.")
    if len(found) > 1:
        why = f"{len(found)} refrigerants have the number {number}: the letter decides."
        return Unclear("", found, why)
    if len(number) == 3 and number.startswith("1") and found[0] not in exact:
        why = f"R-{number} without a letter is another substance than {found[0]}."
        return Unclear("", found, why)
    return found[0]


def _prefix_fits(prefix: str, name: str) -> bool:
    """Whether the class written before the number is that of a constituent."""
    if prefix in ("", "r", "refrigerant"):
        return True
    refrigerant = register().get(name)
    if refrigerant is None:
        classes = {register().components[name].chemical_class}
    else:
        classes = {part.component.chemical_class for part in refrigerant.composition}
    return any(prefix in (c.casefold(), *_ALSO.get(c, ())) for c in classes)


def _is_registered(name: str) -> bool:
    return name in register().refrigerants


def _registered(text: str, name: str) -> str | Unclear:
    if _is_registered(name):
        return name
    form = _NAME.fullmatch(name)
    known = _index().by_number.get(form["number"], ()) if form else ()
    others = tuple(other for _, other in known if _is_registered(other))
    return Unclear(text, others, f"{name} is listed as a substance only, not as a refrigerant.")


def _letters(text: str) -> str:
    return "".join(letter for letter in text if letter.isalnum())


@dataclass(frozen=True, slots=True)
class _Index:
    """Names by number, as (letters, name), and chemical or legal names by their letters."""

    by_number: Mapping[str, _Known]
    other_names: Mapping[str, str]


@lru_cache(maxsize=1)
def _index() -> _Index:
    found = register()
    by_number: dict[str, _Known] = {}
    other_names: dict[str, str] = {}
    for name in dict.fromkeys((*found.refrigerants, *found.components)):
        form = _NAME.fullmatch(name)
        if form is not None:
            entry = (_letters(form["letters"].casefold()), name)
            by_number[form["number"]] = (*by_number.get(form["number"], ()), entry)
            continue
        for spelled in (name, name.removeprefix("R-")):
            other_names[_SEPARATORS.sub("", alias_key(spelled))] = name
    for component in found.components.values():
        for other in map(alias_key, component.names):
            other_names[_SEPARATORS.sub("", other)] = component.name
    return _Index(by_number, other_names)
