"""Every transcript in the guides runs, and prints what the guide says."""

from __future__ import annotations

import re
from pathlib import Path
from shutil import copytree

import pytest

from tests.docs.blocks import ROOT, Block, blocks, matches, run_page, steps

GUIDES = ("docs/technician.md", "docs/shop-manager.md", "docs/owner.md")
PAGES = ("README.md", *GUIDES)


@pytest.fixture(scope="module")
def readme(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, list[str]]:
    """A folder in which the README was run, with the book the guides go on with; what differs."""
    folder = tmp_path_factory.mktemp("readme")
    return folder, run_page(ROOT / "README.md", folder)


def test_the_transcripts_of_the_readme_are_true(readme: tuple[Path, list[str]]) -> None:
    assert not readme[1], "\n".join(readme[1])


@pytest.mark.parametrize("page", GUIDES)
def test_the_transcripts_of_a_guide_are_true(
    page: str, readme: tuple[Path, list[str]], tmp_path: Path
) -> None:
    copytree(readme[0], tmp_path / "shop")
    differing = run_page(ROOT / page, tmp_path / "shop")
    assert not differing, "\n".join(differing)


@pytest.mark.parametrize("page", PAGES)
def test_a_page_shows_commands_with_what_they_print(page: str) -> None:
    shown = [
        step for block in blocks(ROOT / page) if block.mark == "console" for step in steps(block)
    ]
    assert len(shown) >= 8
    assert sum(bool(step.printed) for step in shown) >= len(shown) // 2


def test_a_transcript_that_is_not_true_is_found(tmp_path: Path) -> None:
    """The runner itself: a wrong line, a missing line and a wrong exit code are all seen."""
    page = tmp_path / "page.md"
    page.write_text(
        "```console\n$ echo one\ntwo\n$ printf 'one\\ntwo\\n'\none\n$ false\n"
        "$ echo one; echo two; echo three\none\n...\n$ echo good\ngood\n```\n",
        encoding="utf-8",
    )
    differing = run_page(page, tmp_path)
    assert [found.partition(":")[0] for found in differing] == ["line 2", "line 4", "line 6"]


def test_a_command_may_go_on_over_lines() -> None:
    block = Block("console", "", "$ echo a \\\n> b\na b\n", 1)
    (step,) = steps(block)
    assert (step.command, step.printed) == ("echo a \\\nb", "a b")


@pytest.mark.parametrize(
    ("printed", "said", "same"),
    [
        ("a\nb\nc\n", "a\n...\nc", True),
        ("a\nc\n", "a\n...\nc", True),
        ("a\nb\n", "a\n...\nc", False),
        ("head 12ab34", "head ...", True),
        ("head 12ab34 and more", "head ... more", True),
        ("two words", "two", False),
        ("", "", True),
    ],
)
def test_three_points_stand_for_anything(printed: str, said: str, same: bool) -> None:
    assert matches(printed, said) is same


def test_links_between_pages_lead_somewhere() -> None:
    wrong = []
    for page in (ROOT / "README.md", ROOT / "DEVELOPERS.md", *(ROOT / "docs").rglob("*.md")):
        for target in re.findall(r"\]\(([^)#\s]+)", page.read_text(encoding="utf-8")):
            if "://" not in target and not (page.parent / target).exists():
                wrong.append(f"{page.relative_to(ROOT)}: {target}")
    assert not wrong, "\n".join(wrong)
