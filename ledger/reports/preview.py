"""What an addition would lead to, told before it is made: nothing is recorded."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING

from ledger.answers.due_list import changed_by
from ledger.answers.duty import Duty
from ledger.answers.leak_history import Addition
from ledger.facts.mass import Quantity, half_up, pounds
from ledger.reports.due_table import NOTE
from ledger.reports.duty_words import by_when, unless

if TYPE_CHECKING:
    from ledger.answers.case_events import Story
    from ledger.answers.duties import CircuitDuties
    from ledger.book.reader import Reader

NOT_YET = 1 << 40
"""The entry number of what is only thought of."""


def preview_lines(
    reader: Reader, circuit: str, net: Quantity, on: date, explain: bool
) -> list[str]:
    """The leak rate and the duties an addition would lead to, beside those there are."""
    from ledger.answers.duties import duties_of
    from ledger.book.bound import law_of, stories_of
    from ledger.book.reading import Cut, masters_at

    cut = Cut()
    law = law_of(reader, cut)
    for story in stories_of(reader, cut, law, masters_at(reader, cut), [circuit]):
        before = duties_of(story, law.rates, law.tables, on)
        after = duties_of(_with(story, net, on), law.rates, law.tables, on)
        return list(_lines(story, net, on, before, after, explain))
    return [f"Nothing is recorded of {circuit}."]


def _with(story: Story, net: Quantity, on: date) -> Story:
    thought = Addition(NOT_YET, 0, on, "", int(net.mass))
    history = replace(story.history, additions=[*story.history.additions, thought])
    return replace(story, history=history)


def _lines(
    story: Story, net: Quantity, on: date, before: list[CircuitDuties],
    after: list[CircuitDuties], explain: bool,
) -> Iterator[str]:  # fmt: skip
    yield f"If {net.written} goes into {story.circuit} on {on}:"
    rated = False
    for one in after:
        for rate in one.rates:
            if rate.on != on or NOT_YET not in rate.entries:
                continue
            rated = True
            if rate.rate is None:
                yield f"  Leak rate under part {rate.subpart}: {rate.text()}."
                continue
            verdict = "over" if rate.over else "not over" if rate.over is False else "not compared"
            trigger = f", {verdict} {rate.trigger} %" if rate.trigger else ""
            yield (
                f"  Leak rate under part {rate.subpart}: {half_up(100 * rate.rate, 1)} % a year"
                f" ({rate.method}, {pounds(rate.counted)} lb counted){trigger}."
            )
            if explain:
                yield from (f"  {line}" for line in rate.working().to_lines())
    if not rated:
        yield "  No federal rule asks for a leak rate of it on that day."
    started, gone = changed_by(before, after)
    for line in started:
        yield f"  Would start: {told(line.duty)} ({line.cites})"
    for line in gone:
        yield f"  Would no longer be due: {told(line.duty)} ({line.cites})"
    if not started and not gone:
        yield "  No clock would start or end."
    yield "Nothing was recorded. " + NOTE


def told(duty: Duty) -> str:
    """A duty in a line: what, by when, who."""
    return f"{duty.title}, {by_when(duty)}, {duty.who}{unless(duty)}"
