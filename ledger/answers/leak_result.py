"""A leak rate as an answer: the exact sums of one date by both methods, and what they come to."""

from __future__ import annotations

from datetime import date, timedelta
from fractions import Fraction
from typing import NamedTuple

from ledger.answers.leak_columns import Columns
from ledger.answers.leak_judge import Note
from ledger.answers.leak_law import ANNUALIZING, METHODS, NO_RULE
from ledger.answers.leak_terms import Terms
from ledger.answers.working import Working
from ledger.facts.mass import half_up

FIRST_CALCULATION = Note(
    "first-calculation", "First calculation on this circuit since the rule began."
)
NO_EARLIER = Note(
    "no-earlier-addition",
    "No earlier addition on record: the longest interval is taken, so the rate is a floor.",
)
AMOUNT_UNKNOWN = Note(
    "amount-unknown", "An addition of unknown amount is not in the sum: the rate is at least this."
)
UNKNOWN_IN_WINDOW = Note(
    "unknown-in-window",
    "An addition of unknown amount lies in the rolling window and is not in the sum: the rolling"
    " rate is at least this.",
)
CARRIED_IN_WINDOW = Note(
    "carried-in-window",
    "The last addition of the older records lies in the rolling window and its pounds are not"
    " in the sum: the rolling rate is at least this.",
)
METHOD_NOT_RECORDED = Note(
    "method-not-recorded", "No leak-rate method is recorded for the site: annualizing is taken."
)
CATEGORY_NOT_RECORDED = Note(
    "category-not-recorded", "No equipment category is recorded: there is no trigger to compare."
)
BINDING_UNDECIDED = Note(
    "binding-undecided", "Whether the rule binds this circuit is for a person to decide."
)
BINDING_UNKNOWN = Note(
    "binding-unknown", "Whether the rule binds this circuit cannot be told from what is recorded."
)

CHARGE_UNKNOWN = "full charge unknown"
ADDITION_UNKNOWN = "amount added unknown"


class Rate(NamedTuple):
    """The leak rate of one date under one subpart.

    `entries` and `counted` are the additions of the date that count and their net mass.
    `annual_pounds` over `days` is the annualizing sum (the whole episode where one is
    declared), `window_pounds` since `window_start` (an ordinal) the rolling one; all masses
    in counts of 1.25 ng. The `at_least` flags say that an unknown amount is missing from a
    sum. `over` compares with the trigger, None where that cannot be said. `skipped` says why
    no calculation is required, `cannot` why none can be made. `columns` and `position` are
    what the working is built from.
    """

    on: date
    entries: tuple[int, ...]
    counted: int
    annual_pounds: int
    days: int
    window_pounds: int
    window_start: int
    annual_at_least: bool
    window_at_least: bool
    over: bool | None
    skipped: str
    cannot: str
    notes: tuple[Note, ...]
    terms: Terms
    columns: Columns
    position: int

    @property
    def subpart(self) -> str:
        """ "82", "84", or empty for a figure that no federal rule asks for."""
        return self.terms.law.subpart

    @property
    def required(self) -> bool:
        """Whether a rule asks for this calculation (so far as what is recorded shows)."""
        return self.subpart != NO_RULE and not self.skipped

    @property
    def method(self) -> str:
        """The site's method, which binds."""
        return self.terms.method

    @property
    def other_method(self) -> str:
        """The method shown beside the binding one."""
        return METHODS[1 - METHODS.index(self.terms.method)]

    @property
    def trigger(self) -> int | None:
        """The applicable leak rate in percent."""
        return self.terms.trigger

    @property
    def full_charge(self) -> Fraction | None:
        """The full charge in counts; a midpoint may end in a half."""
        halves = self.terms.halves
        return None if halves is None else Fraction(halves, 2)

    @property
    def at_least(self) -> bool:
        """Whether the binding rate lacks an unknown amount."""
        return self.annual_at_least if self.method == ANNUALIZING else self.window_at_least

    def ratio(self, method: str, halves: int | None = None) -> tuple[int, int] | None:
        """Numerator and denominator of the rate by a method (1/1 = 100 % a year).

        `halves` replaces the full charge (used for a band). None where nothing is computed.
        """
        charge = halves or self.terms.halves
        if charge is None or self.skipped or self.cannot == ADDITION_UNKNOWN:
            return None
        if method == ANNUALIZING:
            cap = self.terms.law.annual_days_cap
            return 2 * self.annual_pounds * cap, charge * self.days
        return 2 * self.window_pounds, charge

    @property
    def numerator(self) -> int | None:
        """Numerator of the binding rate."""
        pair = self.ratio(self.method)
        return pair[0] if pair else None

    @property
    def denominator(self) -> int | None:
        """Denominator of the binding rate."""
        pair = self.ratio(self.method)
        return pair[1] if pair else None

    @property
    def rate(self) -> Fraction | None:
        """The binding rate as a fraction of the full charge in a year."""
        return self.rate_by(self.method)

    @property
    def other(self) -> Fraction | None:
        """The rate by the other method."""
        return self.rate_by(self.other_method)

    def rate_by(self, method: str) -> Fraction | None:
        """The rate by a method as an exact fraction, or None."""
        pair = self.ratio(method)
        return Fraction(*pair) if pair else None

    @property
    def band(self) -> tuple[Fraction, Fraction] | None:
        """Least and greatest binding rate where the full charge is only known between bounds."""
        ends = self.terms.band
        pairs = [self.ratio(self.method, end) for end in reversed(ends)] if ends else []
        found = [Fraction(*pair) for pair in pairs if pair]
        return (found[0], found[1]) if found else None

    @property
    def repair_by(self) -> date | None:
        """Day 30 after an addition that went over, where the clock starts at the addition."""
        return self._due(self.terms.law.repair_days)

    @property
    def repair_by_shutdown(self) -> date | None:
        """Day 120, where an industrial process shutdown is required."""
        return self._due(self.terms.law.repair_days_shutdown)

    def _due(self, days: int) -> date | None:
        anchored = self.terms.law.repair_anchor == "addition"
        return self.on + timedelta(days=days) if self.over and self.required and anchored else None

    def text(self, method: str = "", places: int = 1) -> str:
        """The rate in words: "39.2 %", "at least 4.0 %", a band, or why there is none."""
        if self.skipped:
            return f"no calculation required: {self.skipped}"
        if self.cannot:
            return f"cannot be computed: {self.cannot}"
        by = method or self.method
        if self.terms.halves is None:
            return self._band_text(places)
        floor = self.annual_at_least if by == ANNUALIZING else self.window_at_least
        value = half_up(100 * (self.rate_by(by) or Fraction(0)), places)
        return f"{'at least ' if floor else ''}{value} %"

    def _band_text(self, places: int) -> str:
        ends = [half_up(100 * end, places) for end in self.band or ()]
        return f"{'at least ' if self.at_least else ''}{' to '.join(ends)} %"

    def working(self, method: str = "") -> Working:
        """The whole explanation of the rate, by the binding method or the one named."""
        from ledger.answers.leak_working import working_of

        return working_of(self, method or self.method)
