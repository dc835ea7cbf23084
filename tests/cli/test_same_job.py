"""Two entries of one job, typed by two people: told at once, listed, and settled."""

from __future__ import annotations

import json

import pytest

from tests.cli.shop import Shop

TECH = 'tarebook charge RACK-A "9.5 lb" --from 448-1 --on 2026-02-09 --by "Dana Field"'
OFFICE = 'tarebook charge RACK-A "9 lb 8 oz" --from 448-1 --on 2026-02-10 --ticket 26-071'
PAIRS = "tarebook same-job"


@pytest.fixture
def twice(shop: Shop) -> tuple[int, int]:
    """The numbers of the two entries of one job."""
    shop.ok(TECH)
    first = shop.number()
    shop.ok(OFFICE)
    return first, shop.number()


def test_what_looks_like_an_entry_is_told_when_it_is_typed(shop: Shop) -> None:
    assert not any("Looks like" in line for line in shop.ok(TECH))
    first = shop.number()
    (line,) = [line for line in shop.ok(OFFICE) if "Looks like" in line]
    assert line == (
        f"Looks like entry {first}: 2026-02-09, RACK-A, R-448A, 9.5 lb added, Dana Field, no"
        " ticket (0.00 lb and 1 day apart); if it is the same job: tarebook same-job"
        f" {first} {first + 1} --keep {first}"
    )


def test_a_rehearsal_tells_it_without_the_command(shop: Shop) -> None:
    shop.ok(TECH)
    (line,) = [line for line in shop.ok(f"{OFFICE} --dry-run") if "Looks like" in line]
    assert "tarebook" not in line


def test_a_retried_entry_is_not_told_to_look_like_itself(shop: Shop) -> None:
    shop.ok(f"{TECH} --key one")
    assert not any("Looks like" in line for line in shop.ok(f"{TECH} --key one"))


def test_a_recovery_is_told_and_an_attempt_is_not(shop: Shop) -> None:
    shop.ok('tarebook recover RTU-1 "3 lb" --to RC-01 --on 2026-02-09')
    out = shop.ok('tarebook recover RTU-1 "3 lb" --to RC-01 --on 2026-02-09')
    assert any(line.startswith("Looks like entry") for line in out)
    out = shop.ok("tarebook recover RTU-1 0 --on 2026-02-09")
    assert not any("Looks like" in line for line in out)


def test_a_house_spelled_in_two_ways(shop: Shop) -> None:
    shop.ok('tarebook recover "411 Cordwain Ln" "7 lb 6 oz" --to RC-01 -r 410a --provisional')
    out = shop.ok('tarebook recover "411 Cordwain Lane" "7.4" --to RC-01 -r 410a --provisional')
    assert any(line.startswith("Looks like entry") for line in out)
    out = shop.ok('tarebook recover "413 Cordwain Lane" "7.4" --to RC-01 -r 410a --provisional')
    assert not any("Looks like" in line for line in out)


def test_nothing_is_alike(shop: Shop) -> None:
    assert shop.ok(PAIRS)[0] == "No two entries look like one job."
    shop.ok(TECH)
    shop.ok('tarebook charge RACK-A "40 lb" --from 448-1 --on 2026-02-10')
    assert shop.rows(PAIRS) == []


def test_a_pair_is_shown_one_below_the_other(shop: Shop, twice: tuple[int, int]) -> None:
    assert shop.ok(PAIRS)[0] == "1 pair may be one job each; 9.50 lb may count twice."
    first, second = shop.rows(PAIRS)
    assert (int(first["Entry"]), int(second["Entry"])) == twice
    assert (first["Day"], second["Day"]) == ("2026-02-09", "2026-02-10")
    assert (first["Amount as written"], second["Amount as written"]) == ("9.5 lb", "9 lb 8 oz")
    assert (first["Done by"], second["Done by"]) == ("Dana Field", "")
    assert (first["Ticket"], second["Ticket"]) == ("", "26-071")
    assert first["Alike"] == "0.00 lb and 1 day apart"
    found = json.loads("\n".join(shop.ok(f"{PAIRS} --json")))
    assert [row["entry"] for row in found["rows"]] == list(twice)


def test_days_and_entries_narrow_it(shop: Shop, twice: tuple[int, int]) -> None:
    assert len(shop.rows(f"{PAIRS} --from 2026-02-10 --to 2026-02-28")) == 2
    assert shop.rows(f"{PAIRS} --from 2026-02-11") == []
    assert shop.rows(f"{PAIRS} --to 2026-02-09") == []
    assert len(shop.rows(f"{PAIRS} {twice[0]}")) == 2
    assert shop.rows(f"{PAIRS} 2") == []


@pytest.mark.parametrize("kept", [0, 1])
def test_one_is_kept_and_the_other_reversed(shop: Shop, twice: tuple[int, int], kept: int) -> None:
    gone = twice[1 - kept]
    out = shop.ok(f'{PAIRS} {twice[0]} {twice[1]} --keep {twice[kept]} --because "asked Dana"')
    assert out[0] == (
        f"Recorded as entry {twice[1] + 1}: line 1 of entry {gone} reversed: the same job as entry"
        f" {twice[kept]}: asked Dana."
    )
    assert out[1].startswith(f"Entry {twice[kept]} stays: 2026-02-")
    assert any(line.startswith("Latest now: Leak rate of RACK-A") for line in out)
    assert shop.rows(PAIRS) == []
    assert "reversed by entry" in "\n".join(shop.ok(f"tarebook show {gone}"))


def test_that_both_are_jobs_is_remembered(shop: Shop, twice: tuple[int, int]) -> None:
    out = shop.ok(f"{PAIRS} {twice[1]} {twice[0]} --keep both --because 'two leaks'")
    assert out == [
        f"Recorded as entry {twice[1] + 1}: entries {twice[1]} and {twice[0]} are two jobs."
    ]
    assert shop.rows(PAIRS) == []
    assert "two jobs, decided" in "\n".join(shop.ok(f"tarebook show {twice[1] + 1}"))
    shop.ok(f"tarebook reverse {twice[1] + 1} --because 'decided too soon'")
    assert len(shop.rows(PAIRS)) == 2


def test_a_rehearsal_settles_nothing(shop: Shop, twice: tuple[int, int]) -> None:
    before = shop.head()
    for keep in (twice[0], twice[1], "both"):
        out = shop.ok(f"{PAIRS} {twice[0]} {twice[1]} --keep {keep} --dry-run")
        assert out[0].startswith("Would be entry")
    assert shop.head() == before


def test_a_retry_settles_once(shop: Shop, twice: tuple[int, int]) -> None:
    line = f"{PAIRS} {twice[0]} {twice[1]} --keep {twice[0]} --key once"
    shop.ok(line)
    before = shop.head()
    assert shop.ok(line)[0].startswith("Already recorded as entry")
    assert shop.head() == before


@pytest.mark.parametrize(
    ("line", "code"),
    [
        ("{0} --keep {0}", "option-unfit"),
        ("{0} {0} --keep {0}", "option-unfit"),
        ("{0} {1} --keep 2", "option-unfit"),
        ("{0} {1} --keep first", "option-unfit"),
        ("{0} {1} --because x", "option-unfit"),
        ("{0} {1} --dry-run", "option-unfit"),
        ("{0} 2 --keep {0}", "kind-mismatch"),
        ("{0} 9999 --keep {0}", "no-such-entry"),
        ("9999", "no-such-entry"),
    ],
)
def test_what_cannot_be_settled(shop: Shop, twice: tuple[int, int], line: str, code: str) -> None:
    assert f"[{code}]" in shop.no(f"{PAIRS} {line.format(*twice)}")


def test_a_charge_and_a_recovery_are_no_pair(shop: Shop, twice: tuple[int, int]) -> None:
    shop.ok('tarebook recover RTU-1 "3 lb" --to RC-01')
    said = shop.no(f"{PAIRS} {twice[0]} {shop.number()} --keep both")
    assert "are a charge and a recovery" in said


def test_a_reversed_entry_is_no_candidate(shop: Shop, twice: tuple[int, int]) -> None:
    shop.ok(f"tarebook reverse {twice[0]} --because 'wrong day' --on 2026-03-20")
    assert shop.rows(PAIRS) == []


def test_an_entry_put_right_is_a_candidate(shop: Shop) -> None:
    shop.ok('tarebook charge RACK-A "4.8" --from 448-1 --on 2026-02-09')
    shop.ok('tarebook charge RACK-A "45 lb" --from 448-1 --on 2026-02-09')
    wrong = shop.number()
    shop.ok(f"tarebook reverse {wrong} --because 'point forgotten' --amount '4 lb 8 oz'")
    first, second = shop.rows(PAIRS)
    assert int(second["Entry"]) == wrong + 1
    assert first["Alike"] == "0.30 lb and 0 days apart, as 4.8 lb and 4 lb 8 oz"


def test_records_joined_into_one_unit_are_compared(shop: Shop) -> None:
    shop.ok('tarebook charge RACK-A "9.5 lb" --from 448-1 --on 2026-02-09')
    shop.ok('tarebook charge "Big rack" "9.5 lb" --from 448-1 --on 2026-02-09 --provisional')
    assert shop.rows(PAIRS) == []
    shop.ok('tarebook join circuit "Big rack" RACK-A')
    assert len(shop.rows(PAIRS)) == 2
