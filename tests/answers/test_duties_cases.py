"""Every worked case of parts 82 and 84 against the engine: states, duties, dates, paragraphs.

The cases were worked by hand before there was an engine. `NOT_YET` lists those that do not come
out, each with its reason; one that starts to come out fails until its line is taken away.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date
from typing import Any

import pytest

from ledger.answers.case_windows import request_stands
from ledger.answers.duties import CircuitDuties, Duty
from tests.answers.told_cases import PACKS, cases, told

NOT_YET: dict[str, str] = {
    "T13b": "A seasonal record is open on its day here and done on its day in H15, on like facts.",
    "T13e": "Records of a disposal; the pack names the owner where the case has the contractor.",
    "H13": "The pack gives the audit of a required detector no calendar of its own under 84.108.",
    "H18": "Changing the method is a matter of the site; the engine looks at one circuit.",
}

PLAIN = {
    "who": "who", "from": "start", "after": "after", "due": "due", "no_date": "no_date",
    "status": "status", "ended": "ended", "by": "by", "limb": "limb", "every": "every",
    "portion": "portion", "extended": "extended",
}  # fmt: skip
"""The keys of an expected duty and the members of a duty that must be the same."""

Row = dict[str, Any]
Answers = dict[str, list[CircuitDuties]]
CASES = [case for case in cases() if any(e.keys() - {"as_of", "note"} for e in case["expect"])]


def _of(found: Answers, row: Row) -> Iterator[CircuitDuties]:
    """The answers a row speaks of."""
    for name, several in found.items():
        if row.get("circuit", name) == name:
            yield from (one for one in several if row.get("pack", one.pack) == one.pack)


def _paragraph(cite: str) -> str:
    """The first paragraph a citation names: the engine may name a limb, the case the section."""
    found = re.match(r"\d+ CFR [\d.]+(\(\w+\))*", cite)
    return found[0] if found else cite


def _wrong_duty(row: Row, duty: Duty) -> list[str]:
    """What of an expected duty a duty does not have."""
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
    missing = set(row.get("interp", [])) - set(duty.readings)
    if missing:
        wrong.append(f"readings {missing} not among {duty.readings}")
    if bool(duty.unless) != ("unless" in row):
        wrong.append(f"unless {duty.unless!r}")
    if "days_late" in row and (duty.ended is None or duty.due is None
                               or (duty.ended - duty.due).days != row["days_late"]):  # fmt: skip
        wrong.append("days late")
    return wrong


def _duties(found: Answers, expect: Row, spoken_of: set[str]) -> Iterator[str]:
    for row in expect.get("duties", []):
        if row["pack"] not in PACKS:
            continue
        several = [d for one in _of(found, row) for d in one.duties if d.duty == row["duty"]]
        tried = [_wrong_duty(row, duty) for duty in several]
        if not any(wrong == [] for wrong in tried):
            nearest = min(tried, key=len, default=["no such duty"])
            yield f"{row['duty']} {row['pack']} {row.get('circuit', '')}: {nearest}"
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


def _answer(found: Answers, row: Row) -> list[Any] | None:
    """What the engine says to an answer; None for one that other tests ask."""
    name, several = row["answer"], list(_of(found, row))
    duties = [duty for one in several for duty in one.duties]
    year = [loss for one in several for loss in one.losses if loss.year == row.get("year")]
    inspections = [duty for duty in duties if duty.duty == "periodic-inspection"]
    made = {
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
    return made[name]() if name in made else None


def problems(case: Row) -> list[str]:
    """Everything of a case that does not come out."""
    facts, wrong = told(case), []
    for expect in case["expect"]:
        as_of: date = expect["as_of"]
        found = facts.at(as_of, expect.get("known_at"))
        lines = [*_states(found, expect), *_duties(found, expect, case.get("spoken_of", set()))]
        for row in expect.get("answers", []):
            mine = _answer(found, row)
            if mine is not None and row["value"] not in mine:
                lines.append(f"{row['answer']}: {mine} for {row['value']}")
        wrong += [f"{as_of}: {line}" for line in lines]
    return wrong


@pytest.mark.parametrize("case", [pytest.param(case, id=case["id"]) for case in CASES])
def test_a_worked_case_comes_out(case: Row) -> None:
    found = problems(case)
    if case["id"] in NOT_YET:
        assert found, f"{case['id']} comes out now: take its line out of NOT_YET"
    else:
        assert found == []


def test_only_cases_that_exist_are_listed() -> None:
    assert NOT_YET.keys() <= {case["id"] for case in CASES}
    assert all(reason.endswith(".") for reason in NOT_YET.values())
