"""docs/cli.md is what the commands are, and no command or option is left unexplained."""

from __future__ import annotations

import re

from tests.docs.cli_reference import PAGE, ROOT, arguments, commands, options, page


def test_the_page_is_up_to_date() -> None:
    assert PAGE.read_text(encoding="utf-8") == page(), "run python -m tests.docs.cli_reference"


def test_every_command_argument_and_option_is_explained() -> None:
    wrong = []
    for words, command in commands().items():
        if not command.help:
            wrong.append(words)
        for typed, meaning in (*arguments(command), *options(command)):
            if not re.match(r"[\w\".].*\.$", meaning):
                wrong.append(f"{words} {typed}: {meaning!r}")
    assert not wrong, "\n".join(wrong)


def test_every_command_the_pages_name_exists() -> None:
    """`tarebook charge` in a sentence or a transcript names a command there is."""
    known = set(commands()) | {words.split()[0] for words in commands()}
    wrong = []
    for file in (ROOT / "README.md", ROOT / "DEVELOPERS.md", *sorted((ROOT / "docs").glob("*.md"))):
        for found in re.findall(
            r"(?:\$ |`)tarebook ([a-z][a-z-]*)(?: ([a-z]+))?", file.read_text(encoding="utf-8")
        ):
            pair = " ".join(found).strip()
            if found[0] not in known:
                wrong.append(f"{file.name}: {pair}")
    assert not wrong, "\n".join(wrong)
