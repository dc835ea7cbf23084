"""Turns of a repair case that no worked case takes, and a jurisdiction that is data alone."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

from ledger.answers.case_events import Event, Story
from ledger.answers.duties import duties_of
from ledger.answers.leak_history import Addition, FullCharge, Removal, ScopeFrom
from ledger.answers.leak_law import Binding
from ledger.facts.mass import POUND
from ledger.law.for_duties import law_for_duties
from ledger.law.for_rates import law_for_rates
from ledger.law.loader import CALIFORNIA, FEDERAL_82F, load_pack, read_pack
from ledger.law.scope import scope_of
from tests.answers.one_circuit import DAY0, INDUSTRY, REPAIRED
from tests.answers.one_circuit import adding as _adding
from tests.answers.one_circuit import at as _at
from tests.answers.one_circuit import of as _of
from tests.answers.one_circuit import state as _state
from tests.answers.one_circuit import story as _story
from tests.law.case_subjects import subject

NORDMARK = Path(__file__).parent.parent / "law" / "packs" / "nordmark-cooling"


def test_the_last_day_and_the_day_after() -> None:
    story = _story()
    assert _of(_at(story, date(2026, 7, 1)), "repair")[0].status == "open"
    assert _of(_at(story, date(2026, 7, 2)), "repair")[0].status == "overdue"


def test_nothing_done_makes_the_plan_due_on_the_last_day() -> None:
    assert _state(_at(_story(), date(2026, 6, 30))) == "open"
    found = _at(_story(), date(2026, 7, 1))
    assert _state(found) == "plan due"
    (plan,) = _of(found, "plan")
    assert (plan.limb, plan.due, plan.status) == ("(ii)", date(2026, 7, 1), "open")


def test_some_leaks_tested_start_the_ten_days_but_end_no_test() -> None:
    story = _story(*REPAIRED[:3])
    events = (*story.events[:2], story.events[2]._replace(all_leaks=False))
    found = _at(replace(story, events=events), date(2026, 6, 13))
    assert _of(found, "initial-test")[0].status == "open"
    assert _of(found, "follow-up-test")[0].due == date(2026, 6, 22)
    assert _state(found) == "repaired"


def test_a_follow_up_without_an_initial_test_verifies_nothing() -> None:
    found = _at(_story(REPAIRED[0], REPAIRED[1], REPAIRED[3]), date(2026, 6, 21))
    assert _state(found) == "repaired"


def test_an_addition_on_the_last_day_takes_the_presumption_away() -> None:
    story = _story(*REPAIRED)
    assert _state(_at(story, date(2027, 6, 20))) == "presumed"
    held = _adding(story, date(2027, 6, 20), 1)
    found = _at(held, date(2027, 6, 20))
    assert (_state(found), found.cases[-1].since) == ("confirmed", date(2027, 6, 20))


def test_after_a_presumption_the_next_exceedance_is_a_case_of_its_own() -> None:
    found = _at(_adding(_story(*REPAIRED), date(2027, 7, 1), 150), date(2027, 7, 2))
    assert [case.day0 for case in found.cases] == [DAY0, date(2027, 7, 1)]
    assert _state(found) == "open"


def test_an_objection_keeps_the_plan() -> None:
    told = (("choose-retrofit", DAY0), ("plan", date(2026, 6, 20)),
            ("plan-relief", date(2026, 9, 1)))  # fmt: skip
    assert _state(_at(_story(*told), date(2026, 10, 31))) == "relieved"
    story = _story(*told, ("objection", date(2026, 10, 5)))
    assert _state(_at(story, date(2026, 10, 31))) == "implementing"


def test_relief_asked_for_a_day_late_is_none() -> None:
    told = (("choose-retrofit", DAY0), ("plan", date(2026, 6, 20)))
    last, late = date(2026, 12, 17), date(2026, 12, 18)
    assert _state(_at(_story(*told, ("plan-relief", last)), date(2027, 3, 1))) == "relieved"
    assert _state(_at(_story(*told, ("plan-relief", late)), date(2027, 3, 1))) == "implementing"


def test_retirement_ends_what_is_open() -> None:
    story = _story(("choose-retire", DAY0), ("retire", date(2026, 6, 25)))
    found = _at(story, date(2026, 7, 10))
    assert _state(found) == "retired"
    (plan,) = _of(found, "plan")
    assert (plan.status, plan.by, plan.ended) == ("superseded", "retire", date(2026, 6, 25))


def test_more_time_for_radiological_grounds_has_no_date() -> None:
    story = _story(REPAIRED[0], ("extension-request", date(2026, 6, 20)))
    events = (story.events[0], story.events[1]._replace(ground="radiological"))
    (repair,) = _of(_at(replace(story, events=events), date(2026, 9, 1)), "repair")
    assert (repair.due, repair.no_date, repair.status) == (None, "as long as needed", "open")


def test_a_delivery_never_shortens_the_days_of_a_shutdown() -> None:
    story = _story(
        REPAIRED[0], ("shutdown", date(2026, 6, 2)), ("extension-request", date(2026, 6, 20)),
        ("delivery", date(2026, 6, 25)), category=INDUSTRY,
    )  # fmt: skip
    (repair,) = _of(_at(story, date(2026, 7, 1)), "repair")
    assert repair.due == date(2026, 9, 29)


def test_mothballed_on_the_last_day_no_day_is_left() -> None:
    story = _story(REPAIRED[0], ("mothball", date(2026, 7, 1)))
    (repair,) = _of(_at(story, date(2026, 8, 1)), "repair")
    assert (repair.status, repair.left) == ("frozen", 0)
    (again,) = _of(_at(_adding(story, date(2026, 9, 1), 1), date(2026, 9, 1)), "repair")
    assert (again.due, again.status) == (date(2026, 9, 1), "open")


def test_mothballed_a_day_after_the_last_day_it_stays_overdue() -> None:
    story = _story(REPAIRED[0], ("mothball", date(2026, 7, 2)))
    assert _of(_at(story, date(2026, 8, 1)), "repair")[0].status == "overdue"


def test_before_2019_a_leak_that_nobody_found_has_no_date() -> None:
    story = _story(subpart="82")
    early = Addition(1, 1, date(2018, 6, 1), "", 300 * POUND)
    story = replace(story, history=replace(story.history, additions=(early,)))
    (repair,) = _of(_at(story, date(2018, 8, 1), FEDERAL_82F), "repair")
    assert (repair.due, repair.no_date) == (None, "not discovered")


def _nordmark(*told: tuple[str, date], installed: date = date(2020, 5, 4)) -> Story:
    story = _story(*told, subpart="NM")
    history = replace(story.history, additions=())
    return replace(story, history=history, installed=installed)


def test_an_invented_jurisdiction_is_data_alone() -> None:
    """Repair in 7 days from detection; a test once a calendar year, at most 15 months apart."""
    table = law_for_duties(read_pack(NORDMARK))
    story = _nordmark(
        ("leak-inspection", date(2026, 2, 3)), ("detection", date(2026, 6, 1)),
        ("repair", date(2026, 6, 8)), ("leak-inspection", date(2028, 4, 1)),
    )  # fmt: skip
    (found,) = duties_of(story, law_for_rates(), [table], date(2026, 6, 8))
    (repair,) = _of(found, "repair")
    assert (repair.after, repair.due, repair.status) == ("7 days", date(2026, 6, 8), "done")
    tests = [(one.due, one.status) for one in _of(found, "periodic-inspection")]
    assert tests == [(date(2026, 12, 31), "done"), (date(2027, 5, 3), "open")]
    (later,) = duties_of(story, law_for_rates(), [table], date(2028, 4, 1))
    tests = [(one.due, one.status) for one in _of(later, "periodic-inspection")]
    assert tests[1:3] == [(date(2027, 5, 3), "missed"), (date(2028, 12, 31), "done")]
    story = replace(story, events=(*story.events, Event(9, "leak-inspection", DAY0, complete=True)))
    late = Event(10, "leak-inspection", date(2027, 9, 2), complete=True)
    story = replace(story, events=(*story.events, late))
    (found,) = duties_of(story, law_for_rates(), [table], date(2027, 9, 2))
    second = _of(found, "periodic-inspection")[1]
    assert (second.due, second.status) == (date(2027, 9, 1), "done late")


def test_an_open_question_stands_on_every_duty() -> None:
    for binds in ("undecided", "unknown"):
        story = _story(*REPAIRED)
        binding = Binding("84", "", binds, "", "", "", "read")
        scope = (ScopeFrom(None, (binding,)),)
        found = _at(replace(story, history=replace(story.history, scope=scope)), DAY0)
        assert found.duties and all("does not bind" in duty.unless for duty in found.duties)
        assert "does not bind" in "".join(found.duties[0].working().notes)


def _evacuated(on: date, ticket: str, pounds: int) -> Removal:
    return Removal(70, 1, on, "", pounds * POUND, event=ticket)


def test_what_was_evacuated_for_mothballing_and_put_back_is_no_loss() -> None:
    """500 lb out on 11 June, 520 lb back on 1 September: 20 lb count; 20 days are left."""
    story = _adding(_story(("mothball", date(2026, 6, 11))), date(2026, 9, 1), 520)
    out = (_evacuated(date(2026, 6, 11), "T-1", 500),)
    found = _at(replace(story, history=replace(story.history, removals=out)), date(2026, 9, 1))
    assert found.rates[-1].counted == 20 * POUND
    (repair,) = _of(found, "repair")
    assert (repair.start, repair.due) == (date(2026, 9, 1), date(2026, 9, 21))


def test_a_recharge_that_has_its_own_recovery_stays_with_it() -> None:
    day = date(2026, 9, 1)
    story = _story(("mothball", date(2026, 6, 11)))
    back = Addition(90, 1, day, "", 520 * POUND, event="T-2")
    out = (
        _evacuated(date(2026, 6, 11), "T-1", 500),
        _evacuated(day, "T-2", 510)._replace(entry=71),
    )
    history = replace(story.history, removals=out, additions=(*story.history.additions, back))
    found = _at(replace(story, history=history), day)
    assert found.rates[-1].counted == 10 * POUND


def test_evacuated_and_charged_on_one_visit_no_day_stands_still() -> None:
    day = date(2026, 6, 11)
    story = _story(("mothball", day))
    back = Addition(90, 1, day, "", 500 * POUND, event="T-1")
    out = (_evacuated(day, "T-1", 500),)
    history = replace(story.history, removals=out, additions=(*story.history.additions, back))
    found = _at(replace(story, history=history), date(2026, 6, 12))
    (repair,) = _of(found, "repair")
    assert (repair.due, repair.status, _state(found)) == (date(2026, 7, 1), "open", "open")


def test_an_alert_is_answered_by_a_calculation_or_its_record() -> None:
    monitor = Event(40, "monitor", date(2026, 5, 1), required=True)
    alarm = Event(41, "alarm", date(2026, 6, 20))
    story = _story()
    large = replace(story.history, full_charges=(FullCharge(0, None, 1600 * POUND),))
    story = replace(story, history=large, events=(monitor, alarm))
    (answer,) = _of(_at(story, date(2026, 7, 21)), "alarm-response")
    assert (answer.due, answer.status) == (date(2026, 7, 20), "overdue")
    (answer,) = _of(_at(_adding(story, date(2026, 7, 20), 5), date(2026, 7, 21)), "alarm-response")
    assert (answer.status, answer.by) == ("done", "leak-rate")
    told = Event(42, "record", date(2026, 7, 1), ground="alarm-response")
    story = replace(story, events=(*story.events, told))
    (answer,) = _of(_at(story, date(2026, 7, 21)), "alarm-response")
    assert answer.status == "done"


def test_before_2011_california_says_no() -> None:
    circuit = subject({"refrigerant": "R-404A", "full_charge_lb": "300", "largest_lb": "300",
                       "category": "commercial refrigeration", "subsector": "retail food"},
                      "CA")  # fmt: skip
    for scope in ("", "facility"):
        (found,) = scope_of(circuit, date(2010, 12, 31), [load_pack(CALIFORNIA)], scope)
        assert (found.binds, found.limb) == ("no", "CA-before")
        (found,) = scope_of(circuit, date(2011, 1, 1), [load_pack(CALIFORNIA)], scope)
        assert found.binds == "yes"


def test_tests_made_after_the_plan_fell_due_are_shown_as_made_late() -> None:
    told = tuple((kind, on.replace(month=7)) for kind, on in REPAIRED)
    found = _at(_story(*told), date(2026, 7, 21))
    assert _state(found) == "plan due"
    assert {_of(found, name)[0].status for name in ("locate-leaks", "repair", "initial-test")} == {
        "done late"
    }
    assert _of(found, "follow-up-test")[0].status == "done"


CA = "us-california-rmp"


def _california(*told: tuple[str, date]) -> Story:
    story = _story(*told, subpart="RMP")
    return replace(story, history=replace(story.history, additions=()), installed=None)


def test_in_california_a_leak_found_after_the_repair_is_a_case_of_its_own() -> None:
    """14 days: 1 September and 14 are 15 September."""
    story = _california(
        ("detection", DAY0), ("repair", date(2026, 6, 10)), ("initial-test", date(2026, 6, 10)),
        ("follow-up-test", date(2026, 6, 20)), ("detection", date(2026, 9, 1)),
    )  # fmt: skip
    found = _at(story, date(2026, 9, 16), CA)
    repairs = [(one.due, one.status) for one in _of(found, "repair")]
    assert repairs == [(date(2026, 6, 15), "done"), (date(2026, 9, 15), "overdue")]


def test_in_california_a_leak_found_before_the_repair_joins() -> None:
    story = _california(("detection", DAY0), ("detection", date(2026, 6, 8)))
    (repair,) = _of(_at(story, date(2026, 6, 9), CA), "repair")
    assert repair.due == date(2026, 6, 15)


def test_an_inspection_on_the_day_of_the_exceedance_counts_for_its_quarter() -> None:
    story = replace(_story(("leak-inspection", DAY0), subpart="82"), installed=None)
    first = _of(_at(story, date(2026, 9, 2), FEDERAL_82F), "periodic-inspection")[0]
    assert (first.due, first.status, first.ended) == (date(2026, 9, 1), "done", DAY0)


def test_nothing_is_inspected_after_retirement() -> None:
    story = _story(*REPAIRED, ("retire", date(2026, 11, 1)))
    found = _of(_at(story, date(2027, 6, 1)), "periodic-inspection")
    assert [(one.due, one.status) for one in found] == [
        (date(2026, 9, 20), "missed"), (date(2026, 12, 20), "lapsed"),
    ]  # fmt: skip


def test_before_2019_a_leak_found_just_before_the_addition_starts_its_days() -> None:
    story = _story(("detection", date(2018, 5, 30)), subpart="82")
    early = Addition(1, 1, date(2018, 6, 1), "", 300 * POUND)
    story = replace(story, history=replace(story.history, additions=(early,)))
    (repair,) = _of(_at(story, date(2018, 6, 2), FEDERAL_82F), "repair")
    assert (repair.start, repair.due) == (date(2018, 5, 30), date(2018, 6, 29))


def test_an_unknown_full_charge_is_due_by_2026_or_on_installation() -> None:
    """40 CFR 84.106(l)(1): by 1 January 2026, on installation if later."""
    story = _story()
    unknown = replace(story.history, full_charges=(FullCharge(0, None, None),))
    for built, due, start in (
        (date(2020, 5, 4), date(2026, 1, 1), None),
        (date(2026, 3, 2), date(2026, 3, 2), date(2026, 3, 2)),
    ):
        told = replace(story, history=unknown, installed=built)
        (duty,) = _of(_at(told, date(2026, 3, 3)), "know-full-charge")
        assert (duty.due, duty.start, duty.status) == (due, start, "overdue")
    assert not _of(_at(story, date(2026, 3, 3)), "know-full-charge")


def test_a_seasonal_system_is_inspected_after_each_start() -> None:
    """California, 30 days: 1 April and 30 are 1 May."""
    story = _california(("start-up", date(2026, 4, 1)), ("leak-inspection", date(2026, 5, 2)))
    (duty,) = _of(_at(story, date(2026, 5, 2), CA), "start-up-inspection")
    assert (duty.due, duty.status) == (date(2026, 5, 1), "done late")


def test_a_detector_makes_a_date_to_come_depend_on_it() -> None:
    """40 CFR 84.106(g)(4): no inspection while a detector that is kept up watches it all.

    With the detector of 1 July the next inspection is owed unless it still watches on its date;
    on that date it falls away.
    """
    story = _story(*REPAIRED)
    monitor = Event(40, "monitor", date(2026, 7, 1))
    watched = replace(story, events=(*story.events, monitor))
    plain = _of(_at(story, date(2026, 8, 1)), "periodic-inspection")[0]
    duty = _of(_at(watched, date(2026, 8, 1)), "periodic-inspection")[0]
    assert plain.unless == ""
    assert duty.due == plain.due and duty.due is not None
    assert duty.unless == "the detector of 2026-07-01 still watches all of it on that day"
    assert _of(_at(watched, duty.due), "periodic-inspection")[0].status == "lapsed"


def test_the_report_on_a_year_is_told_when_the_line_is_reached() -> None:
    """40 CFR 82.157(j): 125 % or more in a calendar year is reported by 1 March of the next."""
    day = date(2026, 9, 1)
    under, over = (_adding(_story(), day, pounds) for pounds in (599, 600))  # with 150 on day 0
    assert _of(_at(under, day), "chronic-report") == []
    (report,) = _of(_at(over, day), "chronic-report")
    assert (report.due, report.status) == (date(2027, 3, 1), "open")
    assert report.inputs[-1].label == "of the full charge so far; that on 31 December decides"
