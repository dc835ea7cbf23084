"""Tells which fields of a movement row name something in the book, and of what kind."""

from __future__ import annotations

from collections.abc import Iterator

from ledger.intake.actions import VISIT
from ledger.intake.reading import Reading

NAMED = {
    "cylinder": "cylinder", "to cylinder": "cylinder", "technician": "person",
    "supervised by": "person", "site": "site", "supplier": "party", "party": "party",
    "owner": "party", "scale": "scale", "place": "place",
}  # fmt: skip
"""The kind of each field that names one thing; a unit or circuit is named by two of them."""


def stands_alone(reading: Reading) -> bool:
    """Whether a row's draft needs nothing that movements before it may bring into the book."""
    values = reading.values
    return (
        reading.action in ("charge", "recover", VISIT)
        and "refrigerant" in values
        and ("unit" in values or "circuit" in values)
        and "site" not in values
    )


def names_in(reading: Reading) -> Iterator[tuple[str, str]]:
    """The kinds and names a movement row speaks of, for reading them from the book at once."""
    for name, value in reading.values.items():
        if kind := NAMED.get(name):
            yield kind, value
    if circuit := reading.circuit() or reading.text("site"):
        yield "circuit", circuit
