"""Whether two records are of one job: cases of the trade, and laws that hold for any two."""

from __future__ import annotations

import random
from dataclasses import dataclass
from datetime import date
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ledger.facts.mass import OUNCE, POUND, Mass, of_decimal
from ledger.intake.addresses import address_of
from ledger.intake.job_index import Index, pairs_of
from ledger.intake.quantities import parse_quantity
from ledger.intake.same_job import (
    NOWHERE,
    Place,
    Record,
    circuit_key,
    likeness,
    ounces_misread,
    ticket_key,
)

RACK = Place("racka", "store 14", None, (), True)
RACK_B = Place("rackb", "store 14", None, (), True)
STORE = Place("store14", "store 14")
OTHER = Place("chiller", "hotel", None, (), True)
LOOSE = Place("racka", "", None, (), True)
"""The unit as a sheet names it that knows nothing of its site."""


def house(text: str, site: str = "") -> Place:
    """A house whose address is all the name it has."""
    return Place(circuit_key(text), site, address_of(text))


def mass(text: str) -> Mass:
    """An amount as people write it."""
    found = parse_quantity(text, "lb")
    assert hasattr(found, "mass"), text
    return found.mass


def record(
    amount: str, day: str = "2026-02-09", place: Place = RACK, way: int = 0,
    refrigerant: str = "R-448A", ticket: str = "", **more: Any,
) -> Record:  # fmt: skip
    """One record, as a test writes it."""
    return Record(
        way, date.fromisoformat(day).toordinal(), mass(amount), refrigerant, place,
        ticket=ticket_key(ticket), **more,
    )  # fmt: skip


@dataclass(frozen=True)
class Case:
    """Two records and whether they can be of one job; named after what it shows."""

    name: str
    one: Record
    other: Record
    same: bool


CASES = [
    # a rack and the office (scenario of two years at a six-truck shop, 9 February 2026)
    Case("technician and office, a day apart", record("95"), record("95", "2026-02-10"), True),
    Case("office first", record("95", "2026-02-10"), record("95"), True),
    # the letter, rows 1 and 2
    Case("lane spelled twice, 7 lb 6 oz and 7.4",
         record("7 lb 6 oz", "2025-06-03", house("411 Cordwain Ln"), 1, "R-410A", cylinder="rc-04"),
         record("7.4", "2025-06-03", house("411 Cordwain Lane"), 1, "R-410A"), True),
    Case("the house next door",
         record("7", place=house("41 Cordwain Ln")), record("7", place=house("43 Cordwain Ln")),
         False),
    Case("two houses of one route",
         record("7.4", place=house("411 Cordwain Ln", "route 3")),
         record("7.4", place=house("9 Pell Rd", "route 3")), False),
    # the catalogue of errors: days, pounds, ounces
    Case("two days", record("5", "2026-02-09"), record("5", "2026-02-11"), True),
    Case("three days", record("5", "2026-02-09"), record("5", "2026-02-12"), True),
    Case("four days", record("5", "2026-02-09"), record("5", "2026-02-13"), False),
    Case("half a pound", record("5"), record("5.5"), True),
    Case("more than half a pound", record("5"), record("5.51"), False),
    Case("4 lb 8 oz and 4.8", record("4 lb 8 oz"), record("4.8"), True),
    Case("4 lb 15 oz and 4.15", record("4 lb 15 oz"), record("4.15"), True),
    Case("4.15 and 4 lb 15 oz", record("4.15"), record("4 lb 15 oz"), True),
    Case("4 lb 14 oz and 4.14", record("4 lb 14 oz"), record("4.14"), True),
    Case("5 lb 15 oz and 4.15", record("5 lb 15 oz"), record("4.15"), False),
    Case("7 lb 10 oz and 7.10", record("7 lb 10 oz"), record("7.10"), True),
    Case("the example job: 2.85, keyed 2 lb 8 oz", record("2.85"), record("2 lb 8 oz"), True),
    Case("the example job: 2.8 written down", record("2.85"), record("2.8"), True),
    # direction, refrigerant
    Case("added and recovered", record("5"), record("5", way=1), False),
    Case("added by others and by us", record("5"), record("5", way=2), False),
    Case("other refrigerants", record("5"), record("5", refrigerant="R-404A"), False),
    Case("refrigerant in doubt", record("5"), record("5", refrigerant="unknown"), True),
    # places
    Case("two units of one site", record("5"), record("5", place=RACK_B), False),
    Case("the site, no unit", record("5"), record("5", place=STORE), True),
    Case("another site", record("5"), record("5", place=OTHER), False),
    Case("the unit, its site not known", record("5"), record("5", place=LOOSE), True),
    Case("no place on one", record("5"), record("5", place=NOWHERE), False),
    Case("no place on one, one ticket",
         record("5", ticket="4412"), record("5", place=NOWHERE, ticket="WO 4412"), True),
    Case("no place on both, the same pounds and day",
         record("8", place=NOWHERE), record("8", place=NOWHERE), True),
    Case("no place on both, other pounds",
         record("8", place=NOWHERE), record("8.1", place=NOWHERE), False),
    Case("two units, one weighing: the wrong unit",
         record("5", gross=(300, 295)), record("5", place=RACK_B, gross=(300, 295)), True),
    # what tells jobs apart
    Case("other tickets", record("5", ticket="4412"), record("5", ticket="4413"), False),
    Case("one ticket", record("5", ticket="T-4412"), record("5", ticket="#4412"), True),
    Case("a ticket on one", record("5", ticket="4412"), record("5"), True),
    Case("one ticket, keyed three weeks later",
         record("5", ticket="4412"), record("5", "2026-03-02", ticket="4412"), True),
    Case("one ticket, keyed next season",
         record("5", ticket="4412"), record("5", "2026-06-02", ticket="4412"), False),
    Case("one ticket, other pounds", record("5", ticket="4412"), record("9", ticket="4412"), False),
    Case("one ticket, another house",
         record("5", place=house("411 Cordwain Ln"), ticket="4412"),
         record("5", place=house("9 Pell Rd"), ticket="4412"), False),
    Case("other cylinders", record("5", cylinder="448-1"), record("5", cylinder="448-2"), False),
    Case("a cylinder on one", record("5", cylinder="448-1"), record("5"), True),
    Case("other weights", record("5", gross=(300, 295)), record("5", gross=(295, 290)), False),
    Case("other weights on one ticket: put right since",
         record("6.7", ticket="1", gross=(571, 504)), record("6.8", ticket="1", gross=(519, 451)),
         True),
    Case("two stages on one ticket",
         record("6.7", ticket="1", gross=(571, 504)), record("6.7", ticket="1", gross=(504, 437)),
         False),
    Case("another refrigerant on one ticket: put right since",
         record("8.6", ticket="1"), record("8.6", ticket="1", refrigerant="R-22"), True),
    Case("another refrigerant on one ticket, other pounds",
         record("8.6", ticket="1"), record("8.5", ticket="1", refrigerant="R-22"), False),
    Case("another refrigerant on one ticket at another unit",
         record("8.6", ticket="1"), record("8.6", place=RACK_B, ticket="1", refrigerant="R-22"),
         False),
    Case("weighed on one", record("5", gross=(300, 295)), record("5"), True),
    Case("two hours apart", record("5", minute=540), record("5", minute=660), True),
    Case("more than two hours apart", record("5", minute=540), record("5", minute=661), False),
    Case("over midnight", record("5", minute=1430), record("5", "2026-02-10", minute=20), True),
    Case("the same time on the next day",
         record("5", minute=845), record("5", "2026-02-10", minute=845), True),
]  # fmt: skip


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_two_records(case: Case) -> None:
    assert (likeness(case.one, case.other) is not None) is case.same
    assert (likeness(case.other, case.one) is not None) is case.same


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_the_index_finds_what_is_alike_and_nothing_else(case: Case) -> None:
    first, second = case.one._replace(entry=1), case.other._replace(entry=2)
    assert len(pairs_of([first, second])) == case.same
    index = Index()
    index.add(second)
    assert [one.entry for one, _ in index.like(first)] == ([2] if case.same else [])


@pytest.mark.parametrize(
    ("one", "other", "shown"),
    [
        ("4.8", "4 lb 8 oz", "4.8 lb and 4 lb 8 oz"),
        ("4.15", "4 lb 15 oz", "4.15 lb and 4 lb 15 oz"),
        ("7.1", "7 lb 10 oz", "7.1 lb and 7 lb 10 oz"),
        ("7.10", "7 lb 10 oz", "7.1 lb and 7 lb 10 oz"),
        ("4.05", "4 lb 5 oz", "4.05 lb and 4 lb 5 oz"),
        ("4.8", "4.8", ""),
        ("4.8", "4 lb 9 oz", ""),
        ("4.5", "4 lb 8 oz", ""),
        ("95", "95", ""),
    ],
)
def test_ounces_read_as_a_decimal(one: str, other: str, shown: str) -> None:
    assert ounces_misread(mass(one), mass(other)) == shown
    assert ounces_misread(mass(other), mass(one)) == shown


@given(st.integers(0, 500), st.integers(1, 15))
def test_every_number_of_ounces_is_seen_when_read_as_a_decimal(whole: int, ounces: int) -> None:
    right = Mass(whole * POUND + ounces * OUNCE)
    for text in {f"{whole}.{ounces}"} | ({f"{whole}.{ounces:02d}"} if ounces < 10 else set()):
        decimal = of_decimal(text, "lb")
        assert decimal is not None
        assert decimal == right or ounces_misread(decimal, right)


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        ("4412", "#4412", True), ("WO-04412", "4412", True), ("T 4412", "t-4412", True),
        ("4412-1", "4412-2", False), ("4412", "4413", False), ("PHONE", "phone", True),
        ("", "", True), ("A", "B", False),
    ],
)  # fmt: skip
def test_tickets(one: str, other: str, same: bool) -> None:
    assert (ticket_key(one) == ticket_key(other)) is same


_PLACES = st.sampled_from([
    NOWHERE, RACK, RACK_B, STORE, OTHER, LOOSE, Place("hp1", "pell", None, (), True),
    house("411 Cordwain Ln"), house("411 Cordwain Lane"), house("411 Cordwain Ln Apt 2"),
    house("413 Cordwain Ln"), house("9 Pell Rd", "route 3"), house("9 Pell Road"),
    Place("hp2", "cordwain", None, (address_of("411 Cordwain Lane, Alden"),), True),  # type: ignore[arg-type]
    Place("hp3", "cordwain", None, (address_of("411 Cordwain Ln"),), True),  # type: ignore[arg-type]
])  # fmt: skip
_RECORDS = st.builds(
    Record,
    way=st.sampled_from([0, 1, 2]),
    day=st.integers(739_000, 739_040),
    mass=st.one_of(
        st.integers(1, 400).map(lambda n: n * POUND // 100),
        st.integers(1, 80).map(lambda n: n * OUNCE),
    ),
    refrigerant=st.sampled_from(["R-410A", "R-22", "unknown", ""]),
    place=_PLACES,
    cylinder=st.sampled_from(["", "", "c1", "c2"]),
    ticket=st.sampled_from(["", "", "1", "2"]),
    minute=st.sampled_from([-1, -1, 540, 600, 800, 1430]),
    gross=st.sampled_from([(), (), (300, 295), (295, 290)]),
)


@settings(max_examples=500)
@given(_RECORDS, _RECORDS)
def test_it_does_not_matter_which_record_came_first(one: Record, other: Record) -> None:
    assert likeness(one, other) == likeness(other, one)


@settings(max_examples=500)
@given(_RECORDS, _RECORDS)
def test_different_circuits_at_different_addresses_are_never_one_job(
    one: Record, other: Record
) -> None:
    here, there = one.place.addresses, other.place.addresses
    apart = not {(a.house, a.street) for a in here} & {(b.house, b.street) for b in there}
    of_one_site = one.place.site == other.place.site != "" and (
        one.place.own is None or other.place.own is None
    )
    if one.place.circuit != other.place.circuit and here and there and apart and not of_one_site:
        assert likeness(one, other) is None


@settings(max_examples=200)
@given(st.lists(_RECORDS, max_size=25), st.integers())
def test_the_index_finds_the_pairs_that_comparing_all_finds(
    records: list[Record], seed: int
) -> None:
    numbered = [one._replace(entry=number) for number, one in enumerate(records, start=1)]
    wanted = {
        (a.entry, b.entry)
        for at, a in enumerate(numbered)
        for b in numbered[at + 1 :]
        if likeness(a, b) is not None
    }
    random.Random(seed).shuffle(numbered)
    found = pairs_of(numbered)
    assert {tuple(sorted((a.entry, b.entry))) for a, b, _ in found} == wanted
    assert len(found) == len(wanted)


@settings(max_examples=100)
@given(st.lists(_RECORDS, max_size=20), st.integers(739_000, 739_040))
def test_forgetting_old_days_loses_nothing_that_later_days_need(
    records: list[Record], day: int
) -> None:
    index = Index()
    for number, one in enumerate(sorted(records, key=lambda one: one.day), start=1):
        index.add(one._replace(entry=number))
    later = [one for one in records if one.day >= day]
    before = [[other.entry for other, _ in index.like(one._replace(entry=0))] for one in later]
    index.forget_before(day)
    assert [[o.entry for o, _ in index.like(one._replace(entry=0))] for one in later] == before
