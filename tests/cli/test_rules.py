"""`tarebook rules`: list, show, compare, check; a reading of one's own, and what leans on it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from ledger.cli.main import assembled
from tests.cli.shop import Shop

DANA = '--by "Dana Field"'
CAUTION = "Caution: Not legal advice. This is what the program computes with"


def test_the_rules_need_no_book(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    said = CliRunner().invoke(
        assembled(["rules"]), ["rules", "show", "repair-days-ghg"], env={"TAREBOOK_BOOK": ""}
    )
    assert said.exit_code == 0 and "17 CCR 95386" in said.output
    assert CAUTION in said.output


def test_a_rule_with_its_history_under_either_spelling(shop: Shop) -> None:
    said = shop.ok("tarebook rules show TRIGGER_COMFORT_COOLING")
    told = "\n".join(said)
    assert "2018-12-31  15 % a year" in told and "2019-01-01              10 % a year" in told
    refused = shop.run("tarebook rules show repair-dais")
    assert refused.code == 2 and "Near: repair-days" in refused.err


def test_two_days_compared_as_json(shop: Shop) -> None:
    said = shop.run("tarebook rules compare 2020-04-09 2020-04-10 --pack us-federal-82f --json")
    rows = {row["rule"]: row for row in json.loads(said.out)["rows"]}
    assert set(rows) == {"scope-excluded", "scope-min-substitutes"}
    assert rows["scope-min-substitutes"]["before"] == "at least 50 lb"
    assert rows["scope-min-substitutes"]["after"] is None


def test_what_to_check_as_csv_and_workbook(shop: Shop, tmp_path: Path) -> None:
    said = shop.run("tarebook rules check --pack us-california-rmp --csv")
    lines = said.out.splitlines()
    assert lines[0].startswith("rule,") or lines[0].startswith("Rule,")
    assert any("95389" in line and "memory" in line for line in lines)
    assert not any(",read," in line for line in lines)
    book = tmp_path / "rules.xlsx"
    assert shop.run(f"tarebook rules list --on 2026-06-30 --xlsx {book}").code == 0
    assert book.stat().st_size > 5000


def _counted(told: str) -> str:
    """The pounds that the first rate of an answer in JSON counts, without the decimals."""
    counted = json.loads(told)["rows"][0]["counted_lb"]
    return str(counted["lb"] if isinstance(counted, dict) else counted).partition(".")[0]


def test_a_reading_of_ones_own_moves_the_rate_and_says_so(shop: Shop) -> None:
    shop.ok(f"tarebook recover RTU-1 4 --to RC-01 {DANA} --on 2026-06-03 --ticket 1")
    shop.ok(f"tarebook charge RTU-1 6 --from 410-1 {DANA} --on 2026-06-03 --ticket 1")
    rates = "tarebook rates RTU-1 --json"
    assert _counted(shop.run(rates).out) == "2"
    refused = shop.run("tarebook rules override net-same-event gross")
    assert refused.code == 2 and "reason-missing" in refused.err
    said = shop.ok('tarebook rules override NET_SAME_EVENT gross --because "the agency asked"')
    assert said[0].endswith("net-same-event is gross in this book.")
    assert said[-1] == "Every leak rate that leans on it says so."
    entry = said[0].split()[3].rstrip(":")
    told = json.loads(shop.run(rates).out)
    assert _counted(shop.run(rates).out) == "6"
    assert any(f"net-same-event is gross (entry {entry})" in note for note in told["notes"])
    working = "\n".join(shop.ok("tarebook rates RTU-1 --explain"))
    assert f"overridden by entry {entry}; the agency asked" in working
    assert f"overridden by entry {entry}" in "\n".join(
        shop.ok("tarebook rules show net-same-event")
    )
    before = shop.run(f"{rates} --known-at {int(entry) - 1}").out
    assert _counted(before) == "2"
    shop.ok(f'tarebook reverse {entry} --because "withdrawn"')
    assert _counted(shop.run(rates).out) == "2"


def test_what_is_in_the_text_cannot_be_overridden(shop: Shop) -> None:
    refused = shop.run("tarebook rules override repair-days 45 --because wish")
    assert refused.code == 2 and "it is in the text" in refused.err
    said = shop.ok("tarebook rules override ca-weekend 'next working day' --because counsel")
    assert said[-1] == "No figure of this release leans on it yet."
