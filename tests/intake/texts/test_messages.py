"""The invented messages themselves: enough of them, of every kind, none twice."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from tests.intake.texts.shop import CIRCUITS, CYLINDERS

MESSAGES = tomllib.loads(
    (Path(__file__).parent / "messages.toml").read_text(encoding="utf-8")
)["message"]  # fmt: skip
KINDS = {"unit", "circuit", "cylinder", "amount", "weights", "refrigerant", "word", "verb"}


def test_there_are_two_hundred_and_none_is_there_twice() -> None:
    texts = [message["text"] for message in MESSAGES]
    assert len(texts) >= 200
    assert len(set(texts)) == len(texts)


@pytest.mark.parametrize("message", MESSAGES, ids=lambda message: str(message["text"])[:40])
def test_each_says_one_thing_that_comes_of_it(message: dict[str, object]) -> None:
    assert len({"moves", "asks", "nothing"} & message.keys()) == 1


def test_what_they_ask_about_is_of_a_known_kind() -> None:
    asked = {ask.partition(":")[0] for message in MESSAGES for ask in message.get("asks", ())}
    assert asked <= KINDS


def test_what_they_move_is_in_the_shop() -> None:
    circuits, cylinders = {one[0] for one in CIRCUITS}, {one[0] for one in CYLINDERS}
    for message in MESSAGES:
        for move in message.get("moves", ()):
            verb, circuit, cylinder, *_ = (part.strip() for part in move.split("|"))
            assert circuit in (cylinders if verb == "transfer" else circuits)
            assert cylinder in cylinders | ({""} if verb == "recover" else set())
