"""The list of what is due: duties of several packs put beside each other, and then and now.

Where two packs open the same clock on one circuit the reader sees one line, the earlier date
first, with both paragraphs. What was known on an earlier day is set beside what is known now.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import date
from typing import TYPE_CHECKING, NamedTuple

from ledger.answers.duty import OPEN, OPTION, OVERDUE, Duty

if TYPE_CHECKING:
    from ledger.answers.duties import CircuitDuties

OWED = frozenset({OPEN, OVERDUE})
"""The statuses of what still has to be done."""
NOT_KNOWN = "not known then"
"""Said of a duty that nothing on record told of on the earlier day."""
WORK = (
    "locate-leaks", "repair", "initial-test", "follow-up-test", "repair-extension-request", "plan",
    "relief-request", "finish-plan",
)  # fmt: skip
"""Duties of a repair case in the order of the work, for those due on one date."""


class Line(NamedTuple):
    """One line of the list: the duty that falls due first, and the same of other packs.

    `then` says how it stood as known on the earlier day, where that was otherwise; `gone` is set
    where it was known then and is no duty any more.
    """

    duty: Duty
    others: tuple[Duty, ...] = ()
    then: str = ""
    gone: bool = False

    @property
    def cites(self) -> str:
        """The paragraphs, that of the earlier date first."""
        return "; ".join(dict.fromkeys(one.cite for one in (self.duty, *self.others)))

    @property
    def others_due(self) -> str:
        """The later dates of the other packs, where they differ."""
        later = [
            f"{one.due.isoformat()} ({one.cite})"
            for one in self.others
            if one.due is not None and one.due != self.duty.due
        ]
        return "; ".join(later)


def lines_of(duties: Iterable[Duty]) -> list[Line]:
    """The lines of the list: overdue first, then by date, what has no date last."""
    groups: dict[tuple[object, ...], list[Duty]] = defaultdict(list)
    for duty in duties:
        groups[_clock(duty)].append(duty)
    found = []
    for several in groups.values():
        # The same pack twice on one clock is two duties.
        packs: dict[int, list[Duty]] = defaultdict(list)
        seen: dict[str, int] = defaultdict(int)
        for duty in several:
            packs[seen[duty.pack]].append(duty)
            seen[duty.pack] += 1
        for same in packs.values():
            first, *rest = sorted(same, key=_order)
            found.append(Line(first, tuple(rest)))
    return sorted(found, key=lambda line: _order(line.duty))


def _clock(duty: Duty) -> tuple[object, ...]:
    """What makes two duties one: circuit, duty, the event it hangs on, how it stands."""
    return (
        duty.circuit, duty.site, duty.duty, duty.kind, duty.day0, duty.start, duty.every,
        duty.portion, duty.year, duty.systems, duty.status,
    )  # fmt: skip


def _order(duty: Duty) -> tuple[object, ...]:
    return (
        duty.status != OVERDUE, duty.kind == OPTION and duty.status == OVERDUE,
        duty.due or date.max, duty.circuit or duty.site, _of_work(duty.duty), duty.duty, duty.pack,
    )  # fmt: skip


def changed_by(
    before: Iterable[CircuitDuties], after: Iterable[CircuitDuties]
) -> tuple[list[Line], list[Line]]:
    """The lines that are owed only after something, and those owed only before it."""
    old = [duty for one in before for duty in one.duties if duty.status in OWED]
    new = [duty for one in after for duty in one.duties if duty.status in OWED]
    known, still = {_same(duty) for duty in old}, {_same(duty) for duty in new}
    return (
        lines_of(duty for duty in new if _same(duty) not in known),
        lines_of(duty for duty in old if _same(duty) not in still),
    )


def _same(duty: Duty) -> tuple[object, ...]:
    """What makes a duty the same, however it stands."""
    return (
        duty.pack, duty.circuit, duty.duty, duty.start, duty.due, duty.every, duty.limb,
        duty.portion, duty.year,
    )  # fmt: skip


def _of_work(name: str) -> int:
    """Where a duty stands in the order of the work; those outside of it come last."""
    return WORK.index(name) if name in WORK else len(WORK)


def then_and_now(now: Sequence[Duty], then: Sequence[Duty]) -> list[Line]:
    """The lines as known now, each with how it stood as known then where that differs.

    What was known then and is no duty now, because an entry was taken back or a date put right,
    stands at the end.
    """
    open_then: dict[tuple[object, ...], list[Duty]] = defaultdict(list)
    for duty in then:
        open_then[_identity(duty)].append(duty)
    same: list[Duty] = []
    rest: list[Duty] = []
    for duty in now:
        match = open_then.get(_identity(duty))
        if match:
            match.pop()
            same.append(duty)
        else:
            rest.append(duty)
    left = [duty for several in open_then.values() for duty in several]
    by_kind: dict[tuple[str, ...], list[Duty]] = defaultdict(list)
    for duty in left:
        by_kind[_sort(duty)].append(duty)
    told: dict[int, str] = {}
    for duty in rest:
        moved = by_kind.get(_sort(duty))
        told[id(duty)] = _words(moved.pop(0)) if moved else NOT_KNOWN
    gone = [duty for several in by_kind.values() for duty in several]
    lines = [
        line._replace(then=told.get(id(line.duty), "")) for line in lines_of([*same, *rest])
    ]  # fmt: skip
    return lines + [Line(duty, then=_words(duty), gone=True) for duty in sorted(gone, key=_order)]


def _identity(duty: Duty) -> tuple[object, ...]:
    return (
        duty.pack, duty.circuit, duty.site, duty.duty, duty.every, duty.portion, duty.year,
        duty.start, duty.due, duty.status, duty.ended,
    )  # fmt: skip


def _sort(duty: Duty) -> tuple[str, ...]:
    return (
        duty.pack, duty.circuit, duty.site, duty.duty, duty.every, duty.portion, str(duty.year)
    )  # fmt: skip


def next_of_each(lines: Iterable[Line]) -> tuple[list[Line], int]:
    """The lines with only the next date of each running schedule, and how many are left out."""
    kept: list[Line] = []
    running: set[tuple[object, ...]] = set()
    out = 0
    for line in lines:
        duty = line.duty
        if duty.every and duty.status == OPEN and not line.gone:
            schedule = (duty.pack, duty.circuit, duty.site, duty.duty, duty.every, duty.portion)
            if schedule in running:
                out += 1
                continue
            running.add(schedule)
        kept.append(line)
    return kept, out


def _words(duty: Duty) -> str:
    due = duty.due.isoformat() if duty.due else duty.no_date or "no date"
    return f"known then: {due}, {duty.status}"
