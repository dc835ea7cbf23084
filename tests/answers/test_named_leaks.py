"""Leaks that go by name: a repair or test is whole with the last of them (40 CFR 84.106(d), (e)).

The rule speaks of each leaking component; that a shop names places is common practice, no source.
"""

from __future__ import annotations

from datetime import date

from ledger.answers.case_events import Event
from ledger.answers.named_leaks import Named, left, whole

DAY = date(2026, 6, 1)


def told(kind: str, *places: str, passed: bool = True, all_leaks: bool = True) -> Named:
    return Named(Event(1, kind, DAY, passed=passed, all_leaks=all_leaks), places)


def wholes(*named: Named) -> list[bool]:
    return [event.all_leaks for event in whole(named) if event.kind in
            ("repair", "initial-test", "follow-up-test")]  # fmt: skip


FOUND = told("leak-inspection", "seal", "valve")


def test_a_repair_is_whole_with_the_last_place() -> None:
    assert wholes(FOUND, told("repair", "seal")) == [False]
    assert wholes(FOUND, told("repair", "seal"), told("repair", "valve")) == [False, True]


def test_each_test_counts_its_own_places() -> None:
    repaired = told("repair", "seal", "valve")
    tests = told("initial-test", "seal"), told("initial-test", "valve")
    assert wholes(FOUND, repaired, *tests) == [True, False, True]
    assert wholes(FOUND, repaired, *tests, told("follow-up-test", "valve"))[-1] is False
    both = told("follow-up-test", "valve"), told("follow-up-test", "seal")
    assert wholes(FOUND, repaired, *tests, *both)[-2:] == [False, True]


def test_a_failed_test_opens_its_place_again() -> None:
    repaired = told("repair", "seal", "valve")
    failed = told("initial-test", "seal", passed=False)
    again = told("initial-test", "valve"), told("initial-test", "seal")
    assert wholes(FOUND, repaired, failed, *again) == [True, False, False, True]
    assert wholes(FOUND, repaired, failed, told("repair", "seal"))[-1] is True


def test_where_no_place_is_named_what_a_person_said_stands() -> None:
    assert wholes(FOUND, told("repair")) == [True]
    assert wholes(FOUND, told("repair", all_leaks=False)) == [False]
    assert wholes(told("repair", all_leaks=False)) == [False]


def test_a_repair_of_all_counts_for_every_place() -> None:
    named = told("initial-test", "seal"), told("initial-test", "valve")
    assert wholes(FOUND, told("repair"), *named) == [True, False, True]


def test_a_leak_found_after_all_are_through_is_another_matter() -> None:
    through = [FOUND, told("repair"), told("initial-test"), told("follow-up-test")]
    assert wholes(*through, told("detection", "coil"), told("repair", "coil"))[-1] is True


def test_what_is_left_says_what_each_place_waits_for() -> None:
    assert left([FOUND]) == [("seal", "repair"), ("valve", "repair")]
    so_far = [FOUND, told("repair", "seal", "valve"), told("initial-test", "seal")]
    assert left(so_far) == [("seal", "follow-up-test"), ("valve", "initial-test")]
    failed = told("follow-up-test", "seal", passed=False)
    assert left([*so_far, failed]) == [("seal", "repair"), ("valve", "initial-test")]
    done = [FOUND, told("repair"), told("initial-test"), told("follow-up-test")]
    assert left(done) == []
