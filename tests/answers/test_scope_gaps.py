"""Where it is open whether a rule binds a circuit: both answers, what settles it, the command."""

from __future__ import annotations

from datetime import date
from random import Random
from typing import Any, NamedTuple

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ledger.answers.scope_gaps import CircuitScope, ScopeGap, scope_gaps
from ledger.facts.mass import POUND
from ledger.law.loader import CALIFORNIA, FEDERAL_82F, FEDERAL_84C, SHIPPED, load_pack
from ledger.law.scope import Subject, scope_of
from tests.law.case_subjects import subject

DAY = date(2026, 6, 1)
PACKS = [load_pack(name) for name in SHIPPED]
LAWS = {pack.name: pack.citation for pack in PACKS}
RACK = {
    "refrigerant": "R-410A", "full_charge_lb": "60", "category": "commercial refrigeration",
    "subsector": "retail food",
}  # fmt: skip


def _subject(state: str = "TX", **told: Any) -> Subject:
    return subject({**RACK, **told}, state)


def _gaps(found: Subject, circuit: str = "RTU-1", site: str = "Bay Market") -> list[ScopeGap]:
    return scope_gaps([CircuitScope(circuit, site, DAY, scope_of(found, DAY, PACKS))], LAWS)


NO_REFRIGERANT = _subject()._replace(ods=None, hfc=None, gwp_84=None, gwps=(), refrigerant="")
NO_CHARGE = _subject()._replace(charge=None)
BAND = _subject("CA")._replace(charge=40 * POUND, charge_high=60 * POUND)
ROOFTOP = _subject(category="comfort cooling", subsector="undecided")
UNLISTED = _subject(refrigerant="R-1336mzz(E)")._replace(gwp_84=None, gwps=())

CASES = [
    # The excluded subsector of 84.106(a)(3), not decided (federal rules 2.1, row A7).
    (ROOFTOP, FEDERAL_84C, True, "has not been decided", ("A6",), ("A7",),
     ['tarebook mend circuit RTU-1 --subsector "SUBSECTOR" --because "REASON"']),
    # 15 lb inclusive (federal rules 2.1, rows A6 and A10).
    (NO_CHARGE, FEDERAL_84C, False, "bound if at least 15 lb", ("A6",), ("A10",),
     ['tarebook mend circuit RTU-1 --full-charge "POUNDS lb METHOD"']),
    # Over 50 lb in California (state rules 1.1), 40 to 60 lb known.
    (BAND, CALIFORNIA, False, "may or may not be over 50 lb", ("CA-small",), ("CA-sub-small",),
     ['tarebook mend circuit RTU-1 --full-charge "POUNDS lb METHOD"']),
    # Ozone-depleting or not decides part 82 (federal rules 2.1, rows A1, A3 and A6).
    (NO_REFRIGERANT, FEDERAL_82F, False, "bound if it depletes ozone", ("A1", "A3"), ("A6",),
     ["tarebook mend circuit RTU-1 --refrigerant R-NUMBER"]),
    # A substitute the 84.64(b) table does not list (GWP_ABSENT, row A8x).
    (UNLISTED, FEDERAL_84C, True, "a person decides", ("A8x",), ("A8x",),
     ["tarebook decide circuit:RTU-1 --question gwp-absent --answer YES_OR_NO --basis \"REASON\""]),
    # A use that is neither plainly refrigeration nor plainly not (state rules 1.1).
    (_subject("CA", category="other"), CALIFORNIA, True, "has not been decided", ("CA-small",),
     ("CA-use",),
     ["tarebook decide circuit:RTU-1 --question refrigeration --answer YES_OR_NO"
      " --basis \"REASON\""]),
    # No state recorded.
    (_subject(""), CALIFORNIA, False, "state of the site", ("CA-small",), ("CA-elsewhere",),
     ['tarebook mend site "Bay Market" --state STATE']),
]  # fmt: skip


@pytest.mark.parametrize(
    ("found", "pack", "undecided", "words", "yes", "no", "commands"),
    CASES,
    ids=["subsector", "charge", "band", "refrigerant", "unlisted", "use", "state"],
)
def test_a_gap_says_both_consequences_and_what_settles_it(
    found: Subject, pack: str, undecided: bool, words: str, yes: tuple[str, ...],
    no: tuple[str, ...], commands: list[str],
) -> None:  # fmt: skip
    (gap,) = [one for one in _gaps(found) if one.pack == pack]
    assert (gap.circuit, gap.site, gap.on, gap.undecided) == ("RTU-1", "Bay Market", DAY, undecided)
    assert words in gap.open and gap.cite
    assert all(f"{limb} (" in gap.if_bound for limb in yes)
    assert all(f"{limb} (" in gap.if_not for limb in no)
    assert [one.command for one in gap.settled_by] == commands
    assert all(one.by for one in gap.settled_by)


def test_the_lines_are_sentences() -> None:
    (gap,) = _gaps(ROOFTOP)
    assert gap.lines() == [
        "RTU-1, 40 CFR 84.106(a)(3), 84.114: Whether the circuit is residential or light commercial"
        " air conditioning, which is left out, has not been decided.",
        "  If it binds, by A6 (The refrigerant contains a regulated substance, at any percentage):"
        " what 40 CFR part 84 subpart C asks is owed.",
        "  If not, by A7 (Residential and light commercial air conditioning and heat pumps are left"
        " out): nothing is owed under 40 CFR part 84 subpart C.",
        "  Settled by a person's decision on the subsector, with a reason: tarebook mend circuit"
        ' RTU-1 --subsector "SUBSECTOR" --because "REASON"',
    ]


def test_a_fact_is_asked_for_before_a_decision() -> None:
    gaps = {gap.pack: gap for gap in _gaps(NO_REFRIGERANT)}
    told = [one.command.split()[1] for one in gaps[FEDERAL_84C].settled_by]
    assert told == ["mend", "decide"]


def test_a_gap_without_a_gwp_reads_whole() -> None:
    """What a row says of a refrigerant that is not known has no hole where the figure stands."""
    for gap in _gaps(NO_REFRIGERANT):
        assert ", ," not in gap.if_not and ", ," not in gap.if_bound


class _Open(NamedTuple):
    """A finding of an invented rule that asks for something else."""

    missing: tuple[str, ...]
    pack: str = "invented"
    binds: str = "unknown"
    limb: str = "L1"
    sentence: str = "Not known."
    cite: str = "Act 1"
    evidence: str = "read"
    either: tuple[str, ...] = ("bound (L1): Inside.", "not bound (L2): Outside.")


@pytest.mark.parametrize(
    ("missing", "command"),
    [
        ("indoors", "tarebook mend circuit R-1 --indoors YES_OR_NO"),
        ("district", "tarebook mend site Mill --district DISTRICT"),
        ("country", "tarebook mend site Mill --country COUNTRY"),
        ("owner", "tarebook mend party OWNER --owner-kind KIND"),
        ("seasonal", 'tarebook decide circuit:R-1 --question seasonal --answer YES_OR_NO'
         ' --basis "REASON"'),
    ],
)  # fmt: skip
def test_whatever_a_rule_asks_for_has_its_command(missing: str, command: str) -> None:
    (gap,) = scope_gaps([CircuitScope("R-1", "Mill", DAY, (_Open((missing,)),))])
    assert [one.command for one in gap.settled_by] == [command]
    assert gap.if_bound == "If it binds, by L1 (Inside): what Act 1 asks is owed."
    assert gap.if_not == "If not, by L2 (Outside): nothing is owed under Act 1."


def test_names_are_quoted_as_they_are_typed() -> None:
    (gap,) = _gaps(NO_CHARGE, 'Walk-in "B"', "Bay")
    assert gap.settled_by[0].command.startswith('tarebook mend circuit "Walk-in \\"B\\"" --full')


def test_a_circuit_that_is_plainly_bound_or_not_has_no_gap() -> None:
    assert _gaps(_subject("CA")) == []
    assert _gaps(_subject("CA", refrigerant="R-744", category="commercial refrigeration")) == []


@given(st.integers(0, 1 << 32))
@settings(max_examples=150, deadline=None)
def test_a_gap_stands_where_a_finding_is_open_and_only_there(seed: int) -> None:
    rng = Random(seed)
    found = _subject(
        rng.choice(("CA", "TX", "")),
        refrigerant=rng.choice(("R-410A", "R-22", "R-402A", "R-744", "R-1336mzz(E)")),
        category=rng.choice(("comfort cooling", "commercial refrigeration", "other", "")),
        subsector=rng.choice(("undecided", "retail food", "residential or light commercial")),
        full_charge_lb=rng.choice(("10", "15", "49", "50", "50.01", "2000")),
    )
    if rng.random() < 0.3:
        found = found._replace(charge=None)
    if rng.random() < 0.2:
        found = found._replace(ods=None, hfc=None, gwp_84=None, gwps=(), refrigerant="")
    open_ = [one.pack for one in scope_of(found, DAY, PACKS) if one.binds not in ("yes", "no")]
    gaps = _gaps(found)
    assert [gap.pack for gap in gaps] == open_
    for gap in gaps:
        assert gap.settled_by and " by ." not in gap.if_bound + gap.if_not
        assert gap.if_bound != gap.if_not
