"""The first screen of the README: the job, then the two commands, and both do what they say."""

from __future__ import annotations

import re
from pathlib import Path

from tests.docs.blocks import ROOT, blocks, environment, run

TEXT = (ROOT / "README.md").read_text(encoding="utf-8")
FIRST_SCREEN = TEXT.partition("\n## ")[0]


def _commands() -> list[str]:
    """The install commands, one a block."""
    return [block.text.strip() for block in blocks(ROOT / "README.md") if block.mark == "sh"][:2]


def test_the_job_in_one_paragraph_comes_first() -> None:
    title, paragraph, *_ = FIRST_SCREEN.split("\n\n")
    assert title == "# Tarebook"
    assert paragraph[0].isalpha()
    assert 40 <= len(paragraph.split()) <= 140
    for word in ("refrigerant", "cylinder", "leak rate", "spreadsheet"):
        assert word in FIRST_SCREEN


def test_the_two_commands_stand_on_the_first_screen() -> None:
    assert [command in FIRST_SCREEN for command in _commands()] == [True, True]
    assert len(FIRST_SCREEN.splitlines()) <= 45


def test_the_first_command_runs_the_demo(tmp_path: Path) -> None:
    """The part after the installation, which tests/wheel looks after, in an empty folder."""
    install, _, job = _commands()[0].rpartition(" && ")
    assert install == "python3 -m venv .venv && .venv/bin/pip install ."
    assert job.startswith(".venv/bin/tarebook ")
    done = run(job.removeprefix(".venv/bin/"), tmp_path, environment(tmp_path))
    assert done.returncode == 0, done.stdout
    assert "leak rate" in done.stdout.casefold()
    assert list(tmp_path.rglob("*.xlsx"))


def test_the_second_command_is_what_the_build_machine_runs() -> None:
    install, _, tests = _commands()[1].rpartition(" && ")
    assert install == "python3 -m venv .venv && .venv/bin/pip install '.[test]'"
    script = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    assert re.search(rf"^{re.escape(tests.removeprefix('.venv/bin/'))}\b", script, re.M)
    assert re.search(r"pip install .*'\.\[test,postgresql\]'", script)


def test_the_caution_is_there_in_plain_words() -> None:
    said = " ".join(TEXT.split())
    for words in ("Not legal advice", "Nothing here makes anyone compliant", "official text"):
        assert words in said
