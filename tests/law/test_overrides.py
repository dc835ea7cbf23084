"""A book's own readings: only where the text is silent, only known ones, always marked."""

from __future__ import annotations

from datetime import date

import pytest

from ledger.law.listing import compared, history, in_force, to_check
from ledger.law.loader import CALIFORNIA, FEDERAL_82F, FEDERAL_84C, SHIPPED, RuleError, load_pack
from ledger.law.overrides import Override, check, with_overrides

PACKS = [load_pack(name) for name in SHIPPED]
DAY = date(2026, 6, 1)


def test_an_overridden_value_is_marked_and_the_pack_stays_as_it_was() -> None:
    pack = load_pack(FEDERAL_84C)
    chosen = with_overrides(pack, [Override("equal-at-confirm", "Confirmed", "as agreed.", 7)])
    found, before = chosen.value("equal-at-confirm", DAY), pack.value("equal-at-confirm", DAY)
    assert found is not None and before is not None
    assert (found.value, found.overridden) == ("confirmed", 7)
    assert found.reason == "overridden by entry 7; as agreed"
    assert (before.value, before.overridden) == ("stays verified", 0)
    assert len(chosen.rules) == len(pack.rules) and chosen.stamp == pack.stamp
    assert chosen.value("repair-days", DAY) is pack.value("repair-days", DAY)
    assert chosen.blocks.scopes == pack.blocks.scopes


def test_the_last_one_holds_and_one_pack_may_be_named() -> None:
    overrides = [
        Override("retain-day", "x", "", 3),
        Override(f"{CALIFORNIA}/ca-weekend", "next working day", "", 4),
        Override(f"{CALIFORNIA}/ca-weekend", "none", "", 5),
    ]
    found = with_overrides(load_pack(CALIFORNIA), overrides[1:]).value("ca-weekend", DAY)
    assert found is not None and (found.value, found.overridden) == ("none", 5)
    pack = load_pack(FEDERAL_82F)
    assert with_overrides(pack, overrides[1:]) is pack


@pytest.mark.parametrize(
    ("name", "value", "words"),
    [
        ("repair-days", "31", "it is in the text"),
        ("net-same-event", "half", "'half' is not one of: net; gross"),
        ("second-over", "the later", "the program knows one reading"),
        ("inspect-big", "six", "not a whole number of months"),
        ("no-such-rule", "1", "no pack has a rule of that name"),
    ],
)
def test_what_cannot_be_chosen_is_told(name: str, value: str, words: str) -> None:
    with pytest.raises(RuleError, match=words):
        check(PACKS, Override(name, value))


def test_a_whole_number_in_place_of_one() -> None:
    reached = check([load_pack(FEDERAL_82F)], Override("inspect-big", "2"))
    assert reached == (f"{FEDERAL_82F}/inspect-big",)
    found = with_overrides(load_pack(FEDERAL_82F), [Override("inspect-big", "2")])
    value = found.value("inspect-big", DAY)
    assert value is not None and value.value == 2


def test_every_choice_of_every_reading_can_be_chosen() -> None:
    for pack in PACKS:
        for rule in pack.rules.values():
            for choice in rule.values[-1].choices:
                assert check([pack], Override(rule.name, choice.upper()))


def test_lists_histories_and_comparisons() -> None:
    before, after = date(2018, 12, 31), date(2019, 1, 1)
    changes = {c.rule.name: c for c in compared([load_pack(FEDERAL_82F)], before, after)}
    trigger = changes["trigger-commercial-refrigeration"]
    assert trigger.before is not None and trigger.after is not None
    assert (trigger.before.value, trigger.after.value) == (35, 20)
    assert "repair-days" not in changes
    assert not list(compared(PACKS, DAY, DAY))
    values = [line.value.value for line in history(PACKS, "repair-anchor") if line.value]
    assert values == ["discovery", "addition", "addition"]
    assert len(list(history(PACKS, f"{FEDERAL_84C}/repair-anchor"))) == 1
    early = {(line.pack.name, line.rule.name) for line in in_force(PACKS, date(2010, 1, 1))}
    assert {pack for pack, _ in early} == {FEDERAL_82F}


def test_what_is_to_check_is_all_that_was_not_read_the_weakest_first() -> None:
    marks = [line.value.evidence for line in to_check(PACKS) if line.value]
    order = ["memory", "secondary", "read-2015", "interpretation"]
    assert [mark for mark in order if mark in marks] == list(dict.fromkeys(marks))
    every = [value for pack in PACKS for rule in pack.rules.values() for value in rule.values]
    assert len(marks) == sum(value.evidence != "read" for value in every)
    now = [line.value for line in to_check(PACKS, DAY) if line.value]
    assert 0 < len(now) < len(marks)
