"""A whole visit in one entry: the example job of a split system, and what is asked or refused."""

from __future__ import annotations

import pytest

from tests.cli.shop import Shop

SPLIT = (
    'tarebook add unit HP-1 --site Hotel --refrigerant R-410A --full-charge "8.25 lb maker"'
    ' --category "comfort cooling" --subsector "residential or light commercial"'
    " --installed 2021-04-01"
)
DANA = '--by "Dana Field" --ticket WO-77'
JOB = (
    "tarebook visit HP-1 --arrived 13:40 --departed 15:10 --complaint warm"
    ' --before split=13 --before subcooling=2 --search bubbles --place "flare nut"'
    ' --told "2 to 4" --price 45 --agreed-by "R. Moss" --agreed-at 14:05'
    " --charge 410-1=21.40,20.15,18.90,18.25 --wait 5 --wait 5 --wait 20"
    ' --recover RC-01=31.20,31.50 --repaired "flare nut=tightened" --tested pass'
    f" --after split=20 --after subcooling=8 --outcome cooling --scale B1 {DANA}"
)
"""The job of the trade brief: 3.15 lb in by three stages, 0.30 lb taken back, 2.85 lb net."""


@pytest.fixture
def hotel(shop: Shop) -> Shop:
    """The shop with a split heat pump at the hotel."""
    shop.ok(SPLIT)
    return shop


def test_the_whole_job_is_one_entry_with_its_pounds_net(hotel: Shop) -> None:
    said = hotel.ok(JOB)
    assert said[0].startswith("Recorded as entry 20: visit at HP-1: 13:40 to 15:10; warm")
    assert any("(annualizing: 2.85 lb of 8.3 lb" in line for line in said)
    assert not [line for line in said if line.startswith("Note:")]
    moved = [row for row in hotel.rows("tarebook movements") if row["Ticket"] == "WO-77"]
    assert [row["Amount (lb)"] for row in moved] == ["3.15", "0.30"]


def test_show_tells_everything_of_a_visit(hotel: Shop) -> None:
    hotel.ok(JOB)
    shown = "\n".join(hotel.ok("tarebook show 20"))
    for part in (
        "readings before: split 13 F, subcooling 2 F",
        "readings after: split 20 F, subcooling 8 F",
        "told 2 lb to 4 lb, $45.00 a pound, agreed by R. Moss at 14:05",
        "leak inspection at HP-1: flare nut; bubbles",
        "waited after the stages: 5, 5, 20 minutes",
        "gross 21.40 lb, 20.15 lb, 18.90 lb, 18.25 lb on scale B1",
        "initial verification test at HP-1: pass, flare nut",
    ):
        assert part in shown


def test_what_was_not_agreed_is_said(hotel: Shop) -> None:
    said = hotel.ok(JOB.replace('"2 to 4"', '"1 to 2"'))
    assert "Note: 2.85 lb went in; the customer agreed to 1.00 to 2.00 lb." in said


def test_a_dry_run_writes_nothing(hotel: Shop) -> None:
    head = hotel.ok("tarebook head")
    assert hotel.ok(f"{JOB} --dry-run")[0].startswith("Would be entry 20: visit at HP-1")
    assert hotel.ok("tarebook head") == head


def test_a_key_makes_a_visit_safe_to_send_twice(hotel: Shop) -> None:
    hotel.ok(f"{JOB} --key K1")
    assert hotel.ok(f"{JOB} --key K1")[0].startswith("Already recorded as entry 20")


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("--before hot=1", '"hot" is no reading. Readings: suction'),
        ("--before split", '"split" is no reading. Write it like "suction=118".'),
        ("--before split=warm", '"warm" is no split in F.'),
        ("--told 4-8", '"4-8" can be read'),
        ('--told "4 to 2"', '"4 to 2" is no range of pounds.'),
        ("--charge 410-1", '"410-1" is no cylinder with its weights.'),
        ("--charge 410-1=18,21", "The cylinder got heavier"),
        ("--tested maybe", '--tested is "maybe". Write pass or fail.'),
        ("--arrived 25:61", '"25:61"'),
        ("--place nut --no-leak", "A leak was found and none was."),
        ('--repaired "coil=brazed"', 'No leak "coil" of HP-1 is on record'),
    ],
)
def test_what_cannot_be_read_is_said_and_nothing_is_written(
    hotel: Shop, line: str, said: str
) -> None:
    head = hotel.ok("tarebook head")
    assert hotel.no(f"tarebook visit HP-1 {line} {DANA}").startswith(said)
    assert hotel.ok("tarebook head") == head
