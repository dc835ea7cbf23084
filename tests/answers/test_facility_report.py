"""The yearly report of a facility: its columns by the pack, its sums by hand, its gaps."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from fractions import Fraction
from random import Random
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ledger.answers.facility import Facility
from ledger.answers.facility_report import (
    CHARGED,
    FIELDS,
    FLOWS,
    NOT_OVER,
    NOT_RECORDED,
    PURCHASED,
    RECLAIM,
    RECOVERED,
    STORED,
    FacilityReport,
    Flow,
    ReportGap,
    ServiceFacts,
    Stored,
    SystemFacts,
    Verification,
    facility_report,
    systems_of_year,
)
from ledger.facts.mass import POUND
from ledger.law.loader import SHIPPED, load_pack
from tests.answers.sites import system, table

PAPER = next(one for one in table().at(date(2026, 6, 1)).papers if one.duty == "annual-report")
"""California's columns: state rules 1.5, 95388, from memory there."""

RACK = SystemFacts("R-1", date(2018, 4, 2), "medium", 300 * POUND, "R-448A", (), (1,))
CASE = SystemFacts("R-2", date(2024, 9, 9), "low", 120 * POUND, "R-507A", ("R-404A",), (2,))
END = date(2026, 12, 31)


def _report(as_of: date = END, **told: Any) -> FacilityReport:
    asked = {"systems": [RACK, CASE], **told}
    return facility_report("Bay Market", 2026, PAPER, as_of, pack="us-california-rmp", **asked)


FLOWS_OF_2026 = [
    Flow(10, PURCHASED, date(2026, 1, 1), "R-448A", 50 * POUND),
    Flow(11, CHARGED, date(2026, 3, 4), "R-448A", 12 * POUND + POUND // 4),
    Flow(12, CHARGED, date(2026, 12, 31), "R-448A", 8 * POUND),
    Flow(13, RECOVERED, date(2026, 3, 4), "R-448A", 2 * POUND),
    Flow(14, RECLAIM, date(2026, 7, 1), "R-404A", 90 * POUND),
    Flow(15, CHARGED, date(2025, 12, 31), "R-448A", 5 * POUND),
    Flow(16, CHARGED, date(2027, 1, 1), "R-448A", 5 * POUND),
]


def test_the_sums_of_a_refrigerant() -> None:
    """By hand: 12.25 + 8 = 20.25 lb charged; New Year's Day and New Year's Eve are in the year."""
    stores = [Stored("R-448A", 30 * POUND, (10, 11, 12))]
    rows = {
        row.subject: row for row in _report(flows=FLOWS_OF_2026, stores=stores).of("refrigerant")
    }
    assert sorted(rows) == ["R-404A", "R-448A", "R-507A"]
    told = {cell.field: cell.text for cell in rows["R-448A"].cells}
    assert told == {
        "purchased": "50.00 lb", "charged": "20.25 lb", "recovered": "2.00 lb",
        "shipped for reclaim": "0.00 lb", "shipped for destruction": "0.00 lb",
        "in store on 31 December": "30.00 lb",
    }  # fmt: skip
    charged = rows["R-448A"].cell(CHARGED)
    assert charged is not None and charged.entries == (11, 12)
    shipped = rows["R-404A"].cell(RECLAIM)
    assert shipped is not None and shipped.text == "90.00 lb"


def test_the_columns_are_those_of_the_pack_in_its_order() -> None:
    found = _report(flows=FLOWS_OF_2026, services=[_leak()])
    for part, words in FIELDS.items():
        for row in found.of(part):
            assert {cell.field for cell in row.cells} == set(words), part
    assert [rule.rule.rpartition("/")[2] for rule in found.rules] == [
        "report-system-fields", "report-service-fields", "report-refrigerant-fields",
    ]  # fmt: skip
    assert {rule.evidence for rule in found.rules} == {"memory"}


def test_a_pack_that_asks_for_less_gets_less() -> None:
    lists = tuple(one._replace(words=one.words[:1]) for one in PAPER.fields[2:])
    found = facility_report("Mill", 2026, PAPER._replace(fields=lists), END, [RACK], unit="kg",
                            flows=[Flow(1, PURCHASED, END, "R-448A", 50 * POUND)])  # fmt: skip
    (row,) = found.rows
    assert [(cell.field, cell.text) for cell in row.cells] == [("purchased", "22.68 kg")]


def test_a_column_the_program_does_not_keep_is_said() -> None:
    lists = (PAPER.fields[0]._replace(words=("identification", "colour")),)
    found = facility_report("Mill", 2026, PAPER._replace(fields=lists), END, [RACK])
    assert found.gaps == (ReportGap("", "", "colour", "the program keeps no such column"),)


def _leak(**told: Any) -> ServiceFacts:
    return ServiceFacts(
        "R-1", date(2026, 3, 4), True,
        **{"repaired": date(2026, 3, 20), "late": True, "delay": "parts came on 19 March",
           "tests": (Verification(date(2026, 3, 20), "initial", True),
                     Verification(date(2026, 3, 28), "follow-up", False)),
           "cause": "flare nut", "added": 12 * POUND + POUND // 4, "technician": "Dana Field",
           "certificate": "Universal 12345", "entries": (11, 20), **told},
    )  # fmt: skip


def test_a_leak_is_told_with_its_tests_and_its_delay() -> None:
    (row,) = _report(services=[_leak()]).of("service")
    assert {cell.field: cell.text for cell in row.cells} == {
        "detected": "2026-03-04", "repaired": "2026-03-20",
        "verification": "initial 2026-03-20 passed, follow-up 2026-03-28 failed",
        "reason for delay": "parts came on 19 March", "cause": "flare nut",
        "quantity added": "12.25 lb", "technician": "Dana Field", "certificate": "Universal 12345",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("told", "field", "says"),
    [
        ({"delay": ""}, "reason for delay", NOT_RECORDED),
        ({"repaired": None}, "repaired", "not repaired by the book"),
        ({"tests": ()}, "verification", NOT_RECORDED),
        ({"cause": ""}, "cause", NOT_RECORDED),
        ({"added": None}, "quantity added", NOT_RECORDED),
        ({"technician": ""}, "technician", NOT_RECORDED),
        ({"certificate": ""}, "certificate", NOT_RECORDED),
    ],
)
def test_what_a_leak_lacks_is_a_gap(told: dict[str, Any], field: str, says: str) -> None:
    stores = [Stored("R-448A", 0)]
    found = _report(services=[_leak(**told)], stores=stores)
    assert found.gaps == (ReportGap("service", "R-1, 2026-03-04", field, says),)


def test_a_service_without_a_leak_is_not_asked_for_a_repair() -> None:
    visit = _leak(late=False, delay="", repaired=None, tests=(), cause="")._replace(leak=False)
    found = _report(services=[visit])
    (row,) = found.of("service")
    assert [cell.text for cell in row.cells if cell.field in ("detected", "repaired", "cause")] == [
        "none", "none", "none",
    ]  # fmt: skip
    assert found.gaps == ()


def test_what_a_system_lacks_is_a_gap() -> None:
    bare = SystemFacts("R-9", None, "", None, "")
    gaps = _report(systems=[bare]).gaps
    assert {gap.field for gap in gaps} == {
        "installed", "temperature class", "full charge", "refrigerant",
    }  # fmt: skip


def test_an_unknown_amount_makes_a_sum_at_least_and_a_gap() -> None:
    found = _report(flows=[*FLOWS_OF_2026, Flow(17, CHARGED, date(2026, 5, 5), "R-448A", None)])
    row = next(row for row in found.of("refrigerant") if row.subject == "R-448A")
    cell = row.cell(CHARGED)
    assert cell is not None and (cell.text, cell.entries) == ("at least 20.25 lb", (11, 12, 17))
    assert ReportGap("refrigerant", "R-448A", CHARGED, "an amount is not known") in found.gaps


@pytest.mark.parametrize(("as_of", "open_"), [(date(2026, 12, 30), True), (END, False)])
def test_the_store_of_31_december_is_known_that_day(as_of: date, open_: bool) -> None:
    found = _report(as_of, systems=[RACK], stores=[Stored("R-448A", 30 * POUND)])
    assert (ReportGap("refrigerant", "R-448A", STORED, NOT_OVER) in found.gaps) is open_


def test_a_refrigerant_of_no_reported_system_stands_apart() -> None:
    found = _report(
        flows=[Flow(9, PURCHASED, date(2026, 2, 2), "R-744", 50 * POUND)],
        stores=[Stored("R-410A", 10 * POUND), Stored("R-32", 0)],
    )
    assert found.apart == ("R-410A", "R-744")
    assert "R-744" not in {row.subject for row in found.rows}


def test_a_row_explains_itself() -> None:
    found = _report(flows=FLOWS_OF_2026)
    row = next(row for row in found.of("refrigerant") if row.subject == "R-448A")
    lines = found.working(row).to_lines()
    assert lines[0] == "Bay Market, R-448A, 2026 (17 CCR 95388)"
    assert "  charged: 20.25 lb (entries 11, 12)" in lines
    assert any("[from memory, text not read]" in line for line in lines)


def test_a_charge_that_is_a_midpoint_is_rounded_for_print() -> None:
    half = RACK._replace(charge=Fraction(301 * POUND, 2))
    (row, *_) = _report(systems=[half]).rows
    cell = row.cell("full charge")
    assert cell is not None and cell.text == "150.50 lb"


@pytest.mark.parametrize(
    ("year", "names"), [(2024, ("R-1",)), (2025, ("R-1", "R-2")), (2026, ("R-2",))]
)
def test_the_systems_of_a_year_are_those_that_ran_in_it(year: int, names: tuple[str, ...]) -> None:
    """R-1 is gone on New Year's Day 2026; R-2 starts on New Year's Eve 2025; R-3 is comfort."""
    site = Facility("Bay Market", "Bay Foods", (
        system("R-1", "300", date(2020, 1, 1), date(2026, 1, 1)),
        system("R-2", "60", date(2025, 12, 31)),
        system("R-3", "300", date(2020, 1, 1), category="comfort cooling"),
    ))  # fmt: skip
    law = table().at(date(2026, 6, 1))
    assert systems_of_year(site, law, year, date(2026, 6, 1)) == names


def test_a_system_that_has_not_started_is_in_no_report_yet() -> None:
    site = Facility("Bay Market", "Bay Foods", (system("R-1", "300", date(2026, 9, 1)),))
    law = table().at(date(2026, 6, 1))
    assert systems_of_year(site, law, 2026, date(2026, 6, 1)) == ()
    assert systems_of_year(replace(site), law, 2026, date(2026, 9, 1)) == ("R-1",)


def test_every_column_of_a_shipped_pack_is_known() -> None:
    known = {word for words in FIELDS.values() for word in words}
    for name in SHIPPED:
        for law in table(load_pack(name).name).laws:
            for paper in law.papers:
                assert {word for part in paper.fields for word in part.words} <= known


@given(st.integers(0, 1 << 32))
@settings(max_examples=60, deadline=None)
def test_every_pound_of_the_year_is_in_one_row_or_apart(seed: int) -> None:
    rng = Random(seed)
    flows = [
        Flow(
            entry, rng.choice(FLOWS), date(2025, 12, 1) + timedelta(days=rng.randint(0, 450)),
            rng.choice(("R-448A", "R-404A", "R-744")), rng.randint(0, 90) * POUND,
        )
        for entry in range(1, rng.randint(2, 20))
    ]  # fmt: skip
    found = _report(flows=flows)
    in_rows = sum(
        cell.mass or 0 for row in found.of("refrigerant") for cell in row.cells
        if cell.field in FLOWS
    )  # fmt: skip
    of_year = [one for one in flows if one.on.year == 2026]
    apart = sum(one.mass or 0 for one in of_year if one.refrigerant in found.apart)
    assert in_rows + apart == sum(one.mass or 0 for one in of_year)
    shuffled = rng.sample(flows, len(flows))
    assert _report(flows=shuffled) == found
