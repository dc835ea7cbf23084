"""Every kind of fact lands in its query table with the columns a reader needs."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ledger.book.projections import project
from ledger.book.schema import COLUMNS, PROJECTIONS
from ledger.facts.entry import Draft, canonical
from ledger.facts.facts import (
    TYPES,
    Attachment,
    Attempt,
    BroughtForward,
    CheckWeight,
    Closed,
    Counted,
    Decision,
    Described,
    Evidence,
    Explained,
    Fact,
    Joined,
    Movement,
    Receipt,
    Repair,
    Reversal,
    SameLeak,
    ServiceEvent,
    Setting,
    UnknownAddition,
    Weighing,
)
from ledger.facts.facts import Test as LeakTest
from ledger.facts.mass import POUND, Mass, Quantity
from ledger.facts.papers import (
    DepositCredit,
    DepositLine,
    EmptyStatement,
    Handover,
    ReclaimerPaper,
    Shipped,
)
from ledger.facts.visit import Visit

TEN = Quantity(Mass(10 * POUND), "10 lb")
ONE = Quantity(Mass(POUND), "16 oz")


def rows_of(*facts: Fact) -> dict[str, list[dict[str, Any]]]:
    """The query rows of one entry, by column name."""
    draft = Draft("k", "v", "2026-03-30", facts, ticket="WO-1")
    rows = project(7, "2026-03-30", "09:30", "Dana", json.loads(canonical(draft.body())))
    return {
        table: [dict(zip(COLUMNS[table], row, strict=True)) for row in made]
        for table, made in rows.items()
    }


def test_movement_is_one_row_with_its_holders_apart() -> None:
    fact = Movement(
        "cylinder:410:17", "air:", "R-410A", TEN, "release", "recovered", "shared", "seasonal",
        "estimated", "hose", Evidence("nominal"), "burst", ("cylinder-short", "other-owner"),
    )  # fmt: skip
    assert rows_of(fact) == {
        "movement": [
            {
                "entry": 7, "line": 0, "occurred_on": "2026-03-30", "occurred_time": "09:30",
                "person": "Dana", "ticket": "WO-1", "source_kind": "cylinder",
                "source_name": "410:17", "target_kind": "air", "target_name": "",
                "refrigerant": "R-410A", "mass": 10 * POUND, "written": "10 lb",
                "stock": "recovered", "owner": "shared", "purpose": "release",
                "claim": "seasonal", "amount": "estimated", "cause": "hose",
                "evidence": "nominal", "although": "cylinder-short,other-owner",
            }
        ]
    }  # fmt: skip


@pytest.mark.parametrize(
    ("source", "target", "cylinder"),
    [
        ("cylinder:A", "circuit:R", "A"),
        ("circuit:R", "cylinder:B", "B"),
        ("cylinder:A", "cylinder:B", "A"),
        ("party:Acme", "cylinder:B", "B"),
        ("circuit:R", "air:", None),
    ],
)
def test_evidence_is_weighings_of_the_cylinder_on_the_scale(
    source: str, target: str, cylinder: str | None
) -> None:
    evidence = Evidence("stages", "S1", before=TEN, after=ONE, readings=(TEN, ONE))
    rows = rows_of(Movement(source, target, "R-22", ONE, "transfer", evidence=evidence))
    seen = [
        (row["part"], row["cylinder"], row["moment"], row["gross"], row["written"], row["scale"])
        for row in rows.get("weighing", [])
    ]
    wanted = [
        (0, cylinder, "before", 10 * POUND, "10 lb", "S1"),
        (1, cylinder, "reading", 10 * POUND, "10 lb", "S1"),
        (2, cylinder, "reading", POUND, "16 oz", "S1"),
        (3, cylinder, "after", POUND, "16 oz", "S1"),
    ]
    assert seen == (wanted if cylinder else [])


def test_evidence_without_a_weight_makes_no_weighing() -> None:
    fact = Movement("cylinder:A", "air:", "R-22", ONE, "release", evidence=Evidence("stated"))
    assert set(rows_of(fact)) == {"movement"}


def test_weighing_stands_alone() -> None:
    (row,) = rows_of(Weighing("410-17", TEN, "S1", "sealed"))["weighing"]
    assert row == {
        "entry": 7, "line": 0, "part": 0, "occurred_on": "2026-03-30", "occurred_time": "09:30",
        "cylinder": "410-17", "gross": 10 * POUND, "written": "10 lb", "scale": "S1",
        "moment": "alone", "state": "sealed",
    }  # fmt: skip


def test_description_is_found_whatever_the_case() -> None:
    fact = Described("unit", "RTU-3  Straße", {"b": "2", "a": [1]}, "2026-01-01", provisional="yes")
    (row,) = rows_of(fact)["described"]
    assert (row["name"], row["folded"]) == ("RTU-3  Straße", "rtu-3 strasse")
    assert (row["since"], row["provisional"]) == ("2026-01-01", "yes")
    assert row["fields"] == '{"a":[1],"b":"2"}'


def test_reversal_is_a_row_a_line_in_order() -> None:
    rows = rows_of(Reversal(5, (2, 0), "slip"), Reversal(3, (1,), "slip"))["reversal"]
    assert [tuple(row.values()) for row in rows] == [(7, 3, 1), (7, 5, 0), (7, 5, 2)]


SERVICE: list[tuple[Fact, str]] = [
    (Attempt("RTU-3/B", "R-22", "410-1"), "circuit:RTU-3/B"),
    (UnknownAddition("RTU-3", party="Acme"), "circuit:RTU-3"),
    (SameLeak("RTU-3", (4, 5)), "circuit:RTU-3"),
    (Repair("RTU-3", "coil", "brazed", "yes"), "circuit:RTU-3"),
    (LeakTest("RTU-3", "initial", "pass"), "circuit:RTU-3"),
    (ServiceEvent("mothballed", "RTU-3"), "circuit:RTU-3"),
    (ServiceEvent("fee paid", site="North", period="2025"), "site:North"),
    (Visit("RTU-3", "13:40", complaint="warm"), "circuit:RTU-3"),
    (Counted("410-17", "Warehouse", "2026-01-05", "not there"), "cylinder:410-17"),
    (Explained("2026-01-05", "R-22", ONE, "heel"), "cut-off:2026-01-05"),
    (Closed("2026-01", "2026-01-31"), "cut-off:2026-01-31"),
    (BroughtForward("RTU-3", "unknown"), "circuit:RTU-3"),
    (Receipt("410-17", "Acme", "INV-1", 1250), "cylinder:410-17"),
    (CheckWeight("B1", TEN, TEN), "scale:B1"),
    (Handover("RC-01", "Truck 2", "Lee Moss"), "cylinder:RC-01"),
    (Shipped("HT-1", "Plains Reclaim", "reclaim", seal="S-9"), "cylinder:HT-1"),
    (ReclaimerPaper(34, "weight ticket", net=TEN), "shipment:34"),
    (EmptyStatement("410-17", 15, "County Scrap"), "cylinder:410-17"),
    (DepositLine("Acme", "SN-1", deposit_cents=1200), "party:Acme"),
    (DepositCredit("HT-1", "Acme", 25000, "CM-3"), "cylinder:HT-1"),
    (Joined("unit", "RTU 3", "RTU-3"), "unit:RTU 3"),
    (Decision("site:North", "who owns", "tenant", "lease"), "site:North"),
    (Setting("alias", "410", "R-410A"), "setting:alias/410"),
    (Attachment("ab" * 32, "scan.pdf", 12, 4), "entry:4"),
    (Attachment("ab" * 32, "scan.pdf", 12), "entry:7"),
]


@pytest.mark.parametrize(("fact", "subject"), SERVICE)
def test_service_fact_is_found_by_its_subject(fact: Fact, subject: str) -> None:
    (row,) = rows_of(fact)["service"]
    assert (row["type"], row["subject"]) == (fact.TYPE, subject)
    body = json.loads(row["body"])
    assert row["body"] == canonical(body)
    assert body["type"] == fact.TYPE


def test_every_type_of_fact_has_a_table() -> None:
    shown = {fact.TYPE for fact, _ in SERVICE}
    shown |= {kind.TYPE for kind in (Movement, Weighing, Described, Reversal)}
    assert shown == set(TYPES)
    assert set(PROJECTIONS) == {"movement", "weighing", "described", "service", "reversal"}


def test_lines_count_from_nought_across_tables() -> None:
    rows = rows_of(
        Weighing("A", TEN), Repair("R"), Weighing("B", TEN), Setting("a", "b", "c"),
        Movement("cylinder:A", "cylinder:B", "R-22", ONE, "transfer"),
    )  # fmt: skip
    lines = {table: [row["line"] for row in made] for table, made in rows.items()}
    assert lines == {"weighing": [0, 2], "service": [1, 3], "movement": [4]}


@pytest.mark.parametrize("body", [{}, {"facts": [{}]}, {"facts": [{"type": "spell"}]}])
def test_unknown_body_is_an_error(body: dict[str, Any]) -> None:
    with pytest.raises(KeyError):
        project(1, "2026-03-30", "", "", body)


@settings(max_examples=60, deadline=None)
@given(
    st.lists(
        st.builds(
            Movement,
            source=st.text(max_size=5).map("cylinder:{}".format),
            target=st.sampled_from(["air:", "circuit:R-1", "cylinder:x"]),
            refrigerant=st.text(max_size=4),
            mass=st.integers(1, 2**62).map(lambda mass: Quantity(Mass(mass), str(mass))),
            purpose=st.text(max_size=4),
            although=st.lists(st.text(max_size=3), max_size=2).map(tuple),
        ),
        max_size=3,
    )
)
def test_body_in_memory_and_body_read_back_give_the_same_rows(facts: list[Movement]) -> None:
    body = Draft("k", "v", "2026-03-30", tuple(facts)).body()
    stored = json.loads(canonical(body))
    assert project(3, "d", "t", "p", body) == project(3, "d", "t", "p", stored)


def test_rows_fill_their_tables(charge: Callable[..., Draft]) -> None:
    for number in range(6):
        for table, rows in project(9, "d", "t", "p", charge(number).body()).items():
            assert {len(row) for row in rows} == {len(COLUMNS[table])}
