"""The shipped tables: whole, small, guarded, and of the pinned CoolProp."""

from __future__ import annotations

import math
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

from ledger.properties.curves import Curve, Grid
from ledger.properties.no_data import NoSoundData
from ledger.properties.saturation import Properties, properties
from ledger.properties.tables import FOLDER, INDEX, file_name, index
from ledger.refrigerants.register import register
from tests.properties.making.tables import COOLPROP, TABLE_VERSION

ROOT = Path(__file__).parents[2]
NAMES = tuple(index().records)


def sound(name: str) -> Properties:
    """The properties of a refrigerant that has them."""
    found = properties(name)
    assert isinstance(found, Properties), found
    return found


def test_every_refrigerant_of_the_register_has_data_or_a_reason() -> None:
    assert sorted([*index().records, *index().unsound]) == sorted(register().names())
    for name, reason in index().unsound.items():
        answer = properties(name)
        assert isinstance(answer, NoSoundData)
        assert answer.sentence() == f"No sound data for {name}, saturation properties: {reason}."


def test_the_tables_are_of_the_pinned_version() -> None:
    asked = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    assert f"coolprop=={COOLPROP}" in asked["project"]["optional-dependencies"]["test"]
    assert index().stamp == f"property table {TABLE_VERSION} of CoolProp {COOLPROP}"


def test_the_files_are_those_of_the_index_and_under_two_megabytes() -> None:
    there = {path.name for path in FOLDER.iterdir()}
    assert there == {INDEX, *(file_name(name) for name in NAMES)}
    assert sum(path.stat().st_size for path in FOLDER.iterdir()) < 2_000_000


def test_one_refrigerant_reads_one_file_and_nothing_heavy() -> None:
    program = (
        "import sys\n"
        "opened = []\n"
        "sys.addaudithook(lambda event, args: opened.append(str(args[0]))"
        " if event == 'open' else None)\n"
        "from ledger.properties.saturation import properties\n"
        "properties('R-410A').dew_temperature(9e5)\n"
        "print([name.rpartition('/')[2] for name in opened if '/tables/' in name])\n"
        "print({'CoolProp', 'teqp', 'numpy'} & set(sys.modules))\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, cwd=ROOT, check=True
    )
    assert done.stdout.splitlines() == ["['index.json', 'R-410A.bin']", "set()"]


@pytest.mark.parametrize("name", NAMES)
def test_curves_are_monotonic_and_bubble_is_not_under_dew(name: str) -> None:
    one = sound(name)
    for curve, values in one.table.curves.items():
        steps = [b - a for a, b in zip(values.values, values.values[1:], strict=False)]
        assert all(step < 0 if curve == "liquid" else step > 0 for step in steps), curve
    if one.bubble is None or one.dew is None:
        assert one.record.dropped
        return
    low, high = max(one.bubble.first, one.dew.first), min(one.bubble.last, one.dew.last)
    for n in range(round(2 * (high - low)) + 1):
        bubble, dew = one.bubble_pressure(low + n / 2), one.dew_pressure(low + n / 2)
        assert not isinstance(bubble, NoSoundData) and not isinstance(dew, NoSoundData)
        # At the nodes always; between them two curves that touch may cross by interpolation.
        assert bubble >= dew * (1 - (1e-9 if n % 2 == 0 else 2 * one.record.bounds["pressure"]))


@pytest.mark.parametrize("name", NAMES)
def test_there_and_back_is_the_same_temperature(name: str) -> None:
    one = sound(name)
    for pressure, temperature, curve in (
        (one.bubble_pressure, one.bubble_temperature, one.bubble),
        (one.dew_pressure, one.dew_temperature, one.dew),
    ):
        if curve is None:
            continue
        for n in range(200):
            kelvin = curve.first + (curve.last - curve.first) * (n + 0.5) / 200
            pascal = pressure(kelvin)
            assert not isinstance(pascal, NoSoundData)
            back = temperature(pascal)
            assert not isinstance(back, NoSoundData)
            assert abs(back - kelvin) < 1e-9


def test_outside_the_proven_range_there_is_no_figure_and_a_reason() -> None:
    one = sound("R-744")
    above = one.dew_pressure(305.4)  # 90 F; check D-095
    assert isinstance(above, NoSoundData)
    assert above.reason == "above its critical temperature of 87.8 F there is none"
    blend = sound("R-448A")
    for answer in (
        blend.bubble_pressure(400), blend.bubble_temperature(1e7), blend.dew_temperature(10.0),
        blend.dew_temperature(0.0), blend.dew_temperature(-5.0), blend.liquid_density(400),
        blend.vapour_density(100), blend.superheated_density(300, -1),
        blend.superheated_density(300, 5e6), blend.superheated_density(600, 1e5),
        blend.dew_pressure(math.nan), properties("R-999"),
    ):  # fmt: skip
        assert isinstance(answer, NoSoundData), answer
        assert answer.sentence().startswith("No sound data for R-")


def test_vapour_thins_out_to_an_ideal_gas_and_to_nothing() -> None:
    one = sound("R-134a")
    assert one.superheated_density(297, 0.0) == 0
    at_a_micron = one.superheated_density(297, 0.1333)
    assert not isinstance(at_a_micron, NoSoundData)
    ideal = 0.1333 * one.record.kilograms_a_mole / (8.314462618 * 297)
    assert at_a_micron == pytest.approx(ideal, rel=1e-6)
    saturated, limit = one.vapour_density(297.0), one.dew_pressure(297.0)
    assert not isinstance(saturated, NoSoundData) and not isinstance(limit, NoSoundData)
    assert one.superheated_density(297.0, limit) == pytest.approx(saturated, rel=1e-4)


def test_a_cubic_is_followed_exactly_to_both_ends() -> None:
    def cubic(x: float) -> float:
        return 0.3 * x**3 + 2 * x**2 + 7 * x - 4

    curve = Curve(2.0, 0.5, [cubic(2 + 0.5 * n) for n in range(9)])
    grid = Grid(1.0, 2.0, 5, [cubic(1 + 2 * row) * cubic(n / 6) for row in range(5)
                              for n in range(7)])  # fmt: skip
    for n in range(81):
        x = 2 + 4 * n / 80
        assert curve.at(x) == pytest.approx(cubic(x), rel=1e-12)
        assert curve.inverse(cubic(x)) == pytest.approx(x, rel=1e-9)
        row, share = 1 + 8 * n / 80, n / 80
        assert grid.at(row, share) == pytest.approx(cubic(row) * cubic(share), rel=1e-11)


def test_a_curve_of_too_few_nodes_is_refused() -> None:
    with pytest.raises(ValueError, match="four nodes"):
        Curve(0.0, 1.0, [1.0, 2.0, 3.0])
    with pytest.raises(ValueError, match="four full rows"):
        Grid(0.0, 1.0, 3, [1.0] * 12)
