"""The list of what is due: one clock of two packs is one line, and then is set beside now.

Dates and paragraphs are those of the worked case of a blend under both parts (rules brief, section
11, point 7): the clocks of 40 CFR 82.157(d) and 84.106(d) open on one day.
"""

from __future__ import annotations

from datetime import date
from typing import Any

from ledger.answers.due_list import lines_of, next_of_each, then_and_now
from ledger.answers.duty import OPEN, OVERDUE, Duty

START, DUE, LATER = date(2026, 6, 1), date(2026, 7, 1), date(2026, 9, 29)
NEW, OLD = "us-federal-84c", "us-federal-82f"
CITES = {NEW: "40 CFR 84.106(d)", OLD: "40 CFR 82.157(d)"}


def duty(pack: str = NEW, due: date | None = DUE, **other: Any) -> Duty:
    told = Duty("repair", pack, "RK-1", "owner", "duty", "Repair", START, "30 days", due, OPEN,
                CITES[pack], date(2026, 6, 10), day0=START)  # fmt: skip
    return told._replace(**other)


def test_one_clock_of_two_packs_is_one_line_with_both_paragraphs() -> None:
    (line,) = lines_of([duty(NEW), duty(OLD)])
    assert {*line.cites.split("; ")} == {*CITES.values()}
    assert line.others_due == ""


def test_the_earlier_date_comes_first_and_the_later_is_told() -> None:
    (line,) = lines_of([duty(NEW, LATER), duty(OLD, DUE)])
    assert (line.duty.due, line.cites) == (DUE, "40 CFR 82.157(d); 40 CFR 84.106(d)")
    assert line.others_due == "2026-09-29 (40 CFR 84.106(d))"


def test_two_clocks_of_one_pack_stay_two_lines() -> None:
    assert len(lines_of([duty(), duty(due=LATER)])) == 2
    assert len(lines_of([duty(), duty(day0=LATER, start=LATER)])) == 2
    assert len(lines_of([duty(), duty(circuit="RK-2")])) == 2


def test_what_is_overdue_comes_first_and_what_has_no_date_last() -> None:
    late, none = duty(circuit="Z", status=OVERDUE, due=LATER), duty(circuit="A", due=None)
    assert [line.duty.circuit for line in lines_of([none, duty(), late])] == ["Z", "RK-1", "A"]


def test_what_is_the_same_then_and_now_says_nothing() -> None:
    assert [line.then for line in then_and_now([duty()], [duty()])] == [""]


def test_a_late_found_addition_was_not_known_then() -> None:
    assert [line.then for line in then_and_now([duty()], [])] == ["not known then"]


def test_a_corrected_date_shows_what_was_known() -> None:
    moved = duty(start=date(2026, 5, 20), due=date(2026, 6, 19))
    (line,) = then_and_now([moved], [duty()])
    assert (line.duty.due, line.then, line.gone) == (
        date(2026, 6, 19), "known then: 2026-07-01, open", False
    )  # fmt: skip


def test_what_was_taken_back_stands_at_the_end() -> None:
    """A reversal, or a revised full charge, takes a duty away that was known then."""
    lines = then_and_now([duty(circuit="RK-2")], [duty(), duty(circuit="RK-2")])
    assert [(line.duty.circuit, line.gone) for line in lines] == [("RK-2", False), ("RK-1", True)]
    assert lines[1].then == "known then: 2026-07-01, open"


def test_a_running_schedule_shows_its_next_date_alone() -> None:
    dates = [duty(every="3 months", due=date(2026, month, 15)) for month in (8, 11)]
    kept, out = next_of_each(lines_of([*dates, duty()]))
    assert ([line.duty.due for line in kept], out) == ([DUE, date(2026, 8, 15)], 1)
