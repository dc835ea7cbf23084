"""The top of the repository is fixed, and nothing in it knows the machine it was written on."""

from __future__ import annotations

import re
import tomllib

from tests.tidy.source import ROOT, is_ignored, texts

TOP = {
    ".ci", ".gitignore", "DEVELOPERS.md", "LICENSE", "README.md", "docs", "fixtures", "ledger",
    "migrations", "pyproject.toml", "reports", "tests",
}  # fmt: skip

TEST_ROOMS = {
    "facts", "answers", "law", "refrigerants", "properties", "book", "intake", "reports", "cli",
    "errors", "faults", "oracle", "docs", "wheel", "tidy", "benchmarks",
}  # fmt: skip

GUIDES = {
    "technician.md", "shop-manager.md", "owner.md", "data-model.md", "errors.md", "decisions.md",
    "regressions.md", "changelog.md", "cli.md",
}  # fmt: skip

MACHINE = re.compile(r"(?<![\w$}.<-])/(?:home|work|root|Users|tmp|opt)/[\w.]")
LATER = re.compile(r"\b(?:TODO|FIXME|XXX|HACK)\b")


def test_the_top_level_is_the_fixed_one() -> None:
    there = {path.name for path in ROOT.iterdir() if not is_ignored(path.relative_to(ROOT))}
    assert there == TOP


def test_tests_lie_in_the_rooms_they_test() -> None:
    there = {
        path.name
        for path in (ROOT / "tests").iterdir()
        if path.is_dir() and not is_ignored(path.relative_to(ROOT)) and any(path.iterdir())
    }
    assert there <= TEST_ROOMS


def test_every_guide_is_there() -> None:
    there = {path.name for path in (ROOT / "docs").glob("*.md")}
    assert there == GUIDES
    assert all((ROOT / "docs" / name).stat().st_size > 200 for name in GUIDES)


def test_no_file_names_a_place_on_one_machine() -> None:
    wrong = [
        f"{path}:{count}: {line.strip()}"
        for path, text in texts()
        if path != "tests/tidy/test_layout.py"
        for count, line in enumerate(text.splitlines(), start=1)
        if MACHINE.search(line)
    ]
    assert not wrong, "\n".join(wrong)


def test_nothing_is_marked_for_later() -> None:
    wrong = [
        f"{path}:{count}: {line.strip()}"
        for path, text in texts()
        if path != "tests/tidy/test_layout.py"
        for count, line in enumerate(text.splitlines(), start=1)
        if LATER.search(line)
    ]
    assert not wrong, "\n".join(wrong)


def test_every_dependency_is_justified() -> None:
    """DEVELOPERS.md has a line for each package the project asks for."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    asked = [*project["project"]["dependencies"], *project["build-system"]["requires"]]
    for extra in project["project"]["optional-dependencies"].values():
        asked += extra
    names = {re.split(r"[\[<>=]", line)[0] for line in asked}
    guide = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    justified = set(re.findall(r"^\| `([\w-]+)` \|", guide, re.M))
    assert names == justified


def test_every_file_the_contributor_guide_names_is_there() -> None:
    guide = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    named = set(re.findall(r"`((?:tests|ledger|docs|reports|migrations|\.ci)/[\w./-]+)`", guide))
    assert len(named) > 30
    assert not sorted(name for name in named if not (ROOT / name).exists())
