"""What a site owes: worked stories, both sides of each date and class, laws on random sites."""

from __future__ import annotations

import tomllib
from datetime import date, timedelta
from pathlib import Path
from random import Random
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ledger.answers.duty import OVERDUE, WEAKEST
from ledger.answers.facility import Facility, SiteEvent, System, as_known
from ledger.answers.facility_duties import facility_duties
from ledger.answers.retention import Recorded, kept
from ledger.law.for_facilities import law_for_facilities
from ledger.law.loader import CALIFORNIA, load_pack
from ledger.law.overrides import Override, with_overrides
from tests.answers.sites import SIZES, at, of, system, table

HERE = Path(__file__).parent
STORIES = tomllib.loads((HERE / "facility_cases.toml").read_text(encoding="utf-8"))["case"]
LAW = HERE.parent / "law"
ROWS = [
    row
    for path in (LAW / "cases" / "thresholds.toml", LAW / "boundaries.toml")
    for row in tomllib.loads(path.read_text(encoding="utf-8"))["threshold"]
    if row["pack"] == CALIFORNIA
]
Row = dict[str, Any]


def _day(text: str) -> date | None:
    return date.fromisoformat(text) if text else None


def _systems(case: Row) -> list[System]:
    changes = case.get("changes", [])
    return [
        system(
            name, pounds, _day(started), _day(*gone) if gone else None,
            [(date.fromisoformat(on), lb) for of_, on, lb in changes if of_ == name],
            **case.get("told", {}).get(name, {}),
        )
        for name, pounds, started, *gone in case["systems"]
    ]  # fmt: skip


def _events(case: Row) -> list[SiteEvent]:
    return [
        SiteEvent(entry, one["kind"], date.fromisoformat(one["on"]), "Bay Market",
                  one.get("year"), tuple(one.get("systems", ())))
        for entry, one in enumerate(case.get("events", []), start=1)
    ]  # fmt: skip


def _wrong(row: Row, duty: Any) -> list[str]:
    mine = {
        "due": duty.due.isoformat() if duty.due else "", "status": duty.status,
        "from": duty.start.isoformat() if duty.start else "", "after": duty.after,
        "ended": duty.ended.isoformat() if duty.ended else "", "by": duty.by,
        "amount": duty.amount, "year": duty.year, "no_date": duty.no_date,
        "unless": duty.unless, "systems": list(duty.systems), "duty": duty.duty,
    }  # fmt: skip
    wrong = [f"{k} {mine[k]!r} for {v!r}" for k, v in row.items() if k in mine and mine[k] != v]
    if "evidence" in row and duty.evidence != row["evidence"]:
        wrong.append(f"evidence {duty.evidence}")
    if "readings" in row and list(duty.readings) != row["readings"]:
        wrong.append(f"readings {duty.readings}")
    if "input" in row and row["input"] not in [part.value for part in duty.inputs]:
        wrong.append("input")
    return wrong


@pytest.mark.parametrize("case", STORIES, ids=[case["title"] for case in STORIES])
def test_a_story_of_a_site(case: Row) -> None:
    found = at(
        _systems(case), date.fromisoformat(case["as_of"]), _events(case),
        _day(case.get("kept_from", "")),
    )  # fmt: skip
    for row in case["owed"]:
        tried = [_wrong(row, duty) for duty in found.duties]
        assert [] in tried, min(tried, key=len, default=["nothing is owed"])
    names = [duty.duty for duty in found.duties]
    assert not set(case.get("none", ())) & set(names)
    assert not {d.year for d in found.duties} & set(case.get("not_for", ()))
    assert all(names.count(name) == times for name, times in case.get("count", {}).items())
    if "class" in case:
        assert found.of.limb == case["class"]
    if "by" in case:
        assert list(found.of.by) == case["by"]


# Both sides of every date and class of the pack, as the threshold cases have them.


def _registered(given: Row) -> str:
    started = given.get("started", date(2005, 6, 1))
    size = SIZES[given.get("class", "medium")]
    sent = SiteEvent(1, "registration", given["registered"])
    (duty,) = of(at([system("R-1", size, started)], sent.on, [sent]), "register")
    return {"done": "in time", "done late": "late"}[duty.status]


def _sent(given: Row, kind: str, duty: str) -> str:
    on = given.get("reported") or given["paid"]
    year = given.get("year", on.year - 1)
    (found,) = of(
        at([system("R-1", "300", date(2020, 1, 1))], on, [SiteEvent(1, kind, on, year=year)]),
        duty, year,
    )  # fmt: skip
    return {"done": "in time", "done late": "late"}[found.status]


def _year_owed(given: Row, duty: str) -> str:
    size = SIZES[given["class"]]
    found = at([system("R-1", size, date(2005, 6, 1))], date(2026, 6, 1))
    return "due" if of(found, duty, given["year"]) else "not due"


def _by_size(given: Row, duty: str) -> str:
    found = at([system("R-1", given["largest_lb"], date(2026, 1, 1))], date(2026, 6, 1))
    return " ".join(one.amount.partition(" ")[0] or "due" for one in of(found, duty)) or "not due"


def _waived(given: Row) -> str:
    claims = [SiteEvent(1, "fee-waiver", date(2026, 2, 1), year=2025)]
    events = claims if given["met"] == given["systems"] else []
    found = at([system("R-1", "300", date(2025, 1, 1))], date(2026, 2, 1), events)
    (fee,) = of(found, "annual-fee", 2025)
    return {"open": "due", "superseded": "not due"}[fee.status]


def _kept(given: Row) -> str:
    law = table().at(given["on"]).retention
    assert law is not None
    (found,) = kept([Recorded(1, "registration", given["record"])], law, given["on"])
    return "required" if found.required else "not required"


def _year_class(given: Row) -> str:
    rack = system("R-1", "300", date(2020, 1, 1), changes=[(given["small_from"], "60")])
    found = at([rack], date(2026, 12, 31))
    return "due" if of(found, "annual-report", given["year"]) else "not due"


ANSWERS: dict[str, Any] = {
    "register-first": _registered,
    "register-new": _registered,
    "register-day": _registered,
    "report-due": lambda given: _sent(given, "annual-report", "annual-report"),
    "fee-due": lambda given: _sent(given, "fee", "annual-fee"),
    "report-first-large": lambda given: _year_owed(given, "annual-report"),
    "report-first-medium": lambda given: _year_owed(given, "annual-report"),
    "fee-first-large": lambda given: _year_owed(given, "annual-fee"),
    "fee-first-medium": lambda given: _year_owed(given, "annual-fee"),
    "report-class": lambda given: _by_size(given, "annual-report"),
    "fee-large": lambda given: _by_size(given, "annual-fee"),
    "fee-medium": lambda given: _by_size(given, "annual-fee"),
    "fee-waiver": _waived,
    "facility-year-class": _year_class,
    "retain-years": _kept,
}
SAID = {"no report": "not due", "report due": "due"}
SIDES = [
    pytest.param(row["rule"], row[side], id=f"{row['id']}-{side}")
    for row in ROWS
    if row["rule"] in ANSWERS
    for side in ("a", "b")
]


@pytest.mark.parametrize(("rule", "side"), SIDES)
def test_each_side_of_a_threshold(rule: str, side: Row) -> None:
    expected = SAID.get(side["expect"], side["expect"])
    if side.get("says", "").endswith("dollars"):
        expected = side["says"].partition(" ")[0]
    assert ANSWERS[rule](side["given"]) == expected


def test_every_date_and_class_of_a_facility_has_its_sides() -> None:
    assert set(ANSWERS) == {row["rule"] for row in ROWS} & set(ANSWERS)
    assert len(SIDES) == 2 * sum(row["rule"] in ANSWERS for row in ROWS)


# A book's own reading, retention, working, knowledge.


def test_the_other_reading_takes_the_class_of_31_december() -> None:
    pack = load_pack(CALIFORNIA)
    own = Override("facility-year-class", "the one on 31 December", "as the owner reads it", 7)
    law = law_for_facilities(with_overrides(pack, [own]))
    rack = system("R-1", "300", date(2025, 1, 1), date(2025, 7, 1))
    small = system("R-2", "60", date(2025, 1, 1))
    assert of(at([rack, small], date(2026, 6, 1)), "annual-report", 2025)
    assert not of(at([rack, small], date(2026, 6, 1), law=law), "annual-report", 2025)


def test_the_other_reading_is_named_where_it_matters() -> None:
    own = Override("facility-year-class", "the one on 31 December", "as the owner reads it", 7)
    law = law_for_facilities(with_overrides(load_pack(CALIFORNIA), [own]))
    rack = system("R-1", "60", date(2025, 1, 1), changes=[(date(2025, 7, 1), "300")])
    large = system("R-2", "2000", date(2025, 1, 1), date(2025, 3, 1))
    (fee,) = of(at([rack, large], date(2026, 1, 1), law=law), "annual-fee", 2025)
    assert fee.amount.startswith("170") and fee.readings == ("FACILITY_YEAR_CLASS", "CA_WEEKEND")


def test_a_record_of_29_february_is_kept_its_five_years() -> None:
    """2029 has no 29 February: the day after, as the later is the safe reading (RETAIN_DAY)."""
    law = table().at(date(2024, 2, 29)).retention
    assert law is not None
    (found,) = kept([Recorded(3, "annual report", date(2024, 2, 29))], law, date(2029, 3, 1))
    assert (found.through, found.required) == (date(2029, 3, 1), True)
    assert found.place == "on site"
    assert "  = kept through 2029-03-01, on site" in found.working().to_lines()


def test_what_was_sent_is_kept() -> None:
    events = [SiteEvent(4, "registration", date(2025, 2, 3))]
    found = at([system("R-1", "300", date(2024, 1, 1))], date(2026, 6, 1), events)
    assert [(one.record.entry, one.through) for one in found.kept] == [(4, date(2030, 2, 3))]


def test_the_working_names_what_set_the_class() -> None:
    found = at([system("R-1", "2000", date(2025, 1, 1))], date(2025, 6, 1))
    (fee,) = of(found, "annual-fee")
    lines = fee.working().to_lines()
    assert lines[0] == "Annual fee of a large facility, Bay Market (17 CCR 95384)"
    assert "  set by: R-1" in lines and "  amount: 370 US dollars a year" in lines
    for rule in ("fee-large", "facility-class", "class-large"):
        assert any(f"(us-california-rmp/{rule})" in line for line in lines)


def test_an_event_recorded_later_was_not_known_before() -> None:
    facility = Facility(
        "Bay Market", "Bay Foods", (system("R-1", "300", date(2025, 1, 1)),),
        (SiteEvent(9, "annual-report", date(2026, 2, 1), year=2025),),
    )  # fmt: skip
    seen = {
        known: facility_duties(as_known(facility, {9: date(2026, 4, 1)}, known), [table()],
                               date(2026, 3, 5))[0]
        for known in (date(2026, 3, 31), date(2026, 4, 1))
    }  # fmt: skip
    status = [of(found, "annual-report", 2025)[0].status for found in seen.values()]
    assert status == ["overdue", "done"]
    gone = as_known(facility, {}, None, gone=[9])
    (again,) = of(facility_duties(gone, [table()], date(2026, 3, 5))[0], "annual-report", 2025)
    assert again.status == "overdue"


# Laws on random sites.

SIZES_LB = ("50", "50.01", "199.99", "200", "1999.99", "2000", "2600")
seeds = st.integers(0, 1 << 32)


def _site(rng: Random) -> list[System]:
    begin = date(2009, 1, 1)
    out = []
    for number in range(rng.randint(1, 4)):
        started = begin + timedelta(days=rng.randint(0, 6000))
        ended = started + timedelta(days=rng.randint(1, 4000)) if rng.random() < 0.3 else None
        change = (started + timedelta(days=rng.randint(1, 3000)), rng.choice(SIZES_LB))
        out.append(
            system(
                f"R-{number}", rng.choice(SIZES_LB), started, ended,
                [change] if rng.random() < 0.3 else [],
                category=rng.choice(("commercial refrigeration", "other", "comfort cooling")),
            )
        )  # fmt: skip
    return out


def _events_of(rng: Random) -> list[SiteEvent]:
    kinds = ("registration", "annual-report", "fee", "fee-waiver", "painted")
    return [
        SiteEvent(entry, rng.choice(kinds), date(2012, 1, 1) + timedelta(days=rng.randint(0, 5000)))
        for entry in range(1, rng.randint(1, 6))
    ]


@given(seeds)
@settings(max_examples=40, deadline=None)
def test_a_system_too_small_for_the_programme_changes_nothing(seed: int) -> None:
    rng = Random(seed)
    site, events, as_of = _site(rng), _events_of(rng), date(2026, rng.randint(1, 12), 5)
    more = [*site, system("Z-9", "50", date(2010, 1, 1))]
    one, other = at(site, as_of, events), at(more, as_of, events)
    assert (one.duties, one.of) == (other.duties, other.of)


@given(seeds)
@settings(max_examples=40, deadline=None)
def test_a_smaller_system_changes_no_report_and_no_fee(seed: int) -> None:
    rng = Random(seed)
    rack = system("R-0", "2000", date(2015, 1, 1))
    site, events, as_of = [rack, *_site(rng)], _events_of(rng), date(2026, 6, 1)
    more = [*site, system("Z-9", "1999.99", date(2015, 1, 1))]
    for duty in ("annual-report", "annual-fee"):
        one, other = of(at(site, as_of, events), duty), of(at(more, as_of, events), duty)
        since = [d for d in one if d.year is not None and d.year >= 2015]
        assert since == [d for d in other if d.year is not None and d.year >= 2015]


@given(seeds)
@settings(max_examples=40, deadline=None)
def test_as_days_pass_no_duty_of_a_year_goes_and_no_date_moves(seed: int) -> None:
    rng = Random(seed)
    site, events = _site(rng), _events_of(rng)
    early = date(2012, 1, 1) + timedelta(days=rng.randint(0, 4000))
    late = early + timedelta(days=rng.randint(1, 1500))
    before = {(d.duty, d.year): d.due for d in at(site, early, events).duties if d.year}
    after = {(d.duty, d.year): d.due for d in at(site, late, events).duties if d.year}
    assert before.items() <= after.items()


@given(seeds)
@settings(max_examples=40, deadline=None)
def test_what_is_overdue_stays_so_until_something_ends_it(seed: int) -> None:
    rng = Random(seed)
    site, early = _site(rng), date(2012, 1, 1) + timedelta(days=rng.randint(0, 4000))
    late = early + timedelta(days=rng.randint(1, 900))
    was = {(d.duty, d.year, d.due) for d in at(site, early).duties if d.status == OVERDUE}
    now = {(d.duty, d.year, d.due) for d in at(site, late).duties if d.status == OVERDUE}
    assert {one for one in was if one[1]} <= now


@given(seeds)
@settings(max_examples=40, deadline=None)
def test_an_earlier_start_never_makes_a_registration_later(seed: int) -> None:
    rng = Random(seed)
    size = rng.choice(("50.01", "200", "2000"))
    start = date(2010, 1, 1) + timedelta(days=rng.randint(1, 5000))
    earlier = start - timedelta(days=rng.randint(1, 400))
    dues = [of(at([system("R-1", size, on)], date(2026, 6, 1)), "register")[0].due
            for on in (earlier, start)]  # fmt: skip
    assert dues[0] is not None and dues[1] is not None and dues[0] <= dues[1]


@given(seeds)
@settings(max_examples=40, deadline=None)
def test_every_duty_of_a_site_has_its_working_and_a_known_mark(seed: int) -> None:
    rng = Random(seed)
    found = at(_site(rng), date(2026, 6, 1), _events_of(rng))
    for duty in found.duties:
        assert duty.site == "Bay Market" and duty.evidence in WEAKEST and duty.rules
        assert (duty.due is None) == bool(duty.no_date)
        assert duty.working().to_lines()[0].startswith(duty.title)
