"""A count held against the book at its cut-off."""

from __future__ import annotations

from datetime import date, timedelta

from hypothesis import given, settings
from hypothesis import strategies as st

from ledger.answers.counting import CountLine, Label, Tally, Vessel, chosen_tallies, count_lines
from ledger.answers.holdings import MovementRow
from ledger.answers.inventory import Tare
from ledger.answers.stand import stand
from ledger.facts.counts import CutOff
from ledger.facts.mass import POUND, Mass, Quantity

CUT = CutOff("2026-01-30", "17:00")


def lb(number: int) -> Mass:
    return Mass(number * POUND)


def gross(number: int) -> Quantity:
    return Quantity(lb(number), f"{number} lb")


def move(day: str, entry: int, mass: int, out: bool = True, time: str = "") -> MovementRow:
    """A charge out of the cylinder, or a receipt into it."""
    cylinder, other = ("cylinder", "C1"), ("circuit", "RTU-1") if out else ("party", "Depot")
    ends = (*cylinder, *other) if out else (*other, *cylinder)
    return MovementRow(
        day, time, entry, 0, *ends, "R-410A", lb(mass), "virgin", "",
        "addition" if out else "receipt",
    )  # fmt: skip


def tally(weight: int, day: str = CUT.day, time: str = CUT.time, **more: str) -> Tally:
    said = {"cylinder": "C1", "place": "Cage", "found": "weighed", **more}
    seen = gross(weight) if said["found"] == "weighed" else None
    return Tally(90, 0, day, time, "Ann", said["cylinder"], said["place"], CUT.text,
                 said["found"], seen)  # fmt: skip


VESSEL = Vessel(
    "C1", "disposable", "R-410A", "Cage", tare=Tare(gross(7), "stamped", 1), label=Label(lb(25), 1)
)


def counted(
    rows: list[MovementRow], *tallies: Tally, vessel: Vessel = VESSEL,
    spans: dict[tuple[int, int], tuple[int, int]] | None = None,
) -> CountLine:  # fmt: skip
    rows = sorted(rows)
    (line,) = count_lines(tallies, {"C1": vessel}, rows, stand(rows, (), CUT), CUT, spans or {})
    return line


RECEIVED = move("2026-01-05", 1, 25, out=False)


def test_counted_is_gross_less_tare() -> None:
    line = counted([RECEIVED, move("2026-01-10", 2, 5)], tally(26))
    assert (line.book, line.counted, line.difference) == (lb(20), lb(19), lb(-1))


def test_a_charge_between_the_cut_off_and_the_weighing_is_taken_back() -> None:
    line = counted([RECEIVED, move("2026-01-31", 2, 5)], tally(27, "2026-02-02", ""))
    assert (line.book, line.counted, line.difference) == (lb(25), lb(25), 0)


def test_a_charge_after_the_cut_off_on_its_day_is_of_the_next_period() -> None:
    line = counted([RECEIVED, move(CUT.day, 2, 5, time="18:00")], tally(32))
    assert (line.book, line.difference) == (lb(25), 0)


def test_a_charge_of_the_day_without_a_time_came_before_the_cut_off() -> None:
    line = counted([RECEIVED, move(CUT.day, 2, 5)], tally(27))
    assert (line.book, line.difference) == (lb(20), 0)


def test_a_charge_on_the_day_of_a_later_weighing_is_placed_by_the_weights() -> None:
    """Without times: 32 lb on the scale is before a charge from 32 to 27, 27 lb is after it."""
    rows = [RECEIVED, move("2026-02-02", 2, 5)]
    spans = {(2, 0): (lb(32), lb(27))}
    for weight in (32, 27):
        line = counted(rows, tally(weight, "2026-02-02", ""), spans=spans)
        assert line.difference == 0


def test_weighed_before_the_cut_off_what_moved_until_then_is_added() -> None:
    line = counted([RECEIVED, move(CUT.day, 2, 5, time="16:00")], tally(32, CUT.day, "09:00"))
    assert (line.book, line.counted, line.difference) == (lb(20), lb(20), 0)


def test_sealed_is_the_net_of_its_label() -> None:
    line = counted([RECEIVED, move("2026-01-10", 2, 5)], tally(0, found="sealed"))
    assert line.difference == lb(5)


def test_not_there_is_all_that_the_book_has() -> None:
    assert counted([RECEIVED], tally(0, found="not there")).difference == lb(-25)


def test_not_there_where_the_book_does_not_have_it_says_nothing() -> None:
    line = counted([RECEIVED], tally(0, found="not there", place="Truck 2"))
    assert line.difference is None


def test_found_goes_before_not_there() -> None:
    there = tally(32, place="Truck 2")._replace(entry=80)
    line = counted([RECEIVED], tally(0, found="not there"), there)
    assert (line.difference, line.found_at, line.unexpected) == (0, "Truck 2", True)


def test_moved_by_the_book_after_the_cut_off_it_counts_where_it_was() -> None:
    vessel = Vessel("C1", place="Cage", tare=VESSEL.tare, moves=(("2026-01-31", "Truck 2"),))
    line = counted([RECEIVED], tally(32, "2026-02-01", "", place="Truck 2"), vessel=vessel)
    assert (line.found_at, line.unexpected) == ("Cage", False)


def test_without_a_tare_nothing_is_computed() -> None:
    line = counted([RECEIVED], tally(30), vessel=Vessel("C1", place="Cage"))
    assert (line.difference, line.status) == (None, "tare not recorded")
    assert line.working().result == "cannot be computed: tare not recorded"


def test_what_was_not_counted_is_no_difference() -> None:
    assert counted([RECEIVED]).difference is None


def test_a_scrapped_cylinder_holds_nothing_any_more() -> None:
    vessel = Vessel("C1", place="Cage", state="scrapped")
    assert counted([RECEIVED], vessel=vessel).difference == lb(-25)


def test_of_two_looks_at_one_place_the_later_record_counts() -> None:
    again = tally(31)._replace(entry=95)
    assert counted([RECEIVED], again, tally(30)).counted == lb(24)
    assert chosen_tallies([again, tally(30)])[1]["C1"] == []


MOVES = st.lists(
    st.tuples(
        st.integers(25, 36), st.integers(1, 3), st.sampled_from(["", "08:00", "16:30", "18:00"])
    ),
    max_size=6,
)


@settings(deadline=None)
@given(MOVES, st.integers(30, 36))
def test_a_true_count_has_no_difference_whenever_it_was_weighed(
    moves: list[tuple[int, int, str]], later: int
) -> None:
    """An independent model: gross is the tare and what was put in, less what was taken."""
    first = date(2026, 1, 25)
    days = [(first + timedelta(number)).isoformat() for number in range(13)]
    rows = [RECEIVED]
    rows += [move(days[day - 25], number, mass, time=time)
             for number, (day, mass, time) in enumerate(moves, 2)]  # fmt: skip
    weighed_on = days[later + 1 - 25]
    on_scale = 7 + 25 - sum(mass for day, mass, _ in moves if days[day - 25] < weighed_on)
    if any(row.day == weighed_on for row in rows):
        return
    line = counted(rows, tally(on_scale, weighed_on, ""))
    assert line.difference == 0
