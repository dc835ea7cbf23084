"""Balances of whatever refrigerant can be in: cylinders, circuits, parties, by any grouping.

A cylinder's balance is what it holds by the book; a circuit's is net added, which is not its
contents and may be below zero; a party's is what went to it less what came from it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from ledger.answers.holdings import Closing, Home, Key, Placed, Row, fold
from ledger.answers.periods import Period
from ledger.answers.routes import (
    CIRCUITS,
    CYLINDERS,
    FAMILIES,
    MOVED_IN,
    MOVED_OUT,
    OTHERS,
    PARTIES,
)
from ledger.answers.working import Figure, Input, Working
from ledger.facts.mass import POUND, pounds

PERIOD = "period"
"""The dimension that cuts a balance into years, quarters or months."""
DIMENSIONS = tuple(
    dict.fromkeys((*(name for f in FAMILIES.values() for name in f.dimensions), PERIOD))
)
"""Everything a balance can be grouped by or kept to."""
MOST_ENTRIES = 200
"""Entries named behind one input of a working; the rest are counted."""

_INSIDE = ("moved in", "moved out", "put together")
"""Columns that only tell something where they do not cancel out."""
_OWN = {"circuit": CIRCUITS, "site": CIRCUITS, "party": PARTIES, "holder": OTHERS}
"""The dimensions that only one family has; without any, cylinders are meant."""


@dataclass(frozen=True, slots=True)
class Asked:
    """Which balances are wanted.

    `by` names the dimensions to group by, in order. `keep` holds the wanted value of some
    dimensions. `unit` cuts into "year", "quarter" or "month" and makes `period` a dimension
    that can be named in `by`. `first` and `last` are ISO days, empty where open.
    """

    by: tuple[str, ...] = ()
    keep: Mapping[str, str] = field(default_factory=dict)
    unit: str = ""
    first: str = ""
    last: str = ""

    def family(self) -> str:
        """The family of accounts that is asked; ValueError where dimensions do not go together."""
        named = [name for name in (*self.by, *self.keep) if name != PERIOD]
        family = next((_OWN[name] for name in named if name in _OWN), CYLINDERS)
        wrong = [name for name in named if name not in FAMILIES[family].dimensions]
        if wrong:
            raise ValueError(f"{', '.join(wrong)}: not a dimension of {family}")
        return family


@dataclass(frozen=True, slots=True)
class Balance:
    """One balance: opening, what happened by column, closing; all in counts of 1.25 ng.

    `key` holds the values of the dimensions `by`. `closing` of cylinders is what the fold found
    in them, so that `difference` proves the sum.
    """

    family: str
    by: tuple[str, ...]
    key: Key
    period: Period
    opening: int
    amounts: tuple[int, ...]
    closing: int
    keys: tuple[Key, ...] = field(repr=False, compare=False)
    of: Closing = field(repr=False, compare=False)

    def amount(self, column: str) -> int:
        """The amount of a column of the family, without its sign in the sum."""
        return self.amounts[FAMILIES[self.family].place(column)]

    @property
    def difference(self) -> int:
        """Opening and all columns, less the closing; nothing where the sum proves it."""
        signs = FAMILIES[self.family].signs
        moved = sum(sign * amount for sign, amount in zip(signs, self.amounts, strict=True))
        return self.opening + moved - self.closing

    @property
    def idle(self) -> bool:
        """Whether there was nothing at the start, at the end or between."""
        return not (self.opening or self.closing or any(self.amounts))

    @property
    def title(self) -> str:
        """What the balance is of, in words."""
        named = [
            f"{name} {value or 'not recorded'}"
            for name, value in zip(self.by, self.key, strict=True)
            if name != PERIOD
        ]
        return ", ".join([*(named or ["all"]), *([self.period.label] if self.period.label else [])])

    def figure(self) -> Figure:
        """The closing in words, with its working."""
        return Figure(f"{lb(self.closing)}", self.working)

    def working(self) -> Working:
        """The sum of the balance, with the entries behind every column."""
        family = FAMILIES[self.family]
        words, inputs, notes = ["opening"], [Input("opening", lb(self.opening))], []
        for place, (name, sign) in enumerate(zip(family.columns, family.signs, strict=True)):
            entries = self._entries(place)
            if not entries or (name in _INSIDE and not self.amounts[place]):
                continue
            label = f"{name} (beside the sum)" if not sign else name
            if sign:
                words.append(f"{'+' if sign > 0 else '-'} {name}")
            if len(entries) > MOST_ENTRIES:
                notes.append(f"{name}: the first {MOST_ENTRIES} of {len(entries)} entries.")
            inputs.append(Input(label, lb(self.amounts[place]), tuple(entries[:MOST_ENTRIES])))
        closing = "net" if self.family != CYLINDERS else "closing"
        return Working(
            f"Balance of {self.title}", f"{' '.join(words)} = {closing}", tuple(inputs),
            lb(self.closing), notes=tuple(notes),
        )  # fmt: skip

    def _entries(self, column: int) -> list[int]:
        found = (self.of.entries(self.family, key, column) for key in self.keys)
        return sorted({entry for entries in found for entry in entries})


def lb(mass: int) -> str:
    """A mass in pounds for a working: two decimals, four where two would round it."""
    return f"{pounds(mass, 2 if not 100 * mass % POUND else 4)} lb"


def balances(
    rows: Iterable[Row],
    asked: Asked,
    placed: Iterable[Placed] = (),
    homes: Mapping[str, Sequence[Home]] | None = None,
) -> list[Balance]:
    """The balances asked for, in order of period and key; nothing idle is among them.

    `rows` come in order of day, entry and line. `placed` is needed for balances by place,
    `homes` for circuits by site or owner.
    """
    family = asked.family()
    closings = fold(rows, placed, homes, asked.unit, asked.first, asked.last)
    return [one for closing in closings for one in grouped(closing, family, asked.by, asked.keep)]


def grouped(
    closing: Closing, family: str, by: tuple[str, ...] = (), keep: Mapping[str, str] | None = None
) -> Iterator[Balance]:
    """The balances of one closing by the dimensions named, in order of their keys.

    Several groupings of one closing cost one fold.
    """
    openings, accounts = closing.openings[family], closing.accounts[family]
    closings = closing.closings[family]
    empty = [0] * len(FAMILIES[family].columns)
    cancels = family == CYLINDERS and "place" not in (*by, *(keep or {}))
    groups = _groups(closing.keys(family), closing, family, by, keep or {})
    for short in sorted(groups):
        keys = groups[short]
        if len(keys) == 1:
            key = keys[0]
            amounts = list(accounts.get(key, empty))
            opening, end = openings.get(key, 0), closings.get(key, 0)
        else:
            found = [accounts[key] for key in keys if key in accounts]
            amounts = list(map(sum, zip(*found, strict=True))) or empty[:]
            opening = sum([openings[key] for key in keys if key in openings])
            end = sum([closings[key] for key in keys if key in closings])
        if cancels:
            amounts[MOVED_IN] = amounts[MOVED_OUT] = 0
        if opening or end or any(amounts):
            yield Balance(
                family, by, short, closing.period, opening, tuple(amounts), end, tuple(keys),
                closing,
            )  # fmt: skip


def _groups(
    full: Iterable[Key], closing: Closing, family: str, by: tuple[str, ...],
    keep: Mapping[str, str],
) -> dict[Key, list[Key]]:  # fmt: skip
    """The full keys that are wanted, gathered under the keys of a grouping."""
    names, label = FAMILIES[family].dimensions, closing.period.label
    places = [names.index(name) if name != PERIOD else -1 for name in by]
    wanted = [(names.index(name), value) for name, value in keep.items()]
    groups: dict[Key, list[Key]] = {}
    only = places[0] if len(places) == 1 else -1
    for key in full:
        if wanted and any(key[place] != value for place, value in wanted):
            continue
        if only >= 0:
            short: Key = (key[only],)
        else:
            short = tuple([key[place] if place >= 0 else label for place in places])
        gathered = groups.get(short)
        if gathered is None:
            groups[short] = [key]
        else:
            gathered.append(key)
    return groups
