"""Times the property look-ups in process and the commands at the gauge from a cold start.

Run it as a script: `python tests/benchmarks/bench_properties.py [--tries N]`. A million look-ups
stand beside a million calls that do nothing but take a logarithm, and each command beside the
start of the bare program (`--version`) and of Python alone, so that a slow machine does not
mislead.
"""

from __future__ import annotations

import argparse
import subprocess
import sys
from collections.abc import Callable
from math import log
from pathlib import Path
from time import perf_counter

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from ledger.properties.saturation import Properties, properties  # noqa: E402

COUNT = 1_000_000
LOOK_UPS_SECONDS, COLD_SECONDS = 3.0, 0.35
"""The bars: a million look-ups in process, and any of the commands from a cold start."""
COMMANDS = (
    ("saturation", "R-410A", "118 psig"),
    ("pt", "R-454B"),
    ("superheat", "R-410A", "--line", "52", "--pressure", "118"),
    ("subcooling", "R-407C", "--line", "95", "--pressure", "260"),
    ("evacuation", "R-410A", "--charge", "250", "--machine-made", "2015"),
    ("properties", "R-32"),
)


def _seconds(look_up: Callable[[float], object], at: list[float]) -> float:
    begin = perf_counter()
    for x in at:
        look_up(x)
    return perf_counter() - begin


def look_ups() -> None:
    """A million look-ups of each kind, over all refrigerants' common range."""
    one = properties("R-410A")
    assert isinstance(one, Properties)
    kelvins = [215 + (n % 11_000) / 100 for n in range(COUNT)]
    pascals = [1.5e5 + (n % 30_000) * 100.0 for n in range(COUNT)]
    bare = _seconds(log, kelvins)
    print(f"{COUNT:,} calls of log             {bare:6.2f} s")
    kinds: dict[str, tuple[Callable[[float], object], list[float]]] = {
        "dew pressure": (one.dew_pressure, kelvins),
        "bubble temperature": (one.bubble_temperature, pascals),
        "liquid density": (one.liquid_density, kelvins),
        "vapour density": (one.vapour_density, kelvins),
        "superheated density": (lambda kelvin: one.superheated_density(kelvin, 1e4), kelvins),
    }
    for name, (look_up, at) in kinds.items():
        took = _seconds(look_up, at)
        print(
            f"{COUNT:,} of {name:20} {took:6.2f} s, {took / bare:5.1f} times"
            f" (bar {LOOK_UPS_SECONDS:g} s)"
        )


def _cold(words: tuple[str, ...], tries: int) -> float:
    best = float("inf")
    for _ in range(tries):
        begin = perf_counter()
        subprocess.run(words, check=True, stdout=subprocess.DEVNULL, cwd=ROOT)
        best = min(best, perf_counter() - begin)
    return best


def cold_starts(tries: int) -> None:
    """The best of some starts of each command, beside the bare program's and Python's."""
    program = "from ledger.cli.main import run; run()"
    python = _cold((sys.executable, "-c", "pass"), tries)
    bare = _cold((sys.executable, "-c", program, "--version"), tries)
    print(f"python -c pass          {python:6.3f} s")
    print(f"tarebook --version      {bare:6.3f} s")
    for words in COMMANDS:
        took = _cold((sys.executable, "-c", program, *words), tries)
        print(
            f"tarebook {words[0]:14} {took:6.3f} s, {took / bare:4.2f} times"
            f" (bar {COLD_SECONDS:g} s)"
        )


if __name__ == "__main__":
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--tries", type=int, default=7)
    look_ups()
    cold_starts(options.parse_args().tries)
