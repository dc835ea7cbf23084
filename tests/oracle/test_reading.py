"""What answers are given from a book: by two times, joined records followed, on both engines."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import date
from typing import Any

import pytest

from ledger.answers.balances import Asked
from ledger.answers.leak_history import CategoryFrom, CircuitHistory, FullCharge, MethodFrom
from ledger.answers.leak_rate import rates
from ledger.book.journal import Book
from ledger.book.reading import (
    Cut,
    balances_of,
    circuit_histories,
    circuit_history_for,
    inventory_of,
    known_by,
    movements_of,
    pounds_of,
)
from ledger.facts.entry import Draft
from ledger.facts.facts import (
    BroughtForward,
    Described,
    Evidence,
    Fact,
    Joined,
    Movement,
    Repair,
    Reversal,
    SameLeak,
    UnknownAddition,
    Weighing,
)
from ledger.facts.facts import Test as Verification
from ledger.facts.mass import POUND, Mass, Quantity
from ledger.law.for_rates import law_for_rates
from tests.oracle.books import RECORDED, everything, fill

Say = Callable[..., int]
ALL = Cut()


def lb(pounds: int) -> Quantity:
    """Whole pounds."""
    return Quantity(Mass(pounds * POUND), f"{pounds} lb")


def added(circuit: str, pounds: int, cylinder: str = "A", claim: str = "") -> Movement:
    """An addition from a cylinder."""
    ends = f"cylinder:{cylinder}", f"circuit:{circuit}"
    return Movement(*ends, "R-22", lb(pounds), "addition", "virgin", claim=claim)


def taken(circuit: str, pounds: int, cylinder: str = "RC", claim: str = "") -> Movement:
    """A recovery into a cylinder."""
    ends = f"circuit:{circuit}", f"cylinder:{cylinder}"
    return Movement(*ends, "R-22", lb(pounds), "recovery", "recovered", "Harbor", claim=claim)


@pytest.fixture
def say(book: Book, clock: Any) -> Say:
    """A function that records facts of a day and gives the entry's number."""

    def record(day: str, *facts: Fact, ticket: str = "", time: str = "") -> int:
        with book.writing() as writer:
            key = f"entry {writer.head()[0] + 1}"
            draft = Draft(key, "test", day, facts, occurred_time=time, ticket=ticket)
            return writer.append(draft, clock.advance(60)).number

    return record


def history(book: Book, circuit: str = "U", cut: Cut = ALL) -> CircuitHistory:
    """The history of a circuit, which is the same alone and among all."""
    with book.reading() as reader:
        found = circuit_history_for(reader, cut, circuit)
        every = {one.circuit: one for one in circuit_histories(reader, cut)}
    assert found is not None
    assert plain(every[found.circuit]) == plain(found)
    return found


def plain(one: CircuitHistory) -> tuple[Any, ...]:
    """A history as a value that does not depend on the order of its movements."""
    return (
        one.circuit, sorted(one.additions), sorted(one.removals), one.full_charges, one.methods,
        one.categories, one.scope, one.unknown_additions, one.follow_ups, one.repairs,
        set(one.episodes), one.carried_last_addition,
    )  # fmt: skip


# -- two times --------------------------------------------------------------------------------


def test_what_counts_is_what_had_occurred_by_the_day(book: Book, say: Say) -> None:
    say("2026-03-01", added("U", 4))
    say("2026-03-02", added("U", 5))
    found = [part.mass // POUND for part in history(book, cut=Cut("2026-03-01")).additions]
    assert found == [4]


def test_what_counts_was_known_by_the_entry(book: Book, say: Say) -> None:
    first = say("2026-03-05", added("U", 4))
    late = say("2026-03-01", added("U", 5))
    assert len(history(book, cut=Cut("", first)).additions) == 1
    assert len(history(book, cut=Cut("", late)).additions) == 2
    with book.reading() as reader:
        assert list(circuit_histories(reader, Cut("", -1))) == []
        assert balances_of(reader, Cut("", -1), Asked(("circuit",))) == []
        assert circuit_history_for(reader, Cut("", -1), "U") is None


def test_a_reversal_counts_from_its_own_entry_on(book: Book, say: Say) -> None:
    wrong = say("2026-03-05", added("U", 4), added("U", 2))
    undo = say("2026-03-06", Reversal(wrong, (0,), "keyed to the wrong unit"))
    assert [part.line for part in history(book).additions] == [1]
    assert [part.line for part in history(book, cut=Cut("", wrong)).additions] == [0, 1]
    assert [part.line for part in history(book, cut=Cut("2026-03-05")).additions] == [1]
    with book.reading() as reader:
        for cut, pounds in ((Cut("", wrong), 6), (Cut("", undo), 2)):
            (one,) = balances_of(reader, cut, Asked(("circuit",)))
            assert one.closing == pounds * POUND


def test_known_by_a_moment_is_the_last_entry_of_then(book: Book, say: Say, clock: Any) -> None:
    before = clock.text()
    number = say("2026-03-05", added("U", 4))
    with book.reading() as reader:
        assert known_by(reader, clock.text()) == number
        assert known_by(reader, before) == number - 1
        assert known_by(reader, "1999-01-01T00:00:00.000000Z") == -1


def test_a_description_holds_by_its_own_day_whenever_it_was_recorded(book: Book, say: Say) -> None:
    say("2026-01-01", Described("circuit", "U", {"category": "comfort cooling"}, new="yes"))
    say("2026-02-01", added("U", 4))
    mend = say("2026-06-01", Described("circuit", "U", {"category": "other"}, "2026-01-15"))
    assert history(book, cut=Cut("2026-03-01")).categories == (
        CategoryFrom(None, "comfort cooling", 2),
        CategoryFrom(date(2026, 1, 15), "other", mend),
    )
    assert len(history(book, cut=Cut("2026-03-01", mend - 1)).categories) == 1


# -- random books -----------------------------------------------------------------------------


@pytest.mark.parametrize("seed", [3, 4])
def test_a_reversal_restores_every_answer(book: Book, say: Say, seed: int) -> None:
    fill(book, seed, 120)
    with book.reading() as reader:
        before, head = everything(reader, ALL), reader.head()[0]
    wrong = say(
        "2025-03-03", added("U-1", 9, "C-1"), taken("U-2", 3, "C-2"), UnknownAddition("U-3"),
        Verification("U-1", "follow-up", "pass"), Weighing("C-1", lb(99)), SameLeak("U-1", (3, 4)),
        Movement("cylinder:C-3", "cylinder:C-4", "R-22", lb(5), "transfer", "virgin"),
        Described("circuit", "U-1", {"category": "other"}, "2025-01-01"),
        Joined("circuit", "U-5", "U-6"), Repair("U-1"), BroughtForward("U-2", "2024-05-01"),
    )  # fmt: skip
    with book.reading() as reader:
        between = everything(reader, ALL)
    say("2026-01-01", Reversal(wrong, tuple(range(11)), "all of it was keyed by mistake"))
    with book.reading() as reader:
        assert everything(reader, ALL) == before
        assert everything(reader, Cut("", wrong)) == between != before
        assert everything(reader, Cut("", head)) == before


def test_one_by_one_or_all_in_streams_the_histories_are_the_same(book: Book) -> None:
    fill(book, 5, 160)
    with book.writing() as writer:
        for name, kept in (("U-7", "U-2"), ("U-2", "U-0"), ("U-3", "U-4")):
            facts = (Joined("circuit", name, kept),)
            writer.append(Draft(f"join {name}", "join", "2026-11-01", facts), RECORDED)
    for cut in (ALL, Cut("2025-10-01"), Cut("", 90)):
        with book.reading() as reader:
            every = list(circuit_histories(reader, cut))
            names = [one.circuit for one in every]
            singles = [circuit_history_for(reader, cut, name) for name in names]
            chosen = list(circuit_histories(reader, cut, names[:3]))
        assert names == sorted(names)
        assert [plain(one) for one in every] == [plain(one) for one in singles if one]
        assert [plain(one) for one in chosen] == [plain(one) for one in every[:3]]
    assert "U-0" in names and "U-7" in names  # at entry 90 nothing was joined yet


# -- joined records ---------------------------------------------------------------------------


def test_joined_records_answer_under_the_name_that_was_kept(book: Book, say: Say) -> None:
    say("2026-01-01", *(Described("circuit", name, {}, new="yes") for name in ("U", "u two")))
    say("2026-01-01", *(Described("cylinder", name, {}, new="yes") for name in ("A", "B")))
    say("2026-02-01", added("U", 4, "A"))
    before = say("2026-02-02", added("u two", 5, "B"))
    say("2026-06-01", Joined("circuit", "U Two", "U"), Joined("cylinder", "b", "A"))
    assert sorted(part.mass // POUND for part in history(book).additions) == [4, 5]
    assert history(book, "u two").circuit == "U"
    with book.reading() as reader:
        for by, key in (("circuit", "U"), ("cylinder", "A")):
            (one,) = balances_of(reader, ALL, Asked((by,)))
            assert (one.key, abs(one.closing)) == ((key,), 9 * POUND)
        assert len(balances_of(reader, Cut("", before), Asked(("circuit",)))) == 2
        assert [one.name for one in inventory_of(reader, ALL)] == ["A"]


def test_owners_and_suppliers_that_were_joined_are_one(book: Book, say: Say) -> None:
    say("2026-01-01", *(Described("party", name, {}, new="yes") for name in ("Harbor", "Harbour")))
    say("2026-02-01", taken("U", 4))
    say("2026-02-02", Movement("party:Harbour", "cylinder:A", "R-22", lb(2), "receipt", "virgin"))
    say("2026-06-01", Joined("party", "Harbor", "Harbour"))
    with book.reading() as reader:
        assert [one.key for one in balances_of(reader, ALL, Asked(("owner",)))] == [
            ("",), ("Harbour",),
        ]  # fmt: skip
        assert [one.key for one in balances_of(reader, ALL, Asked(("party",)))] == [("Harbour",)]


def test_the_movements_of_one_holder_are_found_by_all_its_names(book: Book, say: Say) -> None:
    say("2026-01-01", *(Described("cylinder", name, {}, new="yes") for name in ("A", "B", "C")))
    say("2026-02-01", added("U", 4, "A"))
    say("2026-02-02", added("U", 5, "B"), added("U", 6, "C"))
    say("2026-02-03", Movement("cylinder:A", "cylinder:C", "R-22", lb(1), "transfer"))
    say("2026-06-01", Joined("cylinder", "B", "A"))
    with book.reading() as reader:
        rows = list(movements_of(reader, ALL, "cylinder", "B"))
    assert [(row[5], row[7], row[9] // POUND) for row in rows] == [
        ("A", "U", 4), ("A", "U", 5), ("A", "C", 1),
    ]  # fmt: skip


# -- service events ---------------------------------------------------------------------------


def netted(book: Book) -> list[int]:
    """The pounds that count on each date, after what was recovered in the same event."""
    return [one.counted // POUND for one in rates(history(book), law_for_rates())]


@pytest.mark.parametrize(
    ("recover", "charge", "counted"),
    [
        (("2026-03-01", ""), ("2026-03-01", ""), 20),
        (("2026-03-01", "T1"), ("2026-03-01", "T1"), 20),
        (("2026-03-01", "T1"), ("2026-03-01", ""), 20),
        (("2026-03-01", ""), ("2026-03-01", "T1"), 20),
        (("2026-03-01", "T1"), ("2026-03-03", "T1"), 20),
        (("2026-03-01", "T1"), ("2026-03-01", "T2"), 100),
        (("2026-03-01", ""), ("2026-03-02", ""), 100),
        (("2026-03-01", "T1"), ("2026-03-02", ""), 100),
    ],
)
def test_a_recover_and_a_charge_of_one_event_are_set_off(
    book: Book, say: Say, recover: tuple[str, str], charge: tuple[str, str], counted: int
) -> None:
    say(recover[0], taken("U", 80), ticket=recover[1])
    say(charge[0], added("U", 100), ticket=charge[1])
    assert netted(book) == [counted]


def test_with_two_tickets_a_day_what_has_none_is_an_event_of_its_own(book: Book, say: Say) -> None:
    say("2026-03-01", taken("U", 80), ticket="T1")
    say("2026-03-01", added("U", 10), ticket="T2")
    say("2026-03-01", added("U", 100))
    assert netted(book) == [110]
    say("2026-03-01", taken("U", 30))
    assert netted(book) == [80]


def test_the_only_ticket_of_a_day_can_join_it_to_a_recovery_of_the_day_before(
    book: Book, say: Say
) -> None:
    say("2026-03-01", taken("U", 80), ticket="T1")
    say("2026-03-02", added("U", 50), ticket="T1")
    say("2026-03-02", added("U", 40))
    assert netted(book) == [10]


def test_another_firms_addition_is_no_part_of_our_event(book: Book, say: Say) -> None:
    say("2026-03-01", taken("U", 80))
    by_others = Movement("party:X", "circuit:U", "R-22", lb(30), "addition by others")
    say("2026-03-01", by_others)
    assert netted(book) == [30]
    (addition,) = history(book).additions
    assert (addition.by_others, addition.event) == (True, "")


def test_a_seasonal_removal_and_its_return_are_told_as_declared(book: Book, say: Say) -> None:
    say("2026-03-01", taken("U", 80, claim="seasonal"))
    say("2026-11-01", added("U", 80, claim="seasonal"))
    found = history(book)
    assert found.removals[0].seasonal
    assert [part.exempt for part in found.additions] == ["seasonal"]


# -- everything else a rate rests on ----------------------------------------------------------


def test_service_facts_become_what_rates_rest_on(book: Book, say: Say) -> None:
    say("2026-01-01", BroughtForward("U", "2025-05-06"), BroughtForward("V", "unknown"))
    first = say("2026-02-01", added("U", 3))
    second = say("2026-03-01", added("U", 4), SameLeak("U", (first,)))
    others = Movement(
        "party:X", "circuit:U", "R-22", lb(30), "addition by others", amount="estimated"
    )
    say("2026-03-02", others, UnknownAddition("U"))
    say("2026-03-03", Repair("U"), Verification("U", "initial", "pass"), time="09:00")
    say("2026-03-09", Verification("U", "follow-up", "pass", "some"), time="10:30")
    say("2026-03-10", Verification("U", "follow-up", "fail"))
    found = history(book)
    assert found.carried_last_addition == date(2025, 5, 6)
    assert history(book, "V").carried_last_addition is None
    assert found.episodes == (frozenset({first, second}),)
    assert [(part.estimated, part.by_others) for part in found.additions][-1] == (True, True)
    assert [part.on for part in found.unknown_additions] == [date(2026, 3, 2)]
    assert [part.on for part in found.repairs] == [date(2026, 3, 3)]
    assert [(part.time, part.all_leaks, part.passed) for part in found.follow_ups] == [
        ("10:30", False, True), ("", True, False),
    ]  # fmt: skip


def test_full_charge_is_a_series_of_figures_ranges_and_unknowns(book: Book, say: Say) -> None:
    charges: Iterable[tuple[str, Any]] = (
        ("", {"method": "range", "low": [1250 * POUND, "1250 lb"], "high": [1450 * POUND, "lb"]}),
        ("2025-06-25", {"method": "measured", "charge": [605 * POUND, "605 lb"]}),
        ("2026-01-01", "unknown"),
    )
    for since, charge in charges:
        say("2026-01-01", Described("circuit", "U", {"full charge": charge}, since))
    found = history(book).full_charges
    assert found == (
        FullCharge(2, None, None, 1250 * POUND, 1450 * POUND, "range"),
        FullCharge(3, date(2025, 6, 25), 605 * POUND, None, None, "measured"),
        FullCharge(4, date(2026, 1, 1), None),
    )
    assert found[0].halves() == 2700 * POUND


def test_the_method_is_that_of_the_site_where_the_unit_stood(book: Book, say: Say) -> None:
    say(
        "2025-01-01", Described("site", "S1", {"method": "rolling average"}),
        Described("site", "S2", {"method": "annualizing"}),
        Described("site", "S3", {}),
        Described("unit", "U", {"site": "S1"}), Described("circuit", "U", {"unit": "U"}),
    )  # fmt: skip
    changed = say(
        "2025-02-01", Described("site", "S2", {"method": "rolling average"}, "2025-09-01")
    )
    for site in ("S1", "S2"):  # the first of the two was mistyped
        say("2025-06-01", Described("unit", "U", {"site": site}, "2025-06-01"))
    say("2026-01-01", Described("unit", "U", {"site": "S3"}, "2026-01-01"))
    assert history(book).methods == (
        MethodFrom(None, "rolling average", 2),
        MethodFrom(date(2025, 6, 1), "annualizing", 2),
        MethodFrom(date(2025, 9, 1), "rolling average", changed),
        MethodFrom(date(2026, 1, 1), "annualizing", 0),
    )


def test_where_no_method_was_ever_chosen_the_history_has_none(book: Book, say: Say) -> None:
    say("2025-01-01", Described("unit", "U", {"site": "S"}), Described("site", "S", {}))
    say("2025-01-01", Described("circuit", "U", {"unit": "U"}), added("U", 3))
    assert history(book).methods == ()
    (rate,) = rates(history(book), law_for_rates())
    assert "method-not-recorded" in {note.code for note in rate.notes}


def test_the_scope_follows_the_refrigerant_of_the_day(book: Book, say: Say) -> None:
    charge = {"method": "maker", "charge": [640 * POUND, "640 lb"]}
    say(
        "2025-01-01",
        Described("circuit", "U", {
            "refrigerant": "R-22", "full charge": charge, "category": "commercial refrigeration",
        }),
        Described("circuit", "U", {"refrigerant": "R-448A"}, "2025-06-25"),
    )  # fmt: skip
    for day in ("2025-05-01", "2025-08-01", "2026-03-01"):
        say(day, added("U", 10))
    subparts = [rate.subpart for rate in rates(history(book), law_for_rates())]
    assert subparts == ["82", "", "84"]


@pytest.mark.parametrize(
    ("fields", "binds"),
    [
        ({"refrigerant": "R-410A", "category": "comfort cooling"}, "undecided"),
        ({"refrigerant": "R-410A", "category": "comfort cooling", "subsector": "chiller"}, "yes"),
        (
            {
                "refrigerant": "R-410A", "category": "comfort cooling",
                "subsector": "residential or light commercial",
            },
            "no",
        ),
        ({"category": "commercial refrigeration"}, "unknown"),
        ({"refrigerant": "R-744", "category": "commercial refrigeration"}, "no"),
    ],
)  # fmt: skip
def test_a_circuit_is_bound_by_what_is_recorded(
    book: Book, say: Say, fields: dict[str, Any], binds: str
) -> None:
    charge = {"full charge": {"method": "maker", "charge": [24 * POUND, "24 lb"]}}
    say("2026-01-01", Described("circuit", "U", {**fields, **charge}))
    last = history(book).scope[-1]
    assert [one.binds for one in last.bindings if one.subpart == "84"] == [binds]


def test_a_circuit_without_a_record_of_its_own_has_its_movements(book: Book, say: Say) -> None:
    say("2026-02-01", added("nowhere", 3))
    assert [part.mass // POUND for part in history(book, "nowhere").additions] == [3]
    with book.reading() as reader:
        assert circuit_history_for(reader, ALL, "never heard of") is None


# -- stock ------------------------------------------------------------------------------------


def test_the_cylinder_list_of_a_day(book: Book, say: Say) -> None:
    say(
        "2026-01-01",
        Described("place", "Truck 2", {}),
        Described("cylinder", "A", {
            "kind": "recovery", "refrigerant": "R-22", "stamped tare": lb(27).body(),
            "place": "Warehouse", "state": "in service", "requalification due": "2026-05-31",
        }),
    )  # fmt: skip
    say("2026-02-01", Described("cylinder", "A", {"place": "Truck 2"}, "2026-02-01"))
    measured = say(
        "2026-03-01", Described("cylinder", "A", {"measured tare": lb(28).body()}, "2026-03-01")
    )
    evidence = Evidence("gross", "B1", lb(27), lb(37))
    moved = Movement(
        "circuit:U", "cylinder:A", "R-22", lb(10), "recovery", "recovered", "Harbor",
        evidence=evidence,
    )  # fmt: skip
    weighed = say("2026-02-10", moved)
    later = Described("cylinder", "B", {"kind": "disposable"}, provisional="yes")
    say("2026-06-01", later, Weighing("A", lb(39), "F1"))
    with book.reading() as reader:
        (one,) = inventory_of(reader, Cut("2026-02-28"))
        both = inventory_of(reader, ALL)
        assert inventory_of(reader, ALL, {"place": "Warehouse"}) == []
    cylinder = one.cylinder
    assert (cylinder.kind, cylinder.assigned, cylinder.place) == ("recovery", "R-22", "Truck 2")
    assert (cylinder.requalification_due, cylinder.state) == ("2026-05-31", "in service")
    assert cylinder.weighed is not None and cylinder.tare is not None
    assert (cylinder.weighed.entry, cylinder.weighed.moment) == (weighed, "after")
    assert (cylinder.tare.basis, one.book, one.difference) == ("stamped", 10 * POUND, 0)
    assert [line.name for line in both] == ["A", "B"]
    assert both[1].cylinder.provisional
    heavier = both[0].cylinder.tare
    assert heavier is not None and (heavier.basis, heavier.entry) == ("measured", measured)
    assert both[0].difference == POUND


def test_weights_of_a_reversed_movement_are_no_weighing(book: Book, say: Say) -> None:
    say("2026-01-01", Described("cylinder", "A", {}), Weighing("A", lb(30), "B1"))
    evidence = Evidence("gross", "B1", lb(30), lb(20))
    wrong = say("2026-01-02", Movement(
        "cylinder:A", "circuit:U", "R-22", lb(10), "addition", evidence=evidence,
    ))  # fmt: skip
    say("2026-01-03", Reversal(wrong, (0,), "another cylinder"))
    with book.reading() as reader:
        (one,) = inventory_of(reader, ALL)
    assert one.cylinder.weighed is not None
    assert one.cylinder.weighed.gross == lb(30)


def test_balances_by_place_site_and_owner_find_what_they_need(book: Book, say: Say) -> None:
    say(
        "2026-01-01", Described("site", "S1", {"owner": "Harbor"}),
        Described("unit", "U", {"site": "S1"}), Described("circuit", "U", {"unit": "U"}),
        Described("cylinder", "A", {"place": "Truck 2"}),
        Movement("party:Depot", "cylinder:A", "R-22", lb(25), "receipt", "virgin"),
        added("U", 4),
    )  # fmt: skip
    say("2026-06-01", Described("unit", "U", {"owner": "Mill"}, "2026-06-01"), added("U", 3))
    with book.reading() as reader:
        (place,) = balances_of(reader, ALL, Asked(("place",)))
        (site,) = balances_of(reader, ALL, Asked(("site",), {"owner": "Mill"}))
        owners = balances_of(reader, ALL, Asked(("owner", "circuit")))
        pounds = pounds_of(reader, Cut("2026-03-31"), split=("place",))
    assert (place.key, place.closing) == (("Truck 2",), 18 * POUND)
    assert (site.key, site.closing) == (("S1",), 3 * POUND)
    assert [(one.key[0], one.closing // POUND) for one in owners] == [("Harbor", 4), ("Mill", 3)]
    assert [(one.place, one.closing // POUND) for one in pounds] == [("Truck 2", 21)]


def test_workings_name_entries_of_the_book(book: Book, say: Say) -> None:
    say("2026-01-01", Described("cylinder", "A", {}))
    entry = say("2026-01-02", added("U", 4))
    with book.reading() as reader:
        (one,) = balances_of(reader, ALL, Asked(("circuit",)))
        assert f"  added: 4.00 lb (entry {entry})" in one.working().to_lines()
