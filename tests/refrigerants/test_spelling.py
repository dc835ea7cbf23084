"""Refrigerant names as people write them: understood, or asked, never guessed."""

from __future__ import annotations

import time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.refrigerants.register import register
from ledger.refrigerants.spelling import Unclear, alias_key, near, recognise

UNDERSTOOD = [
    ("R-22", "R-22"),
    ("r 22", "R-22"),
    ("r22", "R-22"),
    ("22", "R-22"),
    ("R.22", "R-22"),
    ("HCFC22", "R-22"),
    ("HCFC-22", "R-22"),
    ("hcfc 22", "R-22"),
    ("refrigerant 22", "R-22"),
    ("R-22.", "R-22"),
    ("410A,", "R-410A"),
    ("22.0", "R-22"),
    ("R\u00b2\u00b2", "R-22"),
    ("410", "R-410A"),
    ("R410a", "R-410A"),
    ("R-410A", "R-410A"),
    ("410 a", "R-410A"),
    ("R-410", "R-410A"),
    ("410.0", "R-410A"),
    ("HFC-410A", "R-410A"),
    ("R_410_A", "R-410A"),
    ("134a", "R-134a"),
    ("R134A", "R-134a"),
    ("HFC-134a", "R-134a"),
    ("r-134-a", "R-134a"),
    ("404", "R-404A"),
    ("R404a", "R-404A"),
    ("507", "R-507A"),
    ("R-507", "R-507A"),
    ("448", "R-448A"),
    ("R-448 A", "R-448A"),
    ("R-407-c", "R-407C"),
    ("407c", "R-407C"),
    ("R\u2011410A", "R-410A"),
    ("R\u2013410A", "R-410A"),
    ("R\u2212410A", "R-410A"),
    (" R-22 ", "R-22"),
    ("R-22\u00a0", "R-22"),
    ("\u200b410A\ufeff", "R-410A"),
    ("\uff32\uff0d\uff14\uff11\uff10\uff21", "R-410A"),
    ("R\t22\n", "R-22"),
    ("r1234yf", "R-1234yf"),
    ("HFO-1234yf", "R-1234yf"),
    ("HFC-1234yf", "R-1234yf"),
    ("r1234ze", "R-1234ze(E)"),
    ("R-1234ze(E)", "R-1234ze(E)"),
    ("1234ze-E", "R-1234ze(E)"),
    ("R1234zeE", "R-1234ze(E)"),
    ("R-1234ze ( e )", "R-1234ze(E)"),
    ("1233zd", "R-1233zd(E)"),
    ("HCFO-1233zd(E)", "R-1233zd(E)"),
    ("R-1336mzz(Z)", "R-1336mzz(Z)"),
    ("1336mzz-e", "R-1336mzz(E)"),
    ("123", "R-123"),
    ("R-124", "R-124"),
    ("245", "R-245fa"),
    ("227", "R-227ea"),
    ("R-600", "R-600"),
    ("R600a", "R-600a"),
    ("R-13", "R-13"),
    ("R13B1", "R-13B1"),
    ("R 13 B1", "R-13B1"),
    ("halon 1301", "R-13B1"),
    ("717", "R-717"),
    ("NH3", "R-717"),
    ("Ammonia", "R-717"),
    ("CO2", "R-744"),
    ("744", "R-744"),
    ("propane", "R-290"),
    ("HC-290", "R-290"),
    ("carbon  dioxide", "R-744"),
    ("HFE-347pcf2", "HFE-347pcf2"),
    ("PFC-218", "R-218"),
    ("FC218", "R-218"),
    ("HCFC-401A", "R-401A"),
    ("HFC-401A", "R-401A"),
]

# text, candidates (None: any), a word of the reason
ASKED: list[tuple[str, tuple[str, ...] | None, str]] = [
    ("134", ("R-134a",), "another substance"),
    ("R-134", ("R-134a",), "not as a refrigerant"),
    ("HFC-134", ("R-134a",), "not as a refrigerant"),
    ("141", ("R-141b",), "another substance"),
    ("142", ("R-142b",), "another substance"),
    ("134.0", ("R-134a",), "another substance"),
    ("454", ("R-454A", "R-454B", "R-454C"), "letter decides"),
    ("R-454", ("R-454A", "R-454B", "R-454C"), "letter decides"),
    ("449", ("R-449A", "R-449B"), "letter decides"),
    ("422", ("R-422A", "R-422B", "R-422C", "R-422D"), "letter decides"),
    ("417", ("R-417A", "R-417B", "R-417C"), "letter decides"),
    ("407", None, "letter decides"),
    ("508", ("R-508A", "R-508B"), "letter decides"),
    ("600", ("R-600", "R-600a"), "letter decides"),
    ("13", ("R-13", "R-13B1"), "letter decides"),
    ("1234", ("R-1234yf", "R-1234ze(E)"), "letter decides"),
    ("1336mzz", ("R-1336mzz(E)", "R-1336mzz(Z)"), "isomers"),
    ("R-1234ze(Z)", ("R-1234yf", "R-1234ze(E)"), "not in the register"),
    ("22/410?", ("R-22", "R-410A"), "more than one number"),
    ("448A/449A", ("R-448A", "R-449A"), "more than one number"),
    ("22 or 404", ("R-22", "R-404A"), "more than one number"),
    ("R-22 R-22", ("R-22",), "more than one number"),
    ("HCFC 2 2", None, "more than one number"),
    ("4 10A", None, "more than one number"),
    ("R-22?", ("R-22",), "more than an R-number"),
    ("R-22 reclaimed", ("R-22",), "more than"),
    ("R-404 A new", ("R-404A",), "more than an R-number"),
    ("propane?", None, "not a name"),
    ("22 lb", ("R-22",), "not in the register"),
    ("410AA", ("R-410A",), "not in the register"),
    ("R-410B", ("R-410A",), "not in the register"),
    ("R-22a", ("R-22",), "not in the register"),
    ("R-999", None, "has that number"),
    ("00", None, "has that number"),
    ("R-115", (), "not as a refrigerant"),
    ("dimethyl ether", (), "not as a refrigerant"),
    ("CFC-22", ("R-22",), "is no CFC"),
    ("HFC-22", ("R-22",), "is no HFC"),
    ("HC-410A", ("R-410A",), "is no HC"),
    ("blue can", None, "not a name"),
    ("R-", None, "not a name"),
    ("?", (), "not a name"),
    ("", (), "No refrigerant is written"),
    ("  \u200b", (), "No refrigerant is written"),
    ("the gas that was in the old unit on the roof of the east wing, maybe", (), "too long"),
]


@pytest.mark.parametrize(("text", "name"), UNDERSTOOD)
def test_a_spelling_that_is_understood(text: str, name: str) -> None:
    assert recognise(text) == name


@pytest.mark.parametrize(("text", "candidates", "words"), ASKED)
def test_a_spelling_that_is_asked(
    text: str, candidates: tuple[str, ...] | None, words: str
) -> None:
    found = recognise(text)
    assert isinstance(found, Unclear)
    assert found.text == text
    assert words in found.why
    assert candidates is None or found.candidates == candidates
    assert set(found.candidates) <= set(register().names())
    assert found.remedy.endswith(".")


@pytest.mark.parametrize("name", register().names())
def test_every_name_of_the_register_is_understood_however_it_is_set(name: str) -> None:
    for text in (name, name.upper(), name.lower(), name.replace("-", ""), name.replace("-", " ")):
        assert recognise(text) == name


@pytest.mark.parametrize("name", [n for n in register().components if register().get(n)])
def test_every_legal_name_is_understood(name: str) -> None:
    for other in register().components[name].names:
        assert recognise(other) == name


@pytest.mark.parametrize("name", register().names())
def test_a_bare_number_is_understood_only_where_one_refrigerant_has_it(name: str) -> None:
    number = "".join(c for c in name.split("(")[0].removeprefix("R-") if c.isdigit())
    same = [n for n in register().names() if n.removeprefix("R-").startswith(number)]
    same = [n for n in same if not n.removeprefix(f"R-{number}")[:1].isdigit()]
    found = recognise(number)
    if isinstance(found, str):
        assert same == [found]


def test_remedies_say_what_to_write() -> None:
    one, several, none = recognise("134"), recognise("449"), recognise("dimethyl ether")
    assert isinstance(one, Unclear)
    assert isinstance(several, Unclear)
    assert isinstance(none, Unclear)
    assert one.remedy == "Write R-134a if that is meant."
    assert several.remedy == "Write which is meant: R-449A, R-449B."
    assert none.remedy == "Write its R-number, or add the name to your aliases."


ALIASES = {"blue can": "R-438A", "134": "R-134a", "407": "407C", "old stuff": "454"}


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("Blue  Can", "R-438A"),
        (" BLUE\u00a0CAN ", "R-438A"),
        ("134", "R-134a"),
        ("407", "R-407C"),
        ("R-407F", "R-407F"),
        ("410", "R-410A"),
    ],
)
def test_an_alias_is_looked_up_first(text: str, name: str) -> None:
    assert recognise(text, ALIASES) == name


def test_an_alias_that_is_itself_unclear_is_asked() -> None:
    found = recognise("Old Stuff", ALIASES)
    assert isinstance(found, Unclear)
    assert found.text == "Old Stuff"
    assert found.candidates == ("R-454A", "R-454B", "R-454C")
    assert "stands for '454'" in found.why


def test_the_alias_table_of_one_book_does_not_stay_for_the_next() -> None:
    assert recognise("134", ALIASES) == "R-134a"
    assert isinstance(recognise("134"), Unclear)


@pytest.mark.parametrize(
    ("text", "name"), [("R-4O7C", "R-407C"), ("R-41OA", "R-410A"), ("1234y", "R-1234yf")]
)
def test_near_names_are_offered(text: str, name: str) -> None:
    assert name in near(text)
    found = recognise(text)
    assert isinstance(found, Unclear)
    assert name in found.candidates


def test_near_offers_nothing_for_nothing() -> None:
    assert near("") == near("?") == near("r") == ()


PIECES = st.sampled_from(
    [
        "R",
        "-",
        " ",
        "22",
        "410",
        "A",
        "a",
        "/",
        "1234",
        "ze",
        "(E)",
        "HFC",
        "\u00a0",
        ".",
        "0",
        "\u2011",
        "b1",
        "?",
        "134",
        "e",
        "z",
    ]
)


@given(st.one_of(st.text(), st.lists(PIECES, max_size=10).map("".join)))
def test_any_text_is_understood_or_asked_and_never_an_error(text: str) -> None:
    found = recognise(text)
    if isinstance(found, Unclear):
        assert found.text == text
        assert found.why
        assert set(found.candidates) <= set(register().names())
    else:
        assert found in register().refrigerants


@given(st.one_of(st.text(), st.lists(PIECES, max_size=10).map("".join)))
def test_space_around_a_name_means_nothing(text: str) -> None:
    bare, padded = recognise(text), recognise(f" \ufeff{text}\u00a0\u200b\n")
    if isinstance(bare, Unclear):
        assert isinstance(padded, Unclear)
        assert padded.candidates == bare.candidates
    else:
        assert padded == bare


@given(st.text(), st.text())
def test_an_alias_never_is_an_error(text: str, meant: str) -> None:
    found = recognise(text, {alias_key(text): meant})
    assert isinstance(found, Unclear) or found == recognise(meant)


def test_a_long_run_of_separators_costs_nothing() -> None:
    start = time.process_time()
    for text in ("22" + "-" * 100_000, "22a" + " -" * 50_000 + "(", "R" + "." * 100_000 + "22"):
        assert isinstance(recognise(text), Unclear)
    assert time.process_time() - start < 0.5
