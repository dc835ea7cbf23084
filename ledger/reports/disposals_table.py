"""The disposal log as tables: monthly totals, the recoveries behind them, what stands apart."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING, Any, NamedTuple

from ledger.answers.disposals import (
    LARGE,
    NO_CHARGE,
    SEASONAL,
    SMALL,
    Disposals,
    Limits,
    MonthTotal,
    Recovery,
    disposals,
)
from ledger.facts.mass import NOTHING, POUND, Mass, Quantity, pounds
from ledger.facts.masters import UNKNOWN, full_charge_ends
from ledger.reports.stock_tables import columns_of, common
from ledger.reports.table import Table
from ledger.reports.words import counted

if TYPE_CHECKING:
    from ledger.answers.working import Working
    from ledger.book.cut import Cut
    from ledger.book.reader import Reader
    from ledger.book.recorded import Masters

REPORT = "disposal-log"
WHY_APART = {
    SMALL: "5 lb or less, or a small appliance",
    LARGE: "50 lb or more",
    SEASONAL: "seasonal, goes back into the appliance",
}
"""Why a recovery is in no monthly total."""
_GOES_TO = ("reclaimer", "destruction facility")


class OpenRow(NamedTuple):
    """A row of a sheet that is in no total: a question nobody answered, or one to be mended."""

    file: str
    sheet: str
    row: int
    outcome: str
    asked: str
    said: str


def log_limits(on: date) -> Limits:
    """The full charges between which an appliance belongs in the log, as the law has them."""
    from ledger.law.for_rates import rule_ref
    from ledger.law.loader import FEDERAL_82F, load_pack

    pack = load_pack(FEDERAL_82F)
    found = [pack.value(name, on) for name in ("disposal-log-over", "disposal-log-up-to")]
    over, under = (one for one in found if one is not None)
    return Limits(
        int(over.value) * POUND, int(under.value) * POUND,  # type: ignore[arg-type]
        (rule_ref(pack, over), rule_ref(pack, under)),
    )  # fmt: skip


def disposal_tables(
    reader: Reader, cut: Cut, months: tuple[str, ...], today: date, refrigerant: str = "",
    open_rows: Sequence[OpenRow] = (),
) -> tuple[dict[str, Table], Callable[[], list[Working]]]:  # fmt: skip
    """The sheets of the disposal log by key, and a callable that builds the workings of its totals.

    `months` are calendar months ("2025-06") or years ("2025"), none for all; `today` chooses
    the text of the law; `open_rows` are listed beside the totals.
    """
    taken = [
        one for one in recoveries(reader, cut) if not refrigerant or one.refrigerant == refrigerant
    ]
    found = disposals(taken, log_limits(today), months)
    stamp = common(reader, cut)
    sheets = {
        "months": ([_month(one) for one in found.totals], _answer(found, months, open_rows)),
        "recoveries": (_log(reader, found), _from(found)),
        "apart": ([_apart(why, one) for why, one in found.apart], _beside(found)),
        "transfers": (list(_transfers(reader, cut, months, refrigerant)), ""),
        "open": ([one._asdict() for one in open_rows], _still_open(open_rows)),
    }
    tables = {
        key: Table(_TITLES[key], columns_of(REPORT, key), rows, answer=answer, **stamp)
        for key, (rows, answer) in sheets.items()
    }
    tables["months"] = replace(tables["months"], notes=list(_notes(found, open_rows)))
    return tables, lambda: [one.working() for one in found.totals]


_TITLES = {
    "months": "Monthly totals", "recoveries": "Recoveries", "apart": "Apart from the log",
    "transfers": "Transfers", "open": "Open rows",
}  # fmt: skip


# -- from the book ----------------------------------------------------------------------------


def recoveries(reader: Reader, cut: Cut) -> Iterator[Recovery]:
    """Every recovery and every attempt that counts at a cut, with what its appliance was."""
    from ledger.book.cut import Names
    from ledger.book.recorded import Masters

    masters = Masters(reader, cut, Names(reader, cut))
    moved = list(reader.rows(
        "SELECT m.entry, m.line, m.occurred_on, m.source_kind, m.source_name, m.target_kind,"
        " m.target_name, m.refrigerant, m.mass, m.written, m.person, m.claim FROM movement m"
        f" WHERE m.purpose = 'recovery' AND {cut.counts('m')} ORDER BY m.entry, m.line",
        cut.params(),
    ))  # fmt: skip
    for entry, line, day, kind, name, into_kind, into, gas, mass, written, person, claim in moved:
        appliance = masters.names.kept("circuit", name) if kind == "circuit" else ""
        cylinder = masters.names.kept("cylinder", into) if into_kind == "cylinder" else ""
        amount = Quantity(Mass(mass), written)
        yield _recovery(masters, entry, line, day, appliance, gas, amount, cylinder, person, claim)
    yield from _attempts(reader, cut, masters)


def _attempts(reader: Reader, cut: Cut, masters: Masters) -> Iterator[Recovery]:
    rows = list(reader.rows(
        "SELECT s.entry, s.line, s.occurred_on, s.body, j.person FROM service s"
        " JOIN journal j ON j.number = s.entry"
        f" WHERE s.type = 'attempt' AND {cut.counts('s')} ORDER BY s.entry, s.line",
        cut.params(),
    ))  # fmt: skip
    for entry, line, day, text, person in rows:
        body = json.loads(text)
        name, gas = masters.names.kept("circuit", body["circuit"]), body.get("refrigerant", "")
        nothing = Quantity(NOTHING, "0 lb")
        yield _recovery(
            masters, entry, line, day, name, gas, nothing, body.get("cylinder", ""), person, ""
        )


def _recovery(
    masters: Masters, entry: int, line: int, day: str, appliance: str, refrigerant: str,
    amount: Quantity, cylinder: str, person: str, claim: str,
) -> Recovery:  # fmt: skip
    circuit = masters.one("circuit", appliance) if appliance else None
    unit = masters.one("unit", circuit.text("unit")) if circuit else None
    at = (unit.text("site", day) or unit.text("site")) if unit else ""
    site = masters.one("site", at) if at else None
    told = circuit.at("full charge", day) or circuit.now("full charge") if circuit else None
    ends = full_charge_ends(told)
    if not refrigerant and circuit:
        refrigerant = circuit.text("refrigerant", day)
    return Recovery(
        entry, line, day, appliance, (site.text("address") or site.name) if site else "",
        refrigerant or UNKNOWN, amount, cylinder, person,
        (int(ends[0]), int(ends[1])) if ends else None,
        bool(circuit and circuit.text("small") == "yes"), claim,
    )  # fmt: skip


def _transfers(
    reader: Reader, cut: Cut, months: tuple[str, ...], refrigerant: str
) -> Iterator[dict[str, Any]]:
    """What was shipped to be reclaimed or destroyed."""
    from ledger.book.cut import Names
    from ledger.book.recorded import Masters

    masters = Masters(reader, cut, Names(reader, cut))
    rows = list(reader.rows(
        "SELECT m.entry, m.occurred_on, m.source_name, m.target_name, m.refrigerant, m.mass,"
        f" m.ticket FROM movement m WHERE m.purpose = 'shipment' AND {cut.counts('m')}"
        " ORDER BY m.occurred_on, m.entry, m.line",
        cut.params(),
    ))  # fmt: skip
    for entry, day, cylinder, party, gas, mass, ticket in rows:
        to = masters.one("party", party)
        role = to.text("role") if to else ""
        if (months and not day.startswith(months)) or (refrigerant and gas != refrigerant):
            continue
        yield {
            "date": day, "entry": entry, "to": masters.names.kept("party", party),
            "purpose": role if role in _GOES_TO else "", "refrigerant": gas,
            "transferred": Mass(mass), "manifest": ticket,
            "cylinder": masters.names.kept("cylinder", cylinder),
        }  # fmt: skip


# -- rows and sentences -----------------------------------------------------------------------


def _month(one: MonthTotal) -> dict[str, Any]:
    return {
        "year": int(one.month[:4]), "month": int(one.month[5:]), "refrigerant": one.refrigerant,
        "appliances": one.appliances, "recovered": Mass(one.mass),
        "unplaced": Mass(one.without("no location")), "uncharged": Mass(one.without(NO_CHARGE)),
    }  # fmt: skip


def _log(reader: Reader, found: Disposals) -> list[dict[str, Any]]:
    from ledger.book.inside import latest_settings

    company = latest_settings(reader.connection).get("name", "")
    limits = found.totals[0].limits if found.totals else None
    return [
        {
            **_line(one), "company": company, "year": int(one.day[:4]),
            "month": int(one.day[5:7]), "gaps": ", ".join(one.gaps(limits)) if limits else "",
        }
        for one in found.recoveries()
    ]  # fmt: skip


def _apart(why: str, one: Recovery) -> dict[str, Any]:
    return {**_line(one), "why": WHY_APART[why]}


def _line(one: Recovery) -> dict[str, Any]:
    return {
        "date": one.day, "entry": one.entry, "location": one.location or None,
        "appliance": one.appliance or None, "refrigerant": one.refrigerant,
        "recovered": one.recovered.mass, "written": one.recovered,
        "cylinder": one.cylinder or None, "person": one.person or None,
    }  # fmt: skip


def _notes(found: Disposals, open_rows: Sequence[OpenRow]) -> Iterator[str]:
    """What the totals lack, what stands apart from them and what is still open."""
    for total in found.totals:
        for gap, mass in _lacking(total).items():
            gas = _named(total.refrigerant)
            yield f"{total.month}: {pounds(mass)} lb of the {gas} total: {gap}."
    beside: Counter[tuple[str, str]] = Counter()
    for why, one in found.apart:
        beside[WHY_APART[why], one.refrigerant] += one.recovered.mass
    for (why, gas), mass in sorted(beside.items()):
        yield f"Apart, in no total: {pounds(mass)} lb {_named(gas)} ({why})."
    for row in open_rows:
        where = " ".join(part for part in (row.file, row.sheet, f"row {row.row}") if part)
        yield f"Open, in no total: {where} ({row.outcome}): {row.said}."
    yield (
        "Appliances with a full charge over 5 and under 50 lb, 40 CFR 82.156(a)(3) (from a summary,"
        " text not read); every recovery counts that was not declared seasonal."
    )


def _lacking(total: MonthTotal) -> dict[str, int]:
    """The pounds of a total that lack something, by what they lack."""
    gaps = dict.fromkeys(gap for one in total.recoveries for gap in one.gaps(total.limits))
    found = {gap: total.without(gap) for gap in gaps}
    return {gap: mass for gap, mass in found.items() if mass}


def _named(refrigerant: str) -> str:
    return "refrigerant unknown" if refrigerant == UNKNOWN else refrigerant


def _answer(found: Disposals, months: tuple[str, ...], open_rows: Sequence[OpenRow]) -> str:
    if not found.totals:
        return f"Nothing recovered from appliances of the log's size{_when(months)}."
    totals: dict[str, int] = {}
    for one in found.totals:
        totals[one.refrigerant] = totals.get(one.refrigerant, 0) + one.mass
    parts = ", ".join(f"{_named(name)} {pounds(mass)} lb" for name, mass in totals.items())
    open_ = f"; {counted(len(open_rows), 'row')} still open, in no total" if open_rows else ""
    return f"Recovered{_when(months)}: {parts}{open_}."


def _when(months: tuple[str, ...]) -> str:
    return f" in {', '.join(months)}" if months else ""


def _from(found: Disposals) -> str:
    number = sum(one.appliances for one in found.totals)
    taken = counted(len(found.recoveries()), "recovery", "recoveries")
    return f"{taken} from {counted(number, 'appliance')}."


def _beside(found: Disposals) -> str:
    if not found.apart:
        return "Nothing stands apart."
    total = sum(one.recovered.mass for _, one in found.apart)
    return f"{pounds(total)} lb recovered outside the log."


def _still_open(rows: Sequence[OpenRow]) -> str:
    return f"{counted(len(rows), 'row')} still open, in no total." if rows else ""
