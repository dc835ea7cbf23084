"""Net pounds from gross weights: direction, stages, the unit the scale showed."""

from __future__ import annotations

import pytest

from ledger.facts.facts import Evidence
from ledger.facts.mass import Quantity
from ledger.facts.problems import Problem
from ledger.facts.weights import IN, OUT, net_of, ounces_echo
from ledger.intake.quantities import parse_quantity


def q(text: str) -> Quantity:
    found = parse_quantity(text)
    assert isinstance(found, Quantity)
    return found


@pytest.mark.parametrize(
    ("readings", "direction", "net", "how"),
    [
        # The example job of a working day: three stages out, 3.15 lb into the unit.
        (("21.40", "20.15", "18.90", "18.25"), OUT, "3.15 lb", "stages"),
        (("31.20", "31.50"), IN, "0.30 lb", "gross"),
        (("24 lb 8 oz", "20 lb 0 oz"), OUT, "4 lb 8 oz", "gross"),
        (("12.0 kg", "9.4 kg"), OUT, "2.6 kg", "gross"),
        (("30", "30"), OUT, "0 lb", "gross"),
    ],
)
def test_the_net_is_the_difference_in_the_unit_of_the_scale(
    readings: tuple[str, ...], direction: int, net: str, how: str
) -> None:
    found = net_of(None, tuple(q(one) for one in readings), direction)
    assert not isinstance(found, Problem)
    assert (found[0].written, found[1].how) == (net, how)


@pytest.mark.parametrize(
    ("amount", "readings", "direction", "code"),
    [
        (None, (), OUT, "field-missing"),
        (None, ("21.4",), OUT, "field-missing"),
        (None, ("18.25", "21.40"), OUT, "weights-reversed"),
        (None, ("21.40", "20.15", "20.20"), OUT, "weights-reversed"),
        (None, ("31.5", "31.2"), IN, "weights-reversed"),
        ("2.8", ("21.40", "18.55"), OUT, "weights-disagree"),
    ],
)
def test_weights_that_cannot_be_are_refused(
    amount: str | None, readings: tuple[str, ...], direction: int, code: str
) -> None:
    typed = q(amount) if amount else None
    found = net_of(typed, tuple(q(one) for one in readings), direction)
    assert isinstance(found, Problem)
    assert found.code == code


def test_an_amount_without_weights_is_weaker_evidence() -> None:
    assert net_of(q("2.85"), (), OUT, "T1") == (q("2.85"), Evidence("net", "T1"))


@pytest.mark.parametrize(
    ("written", "echo"),
    [("4.8", "4 lb 12.8 oz"), ("4.5", "4 lb 8.0 oz"), ("2.999", "3 lb 0.0 oz")],
)
def test_the_echo_says_the_amount_the_other_way(written: str, echo: str) -> None:
    assert ounces_echo(q(written)) == echo
