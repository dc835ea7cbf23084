"""The plain words of the trade that head the columns of a shop's sheets, and what each one means.

Common practice, no source. A heading is compared by its words only: "Ticket #", "TICKET" and
"ticket no." are one.
"""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache

from ledger.facts.masters import FIELDS

_WORDS = re.compile(r"[a-z0-9$%]+|#")
_NUMBERS = ("#", "no", "num", "number", "nr", "id")
_UNITS = {
    "lb": "lb", "lbs": "lb", "pound": "lb", "pounds": "lb", "oz": "oz", "ozs": "oz",
    "ounce": "oz", "ounces": "oz", "kg": "kg", "kgs": "kg", "kilograms": "kg", "kilos": "kg",
    "g": "g", "gram": "g", "grams": "g",
}  # fmt: skip
_MEASURES = frozenset((
    *_UNITS, "weight", "wt", "qty", "quantity", "amount", "charge", "charged", "added", "add",
    "recovered", "removed", "used", "gross", "net", "refrigerant", "in", "out", "tank", "cyl",
    "cylinder",
))  # fmt: skip

_WITH_UNIT_ONLY = ("in", "out", "add", "start", "end")
"""Headings that mean pounds only beside a unit: "lb in" does, "In" may be a time."""

MASS_FIELDS = frozenset((
    "amount", "added", "recovered", "gross before", "gross after", "gross", "tare", "readings",
    "full charge", "stamped tare", "measured tare", "water capacity", "nominal", "contents",
    "resolution",
))  # fmt: skip
"""Fields that hold a weight, for which a heading may name the unit."""

_MOVEMENT = {
    "date": "date, day, when, job date, service date, visit date, work date, date of service,"
    " date of work, date serviced, serviced on, date added, date recovered, date received,"
    " received on, ship date, date shipped, ticket date, as of",
    "time": "time, time of day, start time, arrival",
    "action": "action, activity, movement, transaction, added recovered, added or recovered,"
    " add recover, in out, charge recover, what was done",
    "site": "site, address, site address, service address, job site, jobsite, property,"
    " building, site name, street, job address",
    "unit": "unit, equipment, equip, rtu, appliance, system, unit name, equipment name,"
    " equipment tag, unit tag, unit or circuit, asset, asset tag",
    "circuit": "circuit, circ, ckt, circuit name, unit circuit",
    "refrigerant": "refrigerant, refrig, refr, gas, r type, refrigerant type, type of refrigerant,"
    " refrig type, refrigerant used, kind of refrigerant",
    "amount": "amount, qty, quantity, net, net weight, net wt, how much, amount moved, net amount,"
    " amount of refrigerant, refrigerant amount, qty received, quantity received,"
    " amount received, net received, weight received, lb received, lbs received,"
    " pounds received, received lb, received lbs, received pounds, oz received, kg received,"
    " received kg",
    "amount unit": "uom, units, measure, unit of measure, amount unit, weight unit, unit of weight",
    "added": "added, charged, charge added, amount added, refrigerant added, amount charged, in,"
    " refrig added, added to unit, charged in, put in, add, into unit",
    "recovered": "recovered, rec, removed, amount recovered, refrigerant recovered, out,"
    " refrig recovered, taken out, pulled, amount removed, out of unit, pulled out, recov",
    "gross before": "gross before, before, start weight, starting weight, weight before, wt before,"
    " beginning weight, begin weight, start, cyl before, tank before, cylinder before,"
    " cylinder start, scale before, before weight",
    "gross after": "gross after, after, end weight, ending weight, weight after, wt after,"
    " finish weight, final weight, end, cyl after, tank after, cylinder after, cylinder end,"
    " scale after, after weight",
    "gross": "gross, gross weight, gross wt, scale weight, total weight, weight on scale",
    "tare": "tare, tw, tare weight, tare wt, empty weight",
    "readings": "readings, scale readings, stages, stage weights, weights",
    "cylinder": "cylinder, cyl, tank, bottle, cylinder used, tank used, cyl used, from cylinder,"
    " from tank, from cyl, cylinder name, supply cylinder, supply tank, drum, source cylinder",
    "to cylinder": "to cylinder, to tank, to cyl, into cylinder, into tank, recovery cylinder,"
    " recovery tank, rec tank, rec cyl, recovered into, r tank, recovery cyl, target cylinder",
    "cylinder kind": "cylinder kind, cylinder type, cyl type, tank type, kind of cylinder",
    "place": "place, truck, van, warehouse, moved to, issued to, put at, to truck, location now",
    "technician": "technician, tech, mechanic, done by, employee, serviced by, tech name,"
    " technician name, by, tech initials, initials, worker, installer, person",
    "supervised by": "supervised by, supervisor, supervising tech, supervising technician",
    "ticket": "ticket, work order, wo, w o, job, job ticket, service ticket, order, so,"
    " service order, work ticket, manifest, slip",
    "note": "note, notes, comment, comments, remark, remarks, reason, description, work,"
    " work done, job type, type of job, type of work, work performed, memo, complaint, details",
    "supplier": "supplier, vendor, bought from, supply house, wholesaler, received from,"
    " purchased from",
    "invoice": "invoice, inv, packing slip, bill, po, purchase order, counter ticket",
    "price": "price, price lb, price per lb, price per pound, $ lb, cost lb, cost per lb,"
    " cost per pound, $ per lb",
    "deposit": "deposit, cylinder deposit, cyl deposit, tank deposit",
    "stock": "stock, stock kind, virgin reclaimed, new reclaimed, virgin or reclaimed,"
    " new or reclaimed",
    "batch": "batch, lot, batch lot, lot batch",
    "reclaimer": "reclaimer, reclaimed by",
    "claim": "claim, kind of charge, charge type, type of charge",
    "cause": "cause, cause of loss, loss cause",
    "scale": "scale, scale used, scale name",
    "owner": "owner, refrigerant owner, owner of refrigerant, whose",
    "party": "party, shipped to, sent to, other contractor, contractor, returned to, ship to",
    "state": "state, cylinder state, seal, condition seen",
    "result": "result, test result, pass fail, passed",
    "leaks": "leaks, which leaks",
    "where": "where, leak location, location of leak, part, part repaired",
    "how": "how, how repaired, test method, method",
    "evacuated": "evacuated, evacuated for it",
    "leak places": "leak places, leak place, place of leak, places of leaks, leak repaired,"
    " leak tested, leaks found at",
    "all parts": "all parts, all parts inspected, all parts checked, whole circuit checked",
    "ground": "ground, grounds, ground of request",
    "signed": "signed, signed by owner, plan signed",
    "replacement": "replacement, replacement refrigerant, new refrigerant",
    "estimated day": "estimated day, estimated date, expected by",
    "report year": "report year, year of report, year reported",
    "watched part": "watched part, part watched",
    "detector required": "detector required, required by rule",
}  # fmt: skip

_NAMES = {
    "site": "site, site name, name, location, property, building",
    "party": "party, name, customer, customer name, supplier, vendor, company, contractor,"
    " reclaimer, owner, account",
    "unit": "unit, unit name, name, equipment, equip, appliance, system, tag, equipment tag,"
    " unit tag, rtu, asset, asset tag",
    "circuit": "circuit, circuit name, name",
    "person": "person, name, technician, tech, technician name, tech name, employee, mechanic",
    "cylinder": "cylinder, cyl, tank, bottle, name, cylinder name, our",
    "place": "place, name, truck, van, warehouse",
    "scale": "scale, name, scale name",
    "machine": "machine, name, recovery machine, machine name",
}

_MASTER = {
    "site": "site, location, at site, property, building, job site, site name",
    "owner": "owner, operator, customer, owned by, customer name, owner name, owner operator",
    "address": "address, street, street address, site address",
    "country": "country",
    "district": "district, air district",
    "reports gases": "reports gases, greenhouse gas reporting, reports greenhouse gases",
    "owner kind": "owner kind, kind of owner",
    "indoors": "indoors, in a building, enclosed",
    "process share": "process share, percent process",
    "named use": "named use, special use",
    "zone": "zone, time zone, timezone, tz",
    "method": "method, leak rate method, rate method",
    "role": "role, kind, type",
    "contact": "contact, contact name, ask for",
    "certificate": "certificate, licence, license, epa certificate",
    "what": "what, type, kind, equipment type, unit type, kind of unit, description",
    "model": "model",
    "serial": "serial, sn, s n, serial or lot",
    "location": "location, where, where on site, position, area",
    "note": "note, notes, comment, comments, remark, remarks",
    "unit": "unit, unit name, equipment, on unit, of unit",
    "circuit": "circuit, circ, ckt, circuit letter",
    "refrigerant": "refrigerant, refrig, refr, gas, refrigerant type, r type, assigned refrigerant",
    "full charge": "full charge, charge, system charge, total charge, factory charge,"
    " nameplate charge, refrigerant charge, operating charge",
    "category": "category, use, end use, application",
    "subsector": "subsector",
    "installed": "installed, install date, installation date, date installed, in service since",
    "retired": "retired, retired on, date retired, removed on",
    "small": "small, small appliance",
    "certification": "certification, cert, card, card type, epa card, certificate, cert type,"
    " section 608, 608, epa 608, 608 type, 608 card, certification type",
    "initials": "initials",
    "left": "left, left on, last day",
    "kind": "kind, type, cylinder type, cyl type, tank type, cylinder kind",
    "stamped tare": "stamped tare, tare, tw, tare weight, stamped tw",
    "measured tare": "measured tare, actual tare, weighed tare",
    "water capacity": "water capacity, wc, water cap",
    "nominal": "nominal, size, nominal net, label net, cylinder size",
    "dot": "dot, dot spec, specification, spec",
    "service pressure psig": "service pressure psig, service pressure, psig",
    "requalified": "requalified, last requalified, requalification date, last test, hydro date",
    "requalification": "requalification, requalification method, rin",
    "requalification due": "requalification due, due, test due, requal due, next test,"
    " next requalification",
    "deposit": "deposit, cylinder deposit",
    "contents condition": "contents condition, condition of contents",
    "condition": "cylinder condition, condition found, outside condition, damage",
    "report": "police report, report number, theft report",
    "flammable": "flammable, a2l",
    "place": "place, truck, van, at, location, kept at, where",
    "state": "state, status, condition",
    "state because": "state because, why in that state",
    "driver": "driver, driven by",
    "resolution": "resolution, display step, increment",
    "made": "made, made on, date made, manufactured",
    "certified by": "certified by",
    "acquired": "acquired, acquired on, date acquired, bought, bought on",
    "gas": "other gas",
    "since": "since, from, valid from, as of, effective",
    "contents": "contents, net, on hand, net on hand, in it, opening, opening balance, balance",
    "last addition": "last addition, last added, last charge date, last charged",
    "rate": "rate, leak rate, last leak rate",
    "open case": "open case, open repair, open leak",
    "why": "why, because, basis of decision",
    "decided by": "decided by",
}

EXTRA_FIELDS = {
    "unit": ("circuit", "refrigerant", "full charge", "category", "subsector", "installed",
             "retired", "small", "indoors", "process share", "named use", "last addition", "rate",
             "open case", "why", "decided by"),
    "circuit": ("last addition", "rate", "open case", "why", "decided by"),
    "cylinder": ("contents",),
}  # fmt: skip
"""What a sheet of one kind may say beside the kind's own fields."""

MOVEMENTS = "movements"
"""The records of a sheet of pounds; any other sheet holds masters of one kind."""


def fields_of(records: str) -> tuple[str, ...]:
    """Every field that a row of these records can carry; ValueError for other records."""
    if records == MOVEMENTS:
        return tuple(_MOVEMENT)
    if records not in FIELDS:
        raise ValueError(f"no such records: {records!r}")
    return ("name", *FIELDS[records], *EXTRA_FIELDS.get(records, ()), "since")


@lru_cache(maxsize=8192)
def header_words(text: str) -> str:
    """A heading as its words: lower case, single spaces, no signs but # and $."""
    return " ".join(_WORDS.findall(unicodedata.normalize("NFKC", text).casefold()))


REJECT_MARK = "tarebook"
REJECT_COLUMNS = ("sheet", "row", "cell", "code", "reason", "remedy")
"""What a reject file adds to the columns of a sheet, each behind the mark; passed over again."""
ANSWER_COLUMNS = ("outcome", "entry", "question", "answer", "row")
"""What the copy of a sheet with answers adds to its columns, each behind the same mark."""
_ADDED_COLUMNS = frozenset((*REJECT_COLUMNS, *ANSWER_COLUMNS))


def is_reject_heading(text: str) -> bool:
    """Whether a heading is one that this program added beside those of the sheet."""
    words = header_words(text).split()
    return len(words) == 2 and words[0] == REJECT_MARK and words[1] in _ADDED_COLUMNS


def header_unit(text: str) -> str:
    """The one unit of weight a heading names, or empty: "Recovered (kg)" says kg."""
    found = {_UNITS[word] for word in header_words(text).split() if word in _UNITS}
    return found.pop() if len(found) == 1 else ""


def speaks_of_pounds(text: str) -> bool:
    """Whether a heading may be about refrigerant moved, so that it is not left to a note."""
    return any(word in _MEASURES for word in header_words(text).split())


def field_of(records: str, header: str) -> str:
    """The field a heading names in sheets of these records, or empty where it names none."""
    words = header_words(header)
    table = _table(records)
    if words in _WITH_UNIT_ONLY:
        return ""
    if words in table:
        return table[words]
    parts = [word for word in words.split() if word not in _NUMBERS]
    if (bare := " ".join(parts)) in table and bare:
        return table[bare]
    rest = " ".join(word for word in parts if word not in _UNITS)
    if rest == bare:
        return ""
    found = table.get(rest, "") if rest else "amount" if records == MOVEMENTS else ""
    return found if found in MASS_FIELDS else ""


@lru_cache(maxsize=16)
def _table(records: str) -> dict[str, str]:
    """The field of each heading, for one kind of records."""
    if records == MOVEMENTS:
        return _by_words(_MOVEMENT)
    # A field's own name comes before words that others share with it, and the name before all.
    fields = fields_of(records)
    table = _by_words({name: _MASTER.get(name, name) for name in reversed(fields)})
    return table | _by_words({name: name for name in fields}) | _by_words({"name": _NAMES[records]})


def _by_words(table: dict[str, str]) -> dict[str, str]:
    return {
        header_words(word): field for field, words in table.items() for word in words.split(",")
    }


SHEET_ACTIONS = {
    "charge": "charges, charge, charged, added, additions, top ups, topped off",
    "recover": "recovered, recovery, recoveries, recovery log",
    "receive": "received, receipts, receiving, purchases, purchased, deliveries, bought",
    "transfer": "transfers, transferred, consolidated",
    "issue": "issued, issues, load out, load outs, loadout",
    "move": "moves, moved",
    "weigh": "weighed, weighings, weigh in, weigh ins, weights, turn in",
    "ship": "shipped, shipments, shipping",
    "return": "returns, returned",
    "added by others": "by others, added by others, other contractors",
    "release": "releases, released, known losses",
    "heel": "heels, heel",
    "opening": "opening, opening balances, opening balance, brought forward",
    "leak inspection": "leak inspections, leak checks, inspections",
}
"""The action that the name of a sheet declares for all its rows."""

_SHEET_KINDS = {
    "site": "sites, locations, addresses, site list, properties, buildings",
    "party": "parties, customers, customer list, suppliers, vendors, contractors, reclaimers,"
    " owners, companies",
    "unit": "units, equipment, equipment list, unit list, appliances, systems, rtus, assets",
    "circuit": "circuits, circuit list",
    "person": "people, technicians, techs, employees, staff, crew, tech list",
    "cylinder": "cylinders, tanks, bottles, cylinder list, tank list, cylinder inventory",
    "place": "places, trucks, vans, warehouses",
    "scale": "scales",
    "machine": "machines, recovery machines",
}
_SHEET_CONSTANTS = {
    "customers": ("role", "customer"), "customer list": ("role", "customer"),
    "suppliers": ("role", "supplier"), "vendors": ("role", "supplier"),
    "contractors": ("role", "contractor"), "reclaimers": ("role", "reclaimer"),
    "trucks": ("kind", "truck"), "vans": ("kind", "truck"), "warehouses": ("kind", "warehouse"),
}  # fmt: skip


def sheet_action(name: str) -> str:
    """The action that a sheet's name declares ("Charges 2025"), or empty."""
    return _said(_by_words(SHEET_ACTIONS), name)


def sheet_kind(name: str) -> str:
    """The kind of masters that a sheet's name declares ("Cylinders"), or empty."""
    return _said(_by_words(_SHEET_KINDS), name)


def sheet_constants(name: str) -> dict[str, str]:
    """What a sheet's name says of each of its masters: those on "Suppliers" are suppliers."""
    found = _said({words: words for words in _SHEET_CONSTANTS}, name)
    return dict([_SHEET_CONSTANTS[found]]) if found else {}


def _said(table: dict[str, str], name: str) -> str:
    """The one meaning of a sheet's name, figures left out; empty where it says two things."""
    words = " ".join(word for word in header_words(name).split() if not word.isdigit())
    if words in table:
        return table[words]
    meanings = {table[word] for word in words.split() if word in table}
    return meanings.pop() if len(meanings) == 1 else ""
