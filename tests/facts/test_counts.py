"""Cut-offs: what counts at one, and what is none."""

from __future__ import annotations

import pytest

from ledger.facts.counts import CAUSES, CutOff


@pytest.mark.parametrize(
    ("cut_off", "day", "time", "counts"),
    [
        ("2026-01-30 17:00", "2026-01-29", "23:59", True),
        ("2026-01-30 17:00", "2026-01-31", "", False),
        ("2026-01-30 17:00", "2026-01-30", "17:00", True),
        ("2026-01-30 17:00", "2026-01-30", "17:01", False),
        ("2026-01-30 17:00", "2026-01-30", "", True),
        ("2026-01-30", "2026-01-30", "23:59", True),
    ],
)
def test_what_occurred_up_to_a_cut_off_counts(
    cut_off: str, day: str, time: str, counts: bool
) -> None:
    assert CutOff.parse(cut_off).covers(day, time) is counts


@pytest.mark.parametrize(
    "text", ["", "2026-1-30", "2026-02-30", "2026-01-30 24:00", "2026-01-30T1"]
)
def test_other_words_are_no_cut_off(text: str) -> None:
    with pytest.raises(ValueError):
        CutOff.parse(text)


def test_a_cut_off_is_written_as_it_was_read() -> None:
    for text in ("2026-01-30", "2026-01-30 17:00"):
        assert CutOff.parse(text).text == text


def test_the_end_of_a_day_comes_after_its_times() -> None:
    assert CutOff.parse("2026-01-30").order > CutOff.parse("2026-01-30 23:59").order


def test_the_causes_are_the_fixed_list_of_the_trade() -> None:
    """Fifteen categories of shop losses; common practice, no source."""
    assert len(CAUSES) == len(set(CAUSES)) == 15
    assert CAUSES[-1] == "unexplained"
