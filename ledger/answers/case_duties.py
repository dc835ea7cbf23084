"""The duties of one repair case: locate, repair, test, ask for time, plan, finish, be relieved."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from datetime import date

from ledger.answers.case_events import Event, Story
from ledger.answers.case_terms import charge_on
from ledger.answers.case_windows import Window, frozen, window_of
from ledger.answers.duty import FROZEN, Duty, End, end_of, new_duty, settled
from ledger.answers.duty_law import Clock, Span
from ledger.answers.duty_readings import chosen
from ledger.answers.duty_rules import bearing
from ledger.answers.plan_extensions import (
    MORE_AFTER,
    REQUEST,
    extended,
    granted,
    last_to_ask_again,
    request_clocks,
    request_window,
)
from ledger.answers.repair_case import RELIEVED, RepairCase, Round
from ledger.answers.working import Input, RuleRef

_GIVEN = {"choose-plan": "(i)", "no-action": "(ii)", "verified": "(iii)"}


def duties_of_case(case: RepairCase, story: Story, as_of: date) -> list[Duty]:
    """Every duty of a case as it stands at the end of a date."""
    return _Case(case, story, as_of).run()


class _Case:
    """One case on one day."""

    def __init__(self, case: RepairCase, story: Story, as_of: date) -> None:
        self.case = case
        self.story = story
        self.as_of = as_of
        self.charge = charge_on(story, case.day0)
        self.year_ends: date | None = None

    def run(self) -> list[Duty]:
        """The duties of every clock that this case started."""
        makers: dict[str, Callable[[Clock], Iterable[Duty]]] = {
            "exceedance": self.from_exceedance, "detection": self.from_exceedance,
            "initial-test": self.follow_ups, "repair": self.at_repair,
            "normal-conditions": self.after_repair, "plan": self.from_plan,
            "new-estimate": self.new_estimates, "plan-extension": self.ask_again,
        }  # fmt: skip
        out: list[Duty] = []
        for clock in self.case.law.clocks:
            maker = makers.get(clock.starts)
            if maker is not None and clock.who != "nobody":
                out += maker(clock)
        out += self.relieved_repair()
        case = self.case
        return [
            duty._replace(unless=case.unless, rules=bearing(duty.rules, case, duty)) for duty in out
        ]

    def new(self, clock: Clock, window: Window) -> Duty:
        """A duty of a clock with its window put in."""
        case = self.case
        over = Input("over the trigger", case.day0.isoformat(), case.opened_by)
        duty = new_duty(clock, case.pack, case.circuit, self.as_of)._replace(
            start=window.start, after=window.after, due=window.due, no_date=window.no_date,
            extended=window.extended, left=window.left, day0=case.day0,
            inputs=(over, *window.inputs), rules=window.rules or clock.rules,
        )  # fmt: skip
        if window.frozen is not None:
            stop = window.frozen
            duty = duty._replace(status=FROZEN, ended=stop.on, by="mothball", start=window.start)
        return duty

    def settle(self, duty: Duty, done: End | None, gone: Iterable[End | None] = ()) -> Duty:
        """The status of a duty of this case; a frozen one that was met all the same is met."""
        if duty.status == FROZEN and done is None:
            return duty
        frozen_ = duty.status == FROZEN
        plain = duty._replace(status="open", ended=None, by="") if frozen_ else duty
        finished = end_of(self.case.finished or self.case.followed)
        let_go = self.case.law.rules.get("binding-ends")
        return settled(plain, done, (*gone, finished), self.case.bound_until, let_go=let_go)

    # Clocks that run from day 0.

    def from_exceedance(self, clock: Clock) -> Iterator[Duty]:
        """Locate, repair, initial test, the last days to ask; the plan by its limb."""
        if clock.given in _GIVEN:
            yield from self.plan(clock)
        elif clock.given == "cannot-repair":
            yield from self.cannot_repair(clock)
        elif clock.duty == REQUEST:
            yield from self.plan_extension(clock)
        else:
            duty = self.new(clock, window_of(self.case, clock))
            duty = duty._replace(rules=duty.rules + self.also(clock))
            yield self.settle(duty, self.done(clock), (end_of(self.case.chosen),))

    def also(self, clock: Clock) -> tuple[RuleRef, ...]:
        """Readings that bear on this case beyond those of the clock: an episode, a failed test."""
        rules = self.case.law.rules
        names = []
        if self.case.of_episode:
            names.append("episode")
        if any(one.outcome == "fail" for one in self.case.rounds):
            names.append("failed-followup")
        return tuple(rules[name] for name in names if name in rules)

    def done(self, clock: Clock) -> End | None:
        """What of this case meets a clock."""
        case = self.case
        request = next(iter(case.requests), None)
        ended: dict[str, Event | None] = {
            "leak-inspection": case.located, "repair": case.repaired,
            "initial-test": case.initial, "extension-request": self.in_time(clock, request),
        }  # fmt: skip
        return end_of(next((ended[word] for word in sorted(clock.ends) if word in ended), None))

    def in_time(self, clock: Clock, event: Event | None) -> Event | None:
        """A request that was made by its last day; a late one meets nothing."""
        due = window_of(self.case, clock).due if event is not None else None
        return event if due is None or (event is not None and event.on <= due) else None

    def cannot_repair(self, clock: Clock) -> Iterator[Duty]:
        """Retrofit or retirement of what a person found cannot be repaired."""
        if self.case.plan is not None:
            yield self.settle(self.new(clock, window_of(self.case, clock)), None)

    # Tests.

    def follow_ups(self, clock: Clock) -> Iterator[Duty]:
        """A follow-up test for each successful initial test."""
        for round_ in self.case.rounds:
            window = self.follow_up_window(clock, round_)
            duty = self.new(clock, window)
            done = end_of(round_.ended) if round_.outcome == "pass" else None
            gone = end_of(round_.ended) if round_.outcome == "fail" else None
            yield self.settle(duty, done, (gone, end_of(self.case.chosen)))

    def follow_up_window(self, clock: Clock, round_: Round) -> Window:
        """Ten days from the test; from normal conditions where the circuit was evacuated."""
        told = Input("initial test passed", round_.initial.on.isoformat(), (round_.initial.entry,))
        start, span, rules = round_.initial.on, clock.length, clock.rules
        inputs: tuple[Input, ...] = (told,)
        longer = clock.longer_by("evacuated") if round_.evacuated else None
        if longer is not None and longer.length is not None:
            span, rules = longer.length, longer.rules + clock.rules
            if round_.normal is None:
                missing = "normal conditions not reached yet"
                return Window(None, span.words(), None, missing, rules=rules, inputs=inputs)
            start = round_.normal.on
            normal = Input("normal conditions", start.isoformat(), (round_.normal.entry,))
            inputs = (*inputs, normal)
        return self.run_from(clock, start, span, rules, inputs)

    def run_from(
        self, clock: Clock, start: date, span: Span | None, rules: tuple[RuleRef, ...],
        inputs: tuple[Input, ...],
    ) -> Window:  # fmt: skip
        """A window from an event other than day 0, mothballings put in."""
        if span is None:
            return Window(start, "same day", start, rules=rules, inputs=inputs)
        window = Window(start, span.words(), span.after(start), rules=rules, inputs=inputs)
        return frozen(window, self.case, clock)

    def at_repair(self, clock: Clock) -> Iterator[Duty]:
        """A test on completing the repair, inside the days of the repair."""
        for repair in self.case.law.clocks_of("repair"):
            window = window_of(self.case, repair)._replace(rules=clock.rules)
            yield self.settle(self.new(clock, window), self.done(clock))

    def after_repair(self, clock: Clock) -> Iterator[Duty]:
        """A test after return to normal operation, for which the rule gives no days."""
        window = Window(None, "", None, "after return to normal operation", rules=clock.rules)
        verified = end_of(self.case.verified)
        yield self.settle(self.new(clock, window), verified)

    # The plan.

    def plan_window(self, clock: Clock) -> Window:
        """Thirty days from what made the plan due; for want of action the end of the window."""
        need = self.case.need
        assert need is not None
        told = Input(f"plan due by limb {need.limb}", need.since.isoformat(), (need.entry,))
        if clock.given == "no-action" and self.case.came_to_light is None:
            repair = next(c for c in self.case.law.clocks_of("repair") if c.starts == "exceedance")
            window = window_of(self.case, repair)
            return window._replace(rules=clock.rules, inputs=(told, *window.inputs))
        return self.run_from(clock, need.since, clock.length, clock.rules, (told,))

    def plan(self, clock: Clock) -> Iterator[Duty]:
        """The plan, by the limb that asks for it."""
        need = self.case.need
        if need is None or need.limb != _GIVEN[clock.given]:
            return
        duty = self.new(clock, self.plan_window(clock))._replace(limb=need.limb)
        yield self.settle(duty, end_of(self.case.plan))

    def plan_due(self) -> date | None:
        """The date the plan was due, as the mothballings left it."""
        for clock in self.case.law.clocks_of("plan"):
            if self.case.need is not None and self.case.need.limb == _GIVEN.get(clock.given):
                return self.plan_window(clock).due
        return None

    def plan_extension(self, clock: Clock) -> Iterator[Duty]:
        """The last day to ask for more than a year, where the rule knows a ground."""
        if self.case.need is None or clock not in request_clocks(self.case, self.charge):
            return
        window = request_window(self.case, clock)
        asked = next(iter(self.case.plan_requests), None)
        in_time = asked is not None and (window.due is None or asked.on <= window.due)
        yield self.settle(self.new(clock, window), end_of(asked) if in_time else None)

    def ask_again(self, clock: Clock) -> Iterator[Duty]:
        """The last day to ask for a further extension, once a first one was granted."""
        finish = next((c for c in self.case.law.clocks_of("finish-plan") if c.cap), None)
        begins = self.year_ends
        last = last_to_ask_again(clock, begins)
        if finish is None:
            return
        found = granted(self.case, finish, self.charge, self.as_of, begins)
        if not found or found[0].longer.ground not in MORE_AFTER or last is None or not begins:
            return
        first = found[0].request
        told = Input("first extension", begins.isoformat(), (first.entry,))
        after = clock.length.words() if clock.length is not None else ""
        window = Window(begins, after, last, rules=clock.rules, inputs=(told,))
        again = (one for one in self.case.plan_requests if first.on < one.on <= last)
        yield self.settle(self.new(clock, window), end_of(next(again, None)))

    def from_plan(self, clock: Clock) -> Iterator[Duty]:
        """What runs from the date of the plan: finish it, ask for relief from it."""
        plan = self.case.plan
        if plan is None:
            return
        told = Input("plan", plan.on.isoformat(), (plan.entry,))
        if "plan-relief" in clock.ends:
            window = self.run_from(clock, plan.on, clock.length, clock.rules, (told,))
            yield self.settle(self.new(clock, window), end_of(self.case.relief))
            return
        plain = frozen(self.finish(clock, plan, told), self.case, clock)
        self.year_ends = plain.due
        more = granted(self.case, clock, self.charge, self.as_of, plain.due)
        duty = self.new(clock, extended(plain, self.case, more))
        longer = clock.longer_by("retire-exempt-substitute")
        if longer is not None and plan.exempt_substitute:
            duty = duty._replace(cite=longer.length.rule.cite if longer.length else duty.cite)
        relief = self.relief_end()
        yield self.settle(duty, end_of(self.case.finished), (relief,))

    def finish(self, clock: Clock, plan: Event, told: Input) -> Window:
        """A year from the plan, no later than the cap; longer to retire for an exempt one."""
        assert clock.length is not None and self.case.need is not None
        longer = clock.longer_by("retire-exempt-substitute")
        law, due = self.case.law, self.plan_due() or plan.on
        finalized = min(plan.on, due)
        if longer is not None and longer.length is not None and plan.exempt_substitute:
            if chosen(law, "retire-18-anchor"):
                finalized = plan.on
            span = longer.length
            rules = longer.rules + clock.rules
            return Window(finalized, span.words(), span.after(finalized), rules=rules,
                          inputs=(told,))  # fmt: skip
        plain = Window(plan.on, clock.length.words(), clock.length.after(plan.on),
                       rules=clock.rules, inputs=(told,))  # fmt: skip
        if clock.cap is None or plain.due is None:
            return plain
        if clock.cap_starts == "plan-required":
            start = due if chosen(law, "plan-cap-82") else self.case.need.since
        else:
            start = plan.on if chosen(law, "plan-cap-84") else finalized
        cap = clock.cap.after(start)
        if cap >= plain.due:
            return plain
        needed = Input("plan required", self.case.need.since.isoformat(), (self.case.need.entry,))
        rules = (clock.cap.rule, *clock.rules)
        return Window(start, clock.cap.words(), cap, rules=rules, inputs=(told, needed))

    def relief_end(self) -> End | None:
        """Relief from the plan, once it counts as approved."""
        case = self.case
        if case.state != RELIEVED or case.relief is None or case.relieved_on is None:
            return None
        return End(case.relieved_on, "plan-relief", case.relief.entry)

    def relieved_repair(self) -> Iterator[Duty]:
        """After relief all identified leaks are repaired within the year of the plan."""
        case, relief = self.case, self.relief_end()
        clock = next(iter(case.law.clocks_of("finish-plan")), None)
        request = next(iter(case.law.clocks_of("relief-request")), None)
        repair = next(iter(case.law.clocks_of("repair")), None)
        if relief is None or case.plan is None or clock is None or repair is None:
            return
        told = Input("plan", case.plan.on.isoformat(), (case.plan.entry,))
        window = self.run_from(clock, case.plan.on, clock.length, clock.rules, (told,))
        duty = self.new(repair, window)._replace(cite=request.cite if request else repair.cite)
        repaired = next(
            (e for e in self.story.events
             if e.kind == "repair" and e.all_leaks and case.plan.on < e.on <= self.as_of),
            None,
        )  # fmt: skip
        yield self.settle(duty, end_of(repaired))

    # Notices.

    def new_estimates(self, clock: Clock) -> Iterator[Duty]:
        """A notice for each estimate that slipped."""
        for event in self.case.estimates:
            told = Input("the estimate slips", event.on.isoformat(), (event.entry,))
            window = self.run_from(clock, event.on, clock.length, clock.rules, (told,))
            notice = next((one for one in self.case.notices if one.on >= event.on), None)
            yield self.settle(self.new(clock, window), end_of(notice))
