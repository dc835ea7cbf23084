"""Evacuation levels of 40 CFR 82.156, Table 1, on each side of every line."""

from __future__ import annotations

from datetime import date

import pytest

from ledger.facts.mass import Mass, of_decimal
from ledger.law.evacuation import Evacuation, Job, evacuation

TABLE = "40 CFR 82.156 Table 1 (2015 edition read; opening of the current text)"
BEFORE, SINCE = date(1993, 11, 14), date(1993, 11, 15)
DAY = date(2026, 3, 30)


def lb(text: str) -> Mass:
    found = of_decimal(text, "lb")
    assert found is not None
    return found


def answer(
    pressure: str, charge: str = "", made: date | None = None, *, small: bool = False,
    running: bool = True, on: date = DAY, ozone: bool = True,
) -> Evacuation:  # fmt: skip
    job = Job(pressure, lb(charge) if charge else None, made, on, ozone, small, running)
    found = evacuation(job)
    assert found is not None
    return found


@pytest.mark.parametrize(
    ("id", "pressure", "charge", "made", "value", "unit"),
    [
        ("B-001", "very high", "5000", BEFORE, 0, "in Hg vacuum"),
        ("B-002", "very high", "1", SINCE, 0, "in Hg vacuum"),
        ("B-003", "high", "199.99", BEFORE, 0, "in Hg vacuum"),
        ("B-004", "high", "199.99", SINCE, 0, "in Hg vacuum"),
        ("B-005", "high", "200", BEFORE, 4, "in Hg vacuum"),
        ("B-006", "high", "200", SINCE, 10, "in Hg vacuum"),
        ("B-007", "medium", "199.99", BEFORE, 4, "in Hg vacuum"),
        ("B-008", "medium", "199.99", SINCE, 10, "in Hg vacuum"),
        ("B-009", "medium", "200", BEFORE, 4, "in Hg vacuum"),
        ("B-010", "medium", "200", SINCE, 15, "in Hg vacuum"),
        ("B-011", "low", "200", BEFORE, 25, "in Hg vacuum"),
        ("B-012", "low", "1", SINCE, 25, "mm Hg absolute"),
    ],
)
def test_each_row_and_column_of_the_table(
    id: str, pressure: str, charge: str, made: date, value: int, unit: str
) -> None:
    """Regulation: the table itself; the charge is 200 lb or one hundredth less."""
    found = answer(pressure, charge, made)
    (level,) = found.levels
    assert (level.value, level.unit, level.percent, found.missing) == (value, unit, None, ()), TABLE
    assert level.base_tenths == 299
    assert all("82.156" in rule.cite for rule in level.rules)


@pytest.mark.parametrize(
    ("made", "running", "percent"), [(SINCE, True, 90), (SINCE, False, 80), (BEFORE, True, 80)]
)
def test_a_small_appliance_gives_up_a_share_or_reaches_four_inches(
    made: date, running: bool, percent: int
) -> None:
    """B-016 and its neighbours: 40 CFR 82.156(a)(4), 2015 edition."""
    (level,) = answer("high", "4", made, small=True, running=running).levels
    assert (level.percent, level.value, level.unit) == (percent, 4, "in Hg vacuum")
    assert level.text == f"recover {percent} % of the refrigerant, or evacuate to 4 in Hg vacuum"
    assert {rule.evidence for rule in level.rules} == {"read-2015"}


@pytest.mark.parametrize(
    ("pressure", "charge", "made", "first", "missing"),
    [
        ("high", "", SINCE, "10 in Hg vacuum", ("the full charge",)),
        ("high", "", BEFORE, "4 in Hg vacuum", ("the full charge",)),
        ("high", "50", None, "0 in Hg vacuum (atmospheric pressure)", ()),
        ("medium", "500", None, "15 in Hg vacuum", ("the day the recovery equipment was made",)),
        ("low", "", None, "25 mm Hg absolute", ("the day the recovery equipment was made",)),
        ("very high", "", None, "0 in Hg vacuum (atmospheric pressure)", ()),
    ],
)
def test_what_is_not_known_leaves_several_levels_the_deepest_first(
    pressure: str, charge: str, made: date | None, first: str, missing: tuple[str, ...]
) -> None:
    found = answer(pressure, charge, made)
    assert found.levels[0].text == first
    assert found.missing == missing
    assert (len(found.levels) > 1) is bool(missing)


def test_the_exceptions_stand_beside_the_level() -> None:
    """B-055 and B-056: leaking parts never above 0 psig, oil change at 5 psig at most."""
    notes = " ".join(answer("high", "20", SINCE).notes)
    assert "Oil change: 5 psig at most (40 CFR 82.156(a)(2)(i)(C)" in notes
    assert "as low as can be, 0 psig at most (40 CFR 82.156(a)(2)(ii)(C)" in notes


def test_substitutes_are_reached_since_2018_and_the_section_since_1993() -> None:
    assert answer("high", "20", SINCE, ozone=True, on=date(2017, 12, 31)).binding
    before = answer("high", "20", SINCE, ozone=False, on=date(2017, 12, 31))
    assert not before.binding and "class I and II substances only" in before.notes[0]
    assert answer("high", "20", SINCE, ozone=False, on=date(2018, 1, 1)).binding
    early = Job("high", None, None, date(1993, 7, 12), True)
    assert evacuation(early) is None


def test_the_working_names_inputs_rules_and_release() -> None:
    lines = answer("medium", "250", SINCE).working().to_lines()
    assert "  full charge of the appliance or isolated component: 250.00 lb" in lines
    assert "  = 15 in Hg vacuum" in lines
    assert any("us-federal-82f/evacuation-medium-large-newer" in line for line in lines)
    assert any("rules: us-federal-82f 2026.11" in line for line in lines)


def test_a_level_that_several_cases_share_says_all_of_them() -> None:
    told = {level.text: level.when for level in answer("high").levels}
    assert told["0 in Hg vacuum (atmospheric pressure)"] == "under 200 lb, any equipment"
    told = {level.text: level.when for level in answer("medium").levels}
    assert told["4 in Hg vacuum"] == "any charge, equipment made before 1993-11-15"
    assert list(told) == ["15 in Hg vacuum", "10 in Hg vacuum", "4 in Hg vacuum"]


def test_a_low_pressure_appliance_is_pressurized_not_evacuated_for_a_small_opening() -> None:
    """40 CFR 82.156(a)(2)(i): with controlled heat, to 0 psig at most."""
    assert "to the air: pressurized with heat, not nitrogen, to 0 psig at most" in (
        " ".join(answer("low").notes)
    )
    assert "pressurized" not in " ".join(answer("high").notes)
