"""The law as the leak-rate answers see it: plain dated values, handed in by `ledger.law`."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import NamedTuple

from ledger.answers.working import RuleRef

ANNUALIZING = "annualizing"
ROLLING = "rolling average"
METHODS = (ANNUALIZING, ROLLING)
"""The two methods of the leak-rate definition (40 CFR 82.152, 84.102)."""

CATEGORIES = (
    "commercial refrigeration",
    "industrial process refrigeration",
    "comfort cooling",
    "refrigerated transport",
    "other",
)
"""The equipment categories that set the trigger (40 CFR 82.157(c)(2), 84.106(c)(2))."""

NEW_CHARGE = "new charge"
POST_RETROFIT = "post-retrofit"
SEASONAL = "seasonal"
CLAIMS = (NEW_CHARGE, POST_RETROFIT, SEASONAL)
"""What a person may declare an addition to be, so that no calculation is required."""

NO_RULE = ""
"""The subpart of a figure that no federal rule asks for."""


class Binding(NamedTuple):
    """Whether one subpart's leak-repair section binds a circuit on a date, and by which limb.

    `subpart` is "82" or "84"; `binds` is yes, no, undecided (a person must decide) or
    unknown (a fact is missing); `row` names the row of the decision table.
    """

    subpart: str
    pack: str
    binds: str
    row: str
    sentence: str
    cite: str
    evidence: str


class RateLaw(NamedTuple):
    """Every value of one subpart that a leak rate needs, as in force over one period.

    `rolling_reset` is "follow-up" or "repair"; `first_from` is the date from which the first
    calculation has its own days (`first_days`), None where the subpart has no such rule;
    `triggers` gives percent by category; `repair_anchor` is "addition" or "discovery".
    `rules` holds the printed reference of each value by rule name.
    """

    subpart: str
    pack: str
    annual_days_cap: int
    rolling_window: int
    rolling_reset: str
    same_leak_grouping: bool
    exempt: frozenset[str]
    first_from: date | None
    first_days: int
    triggers: Mapping[str, int]
    repair_days: int
    repair_days_shutdown: int
    repair_anchor: str
    rules: Mapping[str, RuleRef]


@dataclass(frozen=True, slots=True)
class LawTable:
    """The rate law of every subpart by period, with the releases it was taken from.

    `starts` and `laws` run side by side for each subpart ("82", "84" and NO_RULE): the
    ordinal of a period's first day and the law of that period. `net_same_event` is False
    where a book chose that refrigerant recovered in the same event is not set off. `stamps`
    names each pack with release and digest.
    """

    starts: Mapping[str, tuple[int, ...]]
    laws: Mapping[str, tuple[RateLaw, ...]]
    net_same_event: bool
    stamps: tuple[str, ...]

    def at(self, subpart: str, ordinal: int) -> RateLaw:
        """The law of a subpart on a day; the first known one for an earlier day."""
        place = bisect_right(self.starts[subpart], ordinal) - 1
        return self.laws[subpart][max(place, 0)]
