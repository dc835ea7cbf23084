"""What became of one exceedance under one pack: the record of a repair case.

`case_states` writes it from the events of a circuit, `case_windows` and `case_duties` read it.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from typing import NamedTuple

from ledger.answers.case_events import Event
from ledger.answers.duty_law import DutyLaw

OPEN, INSPECTED, REPAIRED = "open", "inspected", "repaired"
INITIAL_PASS, FOLLOWUP_PART, VERIFIED = "initial pass", "follow-up part", "verified"
CONFIRMED, PRESUMED = "confirmed", "presumed"
PLAN_DUE, IMPLEMENTING, RELIEVED = "plan due", "implementing", "relieved"
RETROFITTED, RETIRED, MOTHBALLED = "retrofitted", "retired", "mothballed"

REPAIRING = frozenset({OPEN, INSPECTED, REPAIRED, INITIAL_PASS, FOLLOWUP_PART})
"""The repairs or the two tests are not done: a second exceedance joins (SECOND_OVER)."""
CLOSED = frozenset({CONFIRMED, PRESUMED, RELIEVED, RETROFITTED, RETIRED})
"""No further exceedance joins a case that stands so."""


class Step(NamedTuple):
    """A change of state: the date, the state from then on, the entry that did it (0: time)."""

    on: date
    state: str
    entry: int


class Stop(NamedTuple):
    """A mothballing: when the clocks stopped, and when refrigerant was added again."""

    on: date
    entry: int
    resumed: date | None = None
    resumed_entry: int = 0


class Round(NamedTuple):
    """From one successful initial test to what its follow-up test came to.

    `normal` is the return to normal conditions, asked for where the circuit was `evacuated`.
    `outcome` is "pass", "fail" or empty.
    """

    initial: Event
    evacuated: bool
    normal: Event | None = None
    ended: Event | None = None
    outcome: str = ""


class PlanNeed(NamedTuple):
    """Why a plan is due: the limb, the day its days run from, the entry behind it."""

    limb: str
    since: date
    entry: int


class Over(NamedTuple):
    """A leak rate over the trigger: its date and the entries of its additions."""

    on: date
    entries: tuple[int, ...]


@dataclass(slots=True)
class RepairCase:
    """One case: what opened it, its events, and the state it stands in.

    `law` is that of the day it opened (OLD_CASES). `unless` names a decision still to be made
    that would take the rule away; `bound_until` the first day on which the pack binds no more;
    `came_to_light` the late day from which want of action counts (LATE_FOUND_PLAN); `followed`
    the detection after its repair that opened the next case.
    """

    law: DutyLaw
    circuit: str
    day0: date
    opened_by: tuple[int, ...]
    category: str = ""
    of_episode: bool = False
    reports_gases: bool = False
    federal_owner: bool = False
    unless: str = ""
    bound_until: date | None = None
    state: str = OPEN
    since: date = date.min
    trail: list[Step] = field(default_factory=list)
    came_to_light: date | None = None
    exceedances: list[Over] = field(default_factory=list)
    detection: Event | None = None
    shutdown: Event | None = None
    located: Event | None = None
    repaired: Event | None = None
    last_repair: Event | None = None
    initial: Event | None = None
    rounds: list[Round] = field(default_factory=list)
    verified: Event | None = None
    addition_since: bool = False
    requests: list[Event] = field(default_factory=list)
    deliveries: list[Event] = field(default_factory=list)
    estimates: list[Event] = field(default_factory=list)
    notices: list[Event] = field(default_factory=list)
    plan_requests: list[Event] = field(default_factory=list)
    plan_objections: list[Event] = field(default_factory=list)
    delays: list[Event] = field(default_factory=list)
    chosen: Event | None = None
    need: PlanNeed | None = None
    plan: Event | None = None
    relief: Event | None = None
    relieved_on: date | None = None
    finished: Event | None = None
    followed: Event | None = None
    stops: list[Stop] = field(default_factory=list)
    _under: str = OPEN

    @property
    def pack(self) -> str:
        """The pack the case stands under."""
        return self.law.pack

    @property
    def is_closed(self) -> bool:
        """Whether a further exceedance would open a case of its own."""
        return self.state in CLOSED or self.followed is not None

    @property
    def phase(self) -> str:
        """The state as it is, or as it was when the circuit was mothballed."""
        return self._under if self.state == MOTHBALLED else self.state

    @property
    def acted(self) -> bool:
        """Whether anything was done to identify or repair, or another exit was taken."""
        done = (self.located, self.repaired, self.last_repair, self.initial, self.chosen, self.plan)
        return any(done) or bool(self.requests)

    def enter(self, state: str, on: date, entry: int = 0) -> None:
        """Go over to a state; beneath a mothballing the circuit stays mothballed."""
        if self.state == MOTHBALLED and state not in CLOSED:
            self._under = state
            return
        self.state, self.since = state, on
        self.trail.append(Step(on, state, entry))

    def stop(self, event: Event) -> None:
        """Mothballed: what is left of the clocks freezes."""
        if self.state == MOTHBALLED or self.is_closed:
            return
        self._under = self.state
        self.stops.append(Stop(event.on, event.entry))
        self.state, self.since = MOTHBALLED, event.on
        self.trail.append(Step(event.on, MOTHBALLED, event.entry))

    def presume(self, on: date, entry: int = 0) -> None:
        """Presumed good; the entry is what says so besides the time."""
        self.enter(PRESUMED, on, entry)

    def resume(self, on: date, entry: int) -> None:
        """Refrigerant was added to the mothballed circuit: the clocks run on."""
        last = self.stops[-1]
        self.stops[-1] = last._replace(resumed=on, resumed_entry=entry)
        self.state = self._under
        self.since = on
        self.trail.append(Step(on, self.state, entry))
