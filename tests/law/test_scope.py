"""Which subpart binds a circuit: the decision table row by row, and the same through time."""

from __future__ import annotations

import tomllib
from datetime import date, timedelta
from fractions import Fraction
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ledger.facts.mass import POUND, of_decimal
from ledger.law.scope import Subject, bindings, scope_over

CASES = tomllib.loads(
    (Path(__file__).parent / "scope_cases.toml").read_text(encoding="utf-8")
)["case"]  # fmt: skip
EDGES = [
    date(1993, 6, 13), date(1993, 6, 14), date(2018, 12, 31), date(2019, 1, 1),
    date(2020, 4, 9), date(2020, 4, 10), date(2025, 12, 31), date(2026, 1, 1), date(2026, 11, 25),
]  # fmt: skip


def _subject(row: dict[str, Any]) -> Subject:
    return Subject(
        ods=row.get("ods"),
        hfc=row.get("hfc"),
        gwp_84=Fraction(row["gwp"]) if "gwp" in row else None,
        charge=of_decimal(row["lb"], "lb") if "lb" in row else None,
        category=row["category"],
        rlc=row.get("rlc", "undecided"),
        use=row.get("use", ""),
        decided=row.get("decided", "undecided"),
        exempt_substitute=row.get("exempt_substitute", False),
        charge_high=of_decimal(row["high_lb"], "lb") if "high_lb" in row else None,
    )


@pytest.mark.parametrize("case", CASES, ids=[case["name"] for case in CASES])
def test_row_of_the_decision_table(case: dict[str, Any]) -> None:
    subject = _subject(case["is"])
    for expected in case["expect"]:
        part_82, part_84 = bindings(subject, expected["on"])
        assert (part_82.subpart, part_84.subpart) == ("82", "84")
        assert (part_82.binds, part_84.binds) == (expected["82"], expected["84"]), expected["on"]
        assert part_82.row == expected.get("row_82", part_82.row)
        assert part_84.row == expected.get("row_84", part_84.row)
        for part in (part_82, part_84):
            assert part.sentence.endswith(".")
            assert "CFR" in part.cite


SUBJECTS = st.builds(
    Subject,
    ods=st.sampled_from([True, False, None]),
    hfc=st.sampled_from([True, False, None]),
    gwp_84=st.sampled_from([None, Fraction(53), Fraction(54)]),
    charge=st.sampled_from([None, 0, 15 * POUND - 1, 15 * POUND, Fraction(100 * POUND + 1, 2),
                            50 * POUND, 80 * POUND]),
    category=st.sampled_from(["", "comfort cooling", "commercial refrigeration"]),
    rlc=st.sampled_from(["yes", "no", "undecided"]),
    use=st.sampled_from(["", "foam"]),
    decided=st.sampled_from(["yes", "no", "undecided"]),
    exempt_substitute=st.booleans(),
)  # fmt: skip


@settings(max_examples=200, deadline=None)
@given(SUBJECTS, SUBJECTS, st.sampled_from(EDGES))
def test_through_time_it_is_the_finding_of_each_day(
    earlier: Subject, later: Subject, change: date
) -> None:
    found = scope_over([(None, earlier), (change, later)])
    assert found[0].since is None
    days = {day + timedelta(days=step) for day in EDGES for step in (-1, 0, 1)}
    for day in sorted(days):
        in_force = [part for part in found if part.since is None or part.since <= day][-1]
        assert in_force.bindings == bindings(later if day >= change else earlier, day)
    for one, two in pairwise(found):
        assert one.bindings != two.bindings


@settings(max_examples=200, deadline=None)
@given(SUBJECTS, st.sampled_from(EDGES))
def test_more_refrigerant_never_takes_a_circuit_out(subject: Subject, day: date) -> None:
    if subject.charge is None:
        return
    larger = subject._replace(charge=subject.charge + 40 * POUND)
    for small, large in zip(bindings(subject, day), bindings(larger, day), strict=True):
        assert small.binds != "yes" or large.binds == "yes"
