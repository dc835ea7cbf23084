"""Reads amounts of refrigerant as people write them: exactly, or as a question.

Nothing is guessed: what can be read two ways comes back as `Unclear` with every reading
spelled out. The tables below are the whole grammar; they read lower-case text with single
spaces (see `unclear.plain`). The spellings are common practice, no source.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from dataclasses import replace
from datetime import date, time
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache

from ledger.facts.mass import (
    COUNTS_PER_UNIT,
    POUND,
    Mass,
    Quantity,
    exact_decimal,
    half_up,
    of_decimal,
)
from ledger.intake.unclear import (
    MAX_TEXT,
    Unclear,
    foreign,
    letters_to_figures,
    plain,
    too_long,
    ways,
)

LARGEST = Mass(1_000_000 * POUND)
"""Larger amounts are asked about; 64 bits hold twenty-five times as much."""

_HELD_PLACES = {"lb": 3, "oz": 2, "kg": 6, "g": 4}
"""Decimal places that are always a whole number of counts, per unit."""

# --- the grammar -------------------------------------------------------------------------
_LB = r"(?:lbs?\.?|pounds?|#)"
_OZ = r"(?:ozs?\.?|ounces?)"
_KG = r"(?:kgs?\.?|kilos?|kilogram(?:me)?s?)"
_G = r"(?:gms?\.?|g\.?|gram(?:me)?s?)"
_UNIT = rf"(?:{_LB}|{_OZ}|{_KG}|{_G})"
_INT = r"[0-9]+"
_DECIMAL = r"(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)"
_THOUSANDS = r"[1-9][0-9]{0,2}(?:,[0-9]{3})+"
_FRACTION = r"(?:1/2|[1-3]/4|[1-7]/8|(?:[1-9]|1[0-5])/16)"
_NUMBER = rf"(?:{_THOUSANDS}(?:\.[0-9]+)?|(?:{_INT} )?{_FRACTION}|{_DECIMAL})"
# A full stop straight between "lb" and a figure may also be a decimal point: "4lb.8oz".
_LB_THEN = r"(?:lbs?(?:\.(?= ))?|pounds?|#) ?(?:, ?|and |& ?)?"
_POUNDS = rf"(?:{_THOUSANDS}|{_INT})"
_OUNCES = rf"(?:(?<= )\.[0-9]+|(?!\.){_NUMBER})"
_LB_OZ = rf"{_POUNDS} ?{_LB_THEN}{_OUNCES} ?{_OZ}"

_plainest = re.compile(
    r"([0-9]{1,6})(?:\.([0-9]{1,4}))?"
    r"(?: ?(?:(oz|kg|g)|(lbs?|#)(?: ?([0-9]{1,2}(?:\.[0-9]{1,2})?) ?oz)?))?"
).fullmatch
_single = re.compile(rf"({_NUMBER}) ?({_UNIT})?").fullmatch
_pounds_ounces = re.compile(rf"({_POUNDS}) ?{_LB_THEN}({_OUNCES}) ?{_OZ}").fullmatch
_overfull = re.compile(rf"({_DECIMAL}) ?{_LB_THEN}({_OUNCES}) ?{_OZ}").fullmatch
_slashed = re.compile(rf"({_INT})/({_INT}) ?({_UNIT})?").fullmatch

_UNIT_OF_INITIAL = {"l": "lb", "p": "lb", "#": "lb", "o": "oz", "k": "kg", "g": "g"}

_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_DAY_IN_WORDS = re.compile(
    rf"(?:(?P<before>[0-9]{{1,2}})[-/. ])?(?P<month>{'|'.join(_MONTHS)})[a-z]{{0,6}}\.?"
    r"(?(before)|[-/. ](?P<after>[0-9]{1,2}))"
)
_WAYS = "ways"
_NO_FRACTION = "is not in halves, quarters, eighths or sixteenths; write a decimal"
_AFTER = "has words after the amount"
_L = rf"(?: ?({_LB}))?"
_U = rf"(?: ?({_UNIT}))?"
_WITH_UNIT = rf"(?:{_LB_OZ}|{_NUMBER} ?{_UNIT})"
_QUANTITY = rf"(?:{_WITH_UNIT}|{_NUMBER})"
_GUESS_BEFORE = (
    r"(?:~|[<>=]+|about|around|approx(?:imately)?\.?|circa|ca\.?|est\.?|maybe|roughly|up to)"
)
_GUESS_AFTER = r"(?:[?+*~]+|ish|or so|est\.?|approx\.?|\(est\.?\))"

_QUESTIONS: tuple[tuple[str, str, tuple[str, ...]], ...] = (
    # Two numbers where one is wanted: a decimal, pounds and ounces, or thousands.
    (rf"([1-9][0-9]{{0,2}})[ ,']([0-9]{{3}}){_U}", _WAYS, (r"\1.\2 \3", r"\1\2 \3")),
    (rf"({_INT}) ?[-:;_',\\ ] ?({_INT}){_L}", _WAYS, (r"\1.\2 \3", r"\1 lb \2 oz")),
    (rf"({_INT}) ?[-:;_',\\ ] ?({_INT}) ?({_OZ})", _WAYS, (r"\1 lb \2 oz", r"\1.\2 oz")),
    (rf"({_INT}) ?[-:;_',\\ ] ?({_INT}) ?({_KG}|{_G})", _WAYS, (r"\1.\2 \3",)),
    (rf"({_INT})\.({_INT})\.({_INT}){_L}", _WAYS, (r"\1.\2\3 \4", r"\1 lb \2.\3 oz")),
    (rf"({_INT}) ?lbs?\.([0-9]+) ?{_OZ}", _WAYS, (r"\1 lb \2 oz", r"\1 lb .\2 oz")),
    (
        rf"([0-9]{{1,3}})\.([0-9]{{3}}),({_INT}){_U}",
        "has a full stop for thousands and a comma for the point",
        (r"\1\2.\3 \4",),
    ),
    (
        rf"({_INT}) ?{_LB}[-+/, ]*({_DECIMAL})",
        "has no unit after the second number",
        (r"\1 lb \2 oz", r"\1.\2 lb"),
    ),
    (
        rf"({_POUNDS}) ?{_LB} ?[-+/] ?({_NUMBER}) ?{_OZ}",
        "has a sign between the pounds and the ounces",
        (r"\1 lb \2 oz",),
    ),
    (
        rf"({_NUMBER}) ?{_OZ}[, ]*(?:and )?({_INT}) ?{_LB}",
        "has the ounces before the pounds",
        (r"\2 lb \1 oz",),
    ),
    (
        rf"({_INT})-({_FRACTION}){_U}",
        "has a dash between the whole number and the fraction",
        (r"\1 \2 \3",),
    ),
    (rf"{_INT} {_INT}/{_INT} ?{_UNIT}?", _NO_FRACTION, ()),
    (rf"({_INT}) ?\. ?([0-9]*)\.?{_U}", "has a space or a stop out of place", (r"\1.\2 \3",)),
    (
        rf"{_DECIMAL} ?- ?{_DECIMAL} ?{_UNIT}?",
        "is two numbers with a dash, a range or a difference; write the one amount",
        (),
    ),
    # One number with something that does not belong to it.
    (
        rf"[-+] ?({_QUANTITY})|\( ?({_QUANTITY}) ?\)|({_QUANTITY}) ?-",
        "has a sign or brackets, and amounts are written without a sign",
        (r"\1\2\3",),
    ),
    (
        rf"{_GUESS_BEFORE} ?({_QUANTITY})|({_QUANTITY}) ?{_GUESS_AFTER}",
        "is marked as not exact",
        (r"\1\2",),
    ),
    (
        rf"[-+]?{_DECIMAL} ?e ?[-+]?[0-9]+ ?{_UNIT}?",
        "is written with an exponent; write it out",
        (),
    ),
    (rf"# ?({_DECIMAL})", "has the # before the number, which can also mean a number", (r"\1 lb",)),
    (rf"({_NUMBER}) ?grs?\.?", "has a unit that is gram to some and grain to others", (r"\1 g",)),
    (r"(0+(?:\.0*)?|\.0+)[-,;:( ]+[a-z][^0-9]*", _AFTER, (r"\1",)),
    (rf"({_WITH_UNIT})[-,;:(/ ]+[a-z(][^0-9]*", _AFTER, (r"\1",)),
    (rf"({_NUMBER}) ?[-,;:(] ?[a-z(][^0-9]*", _AFTER, (r"\1",)),
    (rf"{_NUMBER} ?[a-z][^0-9]*", "has a word where a unit belongs; lb, oz, kg and g are read", ()),
    (rf"[a-z][a-z. ]*[:=]? ?({_QUANTITY})", "has words before the amount", (r"\1",)),
    (rf".*[0-9] ?{_UNIT}(?![a-z]).*[0-9] ?{_UNIT}(?![a-z]).*", "holds more than one amount", ()),
    (rf".*[a-z][,;:=. ]+({_WITH_UNIT})", "has words before the amount", (r"\1",)),
)


# --- reading -----------------------------------------------------------------------------
def parse_quantity(value: object, default_unit: str | None = "lb") -> Quantity | Unclear:
    """The exact amount in a text or a spreadsheet number, or `Unclear` where it has to be asked.

    `default_unit` (lb, oz, kg, g) applies where no unit is written; None makes the unit
    required. Floats are read by their shortest decimal, so a cell of 4.8 is 4.8. Zero is
    an amount; whether it is wanted is for the caller. `written` keeps the digits as typed.
    Never raises, except ValueError for a default unit that does not exist.
    """
    if type(value) is str and len(value) <= MAX_TEXT:
        return _read(value, default_unit)
    text = _as_text(value)
    if isinstance(text, Unclear):
        return text
    return too_long(text) if len(text) > MAX_TEXT else _read(text, default_unit)


@lru_cache(maxsize=8192)
def _read(text: str, default_unit: str | None) -> Quantity | Unclear:
    """The amount in a text of bounded length."""
    if default_unit is not None and default_unit not in COUNTS_PER_UNIT:
        raise ValueError(f"no such unit: {default_unit!r}")
    answer: Quantity | Unclear | None = _quick(text, default_unit)
    if answer is None:
        words = plain(text)
        answer = _amount(words, default_unit) or _question(words, default_unit)
    return replace(answer, text=text) if isinstance(answer, Unclear) else answer


def _quick(text: str, default_unit: str | None) -> Quantity | None:
    """The usual spellings without the full grammar, for speed; None leaves it to the grammar."""
    match = _plainest(text)
    if match is None:
        return None
    whole, part, small_unit, pound, ounces = match.groups()
    if ounces is not None:
        rest = of_decimal(ounces, "oz")
        if part is not None or rest is None or rest >= POUND:
            return None
        return Quantity(Mass(int(whole) * POUND + rest), f"{whole} lb {ounces} oz")
    unit = small_unit or ("lb" if pound else default_unit)
    number = whole if part is None else f"{whole}.{part}"
    mass = None if unit is None else of_decimal(number, unit)
    return None if mass is None or mass > LARGEST else Quantity(mass, f"{number} {unit}")


def _amount(text: str, default_unit: str | None) -> Quantity | Unclear | None:
    """The amount in a plain text that has the shape of one, or None where it has not."""
    single = _single(text)
    if single is not None:
        number, word = single.groups()
        unit = _UNIT_OF_INITIAL[word[0]] if word else default_unit
        if _slashed(number) and (not word or int(number.partition("/")[0]) % 2 == 0):
            return None  # "1/2" may be 1 lb 2 oz, and so may "4/8 lb" be 4 lb 8 oz
        if unit == "kg" and number.count(",") == 1 and "." not in number:
            return None  # "2,600 kg" may be 2.600 kg
        if unit is None:
            return Unclear(text, "has no unit", _readings([number], None))
        return _held(text, [(number, unit)])
    double = _pounds_ounces(text)
    if double is None:
        return None
    pounds, ounces = double.groups()
    if _value(ounces) >= 16:
        return None
    return _held(text, [(pounds, "lb"), (ounces, "oz")])


def _held(text: str, parts: list[tuple[str, str]]) -> Quantity | Unclear:
    """The sum of numbers with their units as a Quantity, or why it cannot be held."""
    total = sum(_value(number) * COUNTS_PER_UNIT[unit] for number, unit in parts)
    if total > LARGEST:
        return Unclear(text, "is more than 1,000,000 lb")
    if total.denominator != 1:
        return Unclear(text, "is finer than can be held exactly; write grams", _nearest(parts))
    written = " ".join(f"{_tidy(number)} {unit}" for number, unit in parts)
    return Quantity(Mass(int(total)), written)


def _nearest(parts: list[tuple[str, str]]) -> tuple[str, ...]:
    """The nearest amount that can be held, as a reading, unless that would be nothing."""
    whole = [f"{_tidy(number)} {unit}" for number, unit in parts[:-1]]
    number, unit = parts[-1]
    near = _decimal(_value(number), _HELD_PLACES[unit])
    return () if near == "0" else _readings([" ".join([*whole, f"{near} {unit}"])], None)


def _value(number: str) -> Fraction:
    """The exact value of a number of the grammar: "4.8", ".5", "1,350", "4 1/2"."""
    return sum((Fraction(part) for part in _tidy(number).split()), Fraction())


def _tidy(number: str) -> str:
    """The digits as typed, without thousands commas and without a bare point."""
    number = number.replace(",", "").removesuffix(".")
    return f"0{number}" if number.startswith(".") else number


# --- asking ------------------------------------------------------------------------------
def _question(text: str, default_unit: str | None) -> Unclear:
    """Why a plain text is no amount, with every reading that is one."""
    if not text:
        return Unclear(text, "holds no amount")
    strange = foreign(text)
    if strange is not None:
        return Unclear(text, strange)
    if (day := _day_of_month(text)) is not None:
        return _mistaken(text, *day)
    figures = letters_to_figures(text)
    if figures != text and (readings := _readings([figures], default_unit)):
        return Unclear(text, "has a letter where a figure belongs", readings)
    overfull = _overfull(text)
    if overfull is not None:
        return _too_many_ounces(text, *overfull.groups())
    slashed = _slashed(text)
    if slashed is not None:
        return _slash(text, default_unit, slashed)
    for pattern, why, forms in _patterns():
        match = pattern.fullmatch(text)
        if match is not None:
            readings = _readings((match.expand(form) for form in forms), default_unit)
            return Unclear(text, ways(len(readings)) if why is _WAYS else why, readings)
    if not any(sign.isdigit() for sign in text):
        return Unclear(text, "has no number in it")
    return Unclear(text, "is not one amount; write it like 4.8 lb or 4 lb 8 oz")


@lru_cache(maxsize=1)
def _patterns() -> tuple[tuple[re.Pattern[str], str, tuple[str, ...]], ...]:
    """The questions with their patterns compiled, at the first question, not at each start."""
    return tuple((re.compile(pattern), why, forms) for pattern, why, forms in _QUESTIONS)


def _too_many_ounces(text: str, pounds: str, ounces: str) -> Unclear:
    """The question about pounds with a fraction, or with ounces that make another pound."""
    both = _value(pounds) + _value(ounces) / 16
    carried = f"{both // 1} lb {_decimal(both % 1 * 16, 2)} oz"
    whole = pounds.partition(".")[0] or "0"
    if "." in pounds:
        forms = [f"{whole} lb {ounces} oz", f"{pounds} lb", carried]
        return Unclear(text, "has ounces after pounds with a point", _readings(forms, "lb"))
    forms = [carried]
    if ounces.isdigit() and len(ounces) == 2:  # the point between the ounces may be lost
        forms.append(f"{whole} lb {ounces[0]}.{ounces[1]} oz")
    return Unclear(text, "has 16 or more ounces after the pounds", _readings(forms, "lb"))


def _slash(text: str, default_unit: str | None, match: re.Match[str]) -> Unclear:
    """The question about two numbers with a slash: a fraction, a point or ounces."""
    top, bottom, word = match.groups()
    unit = f" {word}" if word else ""
    if int(bottom) in (2, 4, 8, 16) and 0 < int(top) < int(bottom):
        share = _decimal(Fraction(int(top), int(bottom)), 4)
        forms = [f"{share}{unit}", f"{top} lb {bottom} oz"]
    elif word:
        return Unclear(text, _NO_FRACTION)
    else:
        forms = [f"{top}.{bottom}", f"{top} lb {bottom} oz"]
    readings = _readings(forms, default_unit)
    return Unclear(text, ways(len(readings)), readings)


def _decimal(value: Fraction, places: int) -> str:
    """A value as a decimal without trailing zeros, rounded to what can be held."""
    return half_up(value, places).replace(",", "").rstrip("0").removesuffix(".")


def _readings(candidates: Iterable[str], default_unit: str | None) -> tuple[str, ...]:
    """Those candidates that are amounts, spelled out; of equal amounts only the first.

    With no default unit a candidate without one is offered in every unit.
    """
    units = COUNTS_PER_UNIT if default_unit is None else (default_unit,)
    found: dict[int, str] = {}
    for candidate in candidates:
        for unit in units:
            answer = _amount(candidate.strip(), unit)
            if isinstance(answer, Quantity):
                found.setdefault(answer.mass, _spelled(answer))
    return tuple(found.values())


def _spelled(quantity: Quantity) -> str:
    """An amount as a reading, with decimal pounds where it is written in ounces or fractions."""
    if "oz" not in quantity.written and "/" not in quantity.written:
        return quantity.written
    decimal = exact_decimal(quantity.mass, "lb")
    return quantity.written if decimal is None else f"{quantity.written} ({decimal} lb)"


# --- what a spreadsheet hands over -------------------------------------------------------
def _as_text(value: object) -> str | Unclear:
    """The text of a cell value that is not plain text already."""
    if isinstance(value, str):
        return str.__str__(value)
    if value is None:
        return Unclear("", "holds no amount")
    if isinstance(value, bool):
        return Unclear("true" if value else "false", "is a yes or no, not an amount")
    if isinstance(value, (int, float, Decimal)):
        return _number_text(value)
    if isinstance(value, date):
        return _mistaken(value, value.month, value.day)
    if isinstance(value, time):
        return _mistaken(value, value.hour, value.minute)
    return Unclear(type(value).__name__, "is not an amount")


def _number_text(value: float | Decimal) -> str | Unclear:
    """The decimal of a number as it would be typed; 5.0 of a cell is 5, a Decimal keeps zeros."""
    if isinstance(value, float):
        if not math.isfinite(value):
            return Unclear(float.__repr__(value), "is not a number")
        shortest = float.__repr__(value).removesuffix(".0")
        value = Decimal("0" if shortest == "-0" else shortest)
    elif isinstance(value, int):
        if abs(value) >= 10**20:
            return Unclear("a very large number", "is more than 1,000,000 lb")
        value = Decimal(value)
    if not value.is_finite():
        return Unclear(Decimal.__str__(value)[:MAX_TEXT], "is not a number")
    return format(value, "f") if -30 < value.adjusted() < 30 else Decimal.__str__(value)


def _day_of_month(text: str) -> tuple[int, int] | None:
    """The month and the day of "8-apr", as which a spreadsheet saves 4-8; None for other words."""
    match = _DAY_IN_WORDS.fullmatch(text)
    if match is None:
        return None
    return _MONTHS.index(match["month"][:3]) + 1, int(match["before"] or match["after"])


def _mistaken(value: object, first: int, second: int) -> Unclear:
    """The question about a date or time cell: spreadsheets turn a typed 4-8 into 8 April."""
    readings = _readings([f"{first}.{second}", f"{first} lb {second} oz"], "lb")
    why = "is a date or a time, which spreadsheets make of an amount such as 4-8"
    return Unclear(str(value)[:MAX_TEXT], why, readings)
