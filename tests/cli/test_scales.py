"""Scales at the command line: check weights, bias, and the table of tolerances."""

from __future__ import annotations

import pytest

from tests.cli.shop import Shop


def test_a_check_weight_is_kept_and_told(shop: Shop) -> None:
    assert shop.ok("tarebook check-weight B1 25 25.1 --by 'Dana Field'") == [
        "Recorded as entry 19: scale B1 read 25.1 lb with a check weight of 25 lb (+0.100 lb)."
    ]
    assert shop.ok("tarebook check-weight b1 25 24.8")[-1] == (
        "It is off by more than 0.1 lb at the last check: take it out of use until it is put right"
        " (common practice, weak source)."
    )


def test_scales_are_listed_with_their_bias_and_what_was_read_on_them(shop: Shop) -> None:
    shop.all((
        'tarebook add scale F1 --resolution "0.5 lb"',
        "tarebook weigh RC-01 30 --scale F1",
        "tarebook check-weight B1 25 25.1 --on 2026-06-01",
        "tarebook check-weight B1 25 25.3 --on 2026-06-08",
    ))  # fmt: skip
    first, second = shop.rows("tarebook scales")
    assert (first["Scale"], first["Checks"], first["Mean bias (lb)"], first["Remark"]) == (
        "B1", "2", "0.200", "off by more than 0.1 lb at the last check: take it out of use",
    )  # fmt: skip
    assert (second["Scale"], second["Readings"], second["Remark"]) == (
        "F1", "1", "in use, never checked",
    )  # fmt: skip
    said = shop.ok("tarebook scales --explain --as-of 2026-06-02")
    assert "  2026-06-01: 25.1 lb read, weight 25 lb (entry 21)" in said
    assert "  = +0.100 lb, checks: 1" in said


def test_a_check_that_was_a_slip_is_taken_back(shop: Shop) -> None:
    shop.ok("tarebook check-weight B1 25 52")
    shop.ok('tarebook reverse 19 --because "digits turned"')
    assert shop.rows("tarebook scales")[0]["Checks"] == "0"


@pytest.mark.parametrize(
    ("words", "code"),
    [
        ("B9 25 25", "unknown-id"),
        ("B1 0 25", "amount-not-positive"),
        ("B1 25 -1", "quantity-unclear"),
        ("B1 25", "field-missing"),
        ("B1 25 4-8", "quantity-unclear"),
    ],
)
def test_a_check_that_cannot_be_is_refused(shop: Shop, words: str, code: str) -> None:
    assert f"[{code}]" in shop.no(f"tarebook check-weight -- {words}")


def test_the_tolerances_are_ours_until_the_book_sets_its_own(shop: Shop) -> None:
    rows = {row["Level"]: row for row in shop.rows("tarebook tolerances")}
    assert rows["reclaimer"]["Within tolerance up to"] == "1 % or 5 lb"
    assert {row["Set by"] for row in rows.values()} == {"our default"}
    said = shop.ok(
        'tarebook tolerance truck-week --within "0.5 lb" --explain-to "2 lb" --because "agreed"'
    )
    assert said == ["Recorded as entry 19: truck-week: within 0.5 lb, explain up to 2 lb."]
    rows = {row["Level"]: row for row in shop.rows("tarebook tolerances")}
    assert (rows["truck-week"]["Explain up to"], rows["truck-week"]["Set by"]) == (
        "2 lb", "entry 19",
    )  # fmt: skip
    assert shop.rows("tarebook tolerances --known-at 18")[3]["Set by"] == "our default"
    shop.ok('tarebook reverse 19 --because "was a trial"')
    assert shop.ok("tarebook tolerances")[0].startswith("6 levels, 0 set by this book.")


@pytest.mark.parametrize(
    ("words", "code"),
    [
        ("truck-month --within 1 --explain-to 2 --because x", "value-unclear"),
        ("truck-week --within 1 --explain-to 2", "reason-missing"),
        ('truck-week --within "1 %" --explain-to 2 --because x', "value-unclear"),
        ("truck-week --within 3 --explain-to 2 --because x", "option-unfit"),
        ("truck-week --within much --explain-to 2 --because x", "quantity-unclear"),
        ("truck-week --within 1 --because x", "field-missing"),
    ],
)
def test_a_tolerance_that_cannot_be_is_refused(shop: Shop, words: str, code: str) -> None:
    assert f"[{code}]" in shop.no(f"tarebook tolerance {words}")
