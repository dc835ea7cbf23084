"""Draws what a facility owes out of a rule pack, and the class each circuit would give it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date
from typing import Any

from ledger.answers.facility_law import FacilityLaw, FacilityTable, FieldList, Paper, Retention
from ledger.answers.leak_history import ScopeFrom
from ledger.answers.leak_law import Binding
from ledger.law.blocks import Block
from ledger.law.for_duties import Drawing, law_days
from ledger.law.for_rates import value_text
from ledger.law.loader import Pack
from ledger.law.scope import Finding, scope_of
from ledger.law.subject import Subject

OF_FACILITY = "facility"
_CHOICE = "choice"


def facility_scope(pack: Pack) -> str:
    """The name of the scope of a pack that is of facilities; empty where it has none."""
    scopes = pack.blocks.scopes.items()
    return next((name for name, row in scopes if row.get("of") == OF_FACILITY), "")


def law_for_facilities(pack: Pack, known_at: date | None = None) -> FacilityTable:
    """The facility law of one pack by period; without a class where it knows no facilities.

    The readings of a book are put in place on the pack before; `known_at` gives the figures as
    this program had them on an earlier day.
    """
    days = law_days(pack)
    return FacilityTable(
        pack=pack.name,
        subpart=pack.subpart,
        starts=tuple(day.toordinal() for day in days),
        laws=tuple(_law(Drawing(pack, day, known_at)) for day in days),
    )


def _law(drawing: Drawing) -> FacilityLaw:
    pack, name = drawing.pack, facility_scope(drawing.pack)
    rows = pack.blocks.scopes[name]["rows"] if name else ()
    found = {rule: drawing.value(rule) for rule in pack.rules}
    return FacilityLaw(
        pack=pack.name,
        subpart=pack.subpart,
        classes=tuple(row["limb"] for row in rows if row["binds"] == "yes"),
        papers=tuple(
            _paper(drawing, key, block)
            for key, block in pack.blocks.on("papers", drawing.day)
            if name and block.get("scope") == name and "starts" in block
        ),
        retention=_retention(drawing),
        readings={k: str(v.value) for k, v in found.items() if v and v.unit == _CHOICE},
    )


def _paper(drawing: Drawing, name: str, row: Block) -> Paper:
    due, first = drawing.value(row.get("due", "")), drawing.value(row.get("first", ""))
    amount = drawing.value(row.get("amount", ""))
    rules = [row.get(key) for key in ("due", "length", "amount", "waiver")]
    return Paper(
        name=name,
        title=row["title"],
        duty=row["duty"],
        who=row["who"],
        cite=row["cite"],
        starts=row["starts"],
        ends=frozenset(row.get("ends", ())),
        limbs=frozenset(row.get("limbs", ())),
        day=drawing.date(row.get("due")),
        month_day=_month_day(due.value) if due else None,
        length=drawing.span(row.get("length")),
        first_year=int(str(first.value)) if first else 0,
        amount=value_text(amount) if amount else "",
        waived_by=frozenset({"fee-waiver"}) if "waiver" in row else frozenset(),
        items=tuple(row["items"]),
        fields=tuple(_fields(drawing, row.get("fields", ()))),
        rules=drawing.refs(*rules, *row.get("readings", ())),
        first_rules=drawing.refs(row.get("first")),
    )


def _month_day(value: Any) -> tuple[int, int] | None:
    """A date of each year written "03-01"."""
    if not isinstance(value, str):
        return None
    month, _, day = value.partition("-")
    return int(month), int(day)


def _fields(drawing: Drawing, names: Iterable[str]) -> Iterator[FieldList]:
    for name in names:
        found = drawing.value(name)
        if found is not None and isinstance(found.value, tuple):
            yield FieldList(found.value, *drawing.refs(name))


def _retention(drawing: Drawing) -> Retention | None:
    """How long the records of the pack's facilities are kept, counted from the record."""
    for _, row in drawing.pack.blocks.on("retention", drawing.day):
        years, value = drawing.span(row["years"]), drawing.value(row["years"])
        if row["starts"] == "record" and years is not None and value is not None:
            place = value.unit.partition(", ")[2]
            rules = drawing.refs(row["years"], *row.get("readings", ()))
            return Retention(row["title"], row["cite"], years, place, rules)
    return None


def standing(subject: Subject, on: date, pack: Pack, known_at: date | None = None) -> Finding:
    """What one circuit does to the class of its facility on a day.

    A circuit that the pack binds gives the class its own full charge would give; one that it
    does not bind gives none. Where either is open, `binds` is undecided or unknown and `limb`
    the largest class that may come of it.
    """
    (own,) = scope_of(subject, on, [pack], known_at=known_at)
    if own.binds == "no":
        return own
    name = facility_scope(pack)
    ends = (subject.charge, subject.charge if subject.charge_high is None else subject.charge_high)
    found = [scope_of(subject._replace(largest=end), on, [pack], name, known_at)[0] for end in ends]
    largest = found[1]
    if own.binds == "yes" and len({one.limb for one in found}) == 1:
        return largest
    if own.binds != "yes":
        return own._replace(limb=largest.limb)
    return largest._replace(binds="unknown", sentence="The full charge leaves its class open.")


def standings(
    series: Sequence[tuple[date | None, Subject]], packs: Iterable[Pack],
    known_at: date | None = None,
) -> tuple[ScopeFrom, ...]:  # fmt: skip
    """What a circuit does to the class of its facility through time, pack by pack.

    `series` is in order of date, each Subject in force from its date on (None: from the
    beginning). Packs without a facility are left out. A new member begins wherever the law or
    the circuit changes the finding; what was before the law is looked at as on its first day.
    """
    asked = [pack for pack in packs if facility_scope(pack)]
    law = sorted({day for pack in asked for day in _scope_days(pack)})
    first = min(law, default=date.min)
    out: list[ScopeFrom] = []
    for place, (since, subject) in enumerate(series):
        until = series[place + 1][0] if place + 1 < len(series) else None
        for day in (since, *(day for day in law if since is None or day > since)):
            if until is not None and day is not None and day >= until:
                break
            on = max(day or first, first)
            found = tuple(_binding(standing(subject, on, one, known_at), one) for one in asked)
            if not out or out[-1].bindings != found:
                out.append(ScopeFrom(day, found))
    return tuple(out)


def _scope_days(pack: Pack) -> set[date]:
    """Every day on which a finding of the pack's scopes may change."""
    days = set(law_days(pack))
    for scope in pack.blocks.scopes.values():
        days.update(row["from"] for row in scope["rows"] if "from" in row)
    return days


def _binding(found: Finding, pack: Pack) -> Binding:
    return Binding(
        pack.subpart, pack.name, found.binds, found.limb, found.sentence, found.cite,
        found.evidence,
    )  # fmt: skip
