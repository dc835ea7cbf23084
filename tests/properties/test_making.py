"""The generator makes what is shipped, and its guards stop what they are for."""

from __future__ import annotations

import pytest

from ledger.properties.saturation import Properties, properties
from ledger.properties.tables import index
from ledger.refrigerants.register import register
from tests.properties.making.fluids import SaturationState
from tests.properties.making.points import Line, Unsound, guard_pair
from tests.properties.making.points import _guard_order as guard_order
from tests.properties.making.tables import one


@pytest.mark.parametrize("name", ["R-134a", "R-410A", "R-454B"])
def test_a_table_made_anew_is_the_one_shipped(name: str) -> None:
    found, shipped = register().get(name), properties(name)
    assert found is not None and isinstance(shipped, Properties)
    made = one(name, found.kind)
    record = shipped.record
    assert (made.parts, made.dropped) == (record.parts, record.dropped)
    assert list(record.compared) == made.compared
    for curve in ("bubble", "dew", "liquid", "vapour"):
        if curve in made.values:
            # Mathematical libraries differ in the last digits from machine to machine.
            assert shipped.table.curves[curve].values == pytest.approx(made.values[curve], rel=1e-8)


def test_one_point_off_takes_the_other_with_it_where_they_are_printed_as_one() -> None:
    """R-502: its dew point is 1.8 F off, and its bubble point is of the same mixture."""
    with pytest.raises(Unsound, match="its dew point is off a published table") as why:
        one("R-502", "azeotrope")
    assert index().unsound["R-502"] == str(why.value)
    assert "R-502" not in index().records


def states(*pascals: float) -> list[SaturationState]:
    return [SaturationState(200.0 + n, pascal, 1500.0 - n) for n, pascal in enumerate(pascals)]


def rising(count: int) -> list[float]:
    return [1e4 * 1.04**n for n in range(count)]


def test_a_curve_is_cut_where_it_stops_rising() -> None:
    line = Line(states(*rising(60), *rising(30)))
    guard_order(line, 0)
    assert 58 <= len(line.states) <= 60  # the two before the fall do not fit it either


def test_a_point_off_its_neighbours_is_not_kept() -> None:
    pascals = rising(100)
    pascals[50] *= 1.02
    line = Line(states(*pascals))
    guard_order(line, 0)
    assert all(round(state.kelvin) != 250 for state in line.states)


def test_liquid_that_grows_denser_and_short_runs_are_unsound() -> None:
    with pytest.raises(Unsound, match="fewer than 40"):
        guard_order(Line(states(*rising(30))), 0)
    with pytest.raises(Unsound, match="fewer than 40"):
        guard_order(Line(states(*rising(60))), 1)


def test_a_bubble_pressure_under_the_dew_pressure_is_unsound() -> None:
    low, high = Line(states(*rising(50))), Line(states(*(1.01 * p for p in rising(50))))
    guard_pair(high, low, 1e-9)
    with pytest.raises(Unsound, match="under dew pressure"):
        guard_pair(low, high, 1e-9)
