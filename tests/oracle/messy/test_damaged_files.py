"""Damaged and mislabelled files: taken in row by row or refused in one sentence, never a trace."""

from __future__ import annotations

import os
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path

import pytest

from ledger.book.journal import Book, BookPlace
from ledger.facts.problems import CATALOGUE, Refused
from ledger.intake.importing import look_at, run_import
from tests.oracle.messy.damaged import damaged_files

MOMENT = datetime(2026, 3, 30, 16, tzinfo=UTC)
SEEDS = range(20 if os.environ.get("TAREBOOK_SOAK") == "1" else 2)
RUN = "from ledger.cli.main import run; run()"
MAY_BE_READ = {
    "utf16.csv", "cp1252.csv", "nul.csv", "changed.xlsx", "formulas.xlsx", "formulas.csv",
    "huge.xlsx", "far.xlsx", "backwards.xlsx", "noise.csv", "utf16le.csv", "untexted.xlsx",
    "text.xlsx", "quote.csv", "line.csv",
}  # fmt: skip
"""Files of which something can be read; every other one has to be refused."""


def _new_book(folder: Path) -> Book:
    place = BookPlace.parse(folder / "shop.tarebook")
    return Book.create(place, "America/Chicago", "Example Refrigeration", "office", MOMENT)


def _head(book: Book) -> int:
    with book.reading() as reader:
        return reader.head()[0]


@pytest.mark.parametrize("seed", SEEDS)
def test_each_is_refused_in_one_sentence_or_read(seed: int, tmp_path: Path) -> None:
    faults = []
    with _new_book(tmp_path) as book:
        before = _head(book)
        for why, name, data in damaged_files(seed):
            path = tmp_path / name
            path.write_bytes(data)
            for act in (look_at, run_import):
                try:
                    act(book, path, moment=MOMENT)
                except Refused as refused:
                    faults += [
                        f"{why}, {name}: {problem.sentence!r}"
                        for problem in refused.problems
                        if problem.code not in CATALOGUE or not _one_sentence(problem.sentence)
                    ]
                else:
                    if name not in MAY_BE_READ:
                        faults.append(f"{why}, {name}: {act.__name__} took it")
            if name not in MAY_BE_READ and _head(book) != before:
                faults.append(f"{why}, {name}: something was recorded")
            before = _head(book)
    assert not faults, "\n".join(faults)


def _one_sentence(text: str) -> bool:
    return bool(text) and "\n" not in text and text.endswith(".") and len(text) < 400


def test_the_command_line_ends_with_two_or_three_and_no_trace(tmp_path: Path) -> None:
    with _new_book(tmp_path):
        pass
    faults = []
    for why, name, data in damaged_files(0):
        if name in MAY_BE_READ:
            continue
        (tmp_path / name).write_bytes(data)
        done = subprocess.run(
            [sys.executable, "-c", RUN, "import", name, "-b", "shop.tarebook"],
            cwd=tmp_path, capture_output=True, text=True, timeout=120,
            env={**os.environ, "PYTHONPATH": str(Path(__file__).resolve().parents[3])},
        )  # fmt: skip
        said = (done.stdout + done.stderr).strip()
        if done.returncode not in (2, 3) or "Traceback" in said or len(said.splitlines()) > 6:
            faults.append(f"{why}, {name}: exit {done.returncode}, {said[:300]}")
    assert not faults, "\n".join(faults)
