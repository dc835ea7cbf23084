"""The tables of one circuit: what it is, what was done to it, its leak rates, their working."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

from ledger.facts.facts import fact_of
from ledger.facts.mass import Mass, Quantity, pounds
from ledger.facts.masters import full_charge_ends
from ledger.reports.definitions import load
from ledger.reports.rates_table import RATE_COLUMNS, rate_row, verdict_of
from ledger.reports.stock_tables import known_words
from ledger.reports.table import Table
from ledger.reports.words import counted, in_words, value_in_words

if TYPE_CHECKING:
    from ledger.answers.leak_result import Rate
    from ledger.book.cut import Cut
    from ledger.book.reader import Reader
    from ledger.facts.masters import Master

FIELDS_SHOWN = ("refrigerant", "category", "subsector", "installed", "retired", "small", "note")
UNIT_SHOWN = ("what", "model", "serial", "location", "site", "owner")


def circuit_tables(reader: Reader, cut: Cut, circuit: str) -> dict[str, Table]:
    """The four sheets of the circuit history, by sheet key.

    Lines that were reversed (as known at the cut) do not count and are not listed; the
    answer line says how many there are.
    """
    from ledger.answers.leak_rate import rates
    from ledger.book.reading import circuit_history_for
    from ledger.book.readings import overrides_of
    from ledger.law.for_rates import law_for_rates

    past = circuit_history_for(reader, cut, circuit)
    law = law_for_rates(overrides_of(reader, cut))
    found = rates(past, law) if past is not None else []
    columns = {sheet.key: sheet.columns for sheet in load("circuit-history").sheets}
    rows = history_rows(reader, cut, circuit)
    common: dict[str, Any] = {
        "as_of": cut.as_of,
        "known_at": known_words(cut),
        "head": reader.head(),
    }
    net = sum(row["net"] for row in rows if row["net"] is not None)
    lines = f"{counted(len(rows), 'line')} on record at {circuit}"
    return {
        "circuit": Table(circuit, columns["circuit"], _identity(reader, cut, circuit), **common),
        "history": Table(
            f"History of {circuit}",
            columns["history"],
            rows,
            answer=f"{lines}; net added {pounds(net)} lb.",
            **common,
        ),
        "rates": Table(
            f"Leak rates of {circuit}",
            RATE_COLUMNS,
            [rate_row(circuit, rate) for rate in found],
            answer=_last(circuit, found),
            **common,
        ),
        "working": Table(
            "Working", columns["working"], [_compared(rate) for rate in found], **common
        ),
    }


def _last(circuit: str, found: list[Rate]) -> str:
    if not found:
        return f"No addition is on record at {circuit}."
    rate = found[-1]
    return f"Last rate {rate.text()} a year on {rate.on.isoformat()} ({rate.method})."


def history_rows(reader: Reader, cut: Cut, circuit: str) -> list[dict[str, Any]]:
    """Every standing line of a circuit, oldest first."""
    from ledger.book.cut import Names
    from ledger.book.recorded import Masters

    names = Masters(reader, cut, Names(reader, cut)).written("circuit", circuit)
    rows = [row for name in names for row in _movements(reader, cut, name)]
    rows += [row for name in names for row in _services(reader, cut, name)]
    return sorted(rows, key=lambda row: (row["date"], row["entry"], row["line"]))


def _movements(reader: Reader, cut: Cut, name: str) -> list[dict[str, Any]]:
    sql = (
        "SELECT t.entry, t.line, t.occurred_on, t.person, t.ticket, t.source_kind, t.source_name,"
        " t.target_name, t.refrigerant, t.mass, t.written, t.purpose, t.claim, t.amount,"
        " t.evidence, t.although FROM movement t WHERE ((t.source_kind = 'circuit' AND"
        " t.source_name = :name) OR (t.target_kind = 'circuit' AND t.target_name = :name)) AND "
        + cut.counts("t")
    )
    rows = []
    for row in list(reader.rows(sql, cut.params(name=name))):
        (entry, line, day, person, ticket, source_kind, source, target, refrigerant, mass,
         written, purpose, claim, amount, evidence, although) = row  # fmt: skip
        leaves = source_kind == "circuit"
        before, after = _grosses(reader, entry, line)
        words = [purpose, claim, amount, refrigerant]
        rows.append({
            "entry": entry, "line": line, "date": day, "person": person, "ticket": ticket,
            "what": ", ".join(word for word in words if word),
            "cylinder": target if leaves else source, "gross_before": before,
            "gross_after": after, "net": -mass if leaves else mass,
            "written": Quantity(Mass(mass), written),
            "note": _remark(evidence, although),
        })  # fmt: skip
    return rows


def _remark(evidence: str, although: str) -> str:
    words = {"net": "net only, no gross weights", "stated": "as stated", "nominal": "by label",
             "stages": "weighed in stages"}  # fmt: skip
    parts = [words.get(evidence, "")]
    if although:
        parts.append(f"recorded although {although.replace(',', ', ')}")
    return "; ".join(part for part in parts if part)


def _grosses(reader: Reader, entry: int, line: int) -> tuple[int | None, int | None]:
    """First and last gross weight of a movement, where it was weighed."""
    sql = "SELECT w.gross FROM weighing w WHERE w.entry = :entry AND w.line = :line ORDER BY w.part"
    weights = [gross for (gross,) in reader.rows(sql, {"entry": entry, "line": line})]
    return (weights[0], weights[-1]) if len(weights) > 1 else (None, None)


def _services(reader: Reader, cut: Cut, name: str) -> list[dict[str, Any]]:
    sql = (
        "SELECT t.entry, t.line, t.occurred_on, t.body, j.person, j.body FROM service t"
        " JOIN journal j ON j.number = t.entry WHERE t.subject = :subject AND " + cut.counts("t")
    )
    rows = []
    for entry, line, day, body, person, whole in reader.rows(
        sql, cut.params(subject=f"circuit:{name}")
    ):
        rows.append({
            "entry": entry, "line": line, "date": day, "person": person,
            "ticket": json.loads(whole).get("ticket", ""),
            "what": in_words(fact_of(json.loads(body))), "cylinder": "", "gross_before": None,
            "gross_after": None, "net": None, "written": None, "note": "",
        })  # fmt: skip
    return rows


def _identity(reader: Reader, cut: Cut, circuit: str) -> list[dict[str, Any]]:
    from ledger.book.cut import Names
    from ledger.book.recorded import Masters

    masters = Masters(reader, cut, Names(reader, cut))
    master = masters.one("circuit", circuit)
    if master is None:
        return []
    unit = masters.one("unit", master.text("unit"))
    rows: list[dict[str, Any]] = [{"item": "circuit", "value": circuit}]
    if unit is not None:
        if unit.name != circuit:
            rows.append({"item": "unit", "value": unit.name})
        rows += _fields(reader, unit, UNIT_SHOWN)
        site = masters.one("site", unit.text("site"))
        if site is not None:
            rows += _fields(reader, site, ("address", "state", "method", "owner"))
    return rows + _fields(reader, master, FIELDS_SHOWN) + _charges(reader, master)


def _fields(reader: Reader, master: Master, names: tuple[str, ...]) -> list[dict[str, Any]]:
    return [
        {
            "item": f"{master.kind} {name}" if master.kind == "site" else name,
            "value": value_in_words(value.value),
            "date": value.since or None,
            "person": _person(reader, value.entry),
            "entry": value.entry,
        }
        for name in names
        for value in master.history.get(name, ())
    ]


def _person(reader: Reader, entry: int) -> str:
    found = reader.entry(entry)
    return (found.person or found.actor) if found else ""


def _charges(reader: Reader, master: Master) -> list[dict[str, Any]]:
    rows = []
    for value in master.history.get("full charge", ()):
        ends = full_charge_ends(value.value)
        rows.append({
            "item": "full charge", "value": value_in_words(value.value),
            "full_charge_lb": Mass((ends[0] + ends[1]) // 2) if ends else "unknown",
            "method": value.value.get("method", "") if isinstance(value.value, dict) else "",
            "date": value.since or None, "person": _person(reader, value.entry),
            "entry": value.entry,
        })  # fmt: skip
    return rows


def _compared(rate: Rate) -> dict[str, Any]:
    """The whole-number comparison behind one verdict."""
    row: dict[str, Any] = {"date": rate.on.isoformat(), "method": rate.method}
    pair = rate.ratio(rate.method)
    if pair is None or rate.trigger is None:
        return row | {"comparison": rate.text(), "verdict": verdict_of(rate)}
    left, right = 100 * pair[0], rate.trigger * pair[1]
    relation = "more than" if left > right else "equal to" if left == right else "less than"
    formula = (
        f"200 x pounds x {rate.terms.law.annual_days_cap} against trigger x 2 x full charge x days"
        if rate.method == "annualizing"
        else "200 x pounds against trigger x 2 x full charge"
    )
    return row | {
        "comparison": formula,
        "left": f"{left:,}",
        "relation": relation,
        "right": f"{right:,}",
        "verdict": verdict_of(rate),
        "rule": rate.terms.law.pack,
    }
