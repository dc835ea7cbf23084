"""Writes what the program prints now into the transcripts of a page, to be read before a commit.

Run `python -m tests.docs.retell docs/technician.md`. Commands whose printed lines hold `...`
are left alone while they still match. The guides go on with the book of the README.
"""

from __future__ import annotations

import re
import sys
import tempfile
from pathlib import Path

from tests.docs.blocks import Block, begin, blocks, environment, matches, run, steps

_DIGEST = re.compile(r"\b[0-9a-f]{12,64}\b")
"""Digests differ from run to run, because keys and the book's id are chosen at random."""


def retold(page: Path, folder: Path) -> str:
    """The page with every transcript that is no longer true told anew."""
    lines = page.read_text(encoding="utf-8").splitlines()
    changes: list[tuple[int, int, list[str]]] = []
    for block in blocks(page):
        if block.name and block.mark in ("csv", "text"):
            (folder / block.name).write_text(block.text, encoding="utf-8")
        if block.mark == "console":
            changes += _changes(block, folder)
    for start, end, printed in reversed(changes):
        lines[start:end] = printed
    return "\n".join(lines) + "\n"


def _changes(block: Block, folder: Path) -> list[tuple[int, int, list[str]]]:
    """The printed lines to replace: first and last line number from 0, and the new lines."""
    changes = []
    for step in steps(block):
        done = run(step.command, folder, environment(folder))
        if not matches(done.stdout, step.printed):
            start = step.line + step.command.count("\n")
            end = start + len(step.printed.splitlines())
            printed = _DIGEST.sub("...", done.stdout).replace("....", "...")
            changes.append((start, end, [line.rstrip() for line in printed.splitlines()]))
    return changes


if __name__ == "__main__":
    for name in sys.argv[1:]:
        with tempfile.TemporaryDirectory() as place:
            begin(Path(place), Path(name))
            Path(name).write_text(retold(Path(name), Path(place)), encoding="utf-8")
