"""Requalification, condition and states of cylinders from the command line."""

from __future__ import annotations

import pytest

from tests.cli.shop import Shop

DANA = '--by "Dana Field"'


def test_what_was_filled_before_the_day_may_be_shipped_after_it(shop: Shop) -> None:
    """49 CFR 173.301(a)(6): filled before it fell due, it may be shipped until emptied."""
    shop.all((
        "tarebook requalify RC-01 --method volumetric --rin A123 --on 2021-05-10",
        f"tarebook recover RTU-1 2 --to RC-01 {DANA} --on 2026-05-31",
    ))  # fmt: skip
    said = shop.no(f"tarebook recover RTU-1 2 --to RC-01 {DANA} --on 2026-06-01")
    assert said.startswith("Cylinder RC-01 was due for requalification by 2026-05-31: do not fill.")
    shop.ok('tarebook ship RC-01 --to "Second Life Reclaim"')


def test_a_requalification_says_until_when_the_cylinder_may_be_filled(shop: Shop) -> None:
    assert shop.ok('tarebook requalify RC-01 --method "external visual" --rin A123')[1] == (
        "Cylinder RC-01 may be filled until 2031-06-30: 5 years from 2026-06-30, end of the month"
        " (49 CFR 180.209(a))."
    )
    assert shop.rows("tarebook cylinders")[-1]["Requalification due"] == "2031-06-30"


def test_a_due_day_before_the_requalification_is_refused(shop: Shop) -> None:
    said = shop.no("tarebook requalify RC-01 --method volumetric --rin A1 --due 2026-06-01")
    assert said.startswith("The next due day, 2026-06-01, is not after the requalification")


def test_an_empty_cylinder_that_is_damaged_takes_nothing(shop: Shop) -> None:
    shop.ok("tarebook condition RC-01 corrosion --on 2026-06-10")
    assert "[cylinder-condition]" in shop.no(f"tarebook recover RTU-1 2 --to RC-01 {DANA}")
    shop.ok(f"tarebook recover RTU-1 2 --to RC-01 {DANA} --on 2026-06-09")


def test_a_condemned_cylinder_is_not_requalified(shop: Shop) -> None:
    """49 CFR 180.205(i)."""
    shop.ok("tarebook condition RC-01 crack --condemned --on 2026-06-10")
    said = shop.no("tarebook requalify RC-01 --method volumetric --rin A1")
    assert said.startswith("Cylinder RC-01 is condemned by the book and is not requalified.")


@pytest.mark.parametrize(
    ("states", "said"),
    [
        (("evacuated",), "Cylinder 410-1 holds 25.00 lb by the book; it is not evacuated."),
        (("holding charge",), "Cylinder 410-1 has held refrigerant (entry 16); it is not new"),
        (("not found", "ready to ship"), "Cylinder 410-1 is not found by the book; ready to ship"),
        (("stolen", "in service"), "Cylinder 410-1 is stolen by the book; in service cannot"),
        (("quarantined", "ordered"), "Cylinder 410-1 is quarantined by the book; ordered cannot"),
    ],
)
def test_a_state_that_cannot_follow_is_refused(
    shop: Shop, states: tuple[str, ...], said: str
) -> None:
    *before, last = states
    for state in before:
        shop.ok(f'tarebook change cylinder 410-1 --state "{state}" --from 2026-06-01')
    refused = shop.no(f'tarebook change cylinder 410-1 --state "{last}" --from 2026-06-02')
    assert refused.startswith(said)


def test_a_state_entered_late_is_held_against_the_one_after_it(shop: Shop) -> None:
    shop.ok('tarebook change cylinder RC-01 --state "ready to ship" --from 2026-06-10')
    said = shop.no("tarebook change cylinder RC-01 --state stolen --from 2026-06-05")
    assert said.startswith("Cylinder RC-01 is stolen by the book; ready to ship cannot come after")


def test_a_mixed_cylinder_stays_in_quarantine_while_it_holds_anything(shop: Shop) -> None:
    shop.all((
        f"tarebook recover RTU-1 5 --to RC-01 {DANA}",
        f"tarebook recover CHILLER 4 --to RC-01 {DANA} --because 'only cylinder aboard'",
    ))  # fmt: skip
    said = shop.no('tarebook change cylinder RC-01 --state "in service"')
    assert said.startswith("Cylinder RC-01 holds 9.00 lb of mixed refrigerant and stays in")
