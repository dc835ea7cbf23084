"""What a gap of a scope tells a person to type is a command that records it."""

from __future__ import annotations

from datetime import date
from typing import NamedTuple

import pytest

from ledger.answers.scope_gaps import CircuitScope, scope_gaps
from tests.cli.shop import Shop

FILLED = {
    "SUBSECTOR": "chiller", "REASON": "as the owner wrote", "POUNDS lb METHOD": "30 lb measured",
    "R-NUMBER": "R-410A", "CATEGORY": "commercial refrigeration", "STATE": "CA", "COUNTRY": "US",
    "DISTRICT": "'South Coast'", "YES_OR_NO": "yes", "OWNER": '"Harbor Foods"', "KIND": "federal",
}  # fmt: skip
"""What a person writes in place of each word in capitals."""


class _Open(NamedTuple):
    """A finding that asks for one thing."""

    missing: tuple[str, ...]
    pack: str = "us-california-rmp"
    binds: str = "unknown"
    limb: str = "L1"
    sentence: str = "Not known."
    cite: str = "17 CCR 95380"
    evidence: str = "read"
    either: tuple[str, ...] = ("bound (L1): Inside.", "not bound (L2): Outside.")


@pytest.mark.parametrize(
    ("missing", "said"),
    [
        ("refrigerant", "refrigerant R-410A"),
        ("full charge", "full charge 30 lb (measured)"),
        ("full charge band", "full charge 30 lb (measured)"),
        ("category", "category commercial refrigeration"),
        ("indoors", "indoors yes"),
        ("state of the site", "state CA"),
        ("state", "state CA"),
        ("country", "country US"),
        ("district", "district South Coast"),
        ("owner", "owner kind federal"),
        ("decision rlc", "subsector chiller"),
        ("decision refrigeration", "refrigeration: yes (as the owner wrote)"),
        ("decision gwp-absent", "gwp-absent: yes (as the owner wrote)"),
    ],
)
@pytest.mark.parametrize(("circuit", "site"), [("RTU-2/A", "Hotel"), ("RACK-A", "Store 14")])
def test_the_command_of_a_gap_records_it(
    shop: Shop, missing: str, said: str, circuit: str, site: str
) -> None:
    scope = CircuitScope(circuit, site, date(2026, 6, 30), (_Open((missing,)),))
    ((settled,),) = (gap.settled_by for gap in scope_gaps([scope]))
    command = settled.command
    for word, filled in FILLED.items():
        command = command.replace(word, filled)
    told = shop.run(command)
    assert told.code == 0, told
    assert told.lines()[0].startswith("Recorded as entry ") and said in told.lines()[0]
