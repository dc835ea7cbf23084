"""Writes docs/cli.md from the commands themselves, so that page and program cannot differ.

Run `python -m tests.docs.cli_reference` after a command or an option has changed.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import Any

from ledger.cli.main import assembled
from tests.docs.blocks import ROOT

PAGE = ROOT / "docs" / "cli.md"
EVERYWHERE = 8
"""Commands from which an option counts as one of the common ones, told once."""

Option = tuple[str, str]
"""An option or argument as it is typed, and what it means."""

_INTRODUCTION = """\
# Commands

Every command, argument and option, written from the program by
`python -m tests.docs.cli_reference`; a test compares. `tarebook COMMAND --help` shows the same.

On a terminal a command asks for what is missing; in a pipe it says which option to add. Exit
codes: 0 done, 2 refused (nothing was written), 3 the book itself is in the way, 4 rows of an import
wait for an answer or are rejected (the others are recorded), 70 a failure of the program (please
report it), 130 stopped by hand. Each refusal has a code in square brackets,
explained in [errors.md](errors.md).

An option followed by `...` takes a value; an argument followed by `...` may be repeated.

Environment: `TAREBOOK_BOOK` names the book, `TAREBOOK_PERSON` who does the work,
`TAREBOOK_ATTACHMENTS` the folder for scans of a PostgreSQL book, `TAREBOOK_CLOCK` stands in for
the clock in a rehearsal.
"""


def commands() -> dict[str, Any]:
    """Every command by its words, in the order of the help."""
    import typer.main

    found: dict[str, Any] = {}

    def walk(command: Any, words: str) -> None:
        inside = getattr(command, "commands", None)
        if inside is None:
            found[words] = command
            return
        for name, one in inside.items():
            walk(one, f"{words} {name}".strip())

    walk(typer.main.get_command(assembled()), "")
    return found


def arguments(command: Any) -> list[Option]:
    """The arguments of a command."""
    return [
        (_argument(part), part.help or "")
        for part in command.params
        if part.param_type_name == "argument"
    ]


def options(command: Any) -> list[Option]:
    """The options of a command but `--help`, with default and environment variable."""
    return [
        (_option(part), _meaning(part))
        for part in command.params
        if part.param_type_name == "option" and "--help" not in part.opts
    ]


def _argument(part: Any) -> str:
    return part.name.strip("_").upper() + (" ..." if part.nargs == -1 else "")


def _option(part: Any) -> str:
    names = ", ".join(sorted(part.opts, key=len))
    return names if part.is_flag else f"{names} ..."


def _meaning(part: Any) -> str:
    text = (part.help or "").strip()
    variable = getattr(part, "envvar", None)
    if isinstance(variable, list | tuple):
        variable = ", ".join(variable)
    if variable:
        text += f" Variable: `{variable}`."
    default = part.default
    if not part.is_flag and isinstance(default, str | int) and default not in ("", 0):
        text += f" Default: {default}."
    if part.multiple:
        text += " May be repeated."
    return text


def common(found: dict[str, Any]) -> list[Option]:
    """The options that mean the same in many commands, each name once."""
    counts = Counter(option for command in found.values() for option in options(command))
    usual: dict[str, str] = {}
    for (typed, meaning), count in counts.most_common():
        if count >= EVERYWHERE:
            usual.setdefault(typed, meaning)
    return sorted(usual.items(), key=lambda option: option[0].lstrip("-"))


def page() -> str:
    """The whole page."""
    found = commands()
    shared = common(found)
    lines = [_INTRODUCTION, "## Options that mean the same everywhere", "", *_table(shared)]
    for words, command in found.items():
        lines += ["", *_section(words, command, shared)]
    return "\n".join(lines) + "\n"


def _section(words: str, command: Any, shared: list[Option]) -> Iterator[str]:
    typed = arguments(command)
    own = [option for option in options(command) if option not in shared]
    also = [option[0].split()[0].rstrip(",") for option in options(command) if option in shared]
    yield f"## {words}"
    yield ""
    yield command.help.strip()
    yield ""
    yield "    " + " ".join(["tarebook", words, *(f"[{name}]" for name, _ in typed), "[OPTIONS]"])
    if typed or own:
        yield ""
        yield from _table([*typed, *own])
    if also:
        yield ""
        yield "Also " + ", ".join(f"`{_long(name, command)}`" for name in also) + "."


def _long(name: str, command: Any) -> str:
    """The long spelling of an option named by its short one."""
    for part in command.params:
        if name in part.opts:
            return str(max(part.opts, key=len))
    return name


def _table(rows: list[Option]) -> Iterator[str]:
    yield "| | |"
    yield "|---|---|"
    for typed, meaning in rows:
        yield f"| `{typed}` | {meaning.replace('|', chr(92) + '|')} |"


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
