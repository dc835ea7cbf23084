"""The worked cases are well formed: cited, dated, named once, in the words of the vocabulary.

Only the form is looked at here; what the cases say is for the engine's own tests.
"""

from __future__ import annotations

import re
import tomllib
from collections import Counter
from collections.abc import Iterator
from datetime import date
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

HERE = Path(__file__).parent / "cases"
STORIES = ("twelve_points", "scenario_a", "by_hand")
ENDED = {"done", "done late", "lapsed", "superseded", "frozen"}
SECTIONS = {
    "as_of", "known_at", "binds", "rates", "cases", "duties", "answers", "absent", "gaps", "note",
}  # fmt: skip
PARAGRAPH = re.compile(r"\bCFR \d|\bCCR \d|\d FR \d|^brief \d|^no paragraph: ")
COUNT = re.compile(r"\d+ (day|month|year)s?|end of \d{4}|next 1 March|same day|fixed date")


def _read(name: str) -> dict[str, Any]:
    return tomllib.loads((HERE / f"{name}.toml").read_text(encoding="utf-8"))


FILES = {name: _read(name) for name in STORIES}
WORDS = _read("vocabulary")
THRESHOLDS = _read("thresholds")
READINGS = FILES["by_hand"]["interpretations"]
CASES = [(name, case) for name in STORIES for case in FILES[name]["case"]]
NAMED = [pytest.param(name, case, id=case["id"]) for name, case in CASES]


def _rows(section: str) -> Iterator[tuple[str, dict[str, Any]]]:
    """Every row of one section of what the cases expect, with the case it stands in."""
    for _, case in CASES:
        for expect in case["expect"]:
            for row in expect.get(section, []):
                yield case["id"], row


def _interps(value: Any) -> Iterator[str]:
    """Every reading named anywhere in a case or a threshold."""
    if isinstance(value, dict):
        for key, inner in value.items():
            yield from inner if key == "interp" else _interps(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from _interps(inner)


def _cited(cite: str | list[str]) -> bool:
    return all(PARAGRAPH.search(one) for one in ([cite] if isinstance(cite, str) else cite))


def _day(value: Any) -> bool:
    return type(value) is date and date(1990, 1, 1) <= value <= date(2040, 12, 31)


def test_the_files_are_those_named() -> None:
    assert {path.stem for path in HERE.iterdir()} == {*STORIES, "vocabulary", "thresholds"}


def test_every_id_is_there_once() -> None:
    ids = Counter(case["id"] for _, case in CASES)
    ids.update(row["id"] for row in THRESHOLDS["threshold"])
    assert [name for name, times in ids.items() if times > 1] == []


def test_the_twelve_points_and_twenty_cases_are_there() -> None:
    points = {case["id"][:3] for case in FILES["twelve_points"]["case"]}
    assert points == {f"T{number:02}" for number in range(1, 15)}
    assert len(FILES["by_hand"]["case"]) >= 20


def test_the_vocabulary_names_paragraphs() -> None:
    for duty in WORDS["duty"].values():
        assert duty["kind"] in ("duty", "option") and duty["meaning"]
        assert set(duty["paragraph"]) <= set(WORDS["packs"])
        assert all(_cited(cite) for cite in duty["paragraph"].values())


def test_every_reading_is_explained_once() -> None:
    names = [*WORDS["register"], *(row["name"] for row in READINGS)]
    assert len(names) == len(set(names))
    for row in READINGS:
        assert set(row) == {"name", "question", "reading", "reason"}
        assert re.fullmatch(r"[A-Z0-9_]+", row["name"])
    files = (*FILES.values(), THRESHOLDS)
    used = {name for file in files for name in _interps(file)}
    assert used == set(names)


@pytest.mark.parametrize(("file", "case"), NAMED)
def test_a_case_has_its_citation_and_its_working(file: str, case: dict[str, Any]) -> None:
    assert case["title"] and case["source"] and case["expect"]
    assert case["cite"] and _cited(case["cite"]), case["cite"]
    assert case["evidence"] in WORDS["evidence"]
    assert len(case["working"].split()) >= 8
    if file == "by_hand":
        assert len(case["working"].split()) >= 50


@pytest.mark.parametrize(("file", "case"), NAMED)
def test_facts_are_dated_and_in_known_words(file: str, case: dict[str, Any]) -> None:
    circuits = case.get("circuits") or FILES[file].get("circuits", [])
    names = {row["name"] for row in circuits}
    assert len(names) == len(circuits)
    assert all(Fraction(row["full_charge_lb"]) > 0 for row in circuits)
    for event in case.get("events", []):
        assert event["what"] in WORDS["event"], event
        assert _day(event["on"]) and _day(event.get("recorded", event["on"]))
        assert Fraction(event.get("lb", "1")) > 0
        assert "circuit" not in event or event["circuit"] in names, event
    for expect in case["expect"]:
        assert set(expect) <= SECTIONS
        assert _day(expect["as_of"]) and _day(expect.get("known_at", expect["as_of"]))
        assert set(expect.get("absent", [])) <= set(WORDS["duty"])
        for section in ("binds", "rates", "cases", "duties", "answers"):
            for row in expect.get(section, []):
                assert "circuit" not in row or row["circuit"] in names, row


def test_duties_are_of_the_fixed_table() -> None:
    for case, row in _rows("duties"):
        assert row["duty"] in WORDS["duty"], (case, row)
        assert row["pack"] in WORDS["packs"] and row["who"] in WORDS["who"]
        assert row["pack"] in WORDS["duty"][row["duty"]]["paragraph"], (case, row)
        assert row["status"] in WORDS["status"] and row["evidence"] in WORDS["evidence"]
        assert _cited(row["cite"]), (case, row)
        assert ("due" in row) != ("no_date" in row), (case, row)
        assert "due" not in row or (_day(row["due"]) and COUNT.fullmatch(row["after"]))
        assert "from" not in row or _day(row["from"])
        assert (row["status"] in ENDED) == ("ended" in row) == ("by" in row), (case, row)


def test_rates_have_their_terms() -> None:
    for case, row in _rows("rates"):
        assert row["pack"] in WORDS["packs"] and _day(row["on"])
        assert row["method"] in WORDS["method"] and row["side"] in WORDS["side"]
        assert Fraction(row["counted_lb"]) > 0 and Fraction(row["full_charge_lb"]) > 0
        assert re.fullmatch(r"\d+\.\d", row["pct"]), (case, row)
        assert (row["method"] == "annualizing") == ("days" in row), (case, row)
        assert row["evidence"] in WORDS["evidence"] and _cited(row["cite"])


def test_bindings_and_repair_cases_are_in_known_words() -> None:
    for case, row in _rows("binds"):
        assert row["pack"] in WORDS["packs"] and _day(row["on"]), (case, row)
        assert row["answer"] in WORDS["binds"] and row["limb"] in WORDS["limb"], (case, row)
        assert _cited(row["cite"])
    for case, row in _rows("cases"):
        assert row["pack"] in WORDS["packs"] and row["state"] in WORDS["state"], (case, row)
        assert row["state"] == "none" or (_day(row["day0"]) and _day(row["since"])), (case, row)
    for case, row in _rows("answers"):
        assert row["answer"] in WORDS["answer"] and "value" in row, (case, row)


@pytest.mark.parametrize(
    "row", [pytest.param(row, id=row["id"]) for row in THRESHOLDS["threshold"]]
)
def test_a_threshold_has_a_case_on_each_side(row: dict[str, Any]) -> None:
    assert row["pack"] in WORDS["packs"] and row["rule"] and row["unit"] and row["edge"]
    assert "value" in row and _cited(row["cite"])
    assert row["evidence"] in WORDS["evidence"]
    assert all(_day(row[end]) for end in ("from", "to") if end in row)
    for side in ("a", "b"):
        assert row[side]["given"] and row[side]["expect"] in THRESHOLDS["outcomes"]
    assert row["a"] != row["b"] and row["a"]["given"] != row["b"]["given"]
