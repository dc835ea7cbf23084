"""Draws what a facility owes out of a rule pack, and the class each circuit would give it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date
from fractions import Fraction
from typing import Any

from ledger.answers.facility_law import FacilityLaw, FacilityTable, FieldList, Paper, Retention
from ledger.answers.leak_history import ScopeFrom
from ledger.answers.leak_law import Binding
from ledger.facts.calendar import plus_days
from ledger.facts.mass import KILOGRAM, POUND
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
        class_rules={
            row["limb"]: line
            for row in rows
            if row["binds"] == "yes"
            for line in drawing.refs(row.get("rule"))
        },
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


class Standings:
    """What circuits do to the class of their facility, pack by pack.

    Packs without a facility are left out. Circuits alike on every size line of the packs are
    looked at once. `known_at` gives the figures as this program had them on an earlier day.
    """

    def __init__(self, packs: Iterable[Pack], known_at: date | None = None) -> None:
        self.packs = [pack for pack in packs if facility_scope(pack)]
        self.known_at = known_at
        self.days = sorted({day for pack in self.packs for day in _scope_days(pack)})
        self.lines = _size_lines(self.packs)
        self._found: dict[tuple[Subject, date], tuple[Binding, ...]] = {}

    def through_time(self, series: Sequence[tuple[date | None, Subject]]) -> tuple[ScopeFrom, ...]:
        """What one circuit does, from date to date.

        `series` is in order of date, each Subject in force from its date on (None: from the
        beginning). A new member begins wherever the law or the circuit changes the finding; what
        was before the law is looked at as on its first day.
        """
        first = min(self.days, default=date.min)
        out: list[ScopeFrom] = []
        for place, (since, subject) in enumerate(series):
            until = series[place + 1][0] if place + 1 < len(series) else None
            for day in (since, *(day for day in self.days if day > (since or first))):
                if until is not None and day is not None and day >= until:
                    break
                found = self.on(subject, max(day or first, first))
                if not out or out[-1].bindings != found:
                    out.append(ScopeFrom(day, found))
        return tuple(out)

    def on(self, subject: Subject, day: date) -> tuple[Binding, ...]:
        """What a circuit does on one day, one Binding for each pack."""
        if self.lines is not None:
            subject = subject._replace(
                charge=_stand_in(subject.charge, self.lines),
                charge_high=_stand_in(subject.charge_high, self.lines),
            )
        key = (subject, day)
        if key not in self._found:
            self._found[key] = tuple(
                _binding(standing(subject, day, pack, self.known_at), pack) for pack in self.packs
            )
        return self._found[key]


def standings(
    series: Sequence[tuple[date | None, Subject]], packs: Iterable[Pack],
    known_at: date | None = None,
) -> tuple[ScopeFrom, ...]:  # fmt: skip
    """What one circuit does to the class of its facility through time (`Standings`)."""
    return Standings(packs, known_at).through_time(series)


_SIZED = ("rule", "size", "size_under", "gwp", "gwp_under", "refrigerant")


def _scope_rules(pack: Pack) -> set[str]:
    """The rules that the rows of a pack's scopes lean on, and its lists of GWP values."""
    scopes = pack.blocks.scopes.values()
    rows = [
        {**row.get("when", {}), "rule": row.get("rule", "")}
        for scope in scopes
        for row in scope["rows"]
    ]
    found = {str(row[key]) for row in rows for key in _SIZED if row.get(key)}
    return found | {scope["gwp_set"] for scope in scopes if "gwp_set" in scope}


def _scope_days(pack: Pack) -> set[date]:
    """Every day on which a finding of the pack's scopes may change."""
    days = set(pack.starts(_scope_rules(pack)))
    for scope in pack.blocks.scopes.values():
        for row in scope["rows"]:
            days.update({row["from"]} if "from" in row else ())
            days.update({plus_days(row["to"], 1)} if "to" in row else ())
    return days


def _size_lines(packs: Iterable[Pack]) -> list[int] | None:
    """Every size line of the packs in counts; None where one is no mass."""
    found: set[int] = set()
    for pack in packs:
        for name in _scope_rules(pack):
            for value in pack.rules[name].values:
                if value.unit.startswith("t CO2e"):
                    return None
                if value.unit.startswith(("lb", "kg")) and isinstance(value.value, int):
                    unit = POUND if value.unit.startswith("lb") else KILOGRAM
                    found.add(value.value * unit)
    return sorted(found)


def _stand_in(charge: int | Fraction | None, lines: list[int]) -> int | Fraction | None:
    """A charge on the same side of every size line, so that circuits alike are looked at once."""
    if charge is None or charge in lines:
        return charge
    return max((line + 1 for line in lines if line < charge), default=0)


def _binding(found: Finding, pack: Pack) -> Binding:
    return Binding(
        pack.subpart, pack.name, found.binds, found.limb, found.sentence, found.cite,
        found.evidence,
    )  # fmt: skip
