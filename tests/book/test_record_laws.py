"""Laws that hold for any run of commands: nothing below nothing, refused is undone, reversed too.

Each example runs in one unit of work that is rolled back, so that all of them start from the
same small shop.
"""

from __future__ import annotations

import os
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from ledger.book.journal import Book, Writer
from ledger.book.known import BookKnown
from ledger.book.record import Outcome, Recorder
from ledger.book.verify import verify
from ledger.facts.entry import Draft
from ledger.facts.facts import (
    Described,
    Evidence,
    Fact,
    Joined,
    Reversal,
    SameLeak,
    Setting,
    Weighing,
)
from ledger.facts.mass import POUND, Mass, Quantity
from ledger.facts.verbs import charge, place_cylinder, receive, recover, release, transfer

NET = Evidence("net")
CYLINDERS = ("D-1", "F-1", "F-2", "RC-1")
CIRCUITS = ("RTU-1", "RTU-2/A", "RTU-2/B")
NAMES = {
    "cylinder": (*CYLINDERS, "NEW-1"), "circuit": (*CIRCUITS, "NEW-2"), "unit": ("RTU-1", "RTU-2"),
    "party": ("Depot", "Harbor Foods"), "person": ("Dana Field", "Ann Hand"), "place": ("Truck",),
}  # fmt: skip
SHOP: tuple[Fact, ...] = (
    Described("party", "Depot", {"role": "supplier"}, new="yes"),
    Described("party", "Harbor Foods", {"role": "customer"}, new="yes"),
    Described("site", "Store", {"owner": "Harbor Foods", "zone": "America/Chicago"}, new="yes"),
    Described("site", "Hotel", {"owner": "Depot", "zone": "America/Chicago"}, new="yes"),
    Described("unit", "RTU-1", {"site": "Store"}, new="yes"),
    Described("unit", "RTU-2", {"site": "Hotel"}, new="yes"),
    Described("circuit", "RTU-1", {"unit": "RTU-1", "refrigerant": "R-410A"}, new="yes"),
    Described("circuit", "RTU-2/A", {"unit": "RTU-2", "refrigerant": "R-410A"}, new="yes"),
    Described("circuit", "RTU-2/B", {"unit": "RTU-2", "refrigerant": "R-22"}, new="yes"),
    Described("cylinder", "D-1", {"kind": "disposable", "refrigerant": "R-410A"}, new="yes"),
    Described("cylinder", "F-1", {"kind": "refillable", "refrigerant": "R-410A"}, new="yes"),
    Described("cylinder", "F-2", {"kind": "refillable"}, new="yes"),
    Described("cylinder", "RC-1", {"kind": "recovery"}, new="yes"),
    Described("place", "Truck", {"kind": "truck"}, new="yes"),
    Described("person", "Dana Field", {"certification": {"type": "Universal"}}, new="yes"),
    Described("person", "Ann Hand", {}, new="yes"),
)


@pytest.fixture
def shop(book: Book, clock: Any) -> Book:
    """A book with a small shop in it, as entry 2."""
    with book.writing() as writer:
        known = BookKnown(writer.connection, clock(), book.zone)
        recorder = Recorder(writer, known, clock())
        recorder.must_record(Draft("shop", "shop", "2026-01-01", SHOP))
    return book


def lb(pounds: int) -> Quantity:
    return Quantity(Mass(pounds * POUND), f"{pounds} lb")


AMOUNT = st.integers(0, 12).map(lb)
CYLINDER = st.sampled_from((*CYLINDERS, *CYLINDERS, "NEW-1", "f-1"))
CIRCUIT = st.sampled_from((*CIRCUITS, *CIRCUITS, "RTU-2", "NEW-2", "rtu-1"))
REFRIGERANT = st.sampled_from(("R-410A", "R-410A", "R-22"))
FACTS = st.one_of(
    st.builds(receive, CYLINDER, st.just("Depot"), REFRIGERANT, AMOUNT, st.just(NET)),
    st.builds(receive, CYLINDER, st.just("Depot"), REFRIGERANT, AMOUNT, st.just(NET)),
    st.builds(charge, CIRCUIT, CYLINDER, REFRIGERANT, AMOUNT, st.just(NET)),
    st.builds(recover, CIRCUIT, CYLINDER, REFRIGERANT, AMOUNT, st.just(NET)),
    st.builds(transfer, CYLINDER, CYLINDER, REFRIGERANT, AMOUNT, st.just(NET)),
    st.builds(
        release, CYLINDER.map(lambda n: f"cylinder:{n}"), REFRIGERANT, AMOUNT, st.just(NET),
        st.just("hose"),
    ),
    st.builds(place_cylinder, CYLINDER, st.sampled_from(("Truck", "Store", "Moon")),
              st.just("2026-02-01")),
    st.builds(lambda n, w: [Weighing(n, w)], CYLINDER, AMOUNT),
    st.builds(lambda n, e, lines: [Reversal(e, lines, n)], st.sampled_from(("", "slip")),
              st.integers(2, 12), st.sampled_from(((0,), (0, 1), (1,), (9,)))),
    st.builds(lambda c, e: [SameLeak(c, e)], CIRCUIT, st.just((3, 4))),
    st.builds(lambda v: [Setting("alias", "cylinder:tank 4", v)], CYLINDER),
    st.builds(lambda s, n: [Described("cylinder", n, {"state": s}, since="2026-02-02")],
              st.sampled_from(("quarantined", "scrapped", "lost", "in service")), CYLINDER),
    st.builds(lambda n: [Described("circuit", n, {"unit": "RTU-2"}, new="yes")],
              st.sampled_from(("RTU-2/C", "RTU-2/A", "X/A"))),
)  # fmt: skip
JOINS = st.builds(lambda a, b: [Joined("cylinder", a, b)], CYLINDER, CYLINDER)
SEVERAL = st.one_of(FACTS, FACTS, st.builds(lambda one, two: [*one, *two], FACTS, FACTS))
DRAFTS = st.builds(
    lambda facts, day, person, time: Draft(
        "", "try", f"2026-02-{day:02d}", tuple(facts), person, time
    ),
    st.one_of(SEVERAL, SEVERAL, SEVERAL, JOINS),
    st.integers(1, 28),
    st.sampled_from(("", "Dana Field", "Ann Hand", "No One")),
    st.sampled_from(("", "", "09:00")),
)
"""Entries as they may be asked for: most can be, some cannot; they come in no order of days."""
RUNS = st.lists(st.tuples(DRAFTS, st.booleans(), st.booleans()), min_size=1, max_size=7)
COMMON = settings(
    max_examples=60 if os.environ.get("TAREBOOK_SOAK") else 12,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)


def all_known(known: BookKnown) -> dict[str, Any]:
    """Everything that checks may ask about the shop, as plain values."""
    told: dict[str, Any] = {}
    for kind, names in NAMES.items():
        for name in names:
            told[f"{kind} {name}"] = repr(known.master(kind, name))
    for name in NAMES["cylinder"]:
        contents = known.contents(name)
        told[f"in {name}"] = (list(contents.lines), contents.latest)
    for unit in ("RTU-1", "RTU-2", "X"):
        told[f"circuits of {unit}"] = list(known.circuits_of(unit))
    told["near"] = [known.near("cylinder", "D-1x"), known.near("circuit", "RTU-2/x")]
    told["alias"] = repr(known.master("cylinder", "tank 4"))
    return told


def recorder_of(shop: Book, writer: Writer, clock: Any) -> Recorder:
    return Recorder(writer, BookKnown(writer.connection, clock(), shop.zone), clock())


def run(recorder: Recorder, number: int, step: tuple[Draft, bool, bool]) -> Outcome:
    """Record one draft of a run, with a reason and with provisional names where it has them."""
    draft, reason, provisional = step
    recorder.because = "it happened" if reason else ""
    recorder.provisional = provisional
    return recorder.record(replace(draft, key=f"run-{number}"))


@COMMON
@given(steps=RUNS)
def test_a_refused_draft_leaves_what_is_known_as_it_was(
    shop: Book, clock: Any, steps: list[tuple[Draft, bool, bool]]
) -> None:
    with shop.writing() as writer:
        recorder = recorder_of(shop, writer, clock)
        for number, step in enumerate(steps):
            before, head = all_known(recorder.known), writer.head()
            outcome = run(recorder, number, step)
            if outcome.problems:
                assert outcome.entry is None and writer.head() == head
                assert all_known(recorder.known) == before
        writer.rollback()


@COMMON
@given(steps=RUNS)
def test_what_was_taken_in_is_what_the_book_gives_back(
    shop: Book, clock: Any, steps: list[tuple[Draft, bool, bool]]
) -> None:
    with shop.writing() as writer:
        recorder = recorder_of(shop, writer, clock)
        for number, step in enumerate(steps):
            run(recorder, number, step)
        kept = all_known(recorder.known)
        writer.flush()
        assert all_known(BookKnown(writer.connection, clock(), shop.zone)) == kept
        writer.rollback()


@COMMON
@given(steps=RUNS)
def test_no_cylinder_is_ever_below_nothing(
    shop: Book, clock: Any, steps: list[tuple[Draft, bool, bool]]
) -> None:
    with shop.writing() as writer:
        recorder = recorder_of(shop, writer, clock)
        for number, step in enumerate(steps):
            run(recorder, number, step)
        writer.flush()
        fresh = BookKnown(writer.connection, clock(), shop.zone)
        for name in CYLINDERS:
            master = fresh.master("cylinder", name)
            if master is not None and not master.provisional:
                assert fresh.contents(master.name).lowest_without(set()) >= 0
        writer.rollback()


@COMMON
@given(steps=RUNS, last=DRAFTS, reason=st.booleans())
def test_a_reversal_restores_what_was_known(
    shop: Book, clock: Any, steps: list[tuple[Draft, bool, bool]], last: Draft, reason: bool
) -> None:
    with shop.writing() as writer:
        recorder = recorder_of(shop, writer, clock)
        for number, step in enumerate(steps):
            run(recorder, number, step)
        before = all_known(recorder.known)
        outcome = run(recorder, 99, (last, reason, False))
        if outcome.entry is not None and not any(
            isinstance(fact, Reversal) for fact in outcome.draft.facts
        ):
            lines = tuple(range(len(outcome.draft.facts)))
            back = Draft("back", "reverse", "2026-03-01",
                         (Reversal(outcome.entry.number, lines, "not so"),))  # fmt: skip
            recorder.because = ""
            assert recorder.record(back).problems == []
            assert all_known(recorder.known) == before
        writer.rollback()


def test_a_run_that_is_kept_verifies(shop: Book, clock: Any) -> None:
    drafts = (
        receive("D-1", "Depot", "R-410A", lb(10), NET),
        charge("RTU-1", "D-1", "R-410A", lb(4), NET),
        recover("RTU-2/B", "RC-1", "R-22", lb(3), NET),
        recover("RTU-1", "RC-1", "R-410A", lb(3), NET),
        [Reversal(4, (0,), "wrong unit"), *charge("RTU-2/A", "D-1", "R-410A", lb(4), NET)],
    )
    with shop.writing() as writer:
        recorder = recorder_of(shop, writer, clock)
        for number, facts in enumerate(drafts):
            step = (Draft("", "try", "2026-02-03", tuple(facts)), True, False)
            assert run(recorder, number, step).problems == []
    assert verify(shop) == []
