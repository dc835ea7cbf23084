"""The readings of the law a book has chosen for itself, as known at a cut."""

from __future__ import annotations

import json

from ledger.book.cut import Cut
from ledger.book.reader import Reader
from ledger.law.overrides import Override

SETTING = "interpretation"
"""The kind of setting that holds a book's own reading of a rule."""


def overrides_of(reader: Reader, cut: Cut) -> tuple[Override, ...]:
    """What the book overrides, in order of recording; a reversed one is not there.

    A reading holds for the whole book whatever day is asked for, from the entry it was recorded
    by on: `known_at` limits it, `as_of` does not.
    """
    rows = reader.rows(
        "SELECT s.entry, s.body FROM service s WHERE s.type = 'setting'"
        f" AND s.subject LIKE :wanted AND {cut.counts('s', occurred=False)}"
        " ORDER BY s.entry, s.line",
        cut.params(wanted=f"setting:{SETTING}/%"),
    )
    told = [(entry, json.loads(body)) for entry, body in rows]
    return tuple(
        Override(body["key"], str(body["value"]), body.get("why", ""), entry)
        for entry, body in told
    )
