"""What a cylinder holds, held against a fold written out plainly, for movements in any order."""

from __future__ import annotations

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from ledger.facts.contents import MIXED, SHARED, Contents, Holding, Line, line_of

DAYS = st.integers(1, 6).map(lambda day: f"2026-03-{day:02d}")
TIMES = st.sampled_from(("", "", "08:00", "14:30"))
CHANGES = st.integers(-9, 9).filter(bool)
REFRIGERANTS = st.sampled_from(("R-22", "R-410A"))
STOCKS = st.sampled_from(("virgin", "recovered"))
OWNERS = st.sampled_from(("", "Harbor Foods", "Mill Lane Hotel"))


@st.composite
def movements(draw: st.DrawFn) -> list[Line]:
    """Movements of one cylinder, in the order they were recorded."""
    count = draw(st.integers(0, 8))
    return [
        line_of(
            draw(DAYS), draw(TIMES), entry, draw(st.integers(0, 2)), draw(CHANGES),
            draw(REFRIGERANTS), draw(STOCKS),
            draw(OWNERS),
        )
        for entry in range(1, count + 1)
    ]  # fmt: skip


@st.composite
def with_one_more(draw: st.DrawFn) -> tuple[list[Line], Line]:
    """Movements on record, and one that is not yet."""
    new = line_of(
        draw(DAYS), draw(TIMES), 1 << 62, 0, draw(CHANGES), draw(REFRIGERANTS),
        "virgin", "",
    )  # fmt: skip
    return draw(movements()), new


def occurred(lines: list[Line]) -> list[Line]:
    """The order in which it happened: by day, by time, in before out, then as recorded.

    Where the time is unknown, what came in is first of the day and what went out last.
    """

    def when(line: Line) -> tuple[str, str, bool, int, int]:
        return line.day, line.time, line.change < 0, line.entry, line.line

    return sorted(lines, key=when)


def running(lines: list[Line]) -> list[int]:
    """The content after each movement, in the order it happened."""
    totals = [0]
    for line in occurred(lines):
        totals.append(totals[-1] + line.change)
    return totals[1:]


@given(movements(), st.randoms(use_true_random=False))
def test_the_order_of_recording_does_not_matter(lines: list[Line], random: object) -> None:
    whole = Contents.of(lines)
    shuffled = list(lines)
    random.shuffle(shuffled)  # type: ignore[attr-defined]
    grown = Contents()
    for line in shuffled:
        grown.add(line)
    assert (grown.lines, grown.latest) == (whole.lines, whole.latest)
    assert whole.lines == occurred(lines)
    assert whole.latest.total == sum(line.change for line in lines)


@given(with_one_more())
def test_a_new_movement_is_judged_by_every_later_moment(case: tuple[list[Line], Line]) -> None:
    lines, new = case
    together = occurred([*lines, new])
    totals = running([*lines, new])
    place = together.index(new)
    contents = Contents.of(lines)
    assert contents.lowest_with(new) == min(totals[place:])
    assert contents.holding_before(new).total == (totals[place - 1] if place else 0)
    # Asking changes nothing.
    assert contents.lines == occurred(lines)


@given(movements(), st.sets(st.integers(1, 8)))
def test_what_would_be_left_without_some_movements(lines: list[Line], entries: set[int]) -> None:
    gone = {(line.entry, line.line) for line in lines if line.entry in entries}
    kept = [line for line in lines if line.entry not in entries]
    contents = Contents.of(lines)
    assert contents.lowest_without(gone) == min([0, *running(kept)])
    contents.remove(gone)
    assert (contents.lines, contents.latest) == (Contents.of(kept).lines, Contents.of(kept).latest)


@given(with_one_more())
def test_taking_a_movement_in_and_out_again_restores(case: tuple[list[Line], Line]) -> None:
    lines, new = case
    contents, before = Contents.of(lines), Contents.of(lines)
    contents.add(new)
    assert contents.latest.total == before.latest.total + new.change
    contents.remove({(new.entry, new.line)})
    assert (contents.lines, contents.latest) == (before.lines, before.latest)


@given(movements(), DAYS)
def test_the_content_at_the_end_of_a_day(lines: list[Line], day: str) -> None:
    by_then = [line for line in lines if line.day <= day]
    assert Contents.of(lines).at(day) == Contents.of(by_then).latest


@given(with_one_more())
def test_a_late_filling_is_mixed_by_what_was_put_on_top(case: tuple[list[Line], Line]) -> None:
    lines, new = case
    expected, holding = "", Holding()
    together = occurred([*lines, new])
    for line in together[: together.index(new)]:
        holding = holding.after(line)
    holding = holding.after(new)
    for line in together[together.index(new) + 1 :]:
        if line.change > 0 and holding.total > 0 and line.refrigerant != new.refrigerant:
            expected = line.refrigerant
            break
        holding = holding.after(line)
        if holding.total <= 0:
            break
    assert Contents.of(lines).mixed_by(new) == expected


def test_put_together_is_mixed_recovered_and_shared_until_it_is_empty() -> None:
    first = line_of("2026-03-01", "", 1, 0, 5, "R-22", "virgin", "")
    second = line_of("2026-03-02", "", 2, 0, 5, "R-410A", "recovered", "Harbor Foods")
    out = line_of("2026-03-03", "", 3, 0, -10, MIXED, "recovered", SHARED)
    steps = [Holding()]
    for line in (first, second, out):
        steps.append(steps[-1].after(line))
    assert steps[1:] == [
        Holding(5, "R-22", "virgin", ""), Holding(10, MIXED, "recovered", SHARED), Holding(),
    ]  # fmt: skip


def test_without_a_time_what_came_in_is_there_before_what_went_out() -> None:
    out = line_of("2026-03-01", "", 1, 0, -5, "R-22", "virgin", "")
    into = line_of("2026-03-01", "", 2, 0, 5, "R-22", "virgin", "")
    morning = line_of("2026-03-01", "08:00", 3, 0, -5, "R-22", "virgin", "")
    afternoon = line_of("2026-03-01", "14:30", 4, 0, 5, "R-22", "virgin", "")
    assert Contents.of([into]).lowest_with(out) == 0
    assert Contents.of([afternoon]).lowest_with(morning) == -5
    assert all(a < b for a, b in pairwise((into, morning, afternoon, out)))


@given(st.lists(st.tuples(st.integers(1, 9), st.integers(-5, 9)), max_size=12), st.integers(1, 9))
def test_the_highest_content_is_that_of_the_fullest_day_from_a_new_movement_on(
    moves: list[tuple[int, int]], on: int
) -> None:
    lines = [
        line_of(f"2026-01-0{day}", "", number, 0, change, "R-22", "virgin", "")
        for number, (day, change) in enumerate(moves)
    ]
    new = line_of(f"2026-01-0{on}", "", 99, 0, 3, "R-22", "virgin", "")
    by_day = {
        day: sum(one.change for one in (*lines, new) if one.day <= day)
        for day in {new.day, *(one.day for one in lines if one.day > new.day)}
    }
    most, day = Contents.of(lines).highest_with(new)
    assert most == max(by_day.values()) == by_day[day]
