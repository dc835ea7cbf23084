"""What a difference of a count may come from: hoses, heels, scales, tickets that are out or double.

Nothing here is a finding: what is computed is named as such, and what fits a difference is an open
item with the entries it lies between, for people to look at.
"""

from __future__ import annotations

from collections.abc import Callable, Container, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import NamedTuple

from ledger.answers.balances import lb
from ledger.answers.chain import Gap, Reading, Step, gaps
from ledger.answers.counting import CountLine
from ledger.answers.holdings import Row
from ledger.answers.working import Input, Working
from ledger.facts.counts import NOT_THERE, CutOff
from ledger.facts.mass import OUNCE, POUND

HOSE, HEEL, SCALE = "hose", "heel", "count/scale difference"
COMPUTED = (HOSE, HEEL, SCALE)
"""What is explained by reckoning: the first two are amounts, the third lies within the doubt."""
OPEN_TICKET, DOUBLED = "open ticket", "doubled ticket"
NEVER_RECEIVED, NOT_DELIVERED = "not received in the book", "received and never seen"
NOT_FOUND, LABEL = "not found", "tare or label"
ELSEWHERE = "not where the book has it"
OPEN = (OPEN_TICKET, DOUBLED, NEVER_RECEIVED, NOT_DELIVERED, NOT_FOUND, LABEL, ELSEWHERE)
"""What fits a difference and waits for a person."""
LEFT = "unexplained"
EARLIER = "before the last close"


@dataclass(frozen=True, slots=True)
class Allowances:
    """Expected pounds and doubts in counts of 1.25 ng, as plain values.

    `hose` is what stays in the hoses at a hook-up whose weights do not bracket it; `heel` what is
    left in a disposable emptied into a running system, by refrigerant, `other_heel` where that
    is not known; `same_scale` and `other_scale` what two weighings may differ by without a
    reason. Defaults are ours (workflow 3.3 to 3.5: computed, and common practice).
    """

    hose: int = OUNCE
    heel: Callable[[str], int] | None = None
    other_heel: int = POUND
    same_scale: int = POUND // 10
    other_scale: int = POUND // 2

    def doubt(self, first: Reading | None, last: Reading | None) -> int:
        """What two weighings may differ by: of one scale, or of two, or against a stamped tare."""
        same = first is not None and last is not None and first.scale == last.scale
        return self.same_scale if same and first and first.scale else self.other_scale

    def heel_of(self, refrigerant: str) -> int:
        """The heel to expect."""
        return self.heel(refrigerant) if self.heel is not None else self.other_heel


class Part(NamedTuple):
    """A part of a cylinder's difference: what it may come from, and where it lies.

    `mass` has the sign of the difference. `entries` are those it lies between or rests on;
    `first` and `last` the days; `place` where the cylinder was then.
    """

    cylinder: str
    what: str
    mass: int
    words: str
    entries: tuple[int, ...] = ()
    place: str = ""
    first: str = ""
    last: str = ""

    def working(self) -> Working:
        """The part as a figure."""
        inputs = (Input(self.what, self.words, self.entries),)
        return Working(f"Cylinder {self.cylinder}, {self.what}", "as found", inputs, lb(self.mass))


def parts_of(
    line: CountLine, steps: Sequence[Step], allow: Allowances, twins: Twins, since: CutOff | None
) -> list[Part]:
    """The parts of one cylinder's difference; they add up to it."""
    difference = line.difference
    if not difference:
        return []
    found: list[Part] = []
    chain = _until_count(line, steps)
    tare = line.vessel.tare.weight.mass if line.vessel.tare is not None else None
    weighed = bool(line.tally and line.tally.gross) and tare is not None
    for some in _settled(gaps(chain, tare), allow):
        if len(some) == 1:
            found += _of_gap(line, some[0], allow, twins, since)
        else:
            found.append(_misfit(line, *some))
    rest = difference - sum(part.mass for part in found)
    if rest:
        found += _rest(line, chain, rest, allow, weighed)
    return [part for part in found if part.mass]


def _settled(found: Sequence[Gap], allow: Allowances) -> Iterator[tuple[Gap, ...]]:
    """The gaps one by one, but two in a row that make each other up together.

    Then the weights between them do not fit those around them: another scale, or a misreading.
    """
    waiting = list(found)
    while waiting:
        one = waiting.pop(0)
        if waiting:
            other = waiting[0]
            doubt = allow.doubt(one.since, other.until)
            if (
                abs(one.mass) > doubt
                and abs(one.mass + other.mass) <= doubt
                and not (one.unread or other.unread)
            ):
                yield one, waiting.pop(0)
                continue
        yield (one,)


def _misfit(line: CountLine, one: Gap, other: Gap) -> Part:
    entries = tuple(dict.fromkeys(
        reading.entry for reading in (one.until, other.since) if reading is not None
    ))  # fmt: skip
    words = f"the weights read then do not fit those around them: {lb(one.mass)}, {lb(other.mass)}"
    return Part(line.name, SCALE, one.mass + other.mass, words, entries,
                line.vessel.place_on(other.days[1]), other.days[0], other.days[1])  # fmt: skip


def _until_count(line: CountLine, steps: Sequence[Step]) -> Sequence[Step]:
    """The steps up to and with the weighing of the count; up to its day where it has none."""
    tally = line.tally
    if tally is None:
        return steps
    for place, step in enumerate(steps):
        if (step.entry, step.line) == (tally.entry, tally.line):
            return steps[: place + 1]
    cut_off = CutOff.parse(tally.cut_off)
    return [step for step in steps if cut_off.covers(step.day, step.time)]


def _of_gap(
    line: CountLine, gap: Gap, allow: Allowances, twins: Twins, since: CutOff | None
) -> list[Part]:
    """What one gap may come from."""
    first, last = gap.days
    place = line.vessel.place_on(last) if last else line.place
    entries = tuple(one.entry for one in (gap.since, gap.until) if one is not None)

    def part(what: str, mass: int, words: str, more: tuple[int, ...] = ()) -> Part:
        return Part(line.name, what, mass, words, more or entries, place, first, last)

    between = _between(gap)
    if since is not None and gap.until is not None and since.covers(last, gap.until.time):
        return [part(EARLIER, gap.mass, between)]
    found, rest = [], gap.mass
    hook_ups = [one for one in gap.unread if _hook_up(one)]
    booked = [one for one in gap.unread if (one.entry, one.line) in twins.hoses]
    hose = -allow.hose * len(hook_ups) - sum(one.change for one in booked)
    if hose < 0:
        marks = tuple(one.entry for one in (*hook_ups, *booked))
        words = f"{len(hook_ups)} hook-ups without weights, {lb(allow.hose)} each"
        words += ", less what was booked" if booked else ""
        found.append(part(HOSE, hose, words, marks))
        rest -= hose
    doubt = allow.doubt(gap.since, gap.until)
    if abs(rest) > doubt and (twin := twins.fits(gap, rest)):
        words = f"entries {twin[0]} and {twin[1]} may be one job, recorded twice"
        found.append(part(DOUBLED, twin[2], words, twin[:2]))
        rest -= twin[2]
    if abs(rest) <= doubt:
        found.append(part(SCALE, rest, f"{between}; within {lb(doubt)} of two weighings"))
    elif gap.since is None:
        found.append(_before_first(line, gap, rest, part))
    else:
        found.append(part(OPEN_TICKET, rest, f"{between}, and no ticket says why"))
    return found


def _between(gap: Gap) -> str:
    if gap.since is None:
        return f"first weight {lb(gap.until.gross)} on {gap.until.day}" if gap.until else ""
    assert gap.until is not None
    changed = sum(one.change for one in gap.unread)
    told = f", {lb(changed)} recorded between" if changed else ""
    return (
        f"{lb(gap.since.gross)} on {gap.since.day}, then {lb(gap.until.gross)} on"
        f" {gap.until.day}{told}"
    )


def _before_first(line: CountLine, gap: Gap, rest: int, part: _Maker) -> Part:
    came = [one for one in gap.unread if one.change > 0]
    if not came and rest > 0:
        return part(NEVER_RECEIVED, rest, "nothing in the book came into it before it was weighed")
    if all(one.change > 0 for one in gap.unread):
        return part(LABEL, rest, f"{_between(gap)}; tare and net of the label do not add up to it")
    return part(LEFT, rest, f"{_between(gap)}; the tickets before have no weights to go by")


def _hook_up(step: Step) -> bool:
    """Whether a movement without weights was a job on a circuit, with hoses."""
    return step.row is not None and "circuit" in (step.row[4], step.row[6])


def _rest(
    line: CountLine, chain: Sequence[Step], rest: int, allow: Allowances, weighed: bool
) -> list[Part]:
    """What lies after the last weight: a cylinder not there, scrapped, or counted by its label."""
    last = next((one.read[-1] for one in reversed(chain) if one.read), None)
    entries = tuple(one.entry for one in chain[-1:])
    first = last.day if last else (chain[-1].day if chain else "")
    tally = line.tally

    def part(what: str, mass: int, words: str) -> Part:
        more = (tally.entry,) if tally else ()
        return Part(line.name, what, mass, words, entries + more, line.place, first, "")

    if tally is not None and tally.found == NOT_THERE:
        seen = [one for one in chain if one.row is None or one.change < 0 or len(chain) > 1]
        if not seen and line.vessel.placed in (0, *entries):
            return [part(NOT_DELIVERED, rest, "by the receipt it came in; nobody saw it since")]
        where = f"last seen {_seen(line, chain)}"
        return [part(NOT_FOUND, rest, where)]
    if tally is None:
        heel = max(rest, -allow.heel_of(line.refrigerant))
        found = [part(HEEL, heel, f"{line.status} with what the book has in it; heel expected")]
        if rest - heel:
            found.append(part(OPEN_TICKET, rest - heel, "more than a heel, and no ticket says why"))
        return found
    if not chain or not any(one.change > 0 for one in chain):
        return [part(NEVER_RECEIVED, rest, "nothing in the book came into it")]
    if not weighed:
        return [part(OPEN_TICKET, rest, "counted unopened; by the book some of it was used")]
    return [part(LEFT, rest, "not to be told from the weights")]


def _seen(line: CountLine, chain: Sequence[Step]) -> str:
    day = max(chain[-1].day if chain else "", line.vessel.placed_on) or "never"
    return f"{day}{f' at {line.place}' if line.place else ''}"


class Twins:
    """What else is known of the movements: records of one job, and hoses that were booked.

    One job is the same circuit, the same way and about the same pounds: up to three days apart,
    and up to what ounces read as a decimal make (0.79 lb, workflow 1.4). Tickets that are both
    known and not the same tell two jobs apart.
    """

    DAYS, MASS = 3, 4 * POUND // 5

    def __init__(
        self, rows: Iterable[Row], tickets: Mapping[int, str] | None = None,
        hoses: Container[tuple[int, int]] = (),
    ) -> None:  # fmt: skip
        self.tickets, self.hoses = tickets or {}, hoses
        self.jobs: dict[tuple[str, bool], list[Row]] = {}
        for row in rows:
            if row[6] == "circuit":
                self.jobs.setdefault((row[7], True), []).append(row)
            elif row[4] == "circuit":
                self.jobs.setdefault((row[5], False), []).append(row)

    def of(self, row: Row) -> Row | None:
        """The other record of a movement's job, the nearest in pounds; None where there is none."""
        into = row[6] == "circuit"
        found = [one for one in self.jobs.get((row[7] if into else row[5], into), ())
                 if one[2:4] != row[2:4] and self._alike(one, row)]  # fmt: skip
        return min(found, key=lambda one: (abs(one[9] - row[9]), one[2]), default=None)

    def _alike(self, one: Row, row: Row) -> bool:
        here, there = self.tickets.get(row[2], ""), self.tickets.get(one[2], "")
        apart = abs((date.fromisoformat(one[0]) - date.fromisoformat(row[0])).days)
        return (
            (not (here and there) or here == there)
            and apart <= self.DAYS and abs(one[9] - row[9]) <= self.MASS
        )  # fmt: skip

    def fits(self, gap: Gap, mass: int) -> tuple[int, int, int] | None:
        """The two entries of one job that a gap is mostly the amount of, and that amount."""
        steps = [*gap.unread, *(one for one in (gap.after, gap.before) if one is not None)]
        best: tuple[int, int, int] | None = None
        for step in steps:
            amount = -step.change
            if step.row is None or 2 * abs(mass - amount) >= abs(amount):
                continue
            other = self.of(step.row)
            if other is not None and (best is None or abs(mass - amount) < abs(mass - best[2])):
                low, high = sorted((step.entry, other[2]))
                best = (low, high, amount)
        return best


_Maker = Callable[..., Part]
