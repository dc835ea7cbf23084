"""What is said about a visit, and where nothing is; trade facts are common practice, no source."""

from __future__ import annotations

from typing import Any

import pytest

from ledger.answers.visit_checks import Seen, remarks
from ledger.facts.mass import POUND

USUAL = {"added": 3 * POUND, "recovered": 0, "full_charge": 8 * POUND, "searched": True}
"""A plain visit: three pounds into an eight-pound unit, leaks looked for."""


def said(**changes: Any) -> list[str]:
    """The remarks on the plain visit with some of it changed."""
    return list(remarks(Seen(**{**USUAL, **changes})))


def test_a_plain_visit_is_not_commented_on() -> None:
    assert said() == []


@pytest.mark.parametrize(
    ("changes", "part"),
    [
        ({"low": POUND, "high": 2 * POUND}, "the customer agreed to 1.00 to 2.00 lb"),
        ({"low": 4 * POUND, "high": 5 * POUND}, "less than the 4.00 lb that were expected"),
        ({"full_charge": 2 * POUND}, "more than the full charge of 2.00 lb"),
        ({"opened": True}, "no recovery is recorded"),
        ({"leaks": ("flare",)}, "Charged with a known leak (flare) and no repair"),
        ({"leaks": ("flare",), "declined": True}, "declined as recorded"),
        ({"searched": False}, "where the refrigerant went"),
        ({"glide": True, "vapour": True}, "composition shifts"),
        ({"waits": (5, 4)}, "A stage waited 4 minutes"),
    ],
)
def test_what_is_out_of_the_usual_is_said_once(changes: dict[str, Any], part: str) -> None:
    (line,) = said(**changes)
    assert part in line


@pytest.mark.parametrize(
    "changes",
    [
        {"low": 3 * POUND, "high": 3 * POUND},
        {"recovered": POUND, "low": POUND, "high": 2 * POUND},
        {"full_charge": 3 * POUND},
        {"full_charge": None},
        {"opened": True, "attempted": True},
        {"leaks": ("flare",), "repaired": True},
        {"searched": False, "declined": True},
        {"glide": True},
        {"vapour": True},
        {"waits": (5, 10)},
        {"added": 0, "opened": True, "searched": False, "leaks": ("flare",)},
    ],
)
def test_the_usual_is_passed_over(changes: dict[str, Any]) -> None:
    assert said(**changes) == []
