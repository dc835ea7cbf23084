"""The due list as a calendar file, parsed back by a reference library (RFC 5545)."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import Any

from icalendar import Calendar

from ledger.answers.due_list import Line, lines_of
from ledger.answers.duty import OPEN, Duty
from ledger.answers.working import Input
from ledger.reports.calendar_out import calendar

MADE = datetime(2026, 6, 30, 16, tzinfo=UTC)


def duty(due: date | None = date(2026, 7, 20), entry: int = 20, **other: Any) -> Duty:
    told = Duty("repair", "us-federal-84c", "RACK-A", "owner", "duty", "Repair", date(2026, 6, 20),
                "30 days", due, OPEN, "40 CFR 84.106(d)", date(2026, 6, 30),
                inputs=(Input("addition", "40 lb", (entry,)),))  # fmt: skip
    return told._replace(**other)


def events(lines: list[Line], book: str = "b") -> list[Any]:
    return list(Calendar.from_ical(calendar(lines, book, MADE)).walk("VEVENT"))


def uid(one: Duty, book: str = "b") -> str:
    (event,) = events(lines_of([one]), book)
    return str(event["uid"])


def test_a_duty_is_a_whole_day() -> None:
    (event,) = events(lines_of([duty()]))
    assert event.decoded("dtstart") == date(2026, 7, 20)
    assert event.decoded("dtend") == date(2026, 7, 21)
    assert str(event["summary"]) == "RACK-A: Repair"
    assert "40 CFR 84.106(d)" in str(event["description"])


def test_what_has_no_date_or_is_gone_has_no_day() -> None:
    assert events(lines_of([duty(due=None)])) == []
    assert events([Line(duty(), gone=True)]) == []


def test_a_duty_keeps_its_identity_when_its_date_moves() -> None:
    assert uid(duty()) == uid(duty(due=date(2026, 10, 18), extended="shutdown"))


def test_different_duties_are_different_entries() -> None:
    others = (
        duty(entry=25), duty(duty="initial-test"), duty(circuit="RACK-B"),
        duty(pack="us-federal-82f"), duty(portion="motor room"),
    )  # fmt: skip
    found = {uid(one) for one in (duty(), *others)}
    assert len(found) == 6
    assert uid(duty(), "another book") not in found


def test_each_date_of_a_schedule_is_an_entry_of_its_own() -> None:
    dates = [duty(every="3 months", due=date(2026, month, 22)) for month in (9, 12)]
    assert len({uid(one) for one in dates}) == 2
