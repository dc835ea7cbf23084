"""Inspections, leaks, plans, requests and other events: what each ends, what is next, refusals.

The order asked for is that of 40 CFR 84.106(d) to (i): locate, repair, initial test, follow-up.
"""

from __future__ import annotations

import pytest

from tests.cli.shop import Shop

DANA = '--by "Dana Field"'


@pytest.fixture
def over(shop: Shop) -> Shop:
    """RACK-A goes over its trigger on 20 June 2026."""
    shop.ok(f"tarebook charge RACK-A 5 --from 448-1 {DANA} --on 2026-06-10")
    shop.ok(f"tarebook charge RACK-A 40 --from 448-1 {DANA} --on 2026-06-20")
    return shop


def ends(lines: list[str]) -> list[str]:
    return [line for line in lines if line.startswith("Ends: ")]


def test_each_step_says_what_it_ends_and_what_is_next(over: Shop) -> None:
    said = over.ok(f"tarebook inspect RACK-A --place seal {DANA} --on 2026-06-21")
    assert ends(said) == ["Ends: RACK-A, Find the places of the leaks (40 CFR 84.106(d)(1)): done."]
    assert any(line.startswith("Due: RACK-A, Repair the leaks") for line in said)
    said = over.ok(f"tarebook repair RACK-A {DANA} --on 2026-06-21")
    assert ends(said)[0].startswith("Ends: RACK-A, Repair the leaks")
    said = over.ok(f"tarebook test RACK-A --which initial --result pass {DANA} --on 2026-06-21")
    assert ends(said)[0].startswith("Ends: RACK-A, Initial verification test")
    assert any("Follow-up verification test" in line and "2026-07-01" in line for line in said)
    said = over.ok(f"tarebook test RACK-A --which follow-up --result pass {DANA} --on 2026-06-22")
    assert ends(said)[0].startswith("Ends: RACK-A, Follow-up verification test")


def test_a_repair_of_one_of_two_leaks_ends_nothing(over: Shop) -> None:
    over.ok(f"tarebook inspect RACK-A --place seal --place valve {DANA} --on 2026-06-21")
    first = over.ok(f"tarebook repair RACK-A --leak seal {DANA} --on 2026-06-21")
    assert ends(first) == []
    last = over.ok(f"tarebook repair RACK-A --leak valve {DANA} --on 2026-06-21")
    assert ends(last)[0].startswith("Ends: RACK-A, Repair the leaks")


def test_a_plan_is_due_at_once_where_the_owner_chooses_it(over: Shop) -> None:
    said = over.ok('tarebook event RACK-A "retrofit chosen" --on 2026-06-22')
    assert any("2026-07-20" in line and "(h)(1)" in line for line in said)
    said = over.ok("tarebook plan RACK-A --to retrofit --signed --holds all --on 2026-06-25")
    assert any("plan" in line.casefold() for line in ends(said))
    assert not any("Not said to be" in line for line in said)


def test_what_a_plan_is_not_said_to_hold_is_listed(over: Shop) -> None:
    said = over.ok("tarebook plan RACK-A --to retrofit --holds 1 --on 2026-06-25")
    lacking = next(line for line in said if line.startswith("Not said to be in the plan"))
    assert "; 3 " in lacking and "(--holds): 2 " in lacking
    assert any(line.startswith("Not said to be signed") for line in said)
    assert '"99" is no part of a plan' in over.no("tarebook plan RACK-A --to retrofit --holds 99")


@pytest.mark.parametrize(
    ("line", "said", "first"),
    [
        (
            "test RACK-A --which follow-up --result pass --on 2026-06-22",
            "No passed initial test of RACK-A is on record on or before 2026-06-22.",
            "test RACK-A --which initial --result pass --on 2026-06-22",
        ),
        (
            "repair RACK-A --leak coil --on 2026-06-22",
            'No leak "coil" of RACK-A is on record on or before 2026-06-22.',
            "leak RACK-A --place Coil --on 2026-06-22",
        ),
        (
            "event RACK-A 'relief request' --on 2026-06-22",
            "No plan of RACK-A is on record on or before 2026-06-22, so there is no relief",
            "plan RACK-A --to retirement --on 2026-06-22",
        ),
        (
            "event RACK-A 'detector audit' --on 2026-06-22",
            "No detector of RACK-A is on record on or before 2026-06-22",
            "event RACK-A detector --on 2026-06-22",
        ),
    ],
)
def test_what_has_to_come_first_is_asked_for_and_then_accepted(
    over: Shop, line: str, said: str, first: str
) -> None:
    assert over.no(f"tarebook {line}").startswith(said)
    over.ok(f"tarebook {first}")
    over.ok(f"tarebook {line}")


def test_what_has_to_come_first_can_be_lost_and_said_so(over: Shop) -> None:
    line = "tarebook test RACK-A --which follow-up --result pass --on 2026-06-22"
    over.ok(f"{line} --because 'the first test is in the older binder'")


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("event RACK-A thunder", '"thunder" is not an event that is kept.'),
        ("event RACK-A alarm --ground parts", '"alarm" takes no ground.'),
        ("event site:Hotel alarm", '"alarm" is about a circuit.'),
        ("event RACK-A 'fee paid' --year 2026", '"fee paid" is about a site.'),
        ("event site:Hotel 'fee paid'", '"fee paid" needs its period.'),
        ("extend RACK-A --ground weather", '"weather" is no ground of "repair extension request".'),
        ("extend RACK-A --for lunch --ground parts", '--for is "lunch".'),
        ("plan RACK-A --to nowhere", '"nowhere" is no ground of "plan".'),
        ("inspect RACK-9", 'No unit or circuit "RACK-9" is in the book.'),
        ("leak RACK-A --on 2026-07-01", "2026-07-01 is after today"),
        ("mothball RACK-9", 'No unit or circuit "RACK-9" is in the book.'),
    ],
)
def test_an_event_that_cannot_be_kept_is_refused(shop: Shop, line: str, said: str) -> None:
    assert said in shop.no(f"tarebook {line}")


def test_the_events_that_are_kept_are_listed(shop: Shop) -> None:
    listed = shop.ok("tarebook event --list")
    assert any(line.startswith("alarm: ") for line in listed)
    assert any("(--ground parts, other law, radiological)" in line for line in listed)


def test_a_mothballed_circuit_has_no_running_repair_clock(over: Shop) -> None:
    """Rules brief, MOTHBALL_CARRY: the days stand until refrigerant is added again."""
    over.ok(f"tarebook mothball RACK-A {DANA} --on 2026-06-25")
    owed = [row["What is due"] for row in over.rows("tarebook due --circuit RACK-A")]
    assert not any(what.startswith("Repair") for what in owed)
