"""Field values as people type them, turned into the canonical values of masters.

Used by the command line and by imported sheets alike, so both read the same words.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from ledger.facts.mass import Quantity
from ledger.facts.masters import FIELDS, UNKNOWN, Field
from ledger.facts.problems import Problem
from ledger.intake.dates import parse_day
from ledger.intake.quantities import parse_quantity
from ledger.intake.unclear import Unclear
from ledger.refrigerants.spelling import Unclear as UnclearName
from ledger.refrigerants.spelling import recognise

_RANGE = re.compile(r"^\s*(.+?)\s*(?:\bto\b|\.\.|–|—)\s*(.+?)\s*$")
_CARD = re.compile(r"^\s*(universal|apprentice|none|i{1,3}(?:\s*\+\s*i{1,3})*)\b\s*(.*)$", re.I)
_NO_GUESS = "Nothing was guessed."
_METHOD_WORDS = {
    "maker": "maker",
    "nameplate": "maker",
    "calculated": "calculated",
    "measured": "measured",
    "range": "range",
}


def read_field(
    kind: str, name: str, text: str, aliases: dict[str, str], unit: str = "lb", order: str = "mdy"
) -> Any | Problem:
    """One field's canonical value from text; a Problem says what cannot be read and why.

    `aliases` are the book's own names for refrigerants; `unit` the unit of a bare weight;
    `order` how the book writes dates (mdy or dmy).
    """
    field = FIELDS[kind][name]
    words = " ".join(str(text).split())
    if words.casefold() in ("unknown", "?"):
        return UNKNOWN
    reader = _READERS.get(field.shape)
    value = reader(words, unit, order) if reader else _other(field, words, aliases)
    if isinstance(value, Problem):
        return replace(value, sentence=f"{name}: {value.sentence}")
    return value


def read_refrigerant(text: str, aliases: dict[str, str]) -> str | Problem:
    """The register's name of a refrigerant, or the question."""
    found = recognise(text, aliases)
    if isinstance(found, UnclearName):
        near = f" Candidates: {', '.join(found.candidates)}." if found.candidates else ""
        return Problem(
            "refrigerant-unknown",
            f'"{text}": {found.why.rstrip(".")}.{near}',
            f'Write the R-number, or keep your own name for it: tarebook alias "{text}" R-...',
            choices=found.candidates,
        )
    return found


def read_mass(text: str | float, unit: str | None = "lb") -> Quantity | Problem:
    """A weight as people write it, or the question with its readings."""
    found = parse_quantity(text, unit)
    if isinstance(found, Unclear):
        like = "Write it like 4.8 lb or 4 lb 8 oz, with its own figures."
        way_out = _NO_GUESS if found.readings else like
        return Problem("quantity-unclear", found.sentence(), way_out, choices=typed(found.readings))
    return found


def read_day(text: object, order: str = "mdy", year: int | None = None) -> str | Problem:
    """A day as people write it, as an ISO date, or the question."""
    found = parse_day(text, order, year)
    if isinstance(found, Unclear):
        way_out = _NO_GUESS if found.readings else "Write the day like 2026-03-30."
        return Problem("date-unclear", found.sentence(), way_out, choices=typed(found.readings))
    return found.isoformat()


def typed(readings: Iterable[str]) -> tuple[str, ...]:
    """Readings as a person types them: "4 lb 8 oz (4.5 lb)" without what explains it."""
    return tuple(reading.partition(" (")[0] for reading in readings)


def _mass(words: str, unit: str, _: str) -> Any | Problem:
    found = read_mass(words, unit)
    return found if isinstance(found, Problem) else found.body()


def _day(words: str, _: str, order: str) -> Any | Problem:
    return read_day(words, order)


def _whole(words: str, _: str, __: str) -> Any | Problem:
    digits = words.replace(",", "")
    if digits.isascii() and digits.isdigit():
        return int(digits)
    return Problem("value-unclear", f'"{words}" is not a whole number.', "Give digits only.")


def read_cents(words: str) -> int | Problem:
    """Money in dollars and cents, as a whole number of cents."""
    match = re.fullmatch(r"\$?\s*(\d{1,3}(?:,\d{3})*|\d+)(?:\.(\d{1,2}))?", words.strip(), re.A)
    if match is None:
        return Problem("value-unclear", f'"{words}" is not an amount of money.', "Write 12.50.")
    return int(match[1].replace(",", "")) * 100 + int((match[2] or "0").ljust(2, "0"))


def _cents(words: str, _: str, __: str) -> Any | Problem:
    return read_cents(words)


def _certification(words: str, _: str, __: str) -> Any | Problem:
    match = _CARD.match(words)
    if match is None:
        return Problem(
            "value-unclear",
            f'"{words}" does not begin with a card type.',
            "Write I, II, III, I+II, Universal, apprentice or none, then the card number.",
        )
    kind = match[1].replace(" ", "")
    kind = kind.upper() if kind.upper().startswith("I") else kind.lower()
    value = {"type": "Universal" if kind == "universal" else kind}
    number = match[2].strip().lstrip("#").strip()
    if number:
        value["number"] = number
    return value


def _full_charge(words: str, unit: str, _: str) -> Any | Problem:
    """ "1350 lb", "1350 lb measured", "1250 to 1450 lb range (logs 2023-2025)"."""
    basis = ""
    if words.endswith(")") and "(" in words:
        words, _sep, basis = words[:-1].partition("(")
    found = [word for word in words.casefold().split() if word in _METHOD_WORDS]
    bare = " ".join(word for word in words.split() if word.casefold() not in _METHOD_WORDS)
    value: dict[str, Any] | Problem
    if match := _RANGE.match(bare):
        value = _range(match[1], match[2], unit)
    else:
        charge = read_mass(bare, unit)
        if isinstance(charge, Problem):
            return charge
        method = _METHOD_WORDS[found[0]] if found else "unknown"
        value = {"method": method, "charge": charge.body()}
    if isinstance(value, dict) and basis.strip():
        value["basis"] = basis.strip()
    return value


def _range(low_text: str, high_text: str, unit: str) -> dict[str, Any] | Problem:
    high = read_mass(high_text, unit)
    if isinstance(high, Problem):
        return high
    shown = high.written.split()[-1] if " lb " not in high.written else "lb"
    low = read_mass(low_text, shown)
    if isinstance(low, Problem):
        return low
    return {"method": "range", "low": low.body(), "high": high.body()}


def _other(field: Field, words: str, aliases: dict[str, str]) -> Any | Problem:
    if field.shape == "refrigerant":
        return read_refrigerant(words, aliases)
    if field.shape == "choice":
        folded = words.casefold()
        exact = [one for one in field.choices if one.casefold() == folded]
        close = exact or [one for one in field.choices if one.casefold().startswith(folded)]
        if len(close) == 1 and words:
            return close[0]
        return Problem(
            "value-unclear",
            f'"{words}" is not one of the choices.',
            f"Choose {', '.join(field.choices)}.",
            choices=field.choices,
        )
    return words


_READERS = {
    "mass": _mass,
    "day": _day,
    "whole": _whole,
    "cents": _cents,
    "certification": _certification,
    "full charge": _full_charge,
}
