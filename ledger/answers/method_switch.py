"""Whether a site may change its leak-rate method: what stands in the way, in words.

40 CFR 84.106(b)(3) allows it after the purchase of a facility that used the other method, when no
affected appliance is over its rate under either method and the record is kept. At a site with
circuits under part 82 alone a dated decision with a reason stands in for the purchase
(SITE_METHOD); the latest calculated rate of each circuit decides (SWITCH_LATEST).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from typing import NamedTuple

from ledger.answers.leak_law import METHODS
from ledger.answers.leak_result import Rate

ACQUISITION = "no acquisition"
RECORD = "no record of the change"
BY_PURCHASE = "84"
"""The subpart under which only a purchase allows the change."""


class Switch(NamedTuple):
    """The answer: `reasons` says what stands in the way, empty where nothing does."""

    reasons: tuple[str, ...]

    @property
    def allowed(self) -> bool:
        """Whether the change stands."""
        return not self.reasons


def may_switch(
    rates: Mapping[str, Iterable[Rate]], on: date, acquired: bool, recorded: bool
) -> Switch:
    """Whether the method of a site may change on a day.

    `rates` are those of every circuit of the site, by name. `acquired`: the site was bought from
    an owner who used the other method; `recorded`: the record (part 82: the decision with its
    reason) is there.
    """
    latest = {name: _latest(several, on) for name, several in rates.items()}
    reasons = []
    parts = {part for several in latest.values() for part in several}
    if not acquired and (BY_PURCHASE in parts or not parts):
        reasons.append(ACQUISITION)
    if not recorded:
        reasons.append(RECORD)
    for name, several in sorted(latest.items()):
        for method in METHODS:
            if any(_over(rate, method) for rate in several.values()):
                reasons.append(f"{name} is over under {method}")
    return Switch(tuple(reasons))


def _latest(rates: Iterable[Rate], on: date) -> dict[str, Rate]:
    """The latest required rate of each subpart up to a day."""
    found: dict[str, Rate] = {}
    for rate in rates:
        if rate.on <= on and rate.required and rate.rate is not None:
            found[rate.subpart] = rate
    return found


def _over(rate: Rate, method: str) -> bool:
    pair, trigger = rate.ratio(method), rate.trigger
    return pair is not None and trigger is not None and 100 * pair[0] > trigger * pair[1]
