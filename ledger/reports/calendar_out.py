"""The due list as a calendar file (iCalendar, RFC 5545): an all-day entry for each duty."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, timedelta
from hashlib import sha256
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ledger.answers.due_list import Line
    from ledger.answers.duty import Duty


def calendar(lines: Iterable[Line], book: str, made: datetime) -> bytes:
    """The open duties with a date as a calendar; `made` is now, aware.

    A duty keeps its identity from one export to the next, so that a calendar program replaces
    what moved and does not list it twice.
    """
    from icalendar import Alarm, Calendar, Event

    out = Calendar()
    out.add("prodid", "-//tarebook//due list//EN")
    out.add("version", "2.0")
    out.add("x-wr-calname", "Refrigerant duties")
    for line in lines:
        duty = line.duty
        if duty.due is None or line.gone:
            continue
        event = Event()
        event.add("uid", f"{_identity(duty, book)}@tarebook")
        event.add("dtstamp", made)
        event.add("dtstart", duty.due)
        event.add("dtend", duty.due + timedelta(days=1))
        event.add("transp", "TRANSPARENT")
        option = "Last day to ask: " if duty.kind == "option" else ""
        about = duty.circuit or duty.site
        event.add("summary", f"{option}{about}: {duty.title}")
        event.add("description", _description(line))
        alarm = Alarm()
        alarm.add("action", "DISPLAY")
        alarm.add("description", f"{about}: {duty.title}")
        alarm.add("trigger", timedelta(days=-3))
        event.add_component(alarm)
        out.add_component(event)
    content: bytes = out.to_ical()
    return content


def _identity(duty: Duty, book: str) -> str:
    """Which duty it is, whatever day it falls due: its circuit, kind and the entries behind it."""
    entries = ",".join(map(str, duty.entries[:1]))
    period = duty.due.isoformat() if duty.due and (duty.every or not entries) else ""
    words = (
        book, duty.pack, duty.circuit, duty.site, duty.duty, duty.every, duty.portion,
        str(duty.year), *duty.systems, entries, period,
    )  # fmt: skip
    return sha256("\0".join(words).encode()).hexdigest()[:32]


def _description(line: Line) -> str:
    duty = line.duty
    told = [f"{line.cites}. Owed by: {duty.who}. As of {duty.as_of.isoformat()}: {duty.status}."]
    if line.others_due:
        told.append(f"Also {line.others_due}.")
    if duty.unless:
        told.append(f"Nothing is due if {duty.unless}.")
    told.append("Not legal advice; the official text decides.")
    return " ".join(told)
