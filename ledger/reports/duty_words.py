"""A duty in words: by when, how far off that is, how late it was met, unless what."""

from __future__ import annotations

from datetime import date

from ledger.answers.duty import DONE_LATE, OPTION, Duty
from ledger.reports.words import counted


def by_when(duty: Duty) -> str:
    """The last day, or why there is none: "by 2026-04-29", "last day to ask 2026-04-29"."""
    if duty.due is None:
        return duty.no_date or "no date"
    return f"{'last day to ask' if duty.kind == OPTION else 'by'} {duty.due.isoformat()}"


def far_off(duty: Duty, today: date) -> str:
    """How far off the day is: "today", "in 3 days", "1 day ago"; empty without a day."""
    if duty.due is None:
        return ""
    days = (duty.due - today).days
    if not days:
        return "today"
    return f"in {counted(days, 'day')}" if days > 0 else f"{counted(-days, 'day')} ago"


def late_by(duty: Duty) -> str:
    """How late a duty was met, to be put behind its status; empty where it was in time."""
    if duty.status != DONE_LATE or duty.due is None or duty.ended is None:
        return ""
    return f", {counted((duty.ended - duty.due).days, 'day')} after {duty.due.isoformat()}"


def unless(duty: Duty) -> str:
    """What would take the duty away, to be put behind it; empty where it plainly binds."""
    return f"; unless {duty.unless}" if duty.unless else ""
