"""What the packs say of facilities is drawn whole, and a circuit's class is the same looked at
once or among thousands."""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from pathlib import Path
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ledger.facts.mass import POUND
from ledger.law.for_facilities import (
    Standings,
    facility_scope,
    law_for_facilities,
    standing,
    standings,
)
from ledger.law.loader import CALIFORNIA, FEDERAL_82F, FEDERAL_84C, SHIPPED, load_pack, read_pack
from ledger.law.scope import Subject
from tests.law.case_subjects import subject

DAY = date(2026, 6, 1)
STATE = load_pack(CALIFORNIA)
NORDMARK = read_pack(Path(__file__).parent / "packs" / "nordmark-cooling")
EDGES = (50, 200, 2000)


def _rack(pounds: str = "300", state: str = "CA", **told: str) -> Subject:
    row = {"refrigerant": "R-448A", "category": "commercial refrigeration",
           "subsector": "retail food", "full_charge_lb": pounds, **told}  # fmt: skip
    return subject(row, state)


def test_california_is_drawn_whole() -> None:
    law = law_for_facilities(STATE).at(DAY)
    assert law.classes == ("CA-large", "CA-medium", "CA-small")
    papers = {(one.duty, one.starts, limb) for one in law.papers for limb in one.limbs}
    yearly = {(duty, "year-end", limb) for duty in ("annual-report", "annual-fee")
              for limb in law.classes[:2]}  # fmt: skip
    once = {("register", starts, limb) for starts in ("day", "system-start")
            for limb in law.classes}  # fmt: skip
    assert papers == yearly | once
    assert all(one.ends and one.items and one.rules for one in law.papers)
    kept = law.retention
    assert kept is not None and (kept.years.number, kept.place) == (5, "on site")


@pytest.mark.parametrize("name", [FEDERAL_82F, FEDERAL_84C])
def test_a_pack_without_facilities_has_no_class_and_no_paper(name: str) -> None:
    pack = load_pack(name)
    assert facility_scope(pack) == ""
    assert all(not law.classes and not law.papers for law in law_for_facilities(pack).laws)
    assert Standings([pack]).packs == []


@pytest.mark.parametrize(
    ("circuit", "binds", "limb"),
    [
        (_rack("50"), "no", "CA-sub-small"),
        (_rack("50.01"), "yes", "CA-small"),
        (_rack("2000"), "yes", "CA-large"),
        (_rack(category="comfort cooling"), "no", "CA-comfort"),
        (_rack(state="TX"), "no", "CA-elsewhere"),
        (_rack(refrigerant="R-717"), "no", "CA-gwp"),
        (_rack(category="other"), "undecided", "CA-medium"),
        (_rack()._replace(charge=None), "unknown", "CA-large"),
        (_rack("190")._replace(charge_high=210 * POUND), "unknown", "CA-medium"),
        (_rack("210")._replace(charge_high=220 * POUND), "yes", "CA-medium"),
        (_rack("40")._replace(charge_high=60 * POUND), "unknown", "CA-small"),
    ],
)  # fmt: skip
def test_what_a_circuit_does_to_the_class(circuit: Subject, binds: str, limb: str) -> None:
    """State rules 1.1; what is open gives the largest class that may come of it."""
    found = standing(circuit, DAY, STATE)
    assert (found.binds, found.limb) == (binds, limb)


def test_a_band_over_a_class_says_so() -> None:
    found = standing(_rack("190")._replace(charge_high=210 * POUND), DAY, STATE)
    assert found.sentence == "The full charge leaves its class open."


def test_a_change_of_the_circuit_begins_a_new_standing() -> None:
    series = [(None, _rack("190")), (date(2026, 5, 5), _rack("210"))]
    told = [(one.since, one.bindings[0].row) for one in standings(series, [STATE])]
    assert told == [(None, "CA-small"), (date(2026, 5, 5), "CA-medium")]


def test_a_pack_in_carbon_is_looked_at_with_the_charge_itself() -> None:
    """Two charges on one side of a mass may lie on either side of a line in carbon dioxide."""
    assert Standings([NORDMARK]).lines is None
    assert Standings([STATE]).lines == [edge * POUND for edge in EDGES]


@given(st.integers(0, 1 << 32))
@settings(max_examples=120, deadline=None)
def test_circuits_looked_at_together_are_as_looked_at_alone(seed: int) -> None:
    rng = Random(seed)
    together = Standings([load_pack(name) for name in SHIPPED])
    for _ in range(6):
        edge = rng.choice(EDGES) * POUND
        charge = rng.choice((edge - 1, edge, edge + 1, Fraction(2 * edge + 1, 2), None))
        circuit = _rack(
            category=rng.choice(("commercial refrigeration", "other", "comfort cooling")),
            refrigerant=rng.choice(("R-448A", "R-22", "R-744")),
            state=rng.choice(("CA", "TX", "")),
        )._replace(charge=charge)
        if charge is not None and rng.random() < 0.4:
            circuit = circuit._replace(charge_high=charge + rng.choice((0, 1, 150 * POUND)))
        (one,) = together.on(circuit, DAY)
        alone = standing(circuit, DAY, STATE)
        assert (one.binds, one.row, one.sentence) == (alone.binds, alone.limb, alone.sentence)
