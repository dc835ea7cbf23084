"""Every worked case against the engine: states, duties, dates, paragraphs, rates.

The cases were worked by hand before there was an engine. `NOT_YET` lists those that do not come
out, each with its reason; one that starts to come out fails until its line is taken away.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date
from fractions import Fraction
from typing import Any

import pytest

from ledger.answers.case_windows import request_stands
from ledger.answers.duties import CircuitDuties, Duty
from ledger.answers.duty import WEAKEST
from ledger.answers.facility_duties import FacilityDuties
from ledger.answers.leak_law import ANNUALIZING, ROLLING
from ledger.answers.leak_rate import Rate
from ledger.answers.leak_result import FIRST_CALCULATION
from ledger.facts.mass import half_up, pounds
from tests.answers.told_cases import PACKS, Told, cases, facilities, lb, told

OLD, NEW, STATE, ANSWERS = "us-federal-82f", "us-federal-84c", "us-california-rmp", "answers"
"""The packs, and what a case asks without naming one."""

NOT_YET: dict[tuple[str, str], str] = {}

PLAIN = {
    "who": "who", "from": "start", "after": "after", "due": "due", "no_date": "no_date",
    "status": "status", "ended": "ended", "by": "by", "limb": "limb", "every": "every",
    "portion": "portion", "extended": "extended",
}  # fmt: skip
"""The keys of an expected duty and the members of a duty that must be the same."""

Row = dict[str, Any]
Answers = dict[str, list[CircuitDuties]]
Sites = dict[str, list[FacilityDuties]]


def _of(found: Answers, row: Row) -> Iterator[CircuitDuties]:
    """The answers a row speaks of."""
    for name, several in found.items():
        if row.get("circuit", name) == name:
            yield from (one for one in several if row.get("pack", one.pack) == one.pack)


def _owed(found: Answers, sites: Sites, row: Row) -> Iterator[Duty]:
    """The duties a row may mean: of a circuit, of the facility it names, or of one that counts
    the circuit among its systems."""
    for one in _of(found, row):
        yield from one.duties
    for name, several in sites.items():
        for site in several:
            for duty in site.duties:
                meant = "circuit" not in row or row["circuit"] in duty.systems
                if row.get("facility", name) == name and meant and duty.pack == row["pack"]:
                    yield duty


def _paragraph(cite: str) -> str:
    """The first paragraph a citation names: the engine may name a limb, the case the section."""
    found = re.match(r"\d+ C[CF]R [\d.]+(\(\w+\))*", cite)
    return found[0] if found else cite


def _wrong_duty(row: Row, duty: Duty) -> list[str]:
    """What of an expected duty a duty does not have."""
    row = {**row}
    if row.get("no_date", "").startswith(duty.no_date):
        row["no_date"] = duty.no_date
    wrong = [
        f"{key} {getattr(duty, mine)!r} for {row[key]!r}"
        for key, mine in PLAIN.items()
        if key in row and getattr(duty, mine) != row[key]
    ]
    mine, asked = _paragraph(duty.cite), _paragraph(row["cite"])
    if not (mine.startswith(asked) or asked.startswith(mine)):
        wrong.append(f"cite {duty.cite} for {row['cite']}")
    if "due" in row and duty.due is None:
        wrong.append("no due date")
    if WEAKEST.index(duty.evidence) < WEAKEST.index(row["evidence"]):
        wrong.append(f"evidence {duty.evidence} for {row['evidence']}")
    missing = set(row.get("interp", [])) - set(duty.readings)
    if missing:
        wrong.append(f"readings {missing} not among {duty.readings}")
    if bool(duty.unless) != ("unless" in row):
        wrong.append(f"unless {duty.unless!r}")
    if "days_late" in row and (duty.ended is None or duty.due is None
                               or (duty.ended - duty.due).days != row["days_late"]):  # fmt: skip
        wrong.append("days late")
    return wrong


def _duties(found: Answers, sites: Sites, expect: Row) -> Iterator[str]:
    for row in expect.get("duties", []):
        several = [duty for duty in _owed(found, sites, row) if duty.duty == row["duty"]]
        tried = [_wrong_duty(row, duty) for duty in several]
        if not any(wrong == [] for wrong in tried):
            nearest = min(tried, key=len, default=["no such duty"])
            yield f"{row['duty']} {row['pack']} {row.get('circuit', '')}: {nearest}"


def _absent(found: Answers, expect: Row, spoken_of: set[str]) -> Iterator[str]:
    for name in expect.get("absent", []):
        told = [found[circuit] for circuit in spoken_of or found]
        if any(d.duty == name for several in told for one in several for d in one.duties):
            yield f"{name} must be absent"


def _states(found: Answers, expect: Row) -> Iterator[str]:
    for row in expect.get("cases", []):
        there = [
            (case.day0, case.state, case.since)
            for one in _of(found, row)
            for case in one.cases
            if row["pack"] == one.pack
        ]
        if row["state"] == "none":
            if there:
                yield f"{row}: {there}"
        elif (row["day0"], row["state"], row["since"]) not in there:
            yield f"case {row['day0']} {row['state']} {row['since']}: {there}"


ASKED = {
    "year-pct", "chronic", "schedule-ends-on", "inspection-date-exists", "monitor-required",
    "days-left", "plan-extension-ground", "relief-approved-on", "extension-valid",
    "calculation-required", "seasonal", "counted-lb", "first-calculation", "shown-first",
    "method-change-allowed", "facility-class", "fee-usd",
}  # fmt: skip
"""The answers that come from rates, cases and duties; the others are of other tests."""


def _answers(facts: Told, found: Answers, sites: Sites, expect: Row) -> Iterator[str]:
    for row in expect.get("answers", []):
        if row["answer"] == "method-change-allowed":
            yield from _switch(facts, row)
        elif row["answer"] in ASKED:
            if "facility" in row:
                mine = _of_site(sites, row)
            else:
                mine = _answer(found, row, _all_rates(facts, expect["as_of"], row))
            if not any(_same(one, row["value"]) for one in mine):
                yield f"{row['answer']}: {mine} for {row['value']}"


def _of_site(sites: Sites, row: Row) -> list[Any]:
    """What the engine says of a facility: its class, and the dollars of the running year."""
    (site,) = (one for one in sites[row["facility"]] if one.pack == STATE)
    if row["answer"] == "facility-class":
        return [site.of.limb.removeprefix("CA-")]
    fees = [d.amount for d in site.duties if d.amount and d.year == site.as_of.year]
    return [amount.partition(" ")[0] for amount in fees] or ["0"]


def _same(mine: Any, asked: Any) -> bool:
    if isinstance(mine, str) and re.fullmatch(r"[\d.]+", mine):
        return Fraction(mine) == Fraction(asked)
    return bool(mine == asked)


def _switch(facts: Told, row: Row) -> Iterator[str]:
    """What differs about the change of a site's method."""
    answer = facts.switches[row.get("site", "")]
    if answer.allowed is not row["value"]:
        yield f"method-change-allowed: {answer}"
    if row.get("reason") and row["reason"] not in answer.reasons:
        yield f"method-change-allowed: {answer.reasons} without {row['reason']}"


def _all_rates(facts: Told, as_of: date, row: Row) -> list[Rate]:
    """The rates of a date, with those that no rule asks for."""
    names = [name for name in facts.stories if row.get("circuit", name) == name]
    return [one for name in names for one in facts.rates_of(name, as_of) if one.on == row.get("on")]


def _answer(found: Answers, row: Row, rates: list[Rate]) -> list[Any]:
    """What the engine says to an answer, under each pack and circuit it speaks of."""
    name, several = row["answer"], list(_of(found, row))
    duties = [duty for one in several for duty in one.duties]
    year = [loss for one in several for loss in one.losses if loss.year == row.get("year")]
    inspections = [duty for duty in duties if duty.duty == "periodic-inspection"]
    open_ = [duty.due for duty in duties if duty.duty == "repair" and duty.due]
    made = {
        "calculation-required": lambda: [any(rate.required for rate in rates)],
        "seasonal": lambda: [
            any(d.duty == "seasonal-record" and d.start == row["on"] for d in duties)
            or any("seasonal" in rate.skipped for rate in rates)
        ],
        "counted-lb": lambda: [pounds(rate.counted) for rate in rates],
        "first-calculation": lambda: [FIRST_CALCULATION in rate.notes for rate in rates],
        "shown-first": lambda: [min(open_, default=None)],
        "year-pct": lambda: [loss.percent() for loss in year],
        "chronic": lambda: [any(duty.duty == "chronic-report" for duty in duties)],
        "schedule-ends-on": lambda: [one.schedule_ends_on for one in several],
        "inspection-date-exists": lambda: [bool(inspections)],
        "monitor-required": lambda: [any(duty.duty == "install-monitor" for duty in duties)],
        "days-left": lambda: [duty.left for duty in duties if duty.status == "frozen"],
        "plan-extension-ground": lambda: [
            any(duty.duty == "plan-extension-request" for duty in duties)
        ],
        "relief-approved-on": lambda: [
            case.relieved_on for one in several for case in one.cases
        ],
        "extension-valid": lambda: [
            any(request_stands(case, request) for request in case.requests)
            for one in several
            for case in one.cases
        ],
    }  # fmt: skip
    return made[name]()


def _rates(found: Answers, expect: Row) -> Iterator[str]:
    for row in expect.get("rates", []):
        method = ROLLING if row["method"] == "rolling" else ANNUALIZING
        there = [
            rate for one in _of(found, row) if one.pack == row["pack"]
            for rate in one.rates if rate.on == row["on"]
        ]  # fmt: skip
        wrong = [_wrong_rate(row, rate, method) for rate in there]
        if not any(one == [] for one in wrong):
            yield f"rate {row['on']} {row['method']}: {wrong}"


def _wrong_rate(row: Row, rate: Rate, method: str) -> list[str]:
    """What of an expected rate a rate does not have."""
    exact, rolling = rate.rate_by(method), method == ROLLING
    if exact is None or rate.trigger is None:
        return ["no rate"]
    limit = Fraction(rate.trigger, 100)
    mine = {
        "counted_lb": lb(row["counted_lb"])
        - (rate.window_pounds if rolling else rate.annual_pounds),
        "full_charge_lb": lb(row["full_charge_lb"]) - (rate.full_charge or 0),
        "pct": half_up(100 * exact, 1),
        "days": rate.days,
        "window_from": date.fromordinal(rate.window_start),
        "trigger_pct": rate.trigger,
        "side": "over" if exact > limit else "equal" if exact == limit else "under",
        "at_least": rate.window_at_least if rolling else rate.annual_at_least,
    }
    asked = {**row, "counted_lb": 0, "full_charge_lb": 0}
    wrong = [f"{k} {v!r} for {asked[k]!r}" for k, v in mine.items() if k in row and v != asked[k]]
    if not row.get("shown_beside") and rate.method != method:
        wrong.append(f"method {rate.method}")
    return wrong


SECTIONS = ("cases", "duties", "rates")


def _asked(case: Row) -> set[str]:
    """The packs a case asks, and ANSWERS."""
    rows = [row for e in case["expect"] for part in SECTIONS for row in e.get(part, [])]
    packs = {row["pack"] for row in rows if row["pack"] in PACKS}
    others = [row for e in case["expect"] for row in e.get("answers", [])]
    answers = any(row["answer"] in ASKED for row in others)
    absent = any(e.get("absent") for e in case["expect"])
    return packs | ({ANSWERS} if answers or absent else set())


def differences(found: Answers, sites: Sites, expect: Row) -> list[str]:
    """What of the states, duties and rates a case expects does not come out."""
    return [*_states(found, expect), *_duties(found, sites, expect), *_rates(found, expect)]


def answered(
    facts: Told, found: Answers, sites: Sites, expect: Row, spoken_of: set[str]
) -> list[str]:  # fmt: skip
    """What of the answers a case expects, and of what must be absent, does not come out."""
    return [*_absent(found, expect, spoken_of), *_answers(facts, found, sites, expect)]


def problems(case: Row, pack: str) -> list[str]:
    """Everything of a case under a pack (or of its answers) that does not come out."""
    facts, wrong = told(case), []
    for expect in case["expect"]:
        as_of: date = expect["as_of"]
        found = facts.at(as_of, expect.get("known_at"))
        sites = facilities(case, as_of)
        if pack == ANSWERS:
            lines = answered(facts, found, sites, expect, case.get("spoken_of", set()))
        else:
            own = {part: [row for row in expect.get(part, []) if row["pack"] == pack]
                   for part in SECTIONS}  # fmt: skip
            lines = differences(found, sites, own)
        wrong += [f"{as_of}: {line}" for line in lines]
    return wrong


NAMED = [
    pytest.param(case, pack, id=f"{case['id']}-{pack}")
    for case in cases()
    for pack in sorted(_asked(case))
]


@pytest.mark.parametrize(("case", "pack"), NAMED)
def test_a_worked_case_comes_out(case: Row, pack: str) -> None:
    found = problems(case, pack)
    if (case["id"], pack) in NOT_YET:
        assert found, f"{case['id']} comes out under {pack}: take its line out of NOT_YET"
    else:
        assert found == []


def test_only_cases_that_exist_are_listed() -> None:
    asked = {(one.values[0]["id"], one.values[1]) for one in NAMED}  # type: ignore[index]
    assert NOT_YET.keys() <= asked
    assert all(reason.endswith(".") for reason in NOT_YET.values())
