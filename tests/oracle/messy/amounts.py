"""Amounts as people write them, each with what it can mean."""

from __future__ import annotations

import random
from dataclasses import dataclass
from fractions import Fraction

from tests.oracle.messy.paper import ASK, CERTAIN, WRONG, Amount, Cell, Formula

_WIDE = str.maketrans("0123456789.", "０１２３４５６７８９．")


@dataclass(frozen=True, slots=True)
class Written:
    """A cell with its readings in grams; `doubt_ok` where a flag is as good as a question."""

    kind: str
    cell: Cell
    sure: str
    grams: tuple[Fraction, ...]
    flag_ok: bool = False


def sure_cell(rng: random.Random, amount: Amount, unit: str, text_only: bool) -> tuple[str, Cell]:
    """An amount nobody can doubt, with the name of its spelling.

    `unit` is that of a bare number in the column. `text_only` is for files without numbers.
    """
    own = {"kilo": "kg", "gram": "g"}.get(amount.style, "lb")
    if amount.style == "ounce":
        return rng.choice(_ounces(amount)) if unit == "lb" else ("4 lb 8 oz", _plain_oz(amount))
    if own != unit:
        return f"{own} spelled", f"{amount.figures} {own}"
    forms: list[tuple[str, Cell]] = [
        ("bare text", amount.figures),
        ("bare text", amount.figures),
        ("unit spelled", f"{amount.figures} {own}"),
        ("unit spelled", f"{amount.figures}{own}"),
        ("spaces around", f" {amount.figures}  "),
        ("non-breaking space", f"{amount.figures}\u00a0{own}"),
        ("non-breaking space", f"{amount.figures}\u00a0"),
    ]
    if own == "lb":
        forms += [("# for lb", f"{amount.figures}#"), ("unit spelled", f"{amount.figures} LBS")]
        forms.append(("trailing zeros", f"{amount.figures}0"))
        if amount.whole == 0:
            forms.append(("no zero before the point", amount.figures[1:]))
    if rng.random() < 0.04:
        return "full-width figures", amount.figures.translate(_WIDE)
    if not text_only and rng.random() < 0.55:
        return "number", float(amount.figures)
    return rng.choice(forms)


def _plain_oz(amount: Amount) -> str:
    return f"{amount.whole} lb {amount.part} oz"


def _ounces(amount: Amount) -> list[tuple[str, Cell]]:
    a, b = amount.whole, amount.part
    return [
        ("4 lb 8 oz", f"{a} lb {b} oz"), ("4 lb 8 oz", f"{a} lbs {b} oz"),
        ("4lb8oz", f"{a}lb{b}oz"), ("4# 8oz", f"{a}# {b}oz"), ("4 lb 8 oz", f"{a} LB, {b} OZ"),
        ("ounces only", f"{a * 16 + b} oz"), ("decimal of ounces", amount.figures),
    ]  # fmt: skip


def doubtful_cell(rng: random.Random, amount: Amount, full_charge: int) -> Written:
    """An amount that has to be asked about, or that contradicts what is known."""
    choices = [_guessed(rng, amount), _range(amount), _over(amount, full_charge)]
    if amount.style in ("tenth", "ounce"):
        choices += [_two_numbers(rng, amount)] * 3
    if amount.style == "tenth" and set(amount.figures) & {"0", "1"}:
        choices += [_letter(amount)] * 6
    if amount.style == "ounce" and amount.part < 16:
        choices.append(_no_ounce_word(amount))
        choices.append(_too_many_ounces(amount))
    if amount.style in ("tenth", "hundredth"):
        choices.append(_minus(amount))
        choices.append(_no_result(amount))
    return rng.choice(choices)


def _two_numbers(rng: random.Random, amount: Amount) -> Written:
    """Two numbers with a sign between: a decimal or pounds and ounces."""
    a, b = amount.whole, amount.part
    sign = rng.choice(("-", "-", ",", "/", " ", "'"))
    decimal = Amount("tenth", a, b) if b < 10 else Amount("hundredth", a, b)
    readings = (decimal.grams, Amount("ounce", a, b).grams)
    return Written(f'two numbers "4{sign}8"', f"{a}{sign}{b}", ASK, readings)


def _letter(amount: Amount) -> Written:
    """A letter where a figure belongs: O.7, l.5."""
    text = amount.figures.replace("0", "O").replace("1", "l")
    return Written("letter for figure", text, ASK, (amount.grams,), True)


def _guessed(rng: random.Random, amount: Amount) -> Written:
    own = {"kilo": " kg", "gram": " g", "ounce": " lb"}.get(amount.style, "")
    text = f"{amount.figures}{own}"
    form = rng.choice(("~{}", "{}?", "about {}", "{} est", "{}+", "approx {}"))
    return Written("marked as not exact", form.format(text), ASK, (amount.grams,), True)


def _range(amount: Amount) -> Written:
    """Two amounts with "or" between them, either of which it may have been."""
    own = {"kilo": " kg", "gram": " g", "ounce": " lb"}.get(amount.style, "")
    other = Amount(amount.style, amount.whole + 1, amount.part)
    text = f"{amount.figures} or {other.figures}{own}"
    return Written("one or the other", text, ASK, (amount.grams, other.grams))


def _no_ounce_word(amount: Amount) -> Written:
    text = f"{amount.whole} lb {amount.part}"
    readings = [amount.grams]
    if amount.part < 10:
        readings.append(Amount("tenth", amount.whole, amount.part).grams)
    return Written("no word after the ounces", text, ASK, tuple(readings))


def _too_many_ounces(amount: Amount) -> Written:
    """4 lb 18 oz: two ounces over a pound, or a point that was lost."""
    ounces = amount.part + 16
    a = max(amount.whole - 1, 0)
    readings = (
        Amount("ounce", a, ounces).grams,
        Amount("ounce", a).grams + Fraction(ounces, 160) * Amount("ounce", 1).grams,
    )
    return Written("16 ounces or more", f"{a} lb {ounces} oz", ASK, readings)


def _minus(amount: Amount) -> Written:
    return Written("minus sign", f"-{amount.figures}", ASK, (amount.grams,), True)


def _no_result(amount: Amount) -> Written:
    """A formula whose result the file does not keep; a person would see the figures in it."""
    cents = round(float(amount.figures) * 100)
    text = f"={(cents + 2000) / 100:g}-20"
    return Written("formula without result", Formula(text, None), ASK, (amount.grams,), True)


def _over(amount: Amount, full_charge: int) -> Written:
    """A point that was lost: more than the unit holds."""
    whole = full_charge + 20 + amount.whole * 3
    return Written(
        "more than the unit holds", f"{whole}", WRONG, (Amount("tenth", whole).grams,), True
    )


def worked_out(rng: random.Random, amount: Amount) -> Written | None:
    """A formula that takes one weight from another, with its result kept, binary dust and all."""
    if amount.style not in ("tenth", "hundredth"):
        return None
    net = float(amount.figures)
    before = rng.randint(30, 60) + rng.choice((0.1, 0.35, 0.6, 0.85))
    after = round(before - net, 2)
    result = before - after
    return Written(
        "formula with its result", Formula(f"={before:g}-{after:g}", result), CERTAIN,
        (amount.grams,),
    )  # fmt: skip
