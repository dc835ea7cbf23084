"""The limb that decides in every worked case that says whether a pack binds."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from datetime import date
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from ledger.law.loader import CALIFORNIA, FEDERAL_82F, FEDERAL_84C, SHIPPED, load_pack
from ledger.law.scope import Subject, category_of, scope_of
from tests.law.case_subjects import circuit_on, subject

HERE = Path(__file__).parent / "cases"
PACKS = [load_pack(name) for name in SHIPPED]


def _bindings() -> Iterator[Any]:
    for name in ("twelve_points", "scenario_a", "by_hand"):
        file = tomllib.loads((HERE / f"{name}.toml").read_text(encoding="utf-8"))
        every = [event for case in file["case"] for event in case.get("events", [])]
        for case in file["case"]:
            circuits = case.get("circuits") or file.get("circuits", [])
            events = every if file.get("cumulative") else case.get("events", [])
            for expect in case["expect"]:
                for row in expect.get("binds", []):
                    told = next(
                        one for one in circuits if one["name"] == row.get("circuit", one["name"])
                    )
                    on = row["on"]
                    state = case["site"]["state"]
                    yield pytest.param(
                        circuit_on(told, events, on, state), row, id=f"{case['id']}-{on}"
                    )


BINDINGS = list(_bindings())


def test_there_are_bindings_to_look_at() -> None:
    assert len(BINDINGS) > 70


@pytest.mark.parametrize(("circuit", "row"), BINDINGS)
def test_the_limb_of_a_worked_case(circuit: Subject, row: dict[str, Any]) -> None:
    pack = load_pack(row["pack"])
    (found,) = scope_of(circuit, row["on"], [pack])
    assert (found.binds, found.limb) == (row["answer"], row["limb"]), found.sentence
    # Before 2019 the pack names the paragraph of that time; the cases name today's.
    assert re.split(r"[.,]", found.cite)[0] == re.split(r"[.,]", row["cite"])[0]
    assert {part.replace("_", "-").casefold() for part in row.get("interp", [])} <= {found.rule}
    if "trigger_pct" in row:
        name = f"trigger-{category_of(circuit, row['on'], pack).replace(' ', '-')}"
        trigger = pack.value(name, row["on"])
        assert trigger is not None and trigger.value == row["trigger_pct"]
    assert bool(found.missing) == (found.binds in ("undecided", "unknown"))
    assert len(found.either) == (2 if found.missing else 0)


def _rooftop(**changes: Any) -> Subject:
    told = {"refrigerant": "R-410A", "full_charge_lb": "80", "category": "comfort cooling"}
    return subject({**told, **changes})


def test_an_undecided_exclusion_shows_both_consequences() -> None:
    (found,) = scope_of(_rooftop(), date(2026, 6, 1), [load_pack(FEDERAL_84C)])
    assert (found.binds, found.missing) == ("undecided", ("decision rlc",))
    assert [one.split(":")[0] for one in found.either] == ["not bound (A7)", "bound (A6)"]


def test_every_pack_is_evaluated_alone() -> None:
    circuit = subject(
        {"refrigerant": "R-402A", "full_charge_lb": "300", "category": "commercial refrigeration"},
        "California",
    )
    together = scope_of(circuit, date(2026, 6, 1), PACKS)
    assert [one.binds for one in together] == ["yes", "yes", "yes"]
    for pack, found in zip(PACKS, together, strict=True):
        assert scope_of(circuit, date(2026, 6, 1), [pack]) == (found,)


@pytest.mark.parametrize("pack", [FEDERAL_82F, FEDERAL_84C])
def test_dual_use_is_industrial_from_half_of_the_capacity(pack: str) -> None:
    """40 CFR 82.152: industrial where 50 % or more of the operating capacity serves the process."""
    for share, category in (
        ("49.9", "comfort cooling"),
        ("50", "industrial process refrigeration"),
    ):
        circuit = _rooftop()._replace(process_share=Fraction(share))
        assert category_of(circuit, date(2026, 6, 1), load_pack(pack)) == category
    assert category_of(_rooftop(), date(2026, 6, 1), load_pack(pack)) == "comfort cooling"


def test_transport_is_covered_under_84_and_outside_in_california() -> None:
    """The proposal of May 2026 to leave road and container units out was not final."""
    reefer = subject(
        {"refrigerant": "R-404A", "full_charge_lb": "15", "category": "refrigerated transport"},
        "CA",
    )
    found = scope_of(reefer, date(2026, 6, 1), [load_pack(FEDERAL_84C), load_pack(CALIFORNIA)])
    assert [(one.binds, one.limb) for one in found] == [("yes", "A6"), ("no", "CA-use")]


@pytest.mark.parametrize(
    ("largest", "limb", "binds"),
    [("50", "CA-sub-small", "no"), ("50.01", "CA-small", "yes"), ("199.99", "CA-small", "yes"),
     ("200", "CA-medium", "yes"), ("1999.99", "CA-medium", "yes"), ("2000", "CA-large", "yes")],
)  # fmt: skip
def test_the_class_of_a_facility_is_that_of_its_largest_system(
    largest: str, limb: str, binds: str
) -> None:
    told = {"refrigerant": "R-448A", "full_charge_lb": "60", "category": "commercial refrigeration"}
    circuit = subject({**told, "largest_lb": largest}, "California")
    found = scope_of(circuit, date(2026, 6, 1), PACKS, scope="facility")
    assert [(one.pack, one.binds, one.limb) for one in found] == [(CALIFORNIA, binds, limb)]


@pytest.mark.parametrize(
    ("refrigerant", "binds", "limb"),
    [("R-717", "no", "CA-gwp"), ("R-744", "no", "CA-gwp"), ("R-454C", "no", "CA-gwp"),
     ("R-454A", "yes", "CA-medium"), ("R-123", "yes", "CA-medium"), ("R-1234yf", "no", "CA-gwp")],
)  # fmt: skip
def test_the_gwp_of_150_and_ozone_depletion_in_california(
    refrigerant: str, binds: str, limb: str
) -> None:
    told = {"full_charge_lb": "300", "category": "industrial process refrigeration"}
    circuit = subject({**told, "refrigerant": refrigerant}, "California")
    (found,) = scope_of(circuit, date(2026, 6, 1), [load_pack(CALIFORNIA)])
    assert (found.binds, found.limb) == (binds, limb)
