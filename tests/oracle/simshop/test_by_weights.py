"""The attribution by weights on years it was developed with; the judged seeds are 1 to 50."""

from __future__ import annotations

import pytest

from tests.oracle.simshop.attribution import ATTRIBUTION
from tests.oracle.simshop.judge import WELL, judge
from tests.oracle.simshop.table import attributed

DEVELOPED_WITH = {1003: 0.90, 1000: 0.90}
"""Seeds, one with a theft and one without, and the share of explainable pounds to hold."""


@pytest.mark.parametrize("seed", DEVELOPED_WITH)
def test_a_year_is_told_and_the_truck_named_or_none(seed: int) -> None:
    truth, found = attributed(seed, ATTRIBUTION)
    judged = judge(truth, found)
    assert judged.verdict in WELL
    share = judged.share()
    assert share is not None and share >= DEVELOPED_WITH[seed]
