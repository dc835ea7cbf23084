"""Shipments, the papers that come back, and what is still open, from the command line."""

from __future__ import annotations

import pytest

from tests.cli.shop import Shop

DANA = '--by "Dana Field"'
SHIPPED = (
    f"tarebook recover RTU-1 9 --to RC-01 {DANA} --on 2026-06-01",
    "tarebook ship RC-01=36.6 --to 'second life reclaim' --manifest M-91 --seal S1 --carrier 'own'"
    " --on 2026-06-10",
)


@pytest.fixture
def gone(shop: Shop) -> Shop:
    """The shop with one recovery cylinder shipped under M-91."""
    shop.all(SHIPPED)
    return shop


def test_a_manifest_has_gross_tare_net_and_the_shipping_name(gone: Shop) -> None:
    (row,) = gone.rows("tarebook manifest m-91")
    assert (row["UN number"], row["Proper shipping name"]) == (
        "UN3163", "Liquefied gas, n.o.s. (R-410A)",
    )  # fmt: skip
    assert (row["Gross (lb)"], row["Tare (lb)"], row["Net (lb)"]) == ("36.60", "27.50", "9.10")
    assert (row["Owner of contents"], row["Seal"]) == ("Harbor Foods", "S1")
    said = "\n".join(gone.ok("tarebook manifest m-91"))
    assert "from memory, text not read; check them in 49 CFR 172.101" in said


def test_contents_without_a_name_in_the_data_are_left_to_the_shipper(shop: Shop) -> None:
    shop.ok("tarebook ship 448-1 --to 'Second Life Reclaim' --manifest M-9")
    said = "\n".join(shop.ok("tarebook manifest M-9"))
    assert "No shipping name is in the data for 448-1: choose the entry of the table" in said


def test_all_of_the_contents_leave_the_book_whatever_the_scale_says(gone: Shop) -> None:
    held = {row["Cylinder"] for row in gone.rows("tarebook balance --by cylinder")}
    assert held == {"410-1", "410-2", "448-1"}


def test_the_papers_of_a_shipment_close_it(gone: Shop) -> None:
    assert gone.ok("tarebook match")[0].startswith("1 shipment, 1 with something open.")
    assert gone.ok("tarebook weight-ticket M-91 RC-01=36.5/27.5 --number W-4")[1].startswith(
        "M-91: ours 9.10 lb, theirs 9.00 lb, difference -0.10 lb (-1.1 %), within tolerance; open:"
        " analysis; credit or charge."
    )
    gone.all((
        "tarebook analysis M-91 --cylinder RC-01 --purity '99.6 %' --result accepted --net 9",
        "tarebook credit M-91 18.50 --number CM-8",
    ))  # fmt: skip
    assert gone.ok("tarebook match --open")[0] == "No shipment has anything open."
    line, whole = gone.rows("tarebook match M-91")
    assert line["Analysis"] == "accepted, 99.6 %, 9.00 lb accepted"
    assert whole["Credit ($)"] == "18.50"


def test_a_difference_the_owner_signs_stays_visible(gone: Shop) -> None:
    gone.all((
        "tarebook weight-ticket M-91 RC-01=6",
        f"tarebook sign M-91 --why 'oil in it' {DANA} --on 2026-06-28",
    ))  # fmt: skip
    line, _ = gone.rows("tarebook match M-91")
    assert line["Verdict"] == "owner signs: signed by Dana Field on 2026-06-28"


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("weight-ticket M-92 RC-01=9", '"M-92" names no shipment. The last ones: M-91.'),
        ("weight-ticket M-91 410-1=9", "Cylinder 410-1 was not in shipment M-91. It had RC-01."),
        ("weight-ticket M-91 RC-01", '"RC-01" is no cylinder with its weight.'),
        ("weight-ticket M-91 RC-01=27/36", "RC-01: gross 27 lb, tare 36 lb."),
        ("weight-ticket M-91", "No weight is given."),
        ("analysis M-91 --result good", '"good" is no result.'),
        ("analysis M-91 --result mixed --purity 196", '"196" is no percentage.'),
        ("credit M-91 cheap", '"cheap" is not an amount of money.'),
        ("destruction M-91", "Number of the certificate is not given."),
        ("sign M-91", "What explains the difference is not given."),
    ],
)
def test_a_paper_that_does_not_fit_is_refused(gone: Shop, line: str, said: str) -> None:
    assert gone.no(f"tarebook {line}").startswith(said)


def test_a_paper_whose_shipment_was_taken_back_is_told_of(gone: Shop) -> None:
    gone.all((
        "tarebook weight-ticket M-91 RC-01=9",
        "tarebook reverse 20 --because 'another cylinder went'",
    ))  # fmt: skip
    said = "\n".join(gone.ok("tarebook match"))
    assert "The weight ticket of entry 21 names entry 20, which is no shipment any more." in said


def test_the_workings_name_the_entries_and_the_tolerance(gone: Shop) -> None:
    gone.ok("tarebook weight-ticket M-91 RC-01=9")
    said = "\n".join(gone.ok("tarebook match --explain"))
    assert "our net: 9.10 lb, gross less tare (entry 20)" in said
    assert "tolerance other-scale: within 0.5 lb, explain up to 1.5 lb" in said
