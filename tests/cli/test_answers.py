"""The two times of an answer, and the forms it takes."""

from __future__ import annotations

import json

import pytest

from tests.cli.shop import Shop

DANA = '--by "Dana Field"'


def total(shop: Shop, line: str) -> str:
    """The first word of an answer."""
    return shop.ok(f"tarebook {line}")[0].split()[0]


def test_what_was_known_on_a_day_ends_with_that_day_at_the_shop(shop: Shop) -> None:
    # 03:30 UTC on 2 July is the evening of 1 July in Chicago.
    shop.environment["TAREBOOK_CLOCK"] = "2026-07-02T03:30:00+00:00"
    shop.ok(f"tarebook charge RTU-1 5 --from 410-1 {DANA}")
    assert total(shop, "balance --known-at 2026-07-01") == "145.00"
    assert total(shop, "balance --known-at 2026-06-30") == "150.00"
    assert total(shop, "balance --known-at 18") == "150.00"
    assert "[no-such-entry]" in shop.no("tarebook balance --known-at 0")
    assert total(shop, "balance --as-of 2026-06-30") == "150.00"
    assert total(shop, "balance --as-of 7/1/2026") == "145.00"


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("balance --as-of 6/31/2026", '"6/31/2026" is not a date: June has 30 days.'),
        ("balance --known-at soon", '"soon" is not a date'),
        ("balance --by color", "A balance is not taken by color. Choose of cylinder, place,"),
        ("balance --stock new", '"new" is no stock kind. Choose virgin,'),
        ("balance --place Nowhere", 'No place "Nowhere" is in the book. Check the name; tarebook'),
        ("balance --site 'Stor 14'", 'No site "Stor 14" is in the book. Near: Store 14. Check the'),
        ("balance --refrigerant 407", '"407": '),
        ("rates RTU-2", "RTU-2 has 2 circuits: RTU-2/A, RTU-2/B."),
        ("history RTU-9", 'No unit or circuit "RTU-9" is in the book. Near: RTU-1, RTU-2/B,'),
        ("balance --csv --json", "An answer takes one form. Give one of --json, --csv and --xlsx."),
    ],
)
def test_a_filter_that_names_nothing_is_refused(shop: Shop, line: str, said: str) -> None:
    assert shop.no(f"tarebook {line}").startswith(said)


@pytest.mark.parametrize(
    "line",
    ["balance", "balance --by cylinder", "rates", "history RTU-1", "cylinders", "pounds",
     "list cylinder", "find RTU-1"],
)  # fmt: skip
def test_every_answer_says_the_same_in_every_form(shop: Shop, line: str) -> None:
    shop.ok(f"tarebook charge RTU-1 5 --from 410-1 {DANA}")
    shown = shop.ok(f"tarebook {line}")
    told = json.loads("\n".join(shop.ok(f"tarebook {line} --json")))
    assert told["answer"] == shown[0]
    assert told["head"]["number"] == 19
    assert len(shop.rows(f"tarebook {line}")) == len(told["rows"])
    assert shop.ok(f"tarebook {line} --xlsx out.xlsx") == ["Wrote out.xlsx."]
    assert (shop.folder / "out.xlsx").read_bytes()[:2] == b"PK"
    assert "[file-exists]" in shop.no(f"tarebook {line} --xlsx out.xlsx")
