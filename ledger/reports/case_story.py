"""The repair cases of a circuit told in order: what happened, what came of it, what is open."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from datetime import date
from typing import TYPE_CHECKING, Any, NamedTuple

from ledger.answers.due_list import OWED, lines_of, next_of_each
from ledger.answers.duty import DONE, DONE_LATE, LAPSED, MISSED, OPTION, Duty
from ledger.answers.repair_case import RepairCase
from ledger.facts.facts import Movement
from ledger.facts.mass import half_up, pounds
from ledger.reports.due_table import NOTE, later_words, overridden
from ledger.reports.duty_words import by_when, far_off, late_by, unless
from ledger.reports.stock_tables import known_words
from ledger.reports.table import Column, Table
from ledger.reports.words import counted, in_words

if TYPE_CHECKING:
    from ledger.answers.case_events import Story
    from ledger.answers.duties import CircuitDuties
    from ledger.answers.leak_law import Binding
    from ledger.answers.leak_result import Rate
    from ledger.answers.working import Working
    from ledger.book.cut import Cut
    from ledger.book.reader import Reader

STORY_COLUMNS = (
    Column("case", "Case of", "date"),
    Column("date", "Date", "date"),
    Column("what", "What happened", width=36),
    Column("entry", "Entry", "whole"),
    Column("state", "State of the case", width=14),
    Column("led_to", "Led to", width=44),
    Column("citation", "Paragraph", width=19),
)
BY_TIME = "by the passing of time"
STATES = {
    "open": "open", "inspected": "leaks located", "repaired": "repaired",
    "initial pass": "initial test passed", "follow-up part": "part of the follow-up tests passed",
    "verified": "repairs verified", "confirmed": "confirmed by a rate not over the trigger",
    "presumed": "presumed repaired", "plan due": "a plan is due", "implementing": "plan under way",
    "relieved": "relieved of the plan", "retrofitted": "retrofitted", "retired": "retired",
    "mothballed": "mothballed",
}  # fmt: skip


class CircuitCase(NamedTuple):
    """Everything that is told of one circuit."""

    story: Story
    found: list[CircuitDuties]
    bindings: tuple[Binding, ...]
    laws: dict[str, str]
    leaks: list[tuple[str, str]]


def case_of(reader: Reader, cut: Cut, circuit: str, as_of: date) -> CircuitCase | None:
    """The cases and duties of one circuit; None where the book knows nothing of it."""
    from ledger.answers.named_leaks import left
    from ledger.book.bound import duties_in, law_of
    from ledger.book.reading import masters_at
    from ledger.book.stories import named_leaks

    law, masters = law_of(reader, cut), masters_at(reader, cut)
    for story, found in duties_in(reader, cut, masters, as_of, [circuit], law):
        bindings: tuple[Binding, ...] = ()
        for scope in story.history.scope:
            if scope.since is None or scope.since <= as_of:
                bindings = scope.bindings
        laws = {pack.name: f"{pack.title} ({pack.citation})" for pack in law.packs}
        leaks = left(one for one in named_leaks(reader, cut, masters, circuit)
                     if one.event.on <= as_of)  # fmt: skip
        return CircuitCase(story, found, bindings, laws, leaks)
    return None


def case_table(
    reader: Reader, cut: Cut, circuit: str, as_of: date
) -> tuple[Table, list[str], list[Working]] | None:
    """The story as a table, as lines of text, and the workings of its duties."""
    told = case_of(reader, cut, circuit, as_of)
    if told is None:
        return None
    rows = list(_rows(reader, told, as_of))
    duties = [duty for one in told.found for duty in one.duties]
    owed, later = next_of_each(one for one in lines_of(duties) if one.duty.status in OWED)
    cases = sorted({case.day0 for one in told.found for case in one.cases})
    own = overridden(reader, cut, lines_of(duties))
    duties_ = "1 duty" if len(owed) == 1 else f"{len(owed)} duties"
    answer = f"{counted(len(cases), 'case')}, {duties_} open, on {as_of}."
    table = Table(
        f"Cases of {told.story.circuit}", STORY_COLUMNS, rows, answer=answer,
        as_of=as_of.isoformat(), known_at=known_words(cut), head=reader.head(),
        notes=[
            *_bound(told), *(f"Open: {_open(line.duty, as_of)}" for line in owed),
            *later_words(later), *own, NOTE,
        ],
    )  # fmt: skip
    workings = [line.duty.working() for line in lines_of(duties)]
    text = [*_text(told, rows, owed, as_of, answer, later), *own, NOTE]
    return table, text, workings


def _bound(told: CircuitCase) -> Iterator[str]:
    """Which rules bind the circuit on the day, each with the limb that decided it."""
    words = {"yes": "binds", "no": "does not bind", "undecided": "is undecided",
             "unknown": "may bind"}  # fmt: skip
    for one in told.bindings:
        said = f"{words[one.binds]} ({one.row})" if one.row else "is left aside"
        yield f"{one.cite} {said}: {one.sentence}"


def _rows(reader: Reader, told: CircuitCase, as_of: date) -> Iterator[dict[str, Any]]:
    grouped: dict[date, list[tuple[CircuitDuties, RepairCase]]] = defaultdict(list)
    for one in told.found:
        for case in one.cases:
            grouped[case.day0].append((one, case))
    starts = sorted(grouped)
    entries = {event.entry: event.on for event in told.story.events if event.on <= as_of}
    rates = {rate.on: rate for one in told.found for rate in one.rates}
    for place, day0 in enumerate(starts):
        until = starts[place + 1] if place + 1 < len(starts) else date.max
        yield from _case_rows(reader, told, grouped[day0], day0, until, entries, rates)


def _case_rows(
    reader: Reader, told: CircuitCase, several: list[tuple[CircuitDuties, RepairCase]],
    day0: date, until: date, entries: dict[int, date], rates: dict[date, Rate],
) -> Iterator[dict[str, Any]]:  # fmt: skip
    """One case: its days in order, each with the entries of that day and what came of them."""
    duties = [duty for one, case in several for duty in _of_case(one, case, until)]
    days: dict[date, dict[str, Any]] = defaultdict(
        lambda: {"entries": [], "states": {}, "led": [], "cites": []}
    )
    for entry, on in entries.items():
        if day0 <= on < until:
            days[on]["entries"].append(entry)
    for addition in told.story.history.additions:
        if day0 <= addition.on < until:
            days[addition.on]["entries"].append(addition.entry)
    for _, case in several:
        for step in case.trail:
            if step.on < until:
                days[step.on]["states"][STATES[step.state]] = None
    for line in lines_of(duties):
        duty = line.duty
        began = duty.start if duty.start and duty.start >= day0 else day0
        if began > duty.as_of:
            continue  # It is told with what is open: the story ends on the day that is asked for.
        if duty.due is not None or (duty.no_date and duty.status in OWED):
            days[began]["led"].append((duty.title, _by(duty)))
            days[began]["cites"].append(line.cites)
        let_go = duty.kind == OPTION and duty.status == LAPSED
        if duty.ended is not None and duty.ended < until and not let_go:
            days[duty.ended]["led"].append((duty.title, f"{duty.status}{late_by(duty)}"))
            days[duty.ended]["cites"].append(line.cites)
    for day in sorted(days):
        found = days[day]
        yield {
            "case": day0.isoformat(),
            "date": day.isoformat(),
            "what": "; ".join(_what(reader, told, found["entries"], rates.get(day))) or BY_TIME,
            "entry": min(found["entries"], default=None),
            "state": ", ".join(found["states"]) or None,
            "led_to": "; ".join(_led(found["led"])) or None,
            "citation": "; ".join(dict.fromkeys(found["cites"])) or None,
        }


def _led(told: Iterable[tuple[str, str]]) -> Iterator[str]:
    """Each duty once, with all its dates."""
    titles: dict[str, dict[str, None]] = defaultdict(dict)
    for title, words in told:
        titles[title][words] = None
    yield from (f"{title}: {', '.join(several)}" for title, several in titles.items())


def _of_case(one: CircuitDuties, case: RepairCase, until: date) -> Iterator[Duty]:
    """The duties that belong to a case: those it started, and others that began while it ran."""
    for duty in one.duties:
        if duty.day0 == case.day0 or (
            duty.day0 is None
            and duty.start is not None
            and case.day0 <= duty.start < until
            and duty.status in (DONE, DONE_LATE, MISSED, *OWED)
        ):
            yield duty


def _what(
    reader: Reader, told: CircuitCase, entries: Iterable[int], rate: Rate | None
) -> Iterator[str]:
    """What the entries of a day say of the circuit, with the leak rate it led to."""
    added: dict[str, int] = defaultdict(int)
    words: list[str] = []
    for number in sorted(set(entries)):
        entry = reader.entry(number)
        for fact in entry.facts() if entry is not None else ():
            if isinstance(fact, Movement):
                if fact.target == f"circuit:{told.story.circuit}":
                    claim = f" ({fact.claim})" if fact.claim else ""
                    added[f"{fact.refrigerant} added{claim}"] += fact.mass.mass
            elif getattr(fact, "circuit", "") == told.story.circuit:
                words.append(in_words(fact))
    yield from (f"{pounds(mass)} lb {what}" for what, mass in added.items())
    yield from words
    if rate is not None and rate.rate is not None and rate.trigger is not None and rate.required:
        verdict = "over" if rate.over else "not over"
        counted_ = f"{pounds(rate.counted)} lb counted"
        yield f"{counted_}, {half_up(100 * rate.rate, 1)} %, {verdict} {rate.trigger} %"


def _by(duty: Duty) -> str:
    return f"{by_when(duty)}{' (missed)' if duty.status == MISSED else ''}"


def _open(duty: Duty, as_of: date) -> str:
    far = far_off(duty, as_of)
    when = f"{_by(duty)}, {far}" if far else _by(duty)
    return f"{duty.title}: {when} ({duty.cite}, {duty.who}){unless(duty)}"


def _text(
    told: CircuitCase, rows: Sequence[dict[str, Any]], owed: Sequence[Any], as_of: date,
    answer: str, later: int,
) -> Iterator[str]:  # fmt: skip
    """The story for a terminal."""
    yield f"{told.story.circuit}: {answer}"
    yield from (f"  {line}" for line in _bound(told))
    case = ""
    for row in rows:
        if row["case"] != case:
            case = row["case"]
            packs = [c.pack for one in told.found for c in one.cases if c.day0.isoformat() == case]
            yield ""
            yield f"Case of {case} under {', '.join(told.laws[name] for name in packs)}"
        state = f" [{row['state']}]" if row["state"] else ""
        yield f"  {row['date']}  {row['what']}{state}"
        if row["led_to"]:
            for part in row["led_to"].split("; "):
                yield f"              -> {part}"
    if told.leaks:
        yield ""
        waits = {"repair": "repair", "initial-test": "initial test",
                 "follow-up-test": "follow-up test"}  # fmt: skip
        yield "Leaks on record: " + "; ".join(
            f"{place} waits for its {waits[what]}" for place, what in told.leaks
        )
    yield ""
    if owed:
        yield f"Open on {as_of}:"
        yield from (f"  {_open(line.duty, as_of)}" for line in owed)
    else:
        yield f"Nothing is open on {as_of} by the rules in this program."
    yield from later_words(later)
