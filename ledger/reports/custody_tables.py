"""Tables of custody: the truck sheet with its load, and where each cylinder was last seen."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any

from ledger.answers.materials_of_trade import Aboard, Load, load_of
from ledger.answers.sightings import last_seen, with_drivers
from ledger.answers.truck_sheet import FOREVER, Stint, stints
from ledger.answers.working import RuleRef
from ledger.facts.mass import Mass, pounds
from ledger.refrigerants.shipping import shipping_data
from ledger.reports.stock_tables import common
from ledger.reports.table import Column, Table
from ledger.reports.words import counted

if TYPE_CHECKING:
    from ledger.answers.inventory import CylinderLine
    from ledger.answers.working import Working
    from ledger.book.cut import Cut
    from ledger.book.reader import Reader

TRUCK_COLUMNS = (
    Column("cylinder", "Cylinder"),
    Column("refrigerant", "Refrigerant"),
    Column("out", "Out", "date"),
    Column("gross_out", "Gross out", "mass"),
    Column("back", "Back", "date"),
    Column("gross_in", "Gross in", "mass"),
    Column("used", "Used by weight", "mass", formula="={gross_out}-{gross_in}", total="SUM"),
    Column("by_tickets", "Used by tickets", "mass", total="SUM"),
    Column("difference", "Weight minus tickets", "mass",
           formula="=ROUND({used}-{by_tickets},6)", total="SUM"),
    Column("gross_now", "Gross aboard now", "mass", total="SUM"),
    Column("book", "Book contents now", "mass"),
    Column("due", "Requalification due", "date"),
    Column("state", "State"),
)  # fmt: skip
SEEN_COLUMNS = (
    Column("cylinder", "Cylinder"),
    Column("refrigerant", "Refrigerant"),
    Column("book", "Book contents", "mass"),
    Column("state", "State"),
    Column("day", "Last seen", "date"),
    Column("days", "Days", "whole"),
    Column("place", "Where"),
    Column("person", "By"),
    Column("how", "How"),
    Column("entry", "Entry", "whole"),
)


def load_rule() -> RuleRef:
    """The weights of the materials-of-trade exception as a reference."""
    found = shipping_data()
    each, together = pounds(found.each, 0), pounds(found.together, 0)
    return RuleRef(
        "shipping/materials-of-trade", f"{each} lb each, {together} lb in all", found.trade.cite,
        found.trade.evidence, title="Materials of trade",
    )  # fmt: skip


def gross_now(line: CylinderLine) -> tuple[int | None, str, int]:
    """What a cylinder weighs now: last weighed and what moved since, else tare and book."""
    one = line.cylinder
    if one.weighed is not None:
        basis = f"{one.weighed.gross.written} on {one.weighed.day}, and what moved since"
        return one.weighed.gross.mass + line.book - line.book_then, basis, one.weighed.entry
    if one.tare is not None and not one.gas:
        return one.tare.weight.mass + line.book, f"{one.tare.basis} tare and book", one.tare.entry
    return None, "no weight and no tare", 0


def load_aboard(truck: str, lines: Sequence[CylinderLine]) -> Load:
    """The gross of the cylinders on a truck against 49 CFR 173.6."""
    limits = shipping_data()
    aboard = (Aboard(line.name, *gross_now(line), max(0, line.book)) for line in lines)
    return load_of(truck, aboard, (limits.each, limits.together), load_rule())


def load_at(reader: Reader, cut: Cut, truck: str) -> Load:
    """What is aboard a truck at a cut."""
    from ledger.book.reading import inventory_of

    return load_aboard(truck, inventory_of(reader, cut, {"place": truck}))


def truck_table(
    reader: Reader, cut: Cut, truck: str, first: str = "", last: str = ""
) -> tuple[Table, Callable[[], list[Working]]]:
    """One truck's sheet over a stretch of ISO days, and the workings of its differences."""
    from ledger.book.custody import Custody
    from ledger.book.reading import inventory_of

    custody = Custody(reader, cut)
    found = stints(custody.puts(), custody.drawn(), truck, first, last or cut.as_of or FOREVER)
    lines = {line.name: line for line in inventory_of(reader, cut, gone=True)}
    aboard = [line for line in lines.values() if line.cylinder.place == truck and not line.gone]
    load = load_aboard(truck, aboard)
    driver = custody.drivers(cut.as_of or FOREVER).get(truck, "")
    table = Table(
        f"Truck sheet {truck}{f', {driver}' if driver else ''}",
        TRUCK_COLUMNS,
        [_truck_row(one, lines.get(one.cylinder)) for one in found],
        answer=_truck_answer(found, len(aboard)),
        notes=(
            load.sentence(),
            "Other hazardous materials aboard count too. Not legal advice; the official text"
            " decides.",
            "Out: ____________________    In: ____________________ (signatures)",
        ),
        cautions=("Secure cylinders upright, valves capped, ventilate; a van may exceed 125 F"
                  " (49 CFR 173.6, 173.301).",),
        **common(reader, cut),
    )  # fmt: skip
    return table, lambda: [*(one.working() for one in found), load.working()]


def _truck_answer(found: Sequence[Stint], aboard: int) -> str:
    weighed = [one for one in found if one.used is not None]
    used = sum(one.used or 0 for one in weighed)
    tickets = sum(one.by_tickets for one in weighed)
    text = f"{counted(aboard, 'cylinder')} aboard"
    if weighed:
        text += (
            f"; {counted(len(weighed), 'cylinder')} weighed out and in: {pounds(used)} lb used by"
            f" weight, {pounds(tickets)} lb by tickets, difference {pounds(used - tickets)} lb"
        )
    return f"{text}."


def _truck_row(one: Stint, line: CylinderLine | None) -> dict[str, Any]:
    here = line is not None and not one.back and not line.gone
    gross = gross_now(line)[0] if line is not None and here else None
    return {
        "cylinder": one.cylinder,
        "refrigerant": (line.refrigerant or line.cylinder.gas) if line else "",
        "out": one.out or None,
        "gross_out": _mass(one.gross_out),
        "back": one.back or None,
        "gross_in": _mass(one.gross_in),
        "used": _mass(one.used),
        "by_tickets": Mass(one.by_tickets),
        "difference": _mass(one.difference),
        "gross_now": _mass(gross),
        "book": Mass(line.book) if line and here and not line.cylinder.gas else None,
        "due": (line.cylinder.requalification_due or None) if line else None,
        "state": line.cylinder.state if line else "",
    }


def _mass(counts: int | None) -> Mass | None:
    return None if counts is None else Mass(counts)


def seen_table(
    reader: Reader, cut: Cut, today: str, keep: dict[str, str], idle_days: int = 0
) -> Table:
    """Where each cylinder was last seen; with `idle_days` those not seen for so many days."""
    from ledger.book.custody import Custody
    from ledger.book.reading import inventory_of

    custody = Custody(reader, cut)
    seen = last_seen(custody.sightings(), cut.as_of or today)
    drivers = custody.drivers(cut.as_of or today)
    rows: list[dict[str, Any]] = []
    for line in inventory_of(reader, cut, keep):
        found = seen.get(line.name)
        if found is not None and found.days < idle_days:
            continue
        row: dict[str, Any] = {
            "cylinder": line.name, "refrigerant": line.refrigerant or line.cylinder.gas,
            "book": None if line.cylinder.gas else Mass(line.book), "state": line.cylinder.state,
        }  # fmt: skip
        if found is not None:
            one = found.sighting
            row |= {"day": one.day, "days": found.days, "place": one.place, "how": one.how,
                    "person": with_drivers(found, drivers), "entry": one.entry}  # fmt: skip
        rows.append(row)
    rows.sort(key=lambda row: (row.get("day") or "", row["cylinder"]))
    never = sum(1 for row in rows if "day" not in row)
    text = f"{counted(len(rows), 'cylinder')}"
    text += f" not seen for {idle_days} days or more" if idle_days else ""
    text += f"; {never} never seen since they were entered" if never else ""
    return Table("Last seen", SEEN_COLUMNS, rows, answer=f"{text}.", **common(reader, cut))
