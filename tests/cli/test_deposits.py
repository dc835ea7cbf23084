"""Deposits and a supplier's statement from the command line."""

from __future__ import annotations

import pytest

from tests.cli.shop import Shop


@pytest.fixture
def out(shop: Shop) -> Shop:
    """Three cylinders with a deposit, one of them returned, and a statement that lists two."""
    shop.all((
        "tarebook receive R1 R2 R3 --net 100 --from Depot -r R-448A --kind refillable"
        " --deposit 150 --on 2026-01-10",
        "tarebook mend cylinder R3 --serial 77-A",
        "tarebook return R2 --to Depot --on 2026-03-01",
    ))  # fmt: skip
    (shop.folder / "st.csv").write_text(
        "Cylinders out\nSerial,Deposit,Date out\n77-a,150.00,1/10/2026\nZZ-9,150,\n"
    )
    return shop


def test_what_is_out_is_listed_with_its_days(out: Shop) -> None:
    said = out.ok("tarebook deposits")
    assert said[0] == "3 deposits open, $450.00."
    rows = {row["Cylinder"]: row for row in out.rows("tarebook deposits")}
    assert (rows["R1"]["Days"], rows["R2"]["Back"], rows["R2"]["Days"]) == (
        "171", "2026-03-01", "50",
    )  # fmt: skip


def test_a_statement_is_taken_in_once_and_found_by_serial(out: Shop) -> None:
    line = "tarebook supplier-statement st.csv --from depot --number S-1"
    results = (
        "1 both agree; 1 they list it, we do not find it; 1 we have it, they do not list it; 1"
        " returned, not credited."
    )
    assert out.ok(line)[-1] == results
    assert out.ok(line)[0].startswith("Already recorded as entry")
    rows = {r["Cylinder"]: r["Result"] for r in out.rows("tarebook deposits --against-statement")}
    assert rows["R3"] == "both agree"
    out.ok("tarebook deposit-credit R2 150 --from depot --number CM-1")
    assert "0 returned, not credited" in out.ok("tarebook deposits --against-statement")[0]


def test_a_sheet_that_is_no_statement_is_refused(out: Shop) -> None:
    (out.folder / "no.csv").write_text("Name,Money\nR1,150\n")
    assert "[column-map-needed]" in out.no(
        "tarebook supplier-statement no.csv --from depot --number S-2"
    )
