"""The story's cylinders: mixed, past due, lost, found, scrapped, shipped (trade_workflow 8.A)."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from tests.cli.shop import Shop
from tests.oracle.brindlewick_book import made

CLOCK = "2026-11-25T18:00:00+00:00"


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    """A copy of the demo book, at the end of November 2026."""
    shutil.copy(made().file, tmp_path / "shop.db")
    return Shop(tmp_path, {"TAREBOOK_CLOCK": CLOCK})


def things(shop: Shop, cylinder: str, as_of: str) -> list[str]:
    """What is told of a cylinder on a day."""
    rows = shop.rows(f"tarebook attention --as-of {as_of}")
    return [row["What"] for row in rows if row["Cylinder"] == cylinder]


def test_the_mixed_cylinder_is_in_quarantine_with_what_is_known_of_it(shop: Shop) -> None:
    (first, *_) = things(shop, "RC-05", "2025-08-01")
    assert first == "in quarantine: identifier: 71 % R-22, a drop-in blend in the rest"
    assert "[cylinder-quarantined]" in shop.no("tarebook load-out T1 RC-05")


def test_the_cylinder_past_its_date_is_told_and_not_loaded(shop: Shop) -> None:
    assert things(shop, "RC-06", "2025-08-14") == [
        "requalification was due 2025-07-31: not to be filled"
    ]
    assert "[requalification-due]" in shop.no("tarebook load-out T6 RC-06")
    assert things(shop, "RC-10", "2026-11-25") == ["requalification due 2027-01-31, in 67 days"]


def test_the_lost_cylinder_was_last_seen_on_the_truck_of_october(shop: Shop) -> None:
    rows = shop.rows("tarebook last-seen --as-of 2026-01-05")
    (row,) = (one for one in rows if one["Cylinder"] == "448-19")
    assert (row["State"], row["Where"], row["Last seen"]) == ("not found", "T4", "2025-10-08")
    assert "Desmond Achterberg" in row["By"]
    assert things(shop, "448-19", "2026-01-10") == [
        "not found: not at the count, last seen on T4 in October"
    ]
    assert things(shop, "448-19", "2026-01-20") == []


def test_of_31_disposables_19_get_their_statement_and_12_stay_open(shop: Shop) -> None:
    rows = shop.rows("tarebook list cylinder --as-of 2026-10-30")
    day = [row for row in rows if row["State"] == "scrapped" and row["Kind"] == "disposable"]
    batch = [row for row in day if "before the house rule" not in row["State because"]]
    pulled = [row["Name"] for row in batch if "not pulled" not in row["State because"]]
    assert (len(batch), len(pulled)) == (31, 19)
    shop.ok(f"tarebook scrap {' '.join(pulled)} --vacuum 15 --by 'Teodor Vance-Abara'"
            " --on 2026-10-30")  # fmt: skip
    assert len(shop.rows("tarebook empties")) == 19
    (line,) = (
        row for row in shop.rows("tarebook attention")
        if row["Since"] == "2026-10-30" and "statement" in row["What"]
    )  # fmt: skip
    assert line["Cylinder"].endswith("and 11 more")


def test_the_shipment_of_november_comes_back_and_closes(shop: Shop) -> None:
    """Ours 824.5 lb net, weight ticket 818.4 (-0.7 %); one cylinder assays 96.2 %, charged back."""
    said = shop.ok("tarebook weight-ticket M-0091 --net 818.4 --number W-77")
    assert said[1].startswith(
        "M-0091: ours 824.50 lb, theirs 818.40 lb, difference -6.10 lb (-0.7 %), within tolerance"
    )
    shop.all((
        "tarebook analysis M-0091 --cylinder RC-09 --purity '96.2 %' --result mixed",
        "tarebook credit M-0091 353 --charged --cylinder RC-09",
    ))  # fmt: skip
    (row,) = (r for r in shop.rows("tarebook match M-0091") if r["Cylinder"] == "RC-09")
    assert (row["Analysis"], row["Charge ($)"]) == ("mixed, 96.2 %", "353.00")


def test_what_is_held_for_the_market_leaves_four_pounds_each_time(shop: Shop) -> None:
    rows = [
        row for row in shop.rows("tarebook held-for 'Tarnbrook Markets'")
        if row["Refrigerant"] == "R-448A"
    ]  # fmt: skip
    assert [(row["In (lb)"], row["Out (lb)"], row["Left (lb)"]) for row in rows] == [
        ("80.00", "", "80.00"), ("", "76.00", "4.00"), ("80.00", "", "84.00"),
        ("", "80.00", "4.00"),
    ]  # fmt: skip


def test_the_deposit_of_the_half_ton_was_out_for_seventeen_months(shop: Shop) -> None:
    """8.A, 11-20: HT-1 deposit 17 months out (June 2025 to November 2026)."""
    (row,) = (r for r in shop.rows("tarebook deposits") if r["Cylinder"] == "HT-1")
    assert (row["Out"][:7], row["Back"]) == ("2025-06", "2026-11-20")
    assert 16 * 30 < int(row["Days"]) < 18 * 31
    shop.ok("tarebook deposit-credit HT-1 500 --from 'Quillfen Reclaim' --number CM-9")
