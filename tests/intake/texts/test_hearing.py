"""Every invented message comes out as was written down before the grammar was.

Common practice, no source. Bar: no wrong pounds.
"""

from __future__ import annotations

from typing import Any

import pytest

from tests.intake.texts.hearing import Listener, expected, told
from tests.intake.texts.test_messages import MESSAGES


def _name(message: dict[str, Any]) -> str:
    return str(message["text"])[:50]


MOVING = [one for one in MESSAGES if "moves" in one]
ASKING = [one for one in MESSAGES if "asks" in one]
IDLE = [one for one in MESSAGES if "nothing" in one]


@pytest.mark.parametrize("message", MOVING, ids=_name)
def test_what_moved_is_proposed_exactly(message: dict[str, Any], listener: Listener) -> None:
    heard = listener.hear(message["text"])
    assert not heard.questions, [one.problem.line() for one in heard.questions]
    assert [told(move) for move in heard.moves] == [expected(line) for line in message["moves"]]


@pytest.mark.parametrize("message", MOVING, ids=_name)
def test_day_person_and_ticket_are_those_of_the_message(
    message: dict[str, Any], listener: Listener
) -> None:
    heard = listener.hear(message["text"])
    said = {"on": heard.on, "by": heard.by, "ticket": heard.ticket}
    assert said == {name: message.get(name, "") for name in said}


@pytest.mark.parametrize("message", ASKING, ids=_name)
def test_what_is_not_clear_is_asked_about_by_name(
    message: dict[str, Any], listener: Listener
) -> None:
    heard = listener.hear(message["text"])
    asked = {one.kind for one in heard.questions}
    asked |= {f"{one.kind}: {one.about}".casefold() for one in heard.questions}
    assert {ask.casefold() for ask in message["asks"]} <= asked


@pytest.mark.parametrize("message", ASKING, ids=_name)
def test_nothing_is_proposed_beside_a_question(message: dict[str, Any], listener: Listener) -> None:
    assert not listener.hear(message["text"]).moves


@pytest.mark.parametrize("message", IDLE, ids=_name)
def test_a_message_without_refrigerant_asks_nothing(
    message: dict[str, Any], listener: Listener
) -> None:
    assert listener.hear(message["text"]).nothing
