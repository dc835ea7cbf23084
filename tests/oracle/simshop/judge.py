"""Holds an attribution of differences against the truth of a simulated year.

In each month, place and refrigerant the true pounds of a cause and the pounds attributed to it
meet as far as they have the same sign; what is left of the true pounds is spread over what is
left of the attributed ones of that sign, which gives the confusion matrix. Pounds are counts of
1.25 ng throughout; shares are fractions.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from fractions import Fraction

from tests.oracle.simshop.attribution import Attributed
from tests.oracle.simshop.truth import EXPLAINABLE, RESIDUAL, THEFT, Key, Truth

NOTHING = "nothing"
"""Where true pounds met no attributed ones, or attributed pounds no true ones."""
KEY, MONTH, YEAR = "month, place and refrigerant", "month and refrigerant", "refrigerant"
LEVELS: dict[str, Callable[[Key], Key]] = {
    KEY: lambda key: key,
    MONTH: lambda key: key._replace(place=""),
    YEAR: lambda key: Key("", "", key.refrigerant),
}
"""How finely pounds have to be told apart; the first is the bar's, the others show where it fails.
At a coarser level differences of both signs cancel before they are compared."""

RIGHT, NOT_NAMED, WRONG_TRUCK = "right truck", "not named", "wrong truck or more than one"
NONE_RIGHTLY, FALSELY = "none, rightly", "named without a theft"
VERDICTS = (RIGHT, NONE_RIGHTLY, NOT_NAMED, WRONG_TRUCK, FALSELY)
WELL = (RIGHT, NONE_RIGHTLY)

Matrix = Counter[tuple[str, str]]


@dataclass(frozen=True, slots=True)
class Judged:
    """One year judged.

    `confusion` counts pounds by (true cause, attributed cause); `verdict` is about the trucks.
    """

    confusion: Matrix
    verdict: str
    named: tuple[str, ...]
    theft_at: str

    def share(self, causes: Iterable[str] = EXPLAINABLE) -> Fraction | None:
        """The share of the pounds of some causes attributed to the right one; None of none."""
        return share(self.confusion, causes)


@dataclass(slots=True)
class Sums:
    """Several years judged together."""

    years: int = 0
    confusion: Matrix = field(default_factory=Counter)
    verdicts: Counter[str] = field(default_factory=Counter)

    def add(self, judged: Judged) -> None:
        """Take in one more year."""
        self.years += 1
        self.confusion.update(judged.confusion)
        self.verdicts[judged.verdict] += 1


def share(confusion: Matrix, causes: Iterable[str] = EXPLAINABLE) -> Fraction | None:
    """The share of the true pounds of some causes that were attributed to the right one."""
    wanted = set(causes)
    total = sum(mass for (true, _), mass in confusion.items() if true in wanted)
    right = sum(mass for (true, found), mass in confusion.items()
                if true in wanted and true == found)  # fmt: skip
    return Fraction(right, total) if total else None


def judge(truth: Truth, attributed: Attributed, level: str = KEY) -> Judged:
    """Judge an attribution of one year, in the view that it says it answers."""
    rough = LEVELS[level]
    true = _gathered(truth.causes[attributed.view], rough)
    found = _gathered(attributed.causes, rough)
    confusion: Matrix = Counter()
    for key in true.keys() | found.keys():
        for sign in (1, -1):
            _match(_side(true.get(key, {}), sign), _side(found.get(key, {}), sign), confusion)
    named = tuple(sorted(set(attributed.trucks)))
    return Judged(confusion, _verdict(truth.theft_at, named), named, truth.theft_at)


def _gathered(
    causes: Mapping[Key, Mapping[str, int]], rough: Callable[[Key], Key]
) -> dict[Key, Counter[str]]:
    found: dict[Key, Counter[str]] = {}
    for key, of in causes.items():
        found.setdefault(rough(Key(*key)), Counter()).update(of)
    return found


def _side(of: Mapping[str, int], sign: int) -> dict[str, int]:
    """The pounds of one sign; theft is rightly called residual."""
    found: Counter[str] = Counter()
    for cause, mass in of.items():
        if mass * sign > 0:
            found[THEFT if cause == RESIDUAL else cause] += mass * sign
    return dict(found)


def _match(true: dict[str, int], found: dict[str, int], confusion: Matrix) -> None:
    """Let the pounds of one key and sign meet; both are used up."""
    for cause in list(true):
        met = min(true[cause], found.get(cause, 0))
        if met:
            confusion[cause, cause] += met
            true[cause] -= met
            found[cause] -= met
    left, over = sum(true.values()), sum(found.values())
    for cause, mass in true.items():
        for other, more in found.items():
            if met := mass * more // max(left, over) if mass and more else 0:
                confusion[cause, other] += met
    for cause, mass in true.items():
        if rest := mass - mass * min(left, over) // left if mass else 0:
            confusion[cause, NOTHING] += rest
    for other, more in found.items():
        if rest := more - more * min(left, over) // over if more else 0:
            confusion[NOTHING, other] += rest


def _verdict(theft_at: str, named: tuple[str, ...]) -> str:
    if not theft_at:
        return FALSELY if named else NONE_RIGHTLY
    if not named:
        return NOT_NAMED
    return RIGHT if named == (theft_at,) else WRONG_TRUCK


def verdicts_of(sums: Sums) -> Iterator[str]:
    """The verdicts about trucks in words, the good ones first."""
    for verdict in VERDICTS:
        yield f"{verdict:32}{sums.verdicts[verdict]:>6} of {sums.years}"
