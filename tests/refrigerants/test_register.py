"""The shipped register: what is in it, that it hangs together, and what it costs to read."""

from __future__ import annotations

import subprocess
import sys
import time
from fractions import Fraction
from pathlib import Path

import pytest

from ledger.refrigerants import register as register_module
from ledger.refrigerants.register import EVIDENCE, Register, pressure_class, read, register

NAMES = """
R-11 R-12 R-13 R-22 R-23 R-32 R-113 R-114 R-123 R-124 R-125 R-134a R-141b R-142b R-143a R-152a
R-218 R-227ea R-236fa R-245fa R-290 R-600 R-600a R-717 R-718 R-744 R-1150 R-1270 R-170
R-1233zd(E) R-1224yd(Z) R-1234yf R-1234ze(E) R-1336mzz(Z) R-1336mzz(E) R-401A R-401B R-402A
R-402B R-403B R-404A R-406A R-407A R-407B R-407C R-407F R-407H R-408A R-409A R-410A R-413A
R-414A R-414B R-416A R-417A R-417B R-417C R-420A R-421A R-421B R-422A R-422B R-422C R-422D
R-424A R-427A R-428A R-434A R-437A R-438A R-442A R-444A R-448A R-449A R-449B R-450A R-452A
R-452B R-452C R-453A R-454A R-454B R-454C R-455A R-456A R-457A R-458A R-463A R-466A R-471A R-500
R-502 R-503 R-507A R-508B R-513A R-514A R-515B R-516A
"""
IN_FIELD_USE = NAMES.split()

# Named in 40 CFR 82.152, and R-32 and R-463A by computed pressure.
PRESSURE = {
    "R-123": "low",
    "R-134a": "medium",
    "R-22": "high",
    "R-407A": "high",
    "R-407C": "high",
    "R-410A": "high",
    "R-13": "very high",
    "R-23": "very high",
    "R-32": "very high",
    "R-744": "very high",
    "R-508B": "very high",
    "R-463A": "very high",
    "R-717": "high",
    "R-409A": "high",
    "R-406A": "medium",
}


def test_every_refrigerant_in_field_use_is_there() -> None:
    missing = [name for name in IN_FIELD_USE if register().get(name) is None]
    assert missing == []
    assert len(register().names()) >= 110


@pytest.mark.parametrize("name", register().names())
def test_a_refrigerant_hangs_together(name: str) -> None:
    refrigerant = register().refrigerants[name]
    assert sum(part.percent for part in refrigerant.composition) == 100
    assert (len(refrigerant.composition) == 1) is (refrigerant.kind == "pure")
    assert refrigerant.pressure_basis.evidence in EVIDENCE
    assert (refrigerant.safety_class is None) is (refrigerant.safety_basis is None)
    assert (refrigerant.composition_basis is None) is (refrigerant.kind == "pure")
    assert refrigerant.ods is (refrigerant.odp() > 0)


@pytest.mark.parametrize("name", [n for n in register().names() if n[:3] in ("R-4", "R-5")])
def test_the_number_of_a_blend_says_whether_it_is_zeotropic(name: str) -> None:
    """ASHRAE 34 gives zeotropes the 400 series and azeotropes the 500 series."""
    refrigerant = register().refrigerants[name]
    assert refrigerant.kind == {"4": "zeotrope", "5": "azeotrope"}[name[2]]
    assert refrigerant.zeotropic is (name[2] == "4")


@pytest.mark.parametrize(("name", "expected"), PRESSURE.items())
def test_a_pressure_class(name: str, expected: str) -> None:
    assert register().refrigerants[name].pressure_class == expected


@pytest.mark.parametrize(
    ("psia", "expected"),
    [
        ("44.9", "low"),
        ("45", "medium"),
        ("170", "medium"),
        ("170.1", "high"),
        ("355", "high"),
        ("355.1", "very high"),
        ("359.4", "very high"),
    ],
)
def test_the_class_lines_of_82_152(psia: str, expected: str) -> None:
    assert pressure_class(Fraction(psia)) == expected


@pytest.mark.parametrize(
    ("name", "toxicity", "flammability", "flammable"),
    [
        ("R-410A", "A", "1", False),
        ("R-32", "A", "2L", True),
        ("R-717", "B", "2L", True),
        ("R-290", "A", "3", True),
        ("R-152a", "A", "2", True),
        ("R-123", "B", "1", False),
        ("R-141b", None, None, None),
        ("R-503", None, None, None),
    ],
)
def test_what_the_safety_class_says(
    name: str, toxicity: str | None, flammability: str | None, flammable: bool | None
) -> None:
    refrigerant = register().refrigerants[name]
    assert refrigerant.toxicity == toxicity
    assert refrigerant.flammability == flammability
    assert refrigerant.flammable is flammable


def test_names_in_law_and_trade_lead_to_the_substance() -> None:
    for name, number in {
        "HFC-134a": "R-134a",
        "hcfc-22": "R-22",
        "NH3": "R-717",
        "carbon dioxide": "R-744",
        "PFC-14": "R-14",
        "R-601a": "R-601a",
    }.items():
        component = register().component(name)
        assert component is not None
        assert component.name == number
    assert register().component("R-410A") is None


def test_a_gwp_carries_its_sources_and_the_weakest_evidence() -> None:
    gwp = register().refrigerants["R-448A"].gwp("AR5")
    assert [basis.evidence for basis in gwp.bases] == ["secondary", "memory"]
    assert gwp.evidence == "memory"
    assert gwp.horizon_years == 100
    assert register().refrigerants["R-32"].gwp("AR6-20").horizon_years == 20


def _shipped() -> tuple[str, str]:
    folder = Path(register_module.__file__).parent
    names = ("components.toml", "register.toml")
    components, refrigerants = ((folder / name).read_text(encoding="utf-8") for name in names)
    return components, refrigerants


def test_the_register_is_read_once_and_in_less_than_30_ms_of_processor_time() -> None:
    assert register() is register()
    texts = _shipped()

    def seconds() -> float:
        start = time.process_time()
        assert isinstance(read(*texts), Register)
        return time.process_time() - start

    assert min(seconds() for _ in range(7)) < 0.030


def test_naming_the_modules_reads_nothing_yet() -> None:
    """Help texts import them: the TOML reader and the near matches come only on demand."""
    code = (
        "import sys, ledger.refrigerants.spelling, ledger.refrigerants.co2e;"
        "print([m for m in ('tomllib', 'difflib', 'importlib.resources') if m in sys.modules])"
    )
    root = Path(register_module.__file__).parents[2]
    run = subprocess.run(
        [sys.executable, "-S", "-c", code], capture_output=True, text=True, check=True, cwd=root
    )
    assert run.stdout.strip() == "[]"
