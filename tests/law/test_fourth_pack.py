"""A fourth, invented jurisdiction is added by writing data alone, where it uses the same blocks."""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest

from ledger.answers.facility import Facility, System
from ledger.answers.facility_duties import FacilityDuties, facility_duties
from ledger.facts.mass import KILOGRAM, of_decimal
from ledger.law.for_facilities import law_for_facilities, standings
from ledger.law.loader import Pack, RuleError, read_pack
from ledger.law.scope import Subject, scope_of

FOLDER = Path(__file__).parent / "packs" / "nordmark-cooling"
DAY = date(2026, 6, 1)


@pytest.fixture(scope="module")
def pack() -> Pack:
    return read_pack(FOLDER)


def _circuit(kg: str, gwp: str = "", state: str = "NM") -> Subject:
    charge = of_decimal(kg, "kg")
    assert charge is not None
    listed = Fraction(gwp) if gwp else None
    return Subject(
        False, True, None, charge, "other", state=state, gwps=(("AR4", listed), ("AR6", listed))
    )


@pytest.mark.parametrize(
    ("circuit", "binds", "limb"),
    [
        (_circuit("2.5", "2000"), "yes", "N4"),
        (_circuit("2.4999", "2000"), "no", "N5"),
        (_circuit("3.497", "1430"), "yes", "N4"),
        (_circuit("3.496", "1430"), "no", "N5"),
        (_circuit("3"), "no", "N3"),
        (_circuit("3.001"), "yes", "N2"),
        (_circuit("9", "2000", "ZZ"), "no", "N1"),
        (_circuit("9", "2000", ""), "unknown", "N4"),
    ],
)
def test_sizes_in_kilograms_and_tons(pack: Pack, circuit: Subject, binds: str, limb: str) -> None:
    """5 t CO2e at GWP 2000 are 2.5 kg; at 1430, 3.4965... kg."""
    (found,) = scope_of(circuit, DAY, [pack])
    assert (found.binds, found.limb) == (binds, limb)
    (before,) = scope_of(circuit, date(2025, 12, 31), [pack])
    assert (before.binds, before.limb) == ("no", "N0")


def test_the_clock_and_the_calendar_are_there(pack: Pack) -> None:
    ((name, clock),) = pack.blocks.on("clocks", DAY)
    assert (name, clock["starts"], clock["ends"]) == ("repair", "detection", ("repair",))
    days = pack.value(clock["length"], DAY)
    assert days is not None and (days.value, days.unit) == (7, "days from detection")
    ((_, test),) = pack.blocks.on("calendars", DAY)
    apart = pack.value(test["apart"], DAY)
    assert test["grid"] == "calendar year" and apart is not None
    assert (apart.edge, apart.value, apart.unit) == ("at most", 15, "months")
    assert not list(pack.blocks.on("clocks", date(2025, 12, 31)))


def test_a_charge_in_a_band_over_the_line_is_unknown(pack: Pack) -> None:
    band = _circuit("2", "2000")._replace(charge_high=3 * KILOGRAM)
    (found,) = scope_of(band, DAY, [pack])
    assert found.binds == "unknown"
    assert found.sentence == "The full charge may or may not be at least 5 t CO2e."
    assert len(found.either) == 2


@pytest.mark.parametrize(
    ("kg", "limb"), [("19.9999", "W-other"), ("20", "W-large"), ("2.4999", "")]
)
def test_works_are_large_by_the_carbon_of_their_largest_plant(
    pack: Pack, kg: str, limb: str
) -> None:
    """40 t CO2e at GWP 2000 are 20 kg; under 2.5 kg the plant is not bound at all."""
    found = _works(pack, kg, date(2026, 6, 1))
    assert found.of.limb == limb
    owed = {(duty.duty, duty.due, duty.amount) for duty in found.duties}
    enrol = {("register", date(2026, 5, 2), "")} if limb else set()
    yearly = {
        ("annual-report", date(2027, 6, 30), ""),
        ("annual-fee", date(2027, 6, 30), "900 crowns a year"),
    }
    assert owed == enrol | (yearly if limb == "W-large" else set())


@pytest.mark.parametrize(("day", "status"), [(2, "open"), (3, "overdue")])
def test_enrolment_runs_sixty_days_from_the_start(pack: Pack, day: int, status: str) -> None:
    """60 days from 3 March 2026: 28 left in March, 30 in April, 2 in May."""
    (enrol, *_) = _works(pack, "3", date(2026, 5, day)).duties
    assert (enrol.start, enrol.after, enrol.due) == (START, "60 days", date(2026, 5, 2))
    assert (enrol.status, enrol.title, enrol.subject) == (
        status, "Enrolment of a plant", "Mill: P-1",
    )  # fmt: skip


START = date(2026, 3, 3)


def _works(pack: Pack, kg: str, as_of: date) -> FacilityDuties:
    plant = System("P-1", START, standings([(None, _circuit(kg, "2000"))], [pack]))
    mill = Facility("Mill", "Mill Company", (plant,))
    return facility_duties(mill, [law_for_facilities(pack)], as_of)[0]


WRONG = [
    ("papers", 'length = "enrol-days"', 'length = "levy"', ["'length'", "is not a number of"]),
    ("papers", 'starts = "year-end"', 'starts = "harvest"', ["key 'starts'", "harvest"]),
    ("papers", 'limbs = ["W-large"]', 'limbs = ["W-huge"]', ["'limbs'", "W-huge"]),
    ("clocks", 'starts = "detection"', 'starts = "rumour"', ["key 'starts'", "rumour"]),
    ("clocks", 'length = "repair-days"', 'length = "days"', ["key 'length'", "no rule 'days'"]),
    ("clocks", 'length = "repair-days"', 'length = "min-kg"', ["'length'", "is not a number of"]),
    ("clocks", 'kind = "duty"', 'kind = "duty"\nsoon = true', ["key 'soon'", "not known"]),
    ("clocks", 'who = "owner"\n', "", ["key 'who'", "missing"]),
    ("clocks", 'scope = "plant"', 'scope = "factory"', ["'scope'", "no scope 'factory'"]),
    ("clocks", 'scope = "plant"', 'scope = "plant"\nlimbs = ["N9"]', ["'limbs'", "N9"]),
    ("clocks", "from = 2026-01-01", 'from = "2026"', ["key 'from'", "must be a date"]),
    ("calendars", '"calendar year"', '"now and then"', ["key 'grid'", "now and then"]),
    ("scope", 'size = "min-kg"', 'size = "repair-days"', ["'size'", "none of lb, kg, t CO2e"]),
    ("scope", "listed = false }", "mood = false }", ["'mood'", "not known"]),
    ("scope", 'binds = "yes"', 'binds = "maybe"', ["key 'binds'", "maybe"]),
    ("scope", "listed = false }", 'decision = { mood = "no" } }', ["'decision'", "'mood'"]),
    ("retention", "[records]", "title = 1\n[records]", ["block title", "must be a table"]),
]


@pytest.mark.parametrize(("kind", "old", "new", "words"), WRONG)
def test_a_wrong_block_names_file_block_and_key(
    tmp_path: Path, kind: str, old: str, new: str, words: list[str]
) -> None:
    for path in FOLDER.rglob("*.toml"):
        target = tmp_path / path.relative_to(FOLDER)
        target.parent.mkdir(exist_ok=True)
        text = path.read_text(encoding="utf-8")
        if path.stem == kind and path.parent.name == "blocks":
            assert old in text
            text = text.replace(old, new)
        target.write_text(text, encoding="utf-8")
    with pytest.raises(RuleError) as caught:
        read_pack(tmp_path)
    assert str(caught.value).startswith(f"{tmp_path.name}/blocks/{kind}.toml: block ")
    for word in words:
        assert word in str(caught.value)


def test_a_file_that_is_no_block_is_told(tmp_path: Path) -> None:
    (tmp_path / "pack.toml").write_bytes((FOLDER / "pack.toml").read_bytes())
    (tmp_path / "blocks").mkdir()
    (tmp_path / "blocks" / "wishes.toml").write_text("", encoding="utf-8")
    with pytest.raises(RuleError, match=r"blocks/wishes\.toml: the file is no known block"):
        read_pack(tmp_path)
