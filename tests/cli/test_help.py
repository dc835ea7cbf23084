"""Help for every command and option, quick to come, and nothing heavy behind it."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
import typer.main

from ledger.cli.main import ROOMS, assembled, rooms_for
from tests.cli.shop import Shop

ROOT = Path(__file__).parents[2]


def every_command() -> dict[str, Any]:
    """Each command by its words."""
    found: dict[str, Any] = {}

    def walk(command: Any, words: tuple[str, ...]) -> None:
        inside = getattr(command, "commands", None)
        found[" ".join(words)] = command
        for name, one in (inside or {}).items():
            walk(one, (*words, name))

    walk(typer.main.get_command(assembled()), ())
    return found


COMMANDS = every_command()


@pytest.mark.parametrize("words", sorted(COMMANDS))
def test_every_command_explains_itself(shop: Shop, words: str) -> None:
    said = shop.ok(f"tarebook {words} --help")
    assert said[0].startswith(f"Usage: tarebook {words}".strip())
    assert len(COMMANDS[words].help or "") > 10


def test_every_option_and_argument_has_a_help_text() -> None:
    silent = [
        f"{words} {one.name}"
        for words, command in COMMANDS.items()
        for one in command.params
        if not (getattr(one, "help", "") or "").strip()
    ]
    assert silent == []


def test_every_write_can_be_rehearsed_and_retried() -> None:
    writes = {
        words: {name for one in command.params for name in one.opts}
        for words, command in COMMANDS.items()
        if any("--dry-run" in one.opts for one in command.params)
    }
    assert len(writes) > 40
    missing = [words for words, options in writes.items() if "--key" not in options]
    # The keys of an import or a count are the contents of the rows; an import is taken back once.
    assert missing == ["count", "import", "reverse-import"]


@pytest.mark.parametrize("room", ROOMS)
def test_a_command_is_found_without_loading_the_others(room: str) -> None:
    group: Any = typer.main.get_command(assembled([room, "refusals"]))
    assert [name for name in group.commands if name != "refusal" or room == "refusals"] == (
        ROOMS[room].split()
    )
    assert list(rooms_for(["--json", ROOMS[room].split()[0], "head"])) == [room]


def test_every_command_is_there_for_help_and_for_an_unknown_word() -> None:
    assert list(rooms_for(["--help"])) == list(rooms_for(["chrage", "RTU-1"])) == list(ROOMS)


def test_help_brings_in_nothing_heavy() -> None:
    program = (
        "import sys\n"
        "from ledger.cli.main import run\n"
        "sys.argv = ['tarebook', *sys.argv[1:]]\n"
        "try:\n    run()\nexcept SystemExit:\n    pass\n"
        "heavy = {'sqlalchemy', 'openpyxl', 'rich', 'alembic', 'pandas', 'CoolProp'}\n"
        "print('heavy:', sorted(heavy & set(sys.modules)))\n"
    )
    for words in (["--help"], ["charge", "--help"], ["add", "unit", "--help"], ["--version"]):
        done = subprocess.run(
            [sys.executable, "-c", program, *words], capture_output=True, text=True, cwd=ROOT,
            check=True,
        )  # fmt: skip
        assert done.stdout.splitlines()[-1] == "heavy: []", words


def test_a_word_that_is_no_command_is_answered_without_a_traceback(shop: Shop) -> None:
    said = shop.run("tarebook chrage RTU-1 5")
    assert said.code == 2 and "No such command" in said.err
    said = shop.run("tarebook charge RTU-1 5 --form 410-1")
    assert said.code == 2 and "No such option: --form" in said.err and "--from" in said.err
