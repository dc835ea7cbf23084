"""Every published, worked and demo-shop leak rate, each with the paragraph it rests on."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from ledger.answers.leak_law import ANNUALIZING, ROLLING
from ledger.answers.leak_rate import Rate
from tests.answers.leak_cases import Case, answer, load, percent

FILES = (
    "leak_rate_published.toml",
    "leak_rate_points.toml",
    "leak_rate_shop.toml",
    "leak_rate_edges.toml",
)
CASES = [(name, case) for name in FILES for case in load(name)]


@pytest.mark.parametrize(
    ("file", "case"), CASES, ids=[f"{name}: {case['name']}" for name, case in CASES]
)
def test_case(file: str, case: Case) -> None:
    found = answer(case)
    assert case["cite"].startswith("40 CFR")
    for expected in case["expect"]:
        on, subpart = expected["on"], expected["subpart"]
        rows = [rate for rate in found if rate.on == on and rate.subpart == subpart]
        if expected.get("none"):
            assert not rows
            continue
        assert len(rows) == 1, f"{on} {subpart}: {[(r.on, r.subpart) for r in found]}"
        _compare(rows[0], expected)


def _compare(rate: Rate, expected: dict[str, Any]) -> None:
    shown: dict[str, Any] = {}
    for key, like in expected.items():
        match key:
            case "on" | "subpart":
                shown[key] = getattr(rate, key)
            case "percent":
                shown[key] = percent(rate, rate.method, like)
            case "annualizing":
                shown[key] = percent(rate, ANNUALIZING, like)
            case "rolling":
                shown[key] = percent(rate, ROLLING, like)
            case "note":
                codes = [note.code for note in rate.notes]
                shown[key] = like if like in codes else codes
            case "over" if like == "unknown":
                shown[key] = "unknown" if rate.over is None else rate.over
            case "entries":
                shown[key] = list(rate.entries)
            case "text":
                shown[key] = rate.text()
            case "binds":
                shown[key] = rate.terms.binding.binds if rate.terms.binding else ""
            case _:
                shown[key] = getattr(rate, key)
    assert shown == expected


def test_every_case_names_the_dates_it_expects() -> None:
    for _, case in CASES:
        assert case["expect"], case["name"]
        for expected in case["expect"]:
            assert type(expected["on"]) is date
            assert len(expected) > 2, case["name"]
