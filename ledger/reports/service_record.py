"""What an owner is given when the work is done: the service record of a day at one circuit.

The fields are those of 40 CFR 82.157(l)(2) and 84.106(l)(2): identity and location, date, parts
and work for each, the person, refrigerant added or removed, full charge, leak rate and method.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any, NamedTuple

from ledger.facts.facts import Attempt, Fact, Movement, Repair, ServiceEvent, Test
from ledger.facts.mass import pounds
from ledger.facts.visit import AFTER, BEFORE, READINGS, Visit
from ledger.reports.definitions import load
from ledger.reports.stock_tables import known_words
from ledger.reports.table import Table
from ledger.reports.visit_words import consent
from ledger.reports.words import in_words, value_in_words

if TYPE_CHECKING:
    from ledger.book.cut import Cut
    from ledger.book.reader import Reader
    from ledger.facts.entry import Entry

BY_HAND = "________________"
"""Where the book holds nothing and the paper asks for it."""
REPORT = "service-record"


class Line(NamedTuple):
    """One fact of the day that stands, with its entry."""

    entry: Entry
    fact: Fact


def lines_of(reader: Reader, cut: Cut, circuit: str, day: str, ticket: str = "") -> list[Line]:
    """Everything that stands of one circuit on one day, in order of entry."""
    sql = (
        "SELECT t.entry, t.line FROM movement t WHERE t.occurred_on = :day AND"
        " ((t.source_kind = 'circuit' AND t.source_name = :name) OR"
        f" (t.target_kind = 'circuit' AND t.target_name = :name)) AND {cut.counts('t')}"
        " UNION SELECT s.entry, s.line FROM service s WHERE s.occurred_on = :day"
        f" AND s.subject = :subject AND {cut.counts('s')} ORDER BY 1, 2"
    )
    names = {"day": day, "name": circuit, "subject": f"circuit:{circuit}"}
    found = []
    for number, line in list(reader.rows(sql, cut.params(**names))):
        entry = reader.entry(number)
        if entry is not None and ticket in ("", entry.content().get("ticket", "")):
            found.append(Line(entry, entry.facts()[line]))
    return found


def last_day(reader: Reader, cut: Cut, circuit: str) -> str:
    """The last day anything was done at a circuit; empty where nothing was."""
    sql = (
        "SELECT MAX(d) FROM (SELECT MAX(t.occurred_on) AS d FROM movement t WHERE"
        " ((t.source_kind = 'circuit' AND t.source_name = :name) OR"
        f" (t.target_kind = 'circuit' AND t.target_name = :name)) AND {cut.counts('t')}"
        " UNION ALL SELECT MAX(s.occurred_on) FROM service s WHERE s.subject = :subject"
        f" AND {cut.counts('s')}) AS found"
    )
    for (day,) in reader.rows(sql, cut.params(name=circuit, subject=f"circuit:{circuit}")):
        return day or ""
    return ""


def service_tables(
    reader: Reader, cut: Cut, circuit: str, day: str, lines: Sequence[Line], shop: str
) -> dict[str, Table]:
    """The sheets of the record, by sheet key."""
    columns = {sheet.key: sheet.columns for sheet in load(REPORT).sheets}
    visits = [line.fact for line in lines if isinstance(line.fact, Visit)]
    common: dict[str, Any] = {
        "as_of": day, "known_at": known_words(cut), "head": reader.head(),
    }  # fmt: skip
    title = f"Service record of {circuit}, {day}"
    rows = [
        {"item": item, "value": value}
        for item, value in _record(reader, cut, circuit, day, lines, shop)
    ]
    return {
        "record": Table(title, columns["record"], rows, **common),
        "pounds": Table(title, columns["pounds"], list(_pounds(circuit, lines)), **common),
        "work": Table(title, columns["work"], list(_work(lines)), **common),
        "readings": Table(title, columns["readings"], list(_readings(visits)), **common),
    }


def _record(
    reader: Reader, cut: Cut, circuit: str, day: str, lines: Sequence[Line], shop: str
) -> Iterator[tuple[str, str]]:
    """The fields of the record that are no pounds, in the order of the rule."""
    from ledger.book.reading import masters_at

    masters = masters_at(reader, cut)
    master = masters.one("circuit", circuit)
    unit = masters.one("unit", master.text("unit")) if master else None
    site = masters.one("site", unit.text("site", day)) if unit else None
    owner = (unit.text("owner", day) if unit else "") or (site.text("owner", day) if site else "")
    visits = [line.fact for line in lines if isinstance(line.fact, Visit)]
    people = [line.entry.person for line in lines if line.entry.person]
    people += [name for visit in visits for name in visit.also]
    tickets = [line.entry.content().get("ticket", "") for line in lines]
    yield "Contractor", shop
    yield "Owner or operator", owner or BY_HAND
    yield "Site", site.name if site else BY_HAND
    yield "Address", (site.text("address") if site else "") or BY_HAND
    yield "Appliance", circuit
    if unit is not None:
        parts = [unit.text(name) for name in ("what", "model", "serial", "location")]
        if any(parts):
            yield "What it is", ", ".join(part for part in parts if part)
    yield "Date", day
    for visit in visits:
        if visit.arrived or visit.departed:
            yield "Arrived, departed", f"{visit.arrived or BY_HAND}, {visit.departed or BY_HAND}"
    yield "Person", ", ".join(dict.fromkeys(people)) or BY_HAND
    if any(tickets):
        yield "Ticket", ", ".join(dict.fromkeys(filter(None, tickets)))
    for visit in visits:
        for item, value in (("Complaint", visit.complaint), ("Agreed", consent(visit)),
                            ("Outcome", visit.outcome),
                            ("Declined by", visit.declined_by)):  # fmt: skip
            if value:
                yield item, value
    refrigerant = master.text("refrigerant", day) if master else ""
    yield "Refrigerant", refrigerant or BY_HAND
    charge = master.at("full charge", day) if master else None
    yield "Full charge", value_in_words(charge) if isinstance(charge, dict) else "unknown"
    yield from _rates(reader, cut, circuit, day)
    yield from _inspections(lines)
    for visit in visits:
        yield "Signed for the customer", visit.signed_by or BY_HAND


def _rates(reader: Reader, cut: Cut, circuit: str, day: str) -> Iterator[tuple[str, str]]:
    """The leak rate of the day and its method, under each subpart that asks for it."""
    from ledger.answers.leak_rate import rates
    from ledger.book.reading import circuit_history_for
    from ledger.book.readings import overrides_of
    from ledger.law.for_rates import law_for_rates

    past = circuit_history_for(reader, cut, circuit)
    found = rates(past, law_for_rates(overrides_of(reader, cut))) if past is not None else []
    for rate in found:
        if rate.on.isoformat() == day:
            part = f", 40 CFR part {rate.subpart}" if rate.subpart else ""
            yield "Leak rate", f"{rate.text()} a year ({rate.method}{part})"


def _inspections(lines: Sequence[Line]) -> Iterator[tuple[str, str]]:
    """Inspections and tests, as the owner is given them at the end of the work."""
    for line in lines:
        fact = line.fact
        if isinstance(fact, ServiceEvent) and fact.what == "leak inspection":
            found = ", ".join(fact.places) or fact.ground or "places of leaks not recorded"
            whole = (
                "all visible and accessible parts inspected"
                if fact.complete
                else ("not said that all visible and accessible parts were inspected")
            )
            yield "Leak inspection", "; ".join(p for p in (fact.how, found, whole) if p)
        elif isinstance(fact, Test):
            where = ", ".join(fact.places) or f"{fact.leaks} leaks"
            told = f"{fact.which}, {fact.result}; {where}"
            yield "Verification test", f"{told}; {fact.method}" if fact.method else told


def _pounds(circuit: str, lines: Sequence[Line]) -> Iterator[dict[str, Any]]:
    """The movements of the day with their weights."""
    for line in lines:
        fact = line.fact
        if isinstance(fact, Attempt):
            yield {"what": "recovery tried", "refrigerant": fact.refrigerant or None,
                   "cylinder": fact.cylinder or None, "net": 0,
                   "entry": line.entry.number}  # fmt: skip
        if not isinstance(fact, Movement):
            continue
        added = fact.target == f"circuit:{circuit}"
        other = (fact.source if added else fact.target).partition(":")
        weights = _weights(fact)
        yield {
            "what": fact.purpose, "refrigerant": fact.refrigerant,
            "cylinder": other[2] if other[0] == "cylinder" else other[2] or other[0],
            "gross_before": weights[0], "gross_after": weights[1],
            "net": fact.mass.mass if added else -fact.mass.mass,
            "written": fact.mass, "scale": fact.evidence.scale or None if fact.evidence else None,
            "entry": line.entry.number,
        }  # fmt: skip


def _weights(fact: Movement) -> tuple[int | None, int | None]:
    how = fact.evidence
    if how is None:
        return None, None
    if how.before is not None and how.after is not None:
        return how.before.mass, how.after.mass
    if len(how.readings) > 1:
        return how.readings[0].mass, how.readings[-1].mass
    return None, None


def _work(lines: Sequence[Line]) -> Iterator[dict[str, Any]]:
    """The parts worked on, with the type of work for each."""
    for line in lines:
        fact = line.fact
        told: list[tuple[str, str]] = []
        if isinstance(fact, Visit):
            told = list(fact.work)
        elif isinstance(fact, Repair):
            where = ", ".join(fact.places) or fact.location or "place not recorded"
            told = [(where, f"leak repair: {fact.how}" if fact.how else "leak repair")]
        elif isinstance(fact, ServiceEvent) and fact.what not in ("leak inspection", "leak found"):
            told = [("appliance", in_words(fact))]
        for part, done in told:
            yield {"part": part, "done": done, "entry": line.entry.number}


def _readings(visits: Sequence[Fact]) -> Iterator[dict[str, Any]]:
    """Each reading before and after, side by side."""
    for visit in visits:
        assert isinstance(visit, Visit)
        for name, (_, what) in READINGS.items():
            both = {when: visit.reading(when, name) for when in (BEFORE, AFTER)}
            if any(both.values()):
                yield {"reading": what, **{when: value or None for when, value in both.items()}}


def statement_lines(
    circuit: str, day: str, lines: Sequence[Line], tables: dict[str, Table]
) -> Iterator[str]:
    """The refrigerant statement for the person who lives there: one plain page."""
    yield f"Refrigerant statement: {circuit}, {day}"
    yield ""
    for row in tables["record"].rows:
        if row["item"] in ("Contractor", "Site", "Address", "Person", "Ticket", "Complaint",
                           "Agreed", "Refrigerant", "Full charge"):  # fmt: skip
            yield f"{row['item']}: {row['value']}"
    yield ""
    net = 0
    for line in lines:
        fact = line.fact
        if isinstance(fact, Movement):
            added = fact.target == f"circuit:{circuit}"
            net += fact.mass.mass if added else -fact.mass.mass
            yield _weighed_line(fact, added)
        elif isinstance(fact, Attempt):
            yield "Recovery was tried and nothing came out."
    yield f"Net into your system: {pounds(net)} lb."
    yield ""
    for row in tables["readings"].rows:
        both = ", ".join(f"{when} {row[when] or 'not taken'}" for when in (BEFORE, AFTER))
        yield f"{row['reading']}: {both}"
    found = [row for row in tables["record"].rows
             if row["item"] in ("Leak inspection", "Verification test", "Outcome")]  # fmt: skip
    yield from (f"{row['item']}: {row['value']}" for row in found)
    yield from (f"{row['part']}: {row['done']}" for row in tables["work"].rows)


def _weighed_line(fact: Movement, added: bool) -> str:
    what = "Put in" if added else "Taken out"
    before, after = _weights(fact)
    scale = f" on scale {fact.evidence.scale}" if fact.evidence and fact.evidence.scale else ""
    weighed = (
        f"; cylinder {pounds(before)} lb before, {pounds(after)} lb after{scale}"
        if before is not None and after is not None
        else "; the cylinder was not weighed before and after"
    )
    return f"{what}: {pounds(fact.mass.mass)} lb {fact.refrigerant}{weighed}."
