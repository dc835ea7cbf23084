"""Cylinders needing attention, custody statements, and statements of empties, as tables."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING, Any

from ledger.answers.attention import attention
from ledger.answers.held_for import held_for, left_of
from ledger.facts.mass import Mass, pounds
from ledger.reports.stock_tables import common
from ledger.reports.table import Column, Table
from ledger.reports.words import counted

if TYPE_CHECKING:
    from ledger.book.cut import Cut
    from ledger.book.reader import Reader

ATTENTION_COLUMNS = (
    Column("cylinder", "Cylinder"),
    Column("what", "What", width=46),
    Column("since", "Since", "date"),
    Column("step", "Next step", width=46),
    Column("cite", "Rule"),
    Column("entry", "Entry", "whole"),
)
HELD_COLUMNS = (
    Column("day", "Day", "date"),
    Column("entry", "Entry", "whole"),
    Column("refrigerant", "Refrigerant"),
    Column("what", "What", width=30),
    Column("source", "From"),
    Column("target", "To"),
    Column("came", "In", "mass", total="SUM"),
    Column("went", "Out", "mass", total="SUM"),
    Column("left", "Left", "mass"),
    Column("ticket", "Ticket"),
)
EMPTY_COLUMNS = (
    Column("cylinder", "Cylinder"),
    Column("serial", "Serial or lot"),
    Column("refrigerant", "Refrigerant"),
    Column("inches", "Vacuum", "whole", unit="in. Hg"),
    Column("day", "Evacuated", "date"),
    Column("person", "Technician"),
    Column("card", "Card"),
    Column("processor", "To"),
    Column("entry", "Entry", "whole"),
)


def attention_table(reader: Reader, cut: Cut, today: str) -> Table:
    """Every cylinder that somebody has to look at."""
    from ledger.book.watching import watched

    found = attention(watched(reader, cut, today), cut.as_of or today)
    rows = [
        {
            "cylinder": one.cylinder, "what": one.what, "since": one.since or None,
            "step": one.step, "cite": one.cite, "entry": one.entry or None,
        }
        for one in found
    ]  # fmt: skip
    return Table(
        "Cylinders needing attention", ATTENTION_COLUMNS, rows,
        answer=f"{counted(len(found), 'thing')} to look at.",
        notes=("What is over its fill limit: tarebook room. Not legal advice; the official text"
               " decides.",),
        **common(reader, cut),
    )  # fmt: skip


def held_table(reader: Reader, cut: Cut, owner: str, first: str = "", last: str = "") -> Table:
    """The custody statement of one owner, with what is in cylinders beside it."""
    from ledger.answers.balances import Asked
    from ledger.book.reading import balances_of
    from ledger.book.watching import owned_by

    lines = held_for(owned_by(reader, cut, owner), first, last or cut.as_of)
    left = left_of(held_for(owned_by(reader, cut, owner), last=last or cut.as_of))
    asked = Asked(("refrigerant", "cylinder"), {"owner": owner}, last=last)
    inside = [one for one in balances_of(reader, cut, asked) if one.closing]
    sums: Counter[str] = Counter()
    for one in inside:
        sums[one.key[0]] += one.closing
    rows: list[dict[str, Any]] = [
        {
            "day": one.day, "entry": one.entry, "refrigerant": one.refrigerant, "what": one.what,
            "source": one.source, "target": one.target,
            "came": Mass(one.came) if one.came else None,
            "went": Mass(one.went) if one.went else None, "left": Mass(one.left),
            "ticket": one.ticket or None,
        }
        for one in lines
    ]  # fmt: skip
    told = ", ".join(f"{pounds(mass)} lb {gas}" for gas, mass in sorted(left.items()) if mass)
    notes = [f"In cylinder {one.key[1]}: {pounds(one.closing)} lb {one.key[0]}." for one in inside]
    for gas, mass in sorted(left.items()):
        if mass != sums[gas]:
            notes.append(
                f"{pounds(mass - sums[gas])} lb {gas} was put together with refrigerant of others"
                " or of another kind and can only go to reclaim (40 CFR 82.154(d))."
            )
    notes.append(
        "Recovered refrigerant goes back to equipment of the same owner only, else to a certified"
        " reclaimer or destruction (40 CFR 82.154(d)). Not legal advice."
    )
    return Table(
        f"Refrigerant held for {owner}", HELD_COLUMNS, rows,
        answer=f"Held for {owner}: {told or 'nothing'}.", notes=tuple(notes),
        **common(reader, cut),
    )  # fmt: skip


def empties_table(reader: Reader, cut: Cut, entry: int = 0) -> Table:
    """Statements of disposables evacuated before scrap: all of them, or the one of an entry."""
    import json

    from ledger.book.reading import masters_at

    masters = masters_at(reader, cut)
    rows: list[dict[str, Any]] = []
    for number, day, text, person in reader.rows(
        "SELECT s.entry, s.occurred_on, s.body, j.person FROM service s JOIN journal j ON j.number"
        f" = s.entry WHERE s.type = 'empty statement' AND {cut.counts('s')}"
        " ORDER BY s.entry, s.line",
        cut.params(),
    ):
        if entry and number != entry:
            continue
        body = json.loads(text)
        one = masters.one("cylinder", body["cylinder"])
        who = masters.one("person", person) if person else None
        card = who.at("certification", day) if who else None
        rows.append({
            "cylinder": one.name if one else body["cylinder"],
            "serial": (one.text("serial") if one else "") or None,
            "refrigerant": one.text("refrigerant") if one else "", "inches": body["inches"],
            "day": day, "person": person or None,
            "card": f"{card.get('type', '')} {card.get('number', '')}".strip()
            if isinstance(card, dict) else None,
            "processor": body.get("processor") or None, "entry": number,
        })  # fmt: skip
    levels = sorted({row["inches"] for row in rows})
    deep = f" to {levels[0]} in. Hg vacuum or deeper" if levels else ""
    return Table(
        "Statement of evacuated disposable cylinders" if entry else "Evacuated disposables",
        EMPTY_COLUMNS, rows,
        answer=f"{counted(len(rows), 'disposable cylinder')} evacuated{deep} before scrap.",
        notes=(
            *_duty_notes(), "Technician: ____________________ (signature)    Date: ____________",
        ),
        **common(reader, cut),
    )  # fmt: skip


def _duty_notes() -> list[str]:
    """From when the law asks for it, as the rule data has it."""
    from datetime import date

    from ledger.law.for_rates import rule_ref
    from ledger.law.loader import CALIFORNIA, FEDERAL_84C, load_pack

    far = date(2028, 1, 1)
    notes = []
    for pack_name, names in (
        (FEDERAL_84C, ("cyl-heel-from", "cyl-heel-vacuum")),
        (CALIFORNIA, ("disposable-vacuum",)),
    ):
        pack = load_pack(pack_name)
        for name in names:
            if (value := pack.value(name, far)) is not None:
                notes.append(rule_ref(pack, value).line())
    return notes
