"""Runs the shell transcripts in the guides, so that what they show is what the program says.

A fenced block marked `console` holds commands after `$ ` (continued after `> `), each followed
by the lines it prints. `...` stands for anything within a line, on a line of its own for any
lines. A block marked `csv NAME` or `text NAME` is written to a file of that name first.
"""

from __future__ import annotations

import re
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from ledger.cli.importing import ROWS_LEFT
from ledger.facts.problems import CATALOGUE

ROOT = Path(__file__).resolve().parents[2]
CLOCK = "2026-03-30T16:05:09+00:00"
"""The moment at which every transcript was made: 30 March 2026, 11:05 in Chicago."""

_FENCE = re.compile(r"^```(\w*) ?([^\n]*)\n(.*?)^```$", re.M | re.S)
_CODE = re.compile(r"\[([a-z-]+)\]$")


@dataclass(frozen=True, slots=True)
class Block:
    """One fenced block: its mark, the name after it, its text and the line it begins on."""

    mark: str
    name: str
    text: str
    line: int


@dataclass(frozen=True, slots=True)
class Step:
    """One command of a transcript with what it is said to print."""

    command: str
    printed: str
    line: int


def blocks(file: Path) -> list[Block]:
    """The fenced blocks of a page, in order."""
    text = file.read_text(encoding="utf-8")
    return [
        Block(found[1], found[2].strip(), found[3], text.count("\n", 0, found.start()) + 2)
        for found in _FENCE.finditer(text)
    ]


def steps(block: Block) -> Iterator[Step]:
    """The commands of a console block."""
    command, printed, started = "", [], 0
    for count, line in enumerate(block.text.splitlines(), start=block.line):
        if line.startswith("$ "):
            if command:
                yield Step(command, "\n".join(printed), started)
            command, printed, started = line[2:], [], count
        elif line.startswith("> ") and command.endswith("\\"):
            command += f"\n{line[2:]}"
        else:
            assert command, f"line {count} is printed before any command"
            printed.append(line)
    if command:
        yield Step(command, "\n".join(printed), started)


def matches(printed: str, said: str) -> bool:
    """Whether what was printed is what the page says, `...` standing for anything."""
    parts = []
    for line in said.splitlines():
        if line == "...":
            parts.append(r"(?:[^\n]*\n)*?")
        else:
            parts.append(r"[^\n]*".join(map(re.escape, line.split("..."))) + r"\n")
    text = "\n".join(line.rstrip() for line in printed.splitlines())
    return re.fullmatch("".join(parts), f"{text}\n" if text else "") is not None


def environment(home: Path) -> dict[str, str]:
    """A plain environment in which the checkout is the program and the clock stands still."""
    bin_folder = Path(sys.executable).parent
    return {
        "PATH": f"{bin_folder}:/usr/bin:/bin", "HOME": str(home), "PYTHONPATH": str(ROOT),
        "PYTHONDONTWRITEBYTECODE": "1", "TAREBOOK_CLOCK": CLOCK, "LANG": "C.UTF-8",
        "LOGNAME": "office", "COLUMNS": "100",
    }  # fmt: skip


def begin(folder: Path, page: Path) -> None:
    """The book of the README, which every guide goes on with, in a folder; nothing for itself."""
    readme = ROOT / "README.md"
    if page.resolve() == readme:
        return
    environ = environment(folder)
    for block in blocks(readme):
        for step in steps(block) if block.mark == "console" else ():
            if "tarebook demo" not in step.command:
                run(step.command, folder, environ)


def run_page(file: Path, folder: Path) -> list[str]:
    """Run every transcript of a page in one folder; what differs, in words."""
    differing = []
    environ = environment(folder)
    for block in blocks(file):
        if block.name and block.mark in ("csv", "text"):
            (folder / block.name).write_text(block.text, encoding="utf-8")
        if block.mark == "console":
            differing += [found for step in steps(block) if (found := _ran(step, folder, environ))]
    return differing


def run(command: str, folder: Path, environ: dict[str, str]) -> subprocess.CompletedProcess[str]:
    """One command line run by a shell, with what it says and complains in one stream."""
    return subprocess.run(
        ["/bin/sh", "-c", command], cwd=folder, env=environ, text=True, timeout=120,
        stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, check=False,
    )  # fmt: skip


def _ran(step: Step, folder: Path, environ: dict[str, str]) -> str:
    done = run(step.command, folder, environ)
    ended = done.returncode in ((2, 3) if _refused(step.printed) else _ends(step.command))
    if ended and matches(done.stdout, step.printed):
        return ""
    return (
        f"line {step.line}: {step.command}\n  said: {step.printed}\n"
        f"  printed: {done.stdout.rstrip()}\n  (exit {done.returncode})"
    )


def _ends(command: str) -> tuple[int, ...]:
    """The exit codes of a command that does its work; an import may leave rows to a person."""
    return (0, ROWS_LEFT) if "tarebook import" in command else (0,)


def _refused(printed: str) -> bool:
    """Whether the page shows a refusal: its last line ends with the code of one."""
    last = printed.splitlines()[-1] if printed else ""
    code = _CODE.search(last)
    return bool(code and code[1] in CATALOGUE and not last.startswith("Recorded although"))
