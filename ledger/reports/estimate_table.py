"""An estimate of a full charge as a table: each part with its pounds, a range, what it rests on."""

from __future__ import annotations

from dataclasses import dataclass

from ledger.answers.working import Input, Working
from ledger.properties.charge_estimate import OVER, UNDER, Part
from ledger.properties.no_data import NoSoundData
from ledger.properties.saturation import Properties, properties
from ledger.reports.property_words import caution, number, provenance, told
from ledger.reports.table import Column, Table

COLUMNS = (
    Column("what", "Part"),
    Column("low", "Low", "number", "lb"),
    Column("likely", "Estimate", "number", "lb"),
    Column("high", "High", "number", "lb"),
    Column("rests", "Rests on"),
)


@dataclass(frozen=True, slots=True)
class Share:
    """One line of the estimate, in pounds. What is known exactly has no width."""

    what: str
    low: float
    likely: float
    high: float
    rests: str


@dataclass(frozen=True, slots=True)
class Estimate:
    """The full charge with its range, and what was recovered from it, in pounds."""

    refrigerant: str
    shares: tuple[Share, ...]
    recovered: float | None = None

    @property
    def total(self) -> tuple[float, float, float]:
        """Low, likely and high, in pounds."""
        return (
            sum(one.low for one in self.shares), sum(one.likely for one in self.shares),
            sum(one.high for one in self.shares),
        )  # fmt: skip

    def more(self, pounds: float) -> float:
        """What would be put in beyond what was recovered on the visit; never under nothing."""
        return max(0.0, pounds - (self.recovered or 0.0))


def known_share(what: str, pounds: float, rests: str) -> Share:
    """A figure somebody wrote down: a nameplate, a full charge of the book."""
    return Share(what, pounds, pounds, pounds, rests)


def range_share(what: str, low: float, high: float, rests: str) -> Share:
    """A range of the book, its midpoint the estimate."""
    return Share(what, low, (low + high) / 2, high, rests)


def computed_share(part: Part, refrigerant: str) -> Share | NoSoundData:
    """The liquid of a part, with the width of such a computation."""
    pounds = part.pounds(refrigerant)
    if isinstance(pounds, NoSoundData):
        return pounds
    full = "" if part.share == 1 else f" {part.share * 100:g} % liquid,"
    rests = f"{part.foot3:.4f} ft3,{full} density of the liquid at {part.at:.0f} F"
    return Share(part.name, pounds * (1 - UNDER), pounds, pounds * (1 + OVER), rests)


def estimate_table(estimate: Estimate) -> tuple[Table, list[Working]]:
    """The estimate laid out; it says of itself that it is none by weight."""
    low, likely, high = estimate.total
    rows: list[dict[str, object]] = [
        {"what": one.what, "low": number(one.low, 2), "likely": number(one.likely, 2),
         "high": number(one.high, 2), "rests": one.rests}
        for one in estimate.shares
    ]  # fmt: skip
    rows.append({"what": "Full charge", "low": number(low, 2), "likely": number(likely, 2),
                 "high": number(high, 2), "rests": "sum"})  # fmt: skip
    answer = f"Estimated full charge {_range(low, likely, high)}: an estimate, not weighed."
    if estimate.recovered is not None:
        more = tuple(estimate.more(one) for one in (low, likely, high))
        answer += (
            f" Recovered {told(estimate.recovered, 2)} lb; beyond that {_range(*more)} would go in."
        )
    computed = any(one.low != one.high for one in estimate.shares)
    notes = [
        "Vapour beside the liquid is left out. Weigh what goes in; trim to the maker's figures.",
    ]
    if computed:
        notes.append(f"Computed parts may be {UNDER * 100:g} % less or {OVER * 100:g} % more.")
        notes.append('As a full charge of the book its method is "calculated" (40 CFR 82.152).')
    lines = [line for line in (caution(estimate.refrigerant),) if line]
    table = Table(f"Full charge, {estimate.refrigerant}", COLUMNS, rows, answer=answer,
                  notes=notes, cautions=lines)  # fmt: skip
    return table, [_working(estimate)]


def _range(low: float, likely: float, high: float) -> str:
    if f"{low:.2f}" == f"{high:.2f}":
        return f"{told(likely, 2)} lb"
    return f"{told(likely, 2)} lb ({told(low, 2)} to {told(high, 2)})"


def _working(estimate: Estimate) -> Working:
    one = properties(estimate.refrigerant)
    inputs = [Input(share.what, f"{share.likely:.3f} lb, {share.rests}")
              for share in estimate.shares]  # fmt: skip
    if isinstance(one, Properties):
        inputs += provenance(one)
    return Working(
        "Estimated full charge", "sum of volume x share of liquid x density, and what is known",
        tuple(inputs), f"{estimate.total[1]:.2f} lb",
    )  # fmt: skip
