"""No wrong pound from messy papers: five seeds, or a hundred with TAREBOOK_SOAK=1."""

from __future__ import annotations

import os

import pytest

from tests.oracle.messy.cases import case_of
from tests.oracle.messy.judge import Judged, judge

SEEDS = range(100 if os.environ.get("TAREBOOK_SOAK") == "1" else 5)


@pytest.fixture(scope="module", params=SEEDS)
def judged(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Judged:
    """One case, taken in and judged."""
    return judge(case_of(int(request.param)), tmp_path_factory.mktemp("messy"))


def test_no_wrong_pound_is_recorded(judged: Judged) -> None:
    wrong = judged.wrong()
    assert not wrong, "\n".join(wrong)


def test_no_job_is_recorded_twice(judged: Judged) -> None:
    twice = [*judged.twice(), *judged.excess]
    assert not twice, "\n".join(twice)


def test_no_row_with_pounds_is_passed_over_without_a_word(judged: Judged) -> None:
    lost = [
        f"seed {judged.seed} {one.place} [{one.truth.kind}] {one.outcome}: {one.cells}"
        for one in judged.verdicts
        if one.lost
    ]
    assert not lost, "\n".join(lost)


def test_every_file_is_taken_in(judged: Judged) -> None:
    assert not judged.refusals, "\n".join(judged.refusals)
