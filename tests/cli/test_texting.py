"""`tarebook text`: a message read back, recorded once confirmed, asked about where unclear."""

from __future__ import annotations

import io
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from unittest.mock import patch

import pytest

from tests.cli.shop import Said, Shop

WEIGHED = "RTU-1 added 2.25# 410 from 410-1, was 31.4 now 29.15, sc 8"
ASKS = "ledger.cli.texting.is_terminal"
DANA = '--by "Dana Field"'


def test_it_says_what_it_takes_each_word_for(shop: Shop) -> None:
    said = shop.ok(f"tarebook text '{WEIGHED}' --dry-run")
    assert said[1] == (
        'Taken: "rtu-1" as unit RTU-1; "2.25#" as 2.25 lb (2 lb 4.0 oz); "410" as R-410A;'
        ' "410-1" as cylinder 410-1; "was 31.4 now 29.15" as gross weights 31.4 lb, 29.15 lb.'
    )
    assert said[2] == "In the note only: sc 8."


def test_a_dry_run_answers_with_the_leak_rate_and_writes_nothing(shop: Shop) -> None:
    before = shop.head()
    said = shop.ok(f"tarebook text '{WEIGHED}' --dry-run {DANA}")
    assert "Would be entry" in said[0]
    assert said[3].startswith("Leak rate of RTU-1, 2026-06-30: 9.4 % a year")  # 2.25 of 24 lb
    assert shop.head() == before


def test_confirmed_it_is_one_entry_with_the_weights_and_the_words(shop: Shop) -> None:
    shop.ok(f"tarebook text '{WEIGHED}' --yes {DANA}")
    shown = "\n".join(shop.ok(f"tarebook show {shop.number()}"))
    assert "2.25 lb (2 lb 4.0 oz) R-410A from 410-1 to RTU-1 (addition)" in shown
    assert "31.4 lb" in shown and "29.15 lb" in shown
    assert f"Note: {WEIGHED}" in shown


def test_unconfirmed_in_a_pipe_it_records_nothing(shop: Shop) -> None:
    before = shop.head()
    said = shop.run(f"tarebook text '{WEIGHED}'")
    assert said.code == 2
    assert "Add --yes" in said.err
    assert shop.head() == before


def test_what_it_does_not_understand_it_asks_and_records_nothing(shop: Shop) -> None:
    err = shop.no("tarebook text 'RTU-2 did not add about 2 lb from cyl 410-7' --yes")
    assert '"not"' in err
    assert '"about 2 lb" is marked as not exact' in err
    assert 'No cylinder "410-7" is in the book. Near: 410-' in err
    assert "RTU-2/A, RTU-2/B" in err


def test_what_went_in_and_what_came_out_is_one_visit(shop: Shop) -> None:
    number = shop.number()
    said = shop.ok(
        "tarebook text 'RTU-1 added 3.15 lb from 410-1, recovered .3 lb into RC-01' --yes"
    )
    assert shop.number() == number + 1
    # 3.15 - 0.30 = 2.85 lb net in one event, of 24 lb: 11.875 %.
    assert any("11.9 % a year (annualizing: 2.85 lb of 24.0 lb" in line for line in said)


def test_the_same_message_again_is_the_same_entry(shop: Shop) -> None:
    shop.ok(f"tarebook text '{WEIGHED}' --yes")
    number = shop.number()
    said = shop.ok(f"tarebook text '{WEIGHED.upper()}.' --yes")
    assert f"Already recorded as entry {number}; nothing was written." in said
    assert shop.number() == number


def test_a_message_whose_entry_was_reversed_says_so(shop: Shop) -> None:
    shop.ok(f"tarebook text '{WEIGHED}' --yes")
    number = shop.number()
    shop.ok(f"tarebook reverse {number} --because 'wrong unit'")
    said = shop.ok(f"tarebook text '{WEIGHED}' --yes")
    assert any(line.startswith(f"Entry {number} was reversed since") for line in said)


def test_checks_of_the_book_hold_for_messages_too(shop: Shop) -> None:
    assert "[cylinder-short]" in shop.no("tarebook text 'RTU-1 added 28 lb from 410-1' --yes")


def test_a_message_without_refrigerant_is_no_entry(shop: Shop) -> None:
    before = shop.head()
    said = shop.ok("tarebook text 'RTU-1 replaced capacitor, runs great' --yes")
    assert said == ["Nothing to record: no movement of refrigerant is told of."]
    assert shop.head() == before


LINES = """\
RTU-1 added 1 lb from 410-1

RTU-1 added maybe 2 lb from 410-1
all good here
RTU-1 added 1 lb from 410-1
RACK-A added 300 lb from 448-1
"""


def test_a_file_is_answered_line_by_line(shop: Shop) -> None:
    (shop.folder / "day.txt").write_text(LINES, encoding="utf-8")
    said = shop.run("tarebook text --file day.txt --yes")
    assert said.code == 2  # something is open
    lines = said.lines()
    assert [line.partition(":")[0] for line in lines[:-1]] == ["1", "3", "4", "5", "6"]
    assert lines[-1] == ("5 messages: 2 recorded, 2 asked about, 1 with nothing to record.")


def test_a_mended_file_records_what_is_new_only(shop: Shop) -> None:
    file = shop.folder / "day.txt"
    file.write_text(LINES, encoding="utf-8")
    shop.run("tarebook text --file day.txt --yes")
    number = shop.number()
    mended = LINES.replace("maybe 2 lb", "2 lb").replace("300 lb", "30 lb")
    file.write_text(mended, encoding="utf-8")
    said = shop.ok("tarebook text --file day.txt --yes")
    assert said[-1] == (
        "5 messages: 2 recorded, 2 recorded before, 0 asked about, 1 with nothing to record."
    )
    assert shop.number() == number + 2


def test_a_file_without_confirmation_records_nothing(shop: Shop) -> None:
    (shop.folder / "day.txt").write_text(LINES, encoding="utf-8")
    before = shop.head()
    assert shop.run("tarebook text --file day.txt").code == 2
    assert shop.run("tarebook text --file day.txt --dry-run").code == 2
    assert shop.head() == before


@pytest.mark.parametrize(
    "line",
    [
        "tarebook text",
        "tarebook text 'RTU-1 added 1 lb from 410-1' --file day.txt",
        "tarebook text --file nowhere.txt",
        "tarebook text --file day.txt --key K1",
    ],
)
def test_options_that_do_not_fit_are_refused(shop: Shop, line: str) -> None:
    (shop.folder / "day.txt").write_text(LINES, encoding="utf-8")
    shop.no(line)


def test_a_file_that_is_no_text_is_refused(shop: Shop) -> None:
    (shop.folder / "day.txt").write_bytes(b"RTU-1 added 1 lb \xff\xfe")
    assert "[file-unfit]" in shop.no("tarebook text --file day.txt --yes")


@contextmanager
def at_a_terminal(typed: str) -> Iterator[None]:
    """Standard input and output are a terminal at which this is typed."""
    with (
        patch.object(sys, "stdin", io.StringIO(typed)),
        patch(ASKS, lambda: True),
    ):
        yield


def at_prompt(shop: Shop, line: str, typed: str) -> Said:
    """Run a command at a terminal."""
    with at_a_terminal(typed):
        return shop.run(line)


def test_at_a_terminal_it_is_recorded_on_yes(shop: Shop) -> None:
    number = shop.number()
    said = at_prompt(shop, f"tarebook text '{WEIGHED}' {DANA}", "y\n")
    assert said.code == 0, said.err
    assert shop.number() == number + 1


def test_at_a_terminal_it_is_not_recorded_on_no(shop: Shop) -> None:
    before = shop.head()
    said = at_prompt(shop, f"tarebook text '{WEIGHED}' {DANA}", "\n")
    assert said.code == 0
    assert said.out.rstrip().endswith("Nothing was recorded.")
    assert shop.head() == before


def test_at_a_terminal_a_question_is_answered_by_the_message_again(shop: Shop) -> None:
    number = shop.number()
    typed = "RTU-1 added 2 lb from 410-1\ny\n"
    said = at_prompt(shop, "tarebook text 'RTU-1 added 4-8 from 410-1'", typed)
    assert "can be read two ways" in said.err
    assert shop.number() == number + 1
