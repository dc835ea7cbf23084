"""The bindings of every pack through time agree with those the leak rates take, pack by pack."""

from __future__ import annotations

from datetime import date, timedelta
from fractions import Fraction

from hypothesis import given, settings
from hypothesis import strategies as st

from ledger.answers.leak_history import ScopeFrom
from ledger.answers.leak_law import Binding
from ledger.facts.mass import POUND
from ledger.law.loader import CALIFORNIA, FEDERAL_82F, FEDERAL_84C, load_pack
from ledger.law.scope import scope_over
from ledger.law.scope_series import Scopes
from ledger.law.subject import Subject
from tests.law.case_subjects import subject

FEDERAL = Scopes([load_pack(FEDERAL_82F), load_pack(FEDERAL_84C)])
FIRST = date(2016, 1, 1)

substances = st.sampled_from([
    (True, False, None), (False, True, Fraction(2088)), (True, True, Fraction(1500)),
    (False, False, Fraction(3)), (False, False, Fraction(53)), (False, False, Fraction(59)),
    (False, False, None), (None, None, None),
])  # fmt: skip
charges = st.one_of(
    st.none(), st.integers(1, 100).map(lambda lb: lb * POUND),
    st.sampled_from([15 * POUND, 15 * POUND - 1, 50 * POUND, 50 * POUND - 1]),
)  # fmt: skip
days = st.integers(0, 5000).map(lambda number: FIRST + timedelta(number))


@st.composite
def subjects(draw: st.DrawFn) -> Subject:
    """A circuit of any substance, size, category and decision."""
    ods, hfc, gwp = draw(substances)
    category = draw(st.sampled_from(["comfort cooling", "commercial refrigeration", ""]))
    rlc, decided = (draw(st.sampled_from(["yes", "no", "undecided"])) for _ in range(2))
    return Subject(ods, hfc, gwp, draw(charges), category, rlc, decided=decided)


@st.composite
def series(draw: st.DrawFn) -> list[tuple[date | None, Subject]]:
    """A circuit that changes on up to three days."""
    changes = sorted(draw(st.sets(days, max_size=3)))
    return [(day, draw(subjects())) for day in (None, *changes)]


def on(found: tuple[ScopeFrom, ...], day: date) -> tuple[Binding, ...]:
    return [one for one in found if one.since is None or one.since <= day][-1].bindings


@settings(max_examples=60, deadline=None)
@given(series(), st.lists(days, min_size=1, max_size=6))
def test_the_federal_packs_bind_as_the_leak_rates_have_it(
    told: list[tuple[date | None, Subject]], asked: list[date]
) -> None:
    ours, theirs = FEDERAL.over(told), scope_over(told)
    changes = [day for day, _ in told if day is not None]
    for day in (*asked, *changes, *(day - timedelta(1) for day in changes)):
        assert on(ours, day) == on(theirs, day)


def test_a_site_without_a_state_is_under_the_rules_of_none() -> None:
    """17 CCR 95381: the programme is of facilities in California; nowhere is not there."""
    scopes = Scopes([load_pack(CALIFORNIA)])
    rack = {"refrigerant": "R-448A", "full_charge_lb": "300", "subsector": "retail food",
            "category": "commercial refrigeration"}  # fmt: skip
    told = subject(rack, "")
    (nowhere,) = scopes.on(told, date(2026, 6, 1))
    (there,) = scopes.on(told._replace(state="CA"), date(2026, 6, 1))
    (elsewhere,) = scopes.on(told._replace(state="TX"), date(2026, 6, 1))
    assert [one.binds for one in (nowhere, there, elsewhere)] == ["no", "yes", "no"]
    assert nowhere.sentence == "The state of the site is not on record."
