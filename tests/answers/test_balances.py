"""What cylinders, circuits and parties come to, worked by hand."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from ledger.answers.balances import MOST_ENTRIES, Asked, Balance, balances, grouped
from ledger.answers.holdings import Home, MovementRow, Placed, fold
from ledger.answers.routes import FAMILIES
from ledger.facts.facts import holder
from tests.oracle.ledgers import Rows, lb

WARM, COLD = "2025-06-10", "2025-12-01"


def closings(found: list[Balance]) -> dict[tuple[str, ...], int]:
    """The closing of each key, without those that are nothing."""
    return {one.key: one.closing for one in found if one.closing}


@pytest.fixture
def shop() -> Rows:
    """A delivery, a charge, a recovery for its owner, and what went to the reclaimer."""
    rows = Rows()
    rows.receive(WARM, "410-1", 25)
    rows.charge("2025-06-12", "410-1", "RTU-1", 4.5)
    rows.recover("2025-07-01", "RTU-2", "RC-1", 7, "Harbor Foods")
    rows.move(
        COLD, "cylinder:RC-1", "party:Reclaim", 5, "shipment", stock="recovered",
        owner="Harbor Foods",
    )  # fmt: skip
    return rows


def test_a_cylinder_holds_what_came_in_less_what_went_out(shop: Rows) -> None:
    found = closings(balances(shop.in_order(), Asked(("cylinder",))))
    assert found == {("410-1",): lb(20.5), ("RC-1",): lb(2)}


def test_stock_and_owner_are_those_of_the_contents(shop: Rows) -> None:
    found = closings(balances(shop.in_order(), Asked(("stock", "owner"))))
    assert found == {("virgin", ""): lb(20.5), ("recovered", "Harbor Foods"): lb(2)}


def test_a_circuit_is_net_added_and_may_be_below_zero(shop: Rows) -> None:
    found = closings(balances(shop.in_order(), Asked(("circuit",))))
    assert found == {("RTU-1",): lb(4.5), ("RTU-2",): -lb(7)}


def test_a_party_is_what_went_to_it_less_what_came_from_it(shop: Rows) -> None:
    found = balances(shop.in_order(), Asked(("party", "stock")))
    assert closings(found) == {("Depot", "virgin"): -lb(25), ("Reclaim", "recovered"): lb(5)}
    assert found[0].amount("received from them") == lb(25)


def test_what_is_neither_cylinder_nor_circuit_nor_party_is_kept_by_name() -> None:
    rows = Rows()
    rows.move(WARM, "brought-forward:opening", "cylinder:A", 9, "opening")
    rows.move(WARM, "cylinder:A", "difference:heel", 1, "heel")
    rows.move(WARM, "cylinder:A", holder("air"), 2, "release")
    found = closings(balances(rows.in_order(), Asked(("holder",))))
    assert found == {
        ("brought-forward:opening",): -lb(9), ("difference:heel",): lb(1), ("air:",): lb(2),
    }  # fmt: skip


def test_all_together_is_one_balance(shop: Rows) -> None:
    (whole,) = balances(shop.in_order(), Asked())
    assert (whole.key, whole.opening, whole.closing) == ((), 0, lb(22.5))


@pytest.mark.parametrize(
    ("source", "target", "purpose", "column", "sign"),
    [
        ("party:Depot", "cylinder:A", "receipt", "received", 1),
        ("party:Depot", "cylinder:A", "return to us", "received", 1),
        ("brought-forward:opening", "cylinder:A", "opening", "brought forward", 1),
        ("circuit:U", "cylinder:A", "recovery", "recovered", 1),
        ("difference:count", "cylinder:A", "difference", "differences", 1),
        ("cylinder:A", "circuit:U", "addition", "charged", -1),
        ("cylinder:A", "party:Reclaim", "shipment", "shipped", -1),
        ("cylinder:A", "party:Depot", "return", "returned", -1),
        ("cylinder:A", "difference:heel", "heel", "heel", -1),
        ("cylinder:A", "air:", "release", "released", -1),
        ("cylinder:A", "difference:count", "difference", "differences", 1),
    ],
)
def test_every_purpose_has_its_column(
    source: str, target: str, purpose: str, column: str, sign: int
) -> None:
    rows = Rows()
    rows.receive("2025-01-01", "A", 50)
    rows.move(WARM, source, target, 3, purpose)
    (one,) = balances(rows.in_order(), Asked(("cylinder",), first="2025-02-01"))
    moved = one.closing - one.opening
    assert abs(moved) == lb(3)
    assert sign * one.amount(column) == moved
    assert one.difference == 0


def test_a_charge_from_a_cylinder_nobody_named_is_charged_and_a_difference() -> None:
    rows = Rows()
    rows.charge(WARM, "", "RTU-1", 3)
    rows.move(WARM, "circuit:RTU-1", "difference:no cylinder named", 1, "recovery")
    (one,) = balances(rows.in_order(), Asked(("refrigerant",)))
    assert (one.amount("charged"), one.amount("recovered")) == (lb(3), lb(1))
    assert (one.amount("differences"), one.closing) == (lb(2), 0)


def test_what_others_added_stands_beside_our_stock() -> None:
    rows = Rows()
    rows.move(WARM, "party:Other Firm", "circuit:RTU-1", 6, "addition by others")
    rows.move(WARM, "circuit:RTU-1", "air:", 2, "release")
    (one,) = balances(rows.in_order(), Asked(("refrigerant",)))
    assert (one.closing, one.difference) == (0, 0)
    assert one.amount("added by others") == lb(6)
    assert one.amount("released from circuits") == lb(2)
    assert closings(balances(rows.in_order(), Asked(("circuit",)))) == {("RTU-1",): lb(4)}
    assert closings(balances(rows.in_order(), Asked(("party",)))) == {("Other Firm",): -lb(6)}


# -- put together -----------------------------------------------------------------------------


def test_virgin_and_recovered_put_together_are_recovered() -> None:
    rows = Rows()
    rows.receive(WARM, "A", 10)
    rows.recover("2025-07-01", "RTU-1", "A", 4, "Harbor Foods")
    found = {one.key: one for one in balances(rows.in_order(), Asked(("stock", "owner")))}
    assert closings(list(found.values())) == {("recovered", "shared"): lb(14)}
    assert found["virgin", ""].amount("put together") == -lb(10)
    assert found["recovered", "Harbor Foods"].amount("put together") == -lb(4)
    assert found["recovered", "shared"].amount("put together") == lb(14)
    assert {one.difference for one in found.values()} == {0}


def test_two_refrigerants_put_together_are_mixed() -> None:
    rows = Rows()
    rows.receive(WARM, "A", 12.7, what="R-22")
    rows.receive("2025-07-30", "A", 5.2, what="R-410A")
    rows.move("2025-08-20", "cylinder:A", "party:Reclaim", 17.9, "shipment", what="mixed")
    before = balances(rows.in_order(), Asked(("refrigerant",), last="2025-08-01"))
    assert closings(before) == {("mixed",): lb(17.9)}
    after = balances(rows.in_order(), Asked(("refrigerant",)))
    assert closings(after) == {}
    assert {one.difference for one in after} == {0}


def test_what_leaves_under_another_name_still_leaves_the_cylinder() -> None:
    rows = Rows()
    rows.receive(WARM, "A", 10, what="R-22")
    rows.charge("2025-07-01", "A", "RTU-1", 4, what="R-410A")
    found = {one.key[0]: one for one in balances(rows.in_order(), Asked(("refrigerant",)))}
    assert found["R-22"].closing == lb(6)
    assert found["R-410A"].closing == 0
    assert found["R-410A"].amount("charged") == found["R-410A"].amount("put together") == lb(4)


def test_an_emptied_cylinder_takes_the_class_of_what_comes_next() -> None:
    rows = Rows()
    rows.receive(WARM, "A", 10)
    rows.charge("2025-06-11", "A", "RTU-1", 10)
    rows.recover("2025-06-12", "RTU-1", "A", 3, "Harbor Foods")
    found = balances(rows.in_order(), Asked(("stock",)))
    assert closings(found) == {("recovered",): lb(3)}
    assert not any(one.amount("put together") for one in found)


def test_on_one_day_without_times_what_came_in_was_there_before_what_went_out() -> None:
    rows = Rows()
    rows.charge(WARM, "A", "RTU-1", 10)
    rows.receive(WARM, "A", 10)
    rows.recover("2025-06-12", "RTU-1", "A", 3, "Harbor Foods")
    assert closings(balances(rows.in_order(), Asked(("stock",)))) == {("recovered",): lb(3)}


def test_times_of_one_day_decide_what_was_put_together() -> None:
    rows = Rows()
    rows.receive("2025-06-01", "A", 10)
    rows.recover(WARM, "RTU-1", "A", 3, "Harbor Foods")
    rows.made[-1] = rows.made[-1]._replace(time="15:00")
    rows.charge(WARM, "A", "RTU-1", 10, time="09:00")
    found = closings(balances(rows.in_order(), Asked(("stock", "owner"))))
    assert found == {("recovered", "Harbor Foods"): lb(3)}


def test_what_left_at_no_known_time_left_last() -> None:
    rows = Rows()
    rows.receive("2025-06-01", "A", 10)
    rows.charge(WARM, "A", "RTU-1", 10)
    rows.recover(WARM, "RTU-1", "A", 3, "Harbor Foods")
    rows.made[-1] = rows.made[-1]._replace(time="15:00")
    found = closings(balances(rows.in_order(), Asked(("stock", "owner"))))
    assert found == {("recovered", "shared"): lb(3)}


def test_a_cylinder_below_nothing_is_shown_under_what_was_taken() -> None:
    rows = Rows()
    rows.charge(WARM, "begun", "RTU-1", 5)
    assert closings(balances(rows.in_order(), Asked(("refrigerant", "stock")))) == {
        ("R-410A", "virgin"): -lb(5)
    }


# -- periods, places, filters -----------------------------------------------------------------


def test_years_open_where_the_last_one_closed_and_idle_years_are_there() -> None:
    rows = Rows()
    rows.receive("2023-05-01", "A", 25)
    rows.charge("2025-02-01", "A", "RTU-1", 4)
    found = balances(rows.in_order(), Asked(("period", "refrigerant"), unit="year"))
    told = [(one.key[0], one.opening, one.closing) for one in found]
    assert told == [("2023", 0, lb(25)), ("2024", lb(25), lb(25)), ("2025", lb(25), lb(21))]


def test_periods_go_on_to_the_day_of_the_answer() -> None:
    rows = Rows()
    rows.receive("2025-02-01", "A", 25)
    found = balances(rows.in_order(), Asked(("period",), unit="quarter", last="2025-08-15"))
    assert [one.key for one in found] == [("2025-Q1",), ("2025-Q2",), ("2025-Q3",)]
    assert found[-1].period.last == "2025-08-15"


def test_months_of_circuits_carry_their_net_along() -> None:
    rows = Rows()
    rows.charge("2025-01-31", "", "RTU-1", 4)
    rows.recover("2025-03-01", "RTU-1", "A", 1, "")
    found = balances(rows.in_order(), Asked(("circuit", "period"), unit="month"))
    told = [(one.key[1], one.opening, one.closing) for one in found]
    assert told == [
        ("2025-01", 0, lb(4)), ("2025-02", lb(4), lb(4)), ("2025-03", lb(4), lb(3)),
    ]  # fmt: skip


def test_from_day_to_day_both_ends_count() -> None:
    rows = Rows()
    for day in ("2025-03-01", "2025-03-02", "2025-03-03", "2025-03-04"):
        rows.receive(day, "A", 1)
    (one,) = balances(rows.in_order(), Asked(first="2025-03-02", last="2025-03-03"))
    assert (one.opening, one.amount("received"), one.closing) == (lb(1), lb(2), lb(3))
    assert one.period.label == "2025-03-02 to 2025-03-03"


def test_contents_move_with_their_cylinder_on_the_day_it_moves() -> None:
    rows = Rows()
    rows.receive("2025-03-01", "A", 25)
    rows.charge("2025-03-10", "A", "RTU-1", 5)
    placed = [
        Placed("", "A", "Warehouse", 1), Placed("2025-03-10", "A", "Truck 2", 7),
        Placed("2025-04-01", "A", "Truck 3", 9),
    ]  # fmt: skip
    asked = Asked(("place",), last="2025-03-31")
    found = {one.key[0]: one for one in balances(rows.in_order(), asked, placed)}
    assert {name: one.closing for name, one in found.items()} == {
        "Warehouse": 0, "Truck 2": lb(20),
    }  # fmt: skip
    assert found["Warehouse"].amount("moved out") == lb(25)
    assert found["Truck 2"].amount("moved in") == lb(25)
    assert found["Truck 2"].amount("charged") == lb(5)
    assert {one.difference for one in found.values()} == {0}


def test_moves_are_not_told_where_nobody_asks_for_places() -> None:
    rows = Rows()
    rows.receive("2025-03-01", "A", 25)
    placed = [Placed("2025-03-10", "A", "Truck 2", 7)]
    (one,) = balances(rows.in_order(), Asked(("refrigerant",)), placed)
    assert (one.amount("moved in"), one.amount("moved out"), one.difference) == (0, 0, 0)
    (one,) = balances(rows.in_order(), Asked(("cylinder",), {"place": "Truck 2"}), placed)
    assert (one.amount("moved in"), one.closing) == (lb(25), lb(25))


def test_a_later_word_on_the_same_day_is_the_place() -> None:
    rows = Rows()
    rows.receive("2025-03-01", "A", 25)
    placed = [Placed("2025-03-05", "A", "Truck 4"), Placed("2025-03-05", "A", "Truck 2")]
    found = balances(rows.in_order(), Asked(("place",)), placed)
    assert closings(found) == {("Truck 2",): lb(25)}


def test_a_cylinder_that_stays_has_not_moved() -> None:
    rows = Rows()
    rows.receive("2025-03-01", "A", 25)
    placed = [Placed("", "A", "Truck 2"), Placed("2025-03-05", "A", "Truck 2")]
    (one,) = balances(rows.in_order(), Asked(("place",)), placed)
    assert (one.amount("moved in"), one.amount("moved out")) == (0, 0)


@pytest.mark.parametrize(
    ("keep", "expected"),
    [
        ({"refrigerant": "R-22"}, {("B",): lb(30)}),
        ({"stock": "virgin"}, {("A",): lb(10), ("B",): lb(30)}),
        ({"owner": "Harbor Foods"}, {("RC-1",): lb(3)}),
        ({"cylinder": "A", "refrigerant": "R-410A"}, {("A",): lb(10)}),
        ({"cylinder": "A", "refrigerant": "R-22"}, {}),
    ],
)
def test_a_balance_is_kept_to_what_is_asked(
    keep: dict[str, str], expected: dict[tuple[str, ...], int]
) -> None:
    rows = Rows()
    rows.receive(WARM, "A", 10)
    rows.receive(WARM, "B", 30, what="R-22")
    rows.recover(WARM, "RTU-1", "RC-1", 3, "Harbor Foods")
    assert closings(balances(rows.in_order(), Asked(("cylinder",), keep))) == expected


def test_circuits_are_kept_to_the_site_and_owner_of_the_day() -> None:
    rows = Rows()
    rows.charge("2025-03-01", "", "RTU-1", 4)
    rows.charge("2025-09-01", "", "RTU-1", 2)
    rows.charge("2025-09-01", "", "RTU-9", 8)
    homes = {"RTU-1": (Home("", "Store 14", "Harbor"), Home("2025-06-01", "Store 20", "Mill"))}
    found = closings(balances(rows.in_order(), Asked(("site", "owner")), homes=homes))
    assert found == {
        ("Store 14", "Harbor"): lb(4), ("Store 20", "Mill"): lb(2), ("", ""): lb(8),
    }  # fmt: skip
    one = balances(rows.in_order(), Asked(("circuit",), {"site": "Store 20"}), homes=homes)
    assert closings(one) == {("RTU-1",): lb(2)}


def test_a_circuit_after_a_retrofit_has_two_refrigerants() -> None:
    rows = Rows()
    rows.charge("2025-03-01", "", "RACK", 9, what="R-22")
    rows.charge("2025-09-01", "", "RACK", 5, what="R-448A")
    rows.charge("2025-09-02", "", "RACK", 1, what="R-22")
    found = closings(balances(rows.in_order(), Asked(("circuit", "refrigerant"))))
    assert found == {("RACK", "R-22"): lb(10), ("RACK", "R-448A"): lb(5)}


@pytest.mark.parametrize(
    "asked",
    [Asked(("circuit", "cylinder")), Asked(("circuit", "place")), Asked(("party",), {"site": "S"})],
)
def test_dimensions_that_do_not_go_together_are_named(asked: Asked) -> None:
    with pytest.raises(ValueError, match="not a dimension of"):
        balances([], asked)


def test_an_unknown_unit_of_time_is_named() -> None:
    rows = Rows()
    rows.receive(WARM, "A", 10)
    with pytest.raises(ValueError, match="'week' is not one of year, quarter, month"):
        balances(rows.in_order(), Asked(("period",), unit="week"))


def test_nothing_moved_is_no_balance() -> None:
    assert balances([], Asked(("cylinder",))) == []
    assert balances([], Asked(("period",), unit="year")) == []


# -- workings ---------------------------------------------------------------------------------


def test_the_working_names_every_entry_behind_the_sum() -> None:
    rows = Rows()
    rows.receive("2024-02-01", "A", 25)
    rows.receive("2025-02-01", "B", 25)
    rows.charge("2025-02-03", "A", "RTU-1", 4.25)
    rows.transfer("2025-02-04", "A", "B", 2)
    asked = Asked(("refrigerant", "period"), unit="year", first="2025-01-01")
    (one,) = balances(rows.in_order(), asked)
    assert one.working().to_lines() == [
        "Balance of refrigerant R-410A, 2025",
        "  opening + received + transferred in - charged - transferred out = closing",
        "  opening: 25.00 lb",
        "  received: 25.00 lb (entry 2)",
        "  transferred in: 2.00 lb (entry 4)",
        "  charged: 4.25 lb (entry 3)",
        "  transferred out: 2.00 lb (entry 4)",
        "  = 45.75 lb",
    ]
    assert one.figure().text == "45.75 lb"
    assert one.figure().working() == one.working()


def test_the_working_of_a_circuit_is_a_net_and_keeps_what_stands_beside_apart() -> None:
    rows = Rows()
    rows.charge(WARM, "A", "RTU-1", 4)
    rows.move(WARM, "party:Other Firm", "circuit:RTU-1", 6, "addition by others")
    rows.recover(WARM, "RTU-1", "A", 0.5, "")
    (one,) = balances(rows.in_order(), Asked(("circuit",)))
    assert one.working().to_lines() == [
        "Balance of circuit RTU-1",
        "  opening + added + added by others - recovered = net",
        "  opening: 0.00 lb",
        "  added: 4.00 lb (entry 1)",
        "  added by others: 6.00 lb (entry 2)",
        "  recovered: 0.50 lb (entry 3)",
        "  = 9.50 lb",
    ]
    (stock,) = balances(rows.in_order(), Asked())
    assert "  added by others (beside the sum): 6.00 lb (entry 2)" in stock.working().to_lines()


def test_a_place_is_explained_by_the_entry_that_moved_the_cylinder() -> None:
    rows = Rows()
    rows.receive("2025-03-01", "A", 25)
    placed = [Placed("2025-03-10", "A", "Truck 2", 7)]
    found = balances(rows.in_order(), Asked(("place",)), placed)
    assert [one.title for one in found] == ["place not recorded", "place Truck 2"]
    assert "  moved in: 25.00 lb (entry 7)" in found[1].working().to_lines()


def test_rows_that_can_be_read_once_are_explained_too() -> None:
    rows = Rows()
    rows.receive(WARM, "A", 25)
    once: Iterator[MovementRow] = iter(rows.in_order())
    (one,) = balances(once, Asked(("cylinder",)))
    assert "  received: 25.00 lb (entry 1)" in one.working().to_lines()


def test_a_long_list_of_entries_is_cut_and_says_so() -> None:
    rows = Rows()
    for _ in range(MOST_ENTRIES + 3):
        rows.receive(WARM, "A", 1)
    (one,) = balances(rows.in_order(), Asked())
    working = one.working()
    assert working.inputs[1].entries == tuple(range(1, MOST_ENTRIES + 1))
    assert working.notes == (f"received: the first {MOST_ENTRIES} of {MOST_ENTRIES + 3} entries.",)


def test_ounces_are_not_rounded_away_in_a_working() -> None:
    rows = Rows()
    rows.receive(WARM, "A", 1)
    rows.made[0] = rows.made[0]._replace(mass=lb(1) + lb(1) // 16)
    (one,) = balances(rows.in_order(), Asked())
    assert one.working().result == "1.0625 lb"


def test_one_fold_answers_every_grouping(shop: Rows) -> None:
    (closing,) = fold(shop.in_order())
    for family, names in FAMILIES.items():
        for name in names.dimensions:
            asked = Asked((name,))
            if asked.family() == family:
                found = list(grouped(closing, family, (name,)))
                assert found == balances(shop.in_order(), asked)
