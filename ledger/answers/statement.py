"""The statement of a period: opening, in, out, book, counted, and what the difference comes from.

A line is a refrigerant, or a part of it by stock kind, owner and place. Opening is what was signed
at the close before, and what was recorded late for the time before it stands beside it; so the
statement of an open period says the same whether the one before is locked or not.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import NamedTuple

from ledger.answers.balances import Balance, grouped, lb
from ledger.answers.counting import CountLine
from ledger.answers.explaining import COMPUTED, EARLIER, ELSEWHERE, LEFT, OPEN, Part
from ledger.answers.holdings import Closing
from ledger.answers.routes import CYLINDERS, FAMILIES
from ledger.answers.tolerances import DEFAULTS, Tolerance
from ledger.answers.working import Input, Working
from ledger.facts.counts import NOT_THERE
from ledger.facts.mass import Mass

CUTS = ("refrigerant", "stock", "owner", "place")
"""What a statement can be split by."""
NET = ("transferred in", "transferred out", "moved in", "moved out", "put together", "differences")
"""Columns that are shown as one figure, moved: within the shop, and named differences."""
_IN, _OUT = ("received", "recovered"), ("charged", "shipped", "returned", "heel", "released")


class Limits(NamedTuple):
    """What a difference without a cause may be: of the pounds charged, else a mass.

    Both are levels of the tolerance table: a refrigerant's month, and a truck's week where
    nothing was charged that it could be a share of.
    """

    issued: Tolerance
    nothing_issued: Tolerance

    def verdict(self, mass: int, issued: int) -> str:
        """The word for a difference."""
        return self.issued.judged(mass, issued) if issued > 0 else self.nothing_issued.judged(mass)


def limits(levels: Iterable[Tolerance]) -> Limits:
    """The limits of a statement out of the tolerance table."""
    named = {one.name: one for one in levels}
    return Limits(named["refrigerant-month"], named["truck-week"])


DEFAULT_LIMITS = limits(DEFAULTS)


class Given(NamedTuple):
    """A cause that a person gave to pounds of a difference."""

    entry: int
    person: str
    refrigerant: str
    mass: int
    cause: str
    cylinder: str = ""
    place: str = ""
    document: str = ""
    why: str = ""
    posted: bool = False


@dataclass(frozen=True, slots=True)
class StatementLine:
    """One line; masses in counts of 1.25 ng.

    book = opening + late + in - out + moved. `counted` is of the cylinders counted, `uncounted`
    what the book has in the others. difference = counted + uncounted - book. `parts` are what
    it may come from and `given` what people say it comes from; a cylinder with a given cause
    has no parts but the rest.
    """

    by: tuple[str, ...]
    key: tuple[str, ...]
    opening: int
    late: int
    amounts: Mapping[str, int]
    book: int
    counted: int
    uncounted: int
    difference: int
    cylinders: tuple[int, int, int]
    parts: tuple[Part, ...]
    given: tuple[Given, ...]
    verdict: str
    lines: tuple[CountLine, ...] = field(repr=False, default=())
    balance: Balance | None = field(repr=False, default=None)

    def value(self, name: str) -> str:
        """The value of one of the cuts; empty where the line is not split by it."""
        return dict(zip(self.by, self.key, strict=True)).get(name, "")

    @property
    def came_in(self) -> int:
        """Received and recovered."""
        return sum(self.amounts[name] for name in _IN)

    @property
    def went_out(self) -> int:
        """Charged, shipped, returned, heels and known losses."""
        return sum(self.amounts[name] for name in _OUT)

    @property
    def moved(self) -> int:
        """What changed lines within the shop, and named differences."""
        return self.book - self.opening - self.late - self.came_in + self.went_out

    @property
    def issued(self) -> int:
        """Pounds charged: what a difference is a share of."""
        return self.amounts["charged"]

    @property
    def share(self) -> Fraction | None:
        """The difference as a share of the pounds issued; None where none were."""
        return Fraction(self.difference, self.issued) if self.issued > 0 else None

    def explained(self, what: str = "") -> int:
        """Pounds explained by reckoning or by a person; of one cause where that is named."""
        found = [(part.what, part.mass) for part in self.parts if part.what in COMPUTED]
        found += [(one.cause, one.mass) for one in self.given if one.cause != LEFT]
        return sum(mass for name, mass in found if not what or name == what)

    @property
    def earlier(self) -> int:
        """What came about before the close before, and stands in its statement."""
        return sum(part.mass for part in self.parts if part.what == EARLIER)

    @property
    def open(self) -> int:
        """Pounds of open items."""
        return sum(part.mass for part in self.parts if part.what in OPEN)

    @property
    def left(self) -> int:
        """What nothing and nobody explains, open items aside."""
        return self.difference - self.explained() - self.earlier - self.open

    @property
    def to_sign(self) -> int:
        """What is judged: everything without a cause, open items included."""
        return self.left + self.open

    def working(self) -> Working:
        """The book figure and the difference, with the entries behind them."""
        inputs = [Input("opening", lb(self.opening))]
        if self.late:
            inputs.append(Input("late, affects prior period", lb(self.late)))
        told = {} if self.balance is None else {
            one.label: one for one in self.balance.working().inputs
        }  # fmt: skip
        for name in (*_IN, *_OUT):
            if self.amounts[name]:
                entries = told[name].entries if name in told else ()
                inputs.append(Input(name, lb(self.amounts[name]), entries))
        if self.moved:
            inputs.append(Input("moved and put together", lb(self.moved)))
        inputs.append(Input("book", lb(self.book)))
        tallies = tuple(sorted({one.tally.entry for one in self.lines if one.tally is not None}))
        inputs.append(Input("counted", lb(self.counted), tallies))
        if self.uncounted:
            inputs.append(Input("not counted, by the book", lb(self.uncounted)))
        inputs += [Input(part.what, f"{lb(part.mass)}: {part.cylinder}: {part.words}", part.entries)
                   for part in self.parts]  # fmt: skip
        inputs += [Input(one.cause, f"{lb(one.mass)}, {one.person}", (one.entry,))
                   for one in self.given]  # fmt: skip
        title = ", ".join(filter(None, self.key)) or "all"
        return Working(
            f"Difference of {title}",
            "counted + not counted - (opening + late + in - out + moved)",
            tuple(inputs), lb(self.difference),
        )  # fmt: skip


class Stands(NamedTuple):
    """The accounts a statement is made from.

    `opening` and `signed` are those at the close before, as known now and as it was signed, None
    from the beginning; `closing` those at the cut-off without what was posted for this count.
    """

    closing: Closing
    opening: Closing | None = None
    signed: Closing | None = None


def statement(
    stands: Stands, lines: Sequence[CountLine], parts: Mapping[str, Sequence[Part]],
    given: Iterable[Given], by: tuple[str, ...] = ("refrigerant",),
    keep: Mapping[str, str] | None = None, judging: Limits = DEFAULT_LIMITS,
) -> list[StatementLine]:  # fmt: skip
    """The lines of a statement, in order of their keys; `keep` holds wanted values of cuts."""
    wrong = [name for name in (*by, *(keep or {})) if name not in CUTS]
    if wrong:
        raise ValueError(f"a statement is not split by {', '.join(wrong)}")
    stand = {one.key: one for one in grouped(stands.closing, CYLINDERS, by, keep)}
    before = _closings(stands.opening, by, keep)
    signed = _closings(stands.signed, by, keep) if stands.signed is not None else before
    earlier = _amounts(stands.opening, by, keep)
    shares = _shares(lines, by, keep or {})
    causes = _causes(given, shares, by, keep or {})
    found = []
    for key in sorted({*stand, *before, *signed, *shares, *causes}):
        one = _line(
            by, key, stand.get(key), before.get(key, 0), signed.get(key, 0),
            earlier.get(key, {}), shares.get(key, []), parts, causes.get(key, ()), judging,
        )  # fmt: skip
        if not _idle(one):
            found.append(one)
    return found


def _idle(one: StatementLine) -> bool:
    return not (one.opening or one.late or one.book or one.counted or one.difference
                or any(one.amounts.values()) or one.given)  # fmt: skip


def _closings(
    closing: Closing | None, by: tuple[str, ...], keep: Mapping[str, str] | None
) -> dict[tuple[str, ...], int]:
    if closing is None:
        return {}
    return {one.key: one.closing for one in grouped(closing, CYLINDERS, by, keep)}


def _amounts(
    closing: Closing | None, by: tuple[str, ...], keep: Mapping[str, str] | None
) -> dict[tuple[str, ...], dict[str, int]]:
    if closing is None:
        return {}
    names = FAMILIES[CYLINDERS].columns
    return {
        one.key: dict(zip(names, one.amounts, strict=True))
        for one in grouped(closing, CYLINDERS, by, keep)
    }


class _Share(NamedTuple):
    """What a cylinder adds to one line: its book there, and what was counted there."""

    line: CountLine
    book: int
    counted: int | None


def _shares(
    lines: Sequence[CountLine], by: tuple[str, ...], keep: Mapping[str, str]
) -> dict[tuple[str, ...], list[_Share]]:
    """Each cylinder under its lines: where the book has it, and where it was found."""
    found: dict[tuple[str, ...], list[_Share]] = {}

    def put(line: CountLine, place: str, book: int, counted: int | None) -> None:
        values = {"refrigerant": line.refrigerant, "stock": line.stock, "owner": line.owner,
                  "place": place}  # fmt: skip
        if all(values[name] == value for name, value in keep.items()):
            key = tuple(values[name] for name in by)
            found.setdefault(key, []).append(_Share(line, book, counted))

    split = "place" in by or "place" in keep
    for line in lines:
        if split and line.unexpected and line.counted is not None:
            put(line, line.place, line.book, 0)
            put(line, line.found_at, 0, line.counted)
        else:
            put(line, line.place, line.book, line.counted)
    return found


def _causes(
    given: Iterable[Given], shares: Mapping[tuple[str, ...], list[_Share]], by: tuple[str, ...],
    keep: Mapping[str, str],
) -> dict[tuple[str, ...], tuple[Given, ...]]:  # fmt: skip
    """The given causes under their lines: by their cylinder, else by refrigerant and place."""
    home = {share.line.name: key for key, some in shares.items() for share in some
            if share.book or share.line.book == 0}  # fmt: skip
    found: dict[tuple[str, ...], list[Given]] = {}
    for one in given:
        if one.cylinder:
            key = home.get(one.cylinder)
            if key is None:
                continue
        else:
            values = {"refrigerant": one.refrigerant, "place": one.place, "stock": "", "owner": ""}
            if any(values[name] != value for name, value in keep.items() if name != "stock"):
                continue
            fits = [key for key in shares if all(
                not values[name] or values[name] == part
                for name, part in zip(by, key, strict=True)
            )]  # fmt: skip
            if not fits:
                continue
            key = max(fits, key=lambda one: sum(abs(s.book) for s in shares[one]))
        found.setdefault(key, []).append(one)
    return {key: tuple(some) for key, some in found.items()}


def _line(
    by: tuple[str, ...], key: tuple[str, ...], balance: Balance | None, before: int, signed: int,
    earlier: Mapping[str, int], shares: Sequence[_Share], parts: Mapping[str, Sequence[Part]],
    given: tuple[Given, ...], judging: Limits,
) -> StatementLine:  # fmt: skip
    names = FAMILIES[CYLINDERS].columns
    now = dict(zip(names, balance.amounts, strict=True)) if balance is not None else {}
    amounts = {name: now.get(name, 0) - earlier.get(name, 0) for name in names}
    brought = amounts.pop("brought forward")
    book = balance.closing if balance is not None else 0
    counted = sum(one.counted for one in shares if one.counted is not None)
    uncounted = sum(one.book for one in shares if one.counted is None)
    difference = sum(one.counted - one.book for one in shares if one.counted is not None)
    whole = {one.cylinder for one in given if one.cylinder}
    told: list[Part] = []
    for share in shares:
        if share.line.name in whole or share.counted is None:
            continue
        if share.line.unexpected and share.counted - share.book != share.line.difference:
            told.append(_elsewhere(share))
        else:
            told += parts.get(share.line.name, ())
    line = StatementLine(
        by, key, signed + brought, before - signed, amounts, book, counted, uncounted, difference,
        _cylinders(shares), tuple(told), given, "",
        tuple({share.line.name: share.line for share in shares}.values()), balance,
    )  # fmt: skip
    return replace(line, verdict=judging.verdict(line.to_sign, line.issued))


def _elsewhere(share: _Share) -> Part:
    """A cylinder found at another place than the book has it: less here, more there."""
    line = share.line
    words = f"found at {line.found_at}; the book has it at {line.place or 'no place'}"
    entries = tuple(filter(None, (line.vessel.placed, line.tally.entry if line.tally else 0)))
    mass = (share.counted or 0) - share.book
    return Part(line.name, ELSEWHERE, mass, words, entries, line.found_at)


def _cylinders(shares: Sequence[_Share]) -> tuple[int, int, int]:
    """Cylinders counted, not there, and not counted."""
    missing = sum(1 for one in shares if one.line.status == NOT_THERE)
    uncounted = sum(1 for one in shares if one.counted is None)
    return len(shares) - missing - uncounted, missing, uncounted


def total(lines: Iterable[StatementLine]) -> Mass:
    """The differences of some lines together."""
    return Mass(sum(line.difference for line in lines))
