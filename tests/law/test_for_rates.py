"""The compact table of leak-rate law: periods, the book's own choices, what stands behind it."""

from __future__ import annotations

from datetime import date

import pytest

from ledger.answers.leak_law import CATEGORIES, NO_RULE
from ledger.law.for_rates import law_for_rates
from ledger.law.loader import FEDERAL_82F, FEDERAL_84C, RuleError, load_pack
from ledger.law.overrides import Override


def test_the_table_is_built_once() -> None:
    assert law_for_rates() is law_for_rates()
    assert law_for_rates([]) is law_for_rates()


def test_periods_and_triggers() -> None:
    table = law_for_rates()
    old = table.at("82", date(2018, 12, 31).toordinal())
    new = table.at("82", date(2019, 1, 1).toordinal())
    assert [old.triggers[name] for name in CATEGORIES] == [35, 35, 15, 15, 15]
    assert [new.triggers[name] for name in CATEGORIES] == [20, 30, 10, 10, 10]
    assert (old.rolling_reset, new.rolling_reset) == ("repair", "follow-up")
    assert (old.same_leak_grouping, new.same_leak_grouping) == (False, True)
    assert (old.repair_anchor, new.repair_anchor) == ("discovery", "addition")
    assert new.first_from is None
    hfc = table.at("84", date(2026, 1, 1).toordinal())
    assert [hfc.triggers[name] for name in CATEGORIES] == [20, 30, 10, 10, 10]
    assert (hfc.first_from, hfc.first_days) == (date(2026, 1, 1), 365)


def test_before_the_first_period_the_first_one_is_taken() -> None:
    table = law_for_rates()
    assert table.at("82", 1) is table.laws["82"][0]


def test_a_figure_that_no_rule_asks_for_has_no_trigger() -> None:
    law = law_for_rates().at(NO_RULE, date(2024, 1, 1).toordinal())
    assert (law.subpart, law.pack, dict(law.triggers)) == (NO_RULE, "", {})
    assert law.exempt == {"new charge", "post-retrofit", "seasonal"}


def test_every_value_carries_its_citation() -> None:
    for laws in law_for_rates().laws.values():
        for law in laws:
            for name, ref in law.rules.items():
                assert ref.rule.endswith(f"/{name}")
                assert "CFR" in ref.cite and ref.value and ref.title


def test_the_two_packs_stand_apart() -> None:
    """A value of one subpart is never read from the other's pack."""
    table = law_for_rates()
    for pack in (load_pack(name) for name in (FEDERAL_82F, FEDERAL_84C)):
        for law in table.laws[pack.subpart]:
            assert law.pack == pack.name
            assert {ref.rule.split("/")[0] for ref in law.rules.values()} == {pack.name}


def test_a_book_may_choose_gross() -> None:
    table = law_for_rates([Override("net-same-event", "gross", "the agency asked", 12)])
    assert not table.net_same_event and law_for_rates().net_same_event
    for subpart in ("82", "84"):
        ref = table.laws[subpart][0].rules["net-same-event"]
        assert (ref.value, ref.evidence) == ("gross", "override")
        assert ref.reason == "overridden by entry 12; the agency asked"


def test_only_known_choices() -> None:
    with pytest.raises(RuleError, match="'half' is not one of: net; gross"):
        law_for_rates([Override("net-same-event", "half")])
    with pytest.raises(RuleError, match="one reading for both subparts"):
        law_for_rates([Override("us-federal-84c/net-same-event", "gross")])
    assert law_for_rates([Override("equal-at-confirm", "confirmed")]) is law_for_rates()


def test_the_stamps_name_release_and_digest() -> None:
    assert law_for_rates().stamps == (
        load_pack(FEDERAL_82F).stamp,
        load_pack(FEDERAL_84C).stamp,
    )
