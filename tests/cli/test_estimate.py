"""`tarebook estimate`: a range before work, what it rests on, and the leak rate it would make."""

from __future__ import annotations

import pytest

from tests.cli.shop import Shop


def test_the_full_charge_of_the_book_is_what_it_rests_on(shop: Shop) -> None:
    said = shop.ok("tarebook estimate RTU-1")
    assert said[0] == "Estimated full charge 24.00 lb: an estimate, not weighed."
    assert any("no leak rate before that" in line for line in said)


def test_a_longer_line_is_added_with_a_range(shop: Shop) -> None:
    """25 ft of 3/8 in at 105 F: 25 x 0.512 oz = 0.80 lb (check value F-017), of R-410A."""
    rows = shop.rows('tarebook estimate -r R-410A --nameplate "8.25 lb" --line "3/8 x 25 ft"')
    total = rows[-1]
    assert total["Part"] == "Full charge"
    assert total["Estimate (lb)"] == "9.05"
    assert float(total["Low (lb)"]) < 9.05 < float(total["High (lb)"])


def test_the_leak_rate_that_the_rest_would_make_stands_beside_it(shop: Shop) -> None:
    """24 lb with 18 recovered leave 6 lb: 6 of 24 in the longest interval, 25 % a year."""
    said = shop.ok("tarebook estimate RTU-1 --recovered '18 lb'")
    assert "Recovered 18.00 lb; beyond that 6.00 lb would go in." in said[0]
    assert any("So, 6.00 lb more: Leak rate of RTU-1" in line and "25.0 % a year" in line
               for line in said)  # fmt: skip


def test_an_estimate_writes_nothing(shop: Shop) -> None:
    before = shop.head()
    shop.ok("tarebook estimate RTU-1 --recovered '18 lb' --part 'receiver 0.25 ft3 at 90 F'")
    assert shop.head() == before


def test_more_recovered_than_estimated_makes_no_rate(shop: Shop) -> None:
    said = shop.ok("tarebook estimate RTU-1 --recovered '25 lb'")
    assert any("nothing more than was recovered goes in" in line for line in said)


def test_a_measured_full_charge_holds_its_lines_already(shop: Shop) -> None:
    assert "already" in shop.no("tarebook estimate RACK-A --line '7/8 x 20 ft'")


@pytest.mark.parametrize(
    "line",
    [
        "",
        "-r R-410A",
        "RTU-2",
        "RTU-9",
        "-r R-410A --line '9/8 x 20 ft'",
        "-r R-417A --line '3/8 x 20 ft'",
        "-r R-410A --nameplate 0",
        "-r R-410A --nameplate 4-8",
        "RTU-1 --recovered about",
    ],
)
def test_what_cannot_be_estimated_is_refused(shop: Shop, line: str) -> None:
    assert shop.no(f"tarebook estimate {line}").endswith("]")
