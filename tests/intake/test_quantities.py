"""Amounts as people write them: what is read, what is asked, and that nothing is lost."""

from __future__ import annotations

import datetime
import re
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from ledger.facts.mass import COUNTS_PER_UNIT, GRAM, POUND, Mass, Quantity, pounds, quantity
from ledger.intake.quantities import LARGEST, parse_quantity
from ledger.intake.unclear import MAX_TEXT, Unclear

# One avoirdupois pound is 0.45359237 kg exactly (NIST SP 811, from memory).
GRAMS = {
    "lb": Fraction("453.59237"),
    "oz": Fraction("453.59237") / 16,
    "kg": Fraction(1000),
    "g": Fraction(1),
}


def read(value: object, default_unit: str | None = "lb") -> Quantity:
    answer = parse_quantity(value, default_unit)
    assert isinstance(answer, Quantity), answer
    return answer


def asked(value: object, default_unit: str | None = "lb") -> Unclear:
    answer = parse_quantity(value, default_unit)
    assert isinstance(answer, Unclear), answer
    return answer


def grams(quantity: Quantity) -> Fraction:
    return Fraction(quantity.mass, GRAM)


# text, the amount in one unit, and what is kept of the writing
READ = [
    *(
        (text, "4.8", "lb", "4.8 lb")
        for text in (
            *("4.8", "4.8 lb", "4.8lbs", "4.8 lbs.", "4.8#", "4.8 LB", "4.8 Pounds"),
            *("  4.8   lb ", "4.8\u00a0lb", "\ufeff4.8"),
        )
    ),
    ("4.80", "4.8", "lb", "4.80 lb"),
    ("12.25 lb", "12.25", "lb", "12.25 lb"),
    ("07.50", "7.5", "lb", "07.50 lb"),
    *(
        (text, "4.5", "lb", "4 lb 8 oz")
        for text in (
            *("4 lb 8 oz", "4lb8oz", "4# 8oz", "4 pounds 8 ounces", "4 lbs. 8 oz."),
            *("4 lb, 8 oz", "4 lb and 8 oz", "4 LB 8 OZ", "4\u202flb\u20098\u00a0oz"),
        )
    ),
    ("7 lb 6 oz", "7.375", "lb", "7 lb 6 oz"),
    ("7lb 6.5oz", "7.40625", "lb", "7 lb 6.5 oz"),
    ("4 lb .5 oz", "4.03125", "lb", "4 lb 0.5 oz"),
    ("4 lb 8 1/2 oz", "4.53125", "lb", "4 lb 8 1/2 oz"),
    ("0 lb 15 oz", "0.9375", "lb", "0 lb 15 oz"),
    ("4 lb 0 oz", "4", "lb", "4 lb 0 oz"),
    ("1,000 lb 8 oz", "1000.5", "lb", "1000 lb 8 oz"),
    ("12 oz", "12", "oz", "12 oz"),
    ("12.5oz", "12.5", "oz", "12.5 oz"),
    ("20 ounces", "20", "oz", "20 oz"),
    *((text, "2.6", "kg", "2.6 kg") for text in ("2.6 kg", "2.6 Kilos", "2.6 kilograms")),
    *((text, "3120", "g", "3120 g") for text in ("3120 g", "3120g.", "3120 grams", "3,120 g")),
    *((text, "1350", "lb", "1350 lb") for text in ("1,350 lb", "1,350")),
    ("1,350.5 lb", "1350.5", "lb", "1350.5 lb"),
    ("100,000 lb", "100000", "lb", "100000 lb"),
    ("1,234,567 g", "1234567", "g", "1234567 g"),
    ("4 1/2 lb", "4.5", "lb", "4 1/2 lb"),
    ("4 1/2", "4.5", "lb", "4 1/2 lb"),
    ("4½ lb", "4.5", "lb", "4 1/2 lb"),
    ("4 6/8 lb", "4.75", "lb", "4 6/8 lb"),
    ("3/4 lb", "0.75", "lb", "3/4 lb"),
    ("7 15/16 lb", "7.9375", "lb", "7 15/16 lb"),
    (".5 lb", "0.5", "lb", "0.5 lb"),
    *((text, "5", "lb", "5 lb") for text in ("5. lb", "5.")),
    ("0", "0", "lb", "0 lb"),
    ("0.0", "0", "lb", "0.0 lb"),
]


@pytest.mark.parametrize(("text", "number", "unit", "written"), READ)
def test_an_amount_is_read_exactly(text: str, number: str, unit: str, written: str) -> None:
    answer = read(text)
    assert grams(answer) == Fraction(number) * GRAMS[unit]
    assert answer.written == written


@pytest.mark.parametrize(("text", "number", "unit", "written"), READ)
def test_what_was_written_reads_as_the_same(
    text: str, number: str, unit: str, written: str
) -> None:
    assert parse_quantity(written, None) == parse_quantity(text)


HALF = "4 lb 8 oz (4.5 lb)"
# text, a part of the reason, and every reading
ASKED = [
    *(
        (text, "two ways", ("4.8 lb", HALF))
        for text in ("4-8", "4 – 8", "4-8 lb", "4 8", "4:8", "4'8")
    ),
    ("4-8 oz", "two ways", (HALF, "4.8 oz (0.3 lb)")),
    ("4-8 kg", "not plainly", ("4.8 kg",)),
    ("4-18", "not plainly", ("4.18 lb",)),
    ("4.8.0", "two ways", ("4.80 lb", "4 lb 8.0 oz (4.5 lb)")),
    ("7,10", "two ways", ("7.10 lb", "7 lb 10 oz (7.625 lb)")),
    ("7,5", "two ways", ("7.5 lb", "7 lb 5 oz (7.3125 lb)")),
    ("4/8", "two ways", ("0.5 lb", HALF)),
    ("1/2", "two ways", ("0.5 lb", "1 lb 2 oz (1.125 lb)")),
    ("4/8 lb", "two ways", ("0.5 lb", HALF)),
    ("6/13", "two ways", ("6.13 lb", "6 lb 13 oz (6.8125 lb)")),
    ("4lb.8oz", "two ways", (HALF, "4 lb 0.8 oz (4.05 lb)")),
    ("4 lb 8", "no unit after", (HALF, "4.8 lb")),
    ("4 lb - 8 oz", "sign between", (HALF,)),
    ("8 oz 4 lb", "ounces before the pounds", (HALF,)),
    ("4 lb 18 oz", "16 or more", ("5 lb 2 oz (5.125 lb)", "4 lb 1.8 oz (4.1125 lb)")),
    ("4 lb 16 oz", "16 or more", ("5 lb 0 oz (5 lb)", "4 lb 1.6 oz (4.1 lb)")),
    ("4.5 lb 8 oz", "pounds with a point", (HALF, "5 lb 0 oz (5 lb)")),
    ("4.2 lb 8 oz", "pounds with a point", (HALF, "4.2 lb", "4 lb 11.2 oz (4.7 lb)")),
    ("1.234,5", "full stop for thousands", ("1234.5 lb",)),
    ("2,600 kg", "two ways", ("2.600 kg", "2600 kg")),
    ("1 350 lb", "two ways", ("1.350 lb", "1350 lb")),
    ("0,350 lb", "not plainly", ("0.350 lb",)),
    ("12,34", "not plainly", ("12.34 lb",)),
    ("1,23,456", "not one amount", ()),
    ("O.7", "letter where a figure", ("0.7 lb",)),
    ("o.7 lb", "letter where a figure", ("0.7 lb",)),
    ("1O lb", "letter where a figure", ("10 lb",)),
    ("l.5", "letter where a figure", ("1.5 lb",)),
    ("I2.5oz", "letter where a figure", ("12.5 oz (0.78125 lb)",)),
    *((text, "not exact", ("5 lb",)) for text in ("5 lb?", "~5", "about 5", "5+", ">5 lb")),
    ("approx. 4 lb 8 oz", "not exact", (HALF,)),
    *((text, "without a sign", ("3 lb",)) for text in ("-3", "−3", "－3 lb", "+3", "3-", "(3)")),
    ("21.40-18.25", "range or a difference", ()),
    ("0 - flat", "words after", ("0 lb",)),
    ("0 flat", "words after", ("0 lb",)),
    ("5 lb flat", "words after", ("5 lb",)),
    ("5 (est. by tech)", "words after", ("5 lb",)),
    ("rec 7 lb 6 oz", "words before", ("7 lb 6 oz (7.375 lb)",)),
    ("4 cyl, 110#", "words before", ("110 lb",)),
    *((text, "more than one amount", ()) for text in ("5 lb 5 lb", "4.8 lb / 2.18 kg")),
    ("5 gal", "word where a unit", ()),
    ("5 fl oz", "word where a unit", ()),
    ("5 gr", "gram to some and grain to others", ("5 g",)),
    ("#4", "before the number", ("4 lb",)),
    *((text, "out of place", ("4.8 lb",)) for text in ("4 .8", "4.8.")),
    ("4-1/2 lb", "dash", ("4 1/2 lb (4.5 lb)",)),
    ("1/3 lb", "halves, quarters", ()),
    ("4 1/3 lb", "halves, quarters", ()),
    ("4 3/2 lb", "halves, quarters", ()),
    *((text, "exponent", ()) for text in ("1e5", "1E-5 lb")),
    ("0.00001 lb", "finer than can be held exactly; write grams", ()),
    ("4.33333 lb", "finer than can be held exactly; write grams", ("4.333 lb",)),
    ("4 lb 0.125 oz", "finer than can be held", ("4 lb 0.13 oz (4.008125 lb)",)),
    ("1/8 oz", "finer than can be held", ("0.13 oz (0.008125 lb)",)),
    *((text, "more than 1,000,000 lb", ()) for text in ("1,000,001 lb", "99999999999999999999 g")),
    *((text, "another alphabet", ()) for text in ("٤.٨", "４.8", "4² lb")),
    ("4.8 фунт", "not a plain letter", ()),
    *((text, "no number", ()) for text in ("flat", "lb", "nan")),
    ("", "no amount", ()),
    (" \u00a0 ", "no amount", ()),
    ("R-22 5 lb", "not one amount", ()),
    ("5 to tank 4", "not one amount", ()),
]


@pytest.mark.parametrize(("text", "why", "readings"), ASKED)
def test_what_is_not_plain_is_asked_with_its_readings(
    text: str, why: str, readings: tuple[str, ...]
) -> None:
    answer = asked(text)
    assert why in answer.why
    assert answer.readings == readings
    assert answer.text == text


@pytest.mark.parametrize("text", [row[0] for row in ASKED])
def test_a_reading_can_be_given_back(text: str) -> None:
    for reading in asked(text).readings:
        amount, _, decimal = reading.partition(" (")
        answer = read(amount, None)
        assert answer.written == amount
        if decimal:
            assert answer.mass == read(decimal.removesuffix(")"), None).mass


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        (
            "4-8",
            '"4-8" can be read two ways: 4.8 lb or 4 lb 8 oz (4.5 lb); write the one you mean.',
        ),
        ("O.7", '"O.7" has a letter where a figure belongs; if 0.7 lb is meant, write that.'),
        ("flat", '"flat" has no number in it.'),
        ("", "An empty cell holds no amount."),
        ("\x1b[31m4", '"[31m4" is not one amount; write it like 4.8 lb or 4 lb 8 oz.'),
        (
            "4.2 lb 8 oz",
            '"4.2 lb 8 oz" has ounces after pounds with a point: 4 lb 8 oz (4.5 lb), 4.2 lb or '
            "4 lb 11.2 oz (4.7 lb); write the one you mean.",
        ),
    ],
)
def test_the_question_is_one_plain_sentence(text: str, sentence: str) -> None:
    assert asked(text).sentence() == sentence


# --- units -------------------------------------------------------------------------------
@pytest.mark.parametrize("unit", ["lb", "oz", "kg", "g"])
def test_the_default_unit_serves_a_number_without_one(unit: str) -> None:
    assert grams(read("4.5", unit)) == Fraction("4.5") * GRAMS[unit]
    assert read("4.5", unit).written == f"4.5 {unit}"
    assert read("4 lb 8 oz", unit).written == "4 lb 8 oz"
    assert read("12 oz", unit).written == "12 oz"


def test_without_a_default_the_unit_is_required() -> None:
    assert asked("4.8", None) == Unclear(
        "4.8", "has no unit", ("4.8 lb", "4.8 oz (0.3 lb)", "4.8 kg", "4.8 g")
    )
    assert asked(4.8, None).why == "has no unit"
    assert asked("0", None).readings == ("0 lb",)
    assert "4 lb 8 oz (4.5 lb)" in asked("4-8", None).readings


@pytest.mark.parametrize("value", ["4.8", "4-8", "", 4.8])
def test_a_default_unit_that_does_not_exist_is_an_error_of_the_program(value: object) -> None:
    with pytest.raises(ValueError, match="stone"):
        parse_quantity(value, "stone")


# --- cells of a spreadsheet --------------------------------------------------------------
@pytest.mark.parametrize(
    ("value", "written"),
    [
        (4.8, "4.8 lb"),
        (0.1, "0.1 lb"),
        (8.0, "8 lb"),
        (-0.0, "0 lb"),
        (1350.25, "1350.25 lb"),
        (0.001, "0.001 lb"),
        (8, "8 lb"),
        (0, "0 lb"),
        (Decimal("4.80"), "4.80 lb"),
        (Decimal("1E+3"), "1000 lb"),
    ],
)
def test_a_number_cell_is_read_by_its_shortest_decimal(value: object, written: str) -> None:
    assert read(value) == read(written)
    assert read(value).written == written


@pytest.mark.parametrize(
    ("value", "why", "readings"),
    [
        (True, "yes or no", ()),
        (False, "yes or no", ()),
        (float("nan"), "not a number", ()),
        (float("inf"), "not a number", ()),
        (Decimal("-Infinity"), "not a number", ()),
        (Decimal("sNaN"), "not a number", ()),
        (-3, "without a sign", ("3 lb",)),
        (-2.5, "without a sign", ("2.5 lb",)),
        (0.1 + 0.2, "finer than can be held", ("0.3 lb",)),
        (1e-7, "finer than can be held", ()),
        (1e22, "more than 1,000,000 lb", ()),
        (1e300, "exponent", ()),
        pytest.param(10**5000, "more than 1,000,000 lb", (), id="5001 figures"),
        (Decimal("1E-999999"), "exponent", ()),
        (Decimal(1) / Decimal(3), "finer than can be held", ("0.333 lb",)),
        (None, "no amount", ()),
        ([], "not an amount", ()),
        (b"4.8", "not an amount", ()),
        (datetime.date(2025, 4, 8), "spreadsheets make", ("4.8 lb", HALF)),
        (datetime.datetime(2025, 4, 8, 0, 0), "spreadsheets make", ("4.8 lb", HALF)),
        (datetime.time(4, 8), "spreadsheets make", ("4.8 lb", HALF)),
        (datetime.date(2025, 4, 18), "spreadsheets make", ("4.18 lb",)),
    ],
)
def test_other_cells_are_asked(value: object, why: str, readings: tuple[str, ...]) -> None:
    answer = asked(value)
    assert why in answer.why
    assert answer.readings == readings


def test_a_subclass_of_text_is_text() -> None:
    class Cell(str):
        __slots__ = ()

    assert read(Cell("4.8")) == read("4.8")
    assert "longer" in asked(Cell("4" * 65)).why


def test_a_long_text_is_refused_at_once_and_cut() -> None:
    assert isinstance(parse_quantity(f"4.8{' ' * (MAX_TEXT - 3)}"), Quantity)
    answer = asked("4" * 10_000_000)
    assert answer == Unclear("4" * MAX_TEXT + "…", "is longer than 64 characters")


def test_the_edge_of_the_largest_amount() -> None:
    assert read("1000000").mass == read("1,000,000 lb").mass == LARGEST
    assert "more than" in asked("1000000.01").why
    assert "more than" in asked("1000000 lb 0.01 oz").why


# --- a drawer of tickets -----------------------------------------------------------------
def test_the_amounts_of_a_real_looking_disposal_sheet() -> None:
    assert grams(read("7 lb 6 oz")) == Fraction("7.375") * GRAMS["lb"]
    assert pounds(read("2.6 kg").mass) == "5.73"
    assert pounds(read("3120 g").mass) == "6.88"
    assert abs(read("7.4").mass - read("7 lb 6 oz").mass) == read("0.025 lb").mass
    assert asked("4-8").readings[0] == "4.8 lb"
    assert asked("O.7").readings == ("0.7 lb",)
    assert asked("0 - flat").readings == ("0 lb",)
    rows = ["7 lb 6 oz", "8", "4.8", "2.6 kg", "3120 g"]
    assert pounds(sum(read(row).mass for row in rows)) == "32.79"
    assert pounds(sum(read(row).mass for row in [*rows, "7.0"])) == "39.79"
    assert pounds(sum(read(row).mass for row in [*rows, "7.0", "7.4"])) == "47.19"


def test_the_worst_ounces_taken_for_a_decimal() -> None:
    difference = read("4 lb 15 oz").mass - read("4.15").mass
    assert Fraction(difference, POUND) == Fraction("0.7875")
    assert pounds(difference) == "0.79"
    assert (
        max(abs(read(f"4 lb {ounces} oz").mass - read(f"4.{ounces}").mass) for ounces in range(16))
        == difference
    )


# --- for any text ------------------------------------------------------------------------
digits = st.text("0123456789", min_size=1, max_size=5)
decimals = st.one_of(
    digits,
    st.tuples(digits, st.text("0123456789", min_size=1, max_size=3)).map(".".join),
)
spellings = {
    "lb": ["lb", "lbs", "lb.", "lbs.", "#", "pound", "pounds", "LB", "Lbs"],
    "oz": ["oz", "oz.", "ounce", "ounces", "OZ"],
    "kg": ["kg", "kg.", "kgs", "kilo", "kilograms", "KG"],
    "g": ["g", "g.", "gram", "grams", "gm", "G"],
}
spaces = st.sampled_from(["", " ", "  ", "\u00a0"])
near_amounts = st.one_of(
    st.text("0123456789.,/-+'# lbozkgLOI~?e½\u00a0", max_size=14),
    st.lists(
        st.sampled_from(
            [
                *"048.,/-+#½",
                "10",
                "16",
                "350",
                ".5",
                " ",
                " ",
                "lb",
                "lbs.",
                " oz",
                "kg",
                "g",
                "1/2",
            ]
        ),
        max_size=7,
    ).map("".join),
)


@given(
    number=decimals, unit=st.sampled_from(sorted(spellings)), space=spaces, choice=st.integers(0, 8)
)
def test_any_decimal_in_any_unit(number: str, unit: str, space: str, choice: int) -> None:
    spelled = spellings[unit][choice % len(spellings[unit])]
    answer = parse_quantity(f"{number}{space}{spelled}")
    value = Fraction(number) * GRAMS[unit]
    if (value * GRAM).denominator == 1:
        assert isinstance(answer, Quantity)
        assert grams(answer) == value
        assert answer.written == f"{number} {unit}"
    else:
        assert isinstance(answer, Unclear)
        assert "finer" in answer.why


@given(
    whole=st.integers(0, 99_999),
    ounces=st.integers(0, 1599),
    space=spaces,
    pound=st.sampled_from(["lb", "lbs", "#", "pounds", "LB"]),
    ounce=st.sampled_from(spellings["oz"]),
)
def test_pounds_and_ounces_are_the_exact_fraction(
    whole: int, ounces: int, space: str, pound: str, ounce: str
) -> None:
    figures = f"{ounces // 100}.{ounces % 100:02d}" if ounces % 100 else str(ounces // 100)
    answer = read(f"{whole}{space}{pound}{space}{figures}{space}{ounce}")
    assert Fraction(answer.mass, POUND) == whole + Fraction(ounces, 1600)
    assert answer.written == f"{whole} lb {figures} oz"


@given(text=st.one_of(st.text(max_size=80), near_amounts))
@example("4 lb 8 oz")
@example("\ud800")
def test_any_text_is_read_or_asked(text: str) -> None:
    for unit in ("lb", "kg", None):
        answer = parse_quantity(text, unit)
        if isinstance(answer, Quantity):
            assert 0 <= answer.mass <= LARGEST
            assert parse_quantity(answer.written, None) == answer
        else:
            assert answer.why
            assert answer.sentence().endswith(".")
            assert "\n" not in answer.sentence()
            for reading in answer.readings:
                assert isinstance(parse_quantity(reading.partition(" (")[0], None), Quantity)


def naive(text: str, default: str) -> Fraction:
    """Grams by a second, naive reading: every number times the first letter that follows it."""
    spelled = re.sub(r"(?<=[a-z])\.", "", text.lower())
    spelled = spelled.replace("½", " 1/2").replace(",", "")
    total = Fraction()
    for numbers, word in re.findall(r"((?:[0-9./]+\s*)+)([a-z#]?)", spelled):
        unit = {"l": "lb", "#": "lb", "p": "lb", "o": "oz", "k": "kg", "g": "g"}.get(word, default)
        for number in numbers.split():
            top, _, bottom = number.partition("/")
            whole, _, part = top.partition(".")
            value = Fraction(int(f"{whole}{part}"), 10 ** len(part) * int(bottom or 1))
            total += value * GRAMS[unit]
    return total


@given(text=near_amounts, unit=st.sampled_from(["lb", "oz", "kg", "g"]))
@example("4 lb 8 1/2 oz", "lb")
@example("1,350.5 lb", "g")
@example("4½", "oz")
def test_what_is_read_agrees_with_a_naive_reading(text: str, unit: str) -> None:
    answer = parse_quantity(text, unit)
    if isinstance(answer, Quantity):
        assert grams(answer) == naive(text, unit)


@pytest.mark.parametrize("text", [row[0] for row in READ])
def test_the_naive_reading_agrees_on_the_table(text: str) -> None:
    assert grams(read(text)) == naive(text.replace("\ufeff", ""), "lb")


@given(number=st.floats())
def test_any_float_is_read_by_its_shortest_decimal_or_asked(number: float) -> None:
    answer = parse_quantity(number)
    if isinstance(answer, Quantity):
        assert Fraction(answer.mass, POUND) == Fraction(repr(number))
        assert parse_quantity(answer.written, None) == answer


@given(hundredths=st.integers(0, 10_000_000))
def test_every_hundredth_of_a_pound_survives_a_spreadsheet(hundredths: int) -> None:
    assert read(hundredths / 100).mass == hundredths * (POUND // 100)


@given(
    value=st.one_of(
        st.integers(),
        st.decimals(),
        st.dates(),
        st.datetimes(),
        st.times(),
        st.timedeltas(),
        st.binary(),
        st.complex_numbers(),
        st.lists(st.none()),
        st.builds(object),
    )
)
def test_any_cell_is_read_or_asked(value: object) -> None:
    answer = parse_quantity(value)
    if isinstance(answer, Unclear):
        assert answer.sentence().endswith(".")
    else:
        assert parse_quantity(answer.written, None) == answer


@given(mass=st.integers(0, LARGEST), unit=st.sampled_from(sorted(COUNTS_PER_UNIT)))
def test_what_the_ledger_writes_for_a_computed_mass_is_read_back(mass: int, unit: str) -> None:
    written = quantity(Mass(mass), unit)
    assert parse_quantity(written.written, None) == written


@pytest.mark.parametrize("text", ["8-Apr", "08-apr", "Apr-8", "8 April", "Apr. 8"])
def test_a_day_that_a_spreadsheet_made_of_an_amount_is_read_both_ways(text: str) -> None:
    answer = parse_quantity(text)
    assert isinstance(answer, Unclear)
    whole = [one.partition(" (")[0] for one in answer.readings]
    assert whole == ["4.8 lb", "4 lb 8 oz"]
    assert "spreadsheets make of an amount such as 4-8" in answer.sentence()
