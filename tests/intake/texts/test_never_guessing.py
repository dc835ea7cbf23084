"""Whatever is texted, nothing is proposed that the message does not say in figures.

Common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from fractions import Fraction

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from ledger.facts.mass import COUNTS_PER_UNIT, POUND
from ledger.facts.weights import ounces_echo
from ledger.intake.text_heard import Heard
from ledger.intake.text_words import HINTS, PHRASES, VERBS, spelled_nearly
from tests.intake.texts.hearing import Listener
from tests.intake.texts.test_messages import MESSAGES

TURNING = (
    "not", "never", "no", "without", "didn't", "didnt", "wasn't", "cancelled", "cancel", "before",
    "other", "another", "yesterday", "tomorrow", "last week", "next", "will", "would", "should",
    "could", "may", "might", "need", "needs", "almost", "nearly", "over", "under", "more than",
    "less", "minus", "except", "instead", "wrong", "oops", "correction", "scratch that", "if",
    "or", "unless", "but", "either", "neither", "each", "both", "twice", "half", "double", "rest",
    "leftover", "estimated", "guess", "?", "forgot", "supposed to", "ignore", "quote", "maybe",
    "uncharged", "undo", "reversed", "mistake", "previously", "earlier", "again", "used to",
)  # fmt: skip
"""Words that can turn what a message means; common practice, no source."""

CERTAIN = [one["text"] for one in MESSAGES if "moves" in one]
WORDS = sorted({
    *PHRASES, *HINTS, *TURNING, "RTU-3", "rtu 4", "HP-2", "RTU-1", "410-017", "410-018", "RC-04",
    "RC-05", "22-R1", "410", "22", "R-410A", "2", "2.25", "3 lb", "31.4", "29.15", "4-8", "lb",
    "oz", "->", ",", ".", ";", "and", "+", "was", "now", "12 psig", "sc 8", "Pine Clinic", "kg",
})  # fmt: skip
QUICK = settings(
    max_examples=150, deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)  # fmt: skip


@pytest.mark.parametrize("word", TURNING)
def test_a_word_that_can_turn_the_meaning_stops_the_message(word: str, listener: Listener) -> None:
    said = "RTU-3 added 2.25 lb from 410-017"
    parts = said.split()
    for place in range(len(parts) + 1):
        heard = listener.hear(" ".join([*parts[:place], word, *parts[place:]]))
        assert heard.questions, f"{word} at {place}"


@pytest.mark.parametrize("word", ["changed", "discharged", "charge", "adder", "recover", "remove"])
def test_another_word_is_no_slip_of_the_key(word: str) -> None:
    assert not spelled_nearly(word)


@pytest.mark.parametrize(
    ("word", "verb"),
    [("aded", "added"), ("chraged", "charged"), ("recoverd", "recovered"), ("addded", "added")],
)
def test_one_slip_of_the_key_in_a_verb_is_seen_through(word: str, verb: str) -> None:
    assert spelled_nearly(word) == verb


def figures_in(text: str) -> set[Fraction]:
    """Every number that stands in a text, and whole numbers with the fraction behind them."""
    found = {Fraction(number) for number in re.findall(r"[0-9]+(?:\.[0-9]+)?|\.[0-9]+", text)}
    for whole, top, bottom in re.findall(r"(?:([0-9]+) )?([0-9]+)/([0-9]+)", text):
        if int(bottom):
            found.add(Fraction(int(whole or 0)) + Fraction(int(top), int(bottom)))
    return found


def is_said(mass: int, figures: set[Fraction]) -> bool:
    """Whether a mass is a number of the text in some unit, or pounds and ounces of two of them."""
    if mass == 0:
        return True
    if any(number * per == mass for number in figures for per in COUNTS_PER_UNIT.values()):
        return True
    pounds, rest = divmod(mass, POUND)
    return Fraction(pounds) in figures and Fraction(rest, COUNTS_PER_UNIT["oz"]) in figures


def assert_only_what_is_said(heard: Heard) -> None:
    """Each net and each weight stands in the message; a net by weights is their difference."""
    figures = figures_in(heard.message.replace(",", ""))
    for move in heard.moves:
        gross = move.evidence.readings or tuple(
            one for one in (move.evidence.before, move.evidence.after) if one is not None
        )
        assert all(is_said(one.mass, figures) for one in gross), heard
        if gross:
            assert move.net.mass == abs(gross[-1].mass - gross[0].mass)
        else:
            assert is_said(move.net.mass, figures), (heard.message, ounces_echo(move.net))


@QUICK
@given(words=st.lists(st.sampled_from(WORDS), max_size=14))
@example(words=["recovered", "from", "HP-2", "to", "RC-05", "2", "to", "3 lb"])
def test_any_order_of_the_trades_words_proposes_only_what_is_said(
    words: list[str], listener: Listener
) -> None:
    heard = listener.hear(" ".join(words))
    assert_only_what_is_said(heard)
    assert bool(heard.moves) + bool(heard.questions) + heard.nothing == 1


@QUICK
@given(message=st.text(max_size=120))
def test_any_text_is_answered(message: str, listener: Listener) -> None:
    heard = listener.hear(message)
    assert bool(heard.moves) + bool(heard.questions) + heard.nothing == 1
    assert_only_what_is_said(heard)


@QUICK
@given(
    message=st.sampled_from(CERTAIN), place=st.integers(0, 200), put=st.text(max_size=3),
    cut=st.integers(0, 3),
)  # fmt: skip
def test_a_certain_message_with_a_slip_proposes_only_what_it_then_says(
    message: str, place: int, put: str, cut: int, listener: Listener
) -> None:
    place = min(place, len(message))
    assert_only_what_is_said(listener.hear(message[:place] + put + message[place + cut :]))


@QUICK
@given(message=st.sampled_from(CERTAIN), verbs=st.sampled_from(sorted(VERBS)))
def test_a_second_verb_never_adds_pounds(message: str, verbs: str, listener: Listener) -> None:
    before = listener.hear(message)
    after = listener.hear(f"{message} {verbs}")
    assert sum(one.net.mass for one in after.moves) in (
        0, sum(one.net.mass for one in before.moves),
    )  # fmt: skip


def test_the_rates_over_the_messages_are_told(
    listener: Listener, record_property: Callable[[str, object], None]
) -> None:
    """How many of the messages that tell of pounds are asked about: only those that should be."""
    heard = [listener.hear(one["text"]) for one in MESSAGES]
    rates = {
        "proposed": sum(bool(one.moves) for one in heard),
        "asked": sum(bool(one.questions) for one in heard),
        "nothing": sum(one.nothing for one in heard),
    }
    for name, count in rates.items():
        record_property(name, count)
    assert rates == {
        "proposed": sum("moves" in one for one in MESSAGES),
        "asked": sum("asks" in one for one in MESSAGES),
        "nothing": sum("nothing" in one for one in MESSAGES),
    }
