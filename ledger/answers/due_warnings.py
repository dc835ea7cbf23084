"""How near a requalification is: past, or within 30 or 90 days (workflow 3.7, common practice)."""

from __future__ import annotations

from datetime import date

WARN_DAYS = (30, 90)
"""Days ahead at which a cylinder is told of; common practice, no source."""


def due_words(due: str, today: str) -> str:
    """What to say of a due ISO day on another: empty where it is more than 90 days ahead."""
    if not due or due == "unknown":
        return ""
    left = (date.fromisoformat(due) - date.fromisoformat(today)).days
    if left < 0:
        return f"requalification was due {due}: not to be filled"
    for days in (0, *WARN_DAYS):
        if left <= days:
            return f"requalification due {due}, {'today' if not left else f'in {left} days'}"
    return ""
