"""Shipments held against the reclaimer's papers: differences, verdicts, what is open."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.answers.shipments import Leg, Paper, Shipment, shipments
from ledger.answers.tolerances import DEFAULTS
from ledger.facts.mass import POUND
from ledger.refrigerants.shipping import shipping_data

DAY = "2026-11-20"


def lb(text: str) -> int:
    """Pounds as counts."""
    return int(Fraction(text) * POUND)


def leg(cylinder: str, net: str, kind: str = "recovery", **more: object) -> Leg:
    """One cylinder of manifest M-0091."""
    return Leg(40, 0, DAY, "Quillfen Reclaim", "M-0091", cylinder, kind, book=lb(net),
               purpose="reclaim", **more)  # type: ignore[arg-type] # fmt: skip


STORY = [
    leg("HT-1", "617.5", "half-ton"),
    *(
        leg(name, net)
        for name, net in (
            ("RC-01", "37.5"), ("RC-02", "37.2"), ("RC-03", "35.4"), ("RC-04", "36.3"),
            ("RC-07", "20.4"), ("RC-08", "20.6"), ("RC-09", "19.6"),
        )
    ),
]  # fmt: skip
"""The shipment of the story (trade_workflow 8.A, 11-20)."""


def one(legs: list[Leg], *papers: Paper) -> Shipment:
    """The one shipment of some cylinders and papers, as on 25 November 2026."""
    (found,) = shipments(legs, papers, DEFAULTS, "2026-11-25")
    return found


def ticket(cylinder: str, net: str, entry: int = 50) -> Paper:
    """A weight ticket."""
    return Paper(entry, "2026-11-24", 40, "weight ticket", "W-1", cylinder, lb(net))


def test_the_storys_shipment_comes_out_six_pounds_less_and_within_tolerance() -> None:
    """8.A: ours 824.5 lb net, weight ticket 818.4 (-0.7 %)."""
    total = one(STORY, ticket("", "818.4")).total
    assert (total.ours, total.theirs) == (lb("824.5"), lb("818.4"))
    assert total.percent is not None and round(100 * total.percent, 1) == Fraction(-7, 10)
    assert total.verdict == "within tolerance"


@pytest.mark.parametrize(
    ("theirs", "said"),
    [
        ("995", "within tolerance"), ("990", "within tolerance"), ("989.99", "explain"),
        ("980", "explain"), ("979.99", "owner signs"), ("1020.01", "owner signs"),
    ],
)  # fmt: skip
def test_a_half_ton_is_judged_by_the_table(theirs: str, said: str) -> None:
    """Trade workflow 3.5, our defaults: 1 % or 5 lb, the greater; 2 %; above it the owner signs."""
    shipped = one([leg("HT-1", "1000", "half-ton")], ticket("HT-1", theirs))
    assert shipped.lines[0].verdict == said


def test_a_small_cylinder_is_judged_by_half_a_pound() -> None:
    """Trade workflow 3.5: other scale or stamped tare, 0.5 and 1.5 lb."""
    found = one(STORY, ticket("RC-01", "37.0"), ticket("RC-02", "35.69"), ticket("RC-03", "34.5"))
    assert [line.verdict for line in found.lines[1:4]] == [
        "within tolerance", "owner signs", "explain",
    ]  # fmt: skip


def test_what_was_never_confirmed_is_open() -> None:
    assert one([leg("RC-01", "37.5")]).open_items() == [
        "weight ticket of RC-01", "analysis", "credit or charge",
    ]  # fmt: skip


def test_what_is_destroyed_waits_for_its_certificate_and_no_analysis() -> None:
    shipped = one([leg("RC-05", "17.9")._replace(purpose="destroy")], ticket("RC-05", "17.9"))
    assert shipped.open_items() == ["destruction certificate", "credit or charge"]
    done = one(
        [leg("RC-05", "17.9")._replace(purpose="destroy")], ticket("RC-05", "17.9"),
        Paper(51, DAY, 40, "destruction certificate", "D-1", "RC-05"),
        Paper(52, DAY, 40, "charge", "", "RC-05", charge=32220),
    )  # fmt: skip
    assert done.open_items() == []


def test_a_signature_closes_a_difference_and_is_shown() -> None:
    signed = Paper(60, "2026-12-01", 40, "signed", cylinder="RC-01", person="Marisol Penhallow")
    (line,) = one([leg("RC-01", "37.5")], ticket("RC-01", "33"), signed).lines
    assert line.verdict == "owner signs: signed by Marisol Penhallow on 2026-12-01"


def test_entries_under_one_manifest_are_one_shipment() -> None:
    legs = [leg("RC-01", "37.5"), leg("RC-02", "37.2")._replace(entry=41)]
    found = one(legs, ticket("RC-02", "37.2")._replace(shipment=41))
    assert (found.entries, found.lines[1].theirs) == ((40, 41), lb("37.2"))


def test_without_a_manifest_each_entry_is_a_shipment() -> None:
    legs = [leg("RC-01", "1")._replace(ticket=""), leg("RC-02", "1")._replace(ticket="", entry=41)]
    assert len(shipments(legs, [], DEFAULTS, DAY)) == 2


def test_our_net_is_by_weight_where_it_was_weighed_for_the_shipment() -> None:
    weighed = leg("HT-1", "617.5", gross=lb("997"), tare=lb("380"))
    assert (weighed.net, weighed.basis) == (lb("617"), "gross less tare")


@given(st.lists(st.integers(1, 10**15), min_size=1, max_size=6), st.data())
def test_the_whole_is_the_sum_of_its_cylinders(nets: list[int], data: st.DataObject) -> None:
    legs = [leg(f"C{n}", "1")._replace(book=net) for n, net in enumerate(nets)]
    theirs = [data.draw(st.integers(0, 10**15)) for _ in nets]
    papers = [
        Paper(50, DAY, 40, "weight ticket", cylinder=f"C{n}", net=net)
        for n, net in enumerate(theirs)
    ]
    total = one(legs, *papers).total
    assert total.difference == sum(theirs) - sum(nets)


def test_the_shipping_names_are_those_of_the_hazardous_materials_table() -> None:
    """49 CFR 172.101, from memory as federal_rules.md section 6.5 lists them."""
    data = shipping_data()
    listed = {name: (one.un, one.division) for name, one in data.names.items()}
    assert listed == {
        "R-22": ("UN1018", "2.2"), "R-134a": ("UN3159", "2.2"), "R-404A": ("UN3337", "2.2"),
        "R-407A": ("UN3338", "2.2"), "R-407B": ("UN3339", "2.2"), "R-407C": ("UN3340", "2.2"),
        "R-410A": ("UN3163", "2.2"), "R-32": ("UN3252", "2.1"), "R-454B": ("UN3161", "2.1"),
    }  # fmt: skip
    assert (data.mixed.un, data.each, data.together) == ("UN1078", lb("220"), lb("440"))
    assert {one.basis.evidence for one in data.names.values()} == {"memory"}
