"""Every refusal, met from the command line: its sentence, its way out, nothing written."""

from __future__ import annotations

import shutil
import tomllib
from pathlib import Path
from typing import Any

import pytest

from ledger.cli.importing import ROWS_LEFT
from ledger.facts.pages import CONSEQUENCES, TO_DO, codes
from ledger.facts.problems import CATALOGUE
from tests.cli.shop import START, Shop
from tests.errors.pages_document import CASES, document
from tests.errors.preparing import PREPARE

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def begun(tmp_path_factory: pytest.TempPathFactory) -> Path:
    shop = Shop(tmp_path_factory.mktemp("errors") / "shop")
    shop.folder.mkdir()
    shop.all(START)
    return shop.folder


def shop_of(begun: Path, folder: Path, case: dict[str, Any]) -> Shop:
    shutil.copytree(begun, folder)
    shop = Shop(folder)
    shop.all(case.get("setup", ()))
    for name, text in case.get("files", {}).items():
        (folder / name).write_text(text, encoding="utf-8")
    return shop


@pytest.mark.parametrize("code", sorted(CASES))
def test_a_refusal_is_a_sentence_and_a_way_out_and_writes_nothing(
    begun: Path, tmp_path: Path, code: str
) -> None:
    case = CASES[code]
    shop = shop_of(begun, tmp_path / "shop", case)
    before = shop.head()
    with PREPARE[case.get("prepare", "")](shop.folder):
        said = shop.run(case["command"])
    assert said.code == case["exit"]
    if case["exit"] == ROWS_LEFT:
        assert (case["error"] in said.out, said.err) == (True, "")
    else:
        assert (said.err.rstrip("\n"), said.out) == (case["error"], "")
    assert f"[{code}]" in case["error"]
    assert shop.head() == before


@pytest.mark.parametrize("code", sorted(code for code, case in CASES.items() if "although" in case))
def test_what_really_happened_is_recorded_with_its_reason_and_stays_marked(
    begun: Path, tmp_path: Path, code: str
) -> None:
    case = CASES[code]
    shop = shop_of(begun, tmp_path / "shop", case)
    before = shop.number()
    said = shop.run(case["although"])
    assert (said.code, said.err) == (0, "")
    assert said.out == case["recorded"]
    assert f"[{code}]" in said.out
    shown = shop.ok(f"tarebook show {before + 1}")
    assert any("recorded although: " in line and code in line for line in shown)


def test_every_refusal_has_a_reproduction_and_every_reproduction_a_refusal() -> None:
    assert sorted(CASES) == sorted(CATALOGUE) == sorted(TO_DO)


def test_every_refusal_that_a_reason_passes_shows_what_follows() -> None:
    passable = {code for code, kind in CATALOGUE.items() if kind.because}
    assert passable == set(CONSEQUENCES)
    assert passable == {code for code, case in CASES.items() if "although" in case}


def test_the_pages_in_the_docs_are_the_ones_generated() -> None:
    assert (ROOT / "docs" / "errors.md").read_text(encoding="utf-8") == document()


def test_the_command_lists_every_code_in_order_and_explains_one(tmp_path: Path) -> None:
    shop = Shop(tmp_path)
    assert [line.split()[0] for line in shop.ok("tarebook refusal")] == codes()
    assert shop.ok("tarebook refusal cylinder-short")[0] == "cylinder-short"
    said = shop.run("tarebook refusal cylinder-shrt")
    assert (said.code, "cylinder-short" in said.err) == (2, True)


def test_reproductions_are_plain_toml() -> None:
    for path in (ROOT / "tests" / "errors" / "catalogue").glob("*.toml"):
        assert tomllib.loads(path.read_text(encoding="utf-8"))["code"] == path.stem
