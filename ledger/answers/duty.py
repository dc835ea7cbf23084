"""One duty: what is owed by whom until when, what ended it, by which paragraph, and why."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import NamedTuple

from ledger.answers.case_events import Event
from ledger.answers.duty_law import Calendar, Clock, Record, YearlyReport
from ledger.answers.working import OVERRIDE, Input, RuleRef, Working

OPEN, DONE, DONE_LATE, OVERDUE = "open", "done", "done late", "overdue"
MISSED, FROZEN, LAPSED, SUPERSEDED = "missed", "frozen", "lapsed", "superseded"
OPTION = "option"

WEAKEST = ("read", "read-2015", "secondary", "memory", "interpretation", OVERRIDE)
"""The marks of evidence, the weakest last."""


class Duty(NamedTuple):
    """A duty or a last day to ask (`kind` option) as it stands at the end of `as_of`.

    The days run from `start`, `after` is what is counted, `due` the last day; where there is no
    date `no_date` says why. `ended` and `by` say what ended it. `limb` names the limb of a plan,
    `every` the step of a schedule, `portion` the part of the circuit that is meant, `extended`
    the ground of an extension, `unless` a decision that would take it away. `inputs` and `rules`
    are what the working prints. A duty of a whole site has its name in `site` and no `circuit`;
    `systems` are the circuits of the site that are meant where not all are, `year` the calendar
    year it is for, `amount` what is paid.
    """

    duty: str
    pack: str
    circuit: str
    who: str
    kind: str
    title: str
    start: date | None
    after: str
    due: date | None
    status: str
    cite: str
    as_of: date
    no_date: str = ""
    ended: date | None = None
    by: str = ""
    limb: str = ""
    every: str = ""
    portion: str = ""
    extended: str = ""
    unless: str = ""
    left: int = 0
    day0: date | None = None
    inputs: tuple[Input, ...] = ()
    rules: tuple[RuleRef, ...] = ()
    site: str = ""
    systems: tuple[str, ...] = ()
    year: int | None = None
    amount: str = ""

    @property
    def subject(self) -> str:
        """Whose duty it is: the circuit, or the site with the circuits that are meant."""
        return self.circuit or ": ".join(filter(None, (self.site, ", ".join(self.systems))))

    @property
    def evidence(self) -> str:
        """How firmly the date stands: the weakest mark of what it leans on."""
        marks = [WEAKEST.index(rule.evidence) for rule in self.rules if rule.evidence in WEAKEST]
        return WEAKEST[max(marks, default=0)]

    @property
    def readings(self) -> tuple[str, ...]:
        """The interpretations the date leans on, by the name they have in the rules brief."""
        marks = ("interpretation", OVERRIDE)
        names = (r.rule.rpartition("/")[2] for r in self.rules if r.evidence in marks)
        return tuple(dict.fromkeys(name.upper().replace("-", "_") for name in names))

    @property
    def entries(self) -> tuple[int, ...]:
        """Every entry the duty was read from."""
        return tuple(dict.fromkeys(entry for part in self.inputs for entry in part.entries))

    def text(self) -> str:
        """The duty in one line: what, by when, how it stands."""
        date_ = f"by {self.due.isoformat()}" if self.due else self.no_date or "no date"
        told = f" ({self.by}, {self.ended.isoformat()})" if self.ended else ""
        last = " (last day to ask)" if self.kind == OPTION else ""
        return f"{self.title}{last}: {date_}, {self.status}{told}"

    def working(self) -> Working:
        """The whole explanation: day 0, what was counted, what ended it, the rules."""
        since = self.start.isoformat() if self.start else "the day that is not known yet"
        formula = f"{since} and {self.after}" if self.after else f"from {since}"
        notes = [f"Owed by: {self.who}."]
        if self.unless:
            notes.append(f"Nothing is due if {self.unless}.")
        if self.extended:
            notes.append(f"Extended: {self.extended}.")
        if self.portion:
            notes.append(f"Part of the circuit: {self.portion}.")
        return Working(
            title=f"{self.title}, {self.subject} ({self.cite})",
            formula=formula,
            inputs=self.inputs,
            result=f"{self.text()}, as of {self.as_of.isoformat()}",
            rules=tuple(dict.fromkeys(self.rules)),
            notes=tuple(notes),
        )


class End(NamedTuple):
    """What ended a duty, on which date, by which entry."""

    on: date
    by: str
    entry: int = 0


def end_of(event: Event | None) -> End | None:
    """The end that an event makes."""
    return None if event is None else End(event.on, event.kind, event.entry)


def new_duty(
    source: Clock | Calendar | YearlyReport | Record, pack: str, circuit: str, as_of: date
) -> Duty:
    """A duty of a clock, calendar or report of the law, still without its dates."""
    return Duty(
        duty=source.duty,
        pack=pack,
        circuit=circuit,
        who=source.who,
        kind=source.kind if isinstance(source, Clock) else "duty",
        title=source.title,
        start=None,
        after="",
        due=None,
        status=OPEN,
        cite=source.cite,
        as_of=as_of,
        rules=source.rules,
    )


def settled(
    duty: Duty, done: End | None = None, gone: Sequence[End | None] = (),
    bound_until: date | None = None, past: str = OVERDUE, let_go: RuleRef | None = None,
) -> Duty:  # fmt: skip
    """The duty with its status.

    `done` is what meets it, `gone` what supersedes it. `bound_until` is the first day on which
    the pack binds no more: a duty whose date has not come lapses, one overdue stays as missed
    (BINDING_ENDS, the rule `let_go`). `past` is the word for a date gone by.
    """
    if done is not None:
        late = duty.due is not None and done.on > duty.due
        return _ended(duty, done, DONE_LATE if late else DONE)
    first = min((end for end in gone if end is not None), key=lambda end: end.on, default=None)
    if first is not None:
        return _ended(duty, first, SUPERSEDED)
    lapses = bound_until is not None and bound_until <= duty.as_of
    if lapses and let_go is not None:
        duty = duty._replace(rules=(*duty.rules, let_go))
    if lapses and bound_until is not None and (duty.due is None or duty.due >= bound_until):
        number = duty.cite.partition("CFR ")[2].partition(".")[0]
        by = f"part {number} no longer binds" if number else "the rule no longer binds"
        return _ended(duty, End(bound_until, by), LAPSED)
    if duty.due is None or duty.as_of <= duty.due:
        return duty
    if duty.kind == OPTION:
        return _ended(duty, End(duty.due, "its last day passed"), LAPSED)
    return duty._replace(status=MISSED if lapses else past)


def _ended(duty: Duty, end: End, status: str) -> Duty:
    told = Input(end.by, end.on.isoformat(), (end.entry,) if end.entry else ())
    return duty._replace(status=status, ended=end.on, by=end.by, inputs=(*duty.inputs, told))
