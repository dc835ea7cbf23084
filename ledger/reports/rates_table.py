"""The table of leak rates: every addition of the chosen circuits by both methods."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from ledger.facts.mass import Mass
from ledger.reports.rules_table import override_lines
from ledger.reports.stock_tables import known_words
from ledger.reports.table import Column, Table
from ledger.reports.words import counted

if TYPE_CHECKING:
    from ledger.answers.holdings import Home
    from ledger.answers.leak_result import Rate
    from ledger.answers.working import Working
    from ledger.book.cut import Cut
    from ledger.book.reader import Reader

RATE_COLUMNS = (
    Column("circuit", "Circuit"),
    Column("date", "Date of addition", "date"),
    Column("entries", "Entries", "list"),
    Column("counted_lb", "Counted", "mass"),
    Column("full_charge_lb", "Full charge", "mass", places=1),
    Column("days", "Days", "whole"),
    Column("annualizing", "Annualizing", "percent", places=1),
    Column("rolling_lb", "Counted, rolling", "mass"),
    Column("rolling", "Rolling average", "percent", places=1),
    Column("method", "Method of the site"),
    Column("trigger", "Trigger", "percent", places=0),
    Column("verdict", "Verdict"),
    Column("repair_by", "Repair due", "date"),
    Column("subpart", "Subpart"),
    Column("citation", "Citation"),
    Column("remark", "Remark"),
)


@dataclass(frozen=True, slots=True)
class Wanted:
    """Which rates are asked for; empty members do not narrow."""

    circuit: str = ""
    site: str = ""
    owner: str = ""
    refrigerant: str = ""
    since: str = ""
    until: str = ""
    over: bool = False
    latest: bool = False


def rates_table(
    reader: Reader, cut: Cut, wanted: Wanted
) -> tuple[Table, Callable[[], list[Working]]]:
    """The rates asked for, and a callable that builds their workings."""
    from ledger.answers.leak_rate import rates
    from ledger.book.reading import circuit_histories, circuit_history_for
    from ledger.book.readings import overrides_of
    from ledger.law.for_rates import law_for_rates, leaned_on

    overrides = overrides_of(reader, cut)
    law = law_for_rates(overrides)
    if wanted.circuit:
        one = circuit_history_for(reader, cut, wanted.circuit)
        histories = iter([one] if one else [])
    else:
        histories = circuit_histories(reader, cut, _chosen(reader, cut, wanted))
    found: list[tuple[str, Rate]] = []
    for past in histories:
        kept = [rate for rate in rates(past, law) if _asked(rate, wanted)]
        found += [(past.circuit, rate) for rate in (kept[-1:] if wanted.latest else kept)]
    found.sort(key=lambda pair: (pair[0], pair[1].on, pair[1].subpart))
    over = sum(1 for _, rate in found if rate.over and rate.required)
    circuits = len({circuit for circuit, _ in found})
    table = Table(
        "Leak rates",
        RATE_COLUMNS,
        [rate_row(circuit, rate) for circuit, rate in found],
        answer=f"{counted(len(found), 'rate')} of {counted(circuits, 'circuit')};"
        f" {over} over the trigger.",
        as_of=cut.as_of,
        known_at=known_words(cut),
        head=reader.head(),
        notes=_footnotes(found) + override_lines(leaned_on(overrides)),
    )
    return table, lambda: [rate.working() for _, rate in found]


def _chosen(reader: Reader, cut: Cut, wanted: Wanted) -> list[str] | None:
    """The circuits a filter leaves; None where nothing narrows."""
    if not (wanted.site or wanted.owner or wanted.refrigerant):
        return None
    from ledger.book.reading import homes, masters_at

    masters = masters_at(reader, cut)
    whose = homes(masters)
    return [
        master.name
        for master in masters.all("circuit").values()
        if (not wanted.refrigerant or master.text("refrigerant") == wanted.refrigerant)
        and _at_home(whose.get(master.name, ()), wanted)
    ]


def _at_home(where: Sequence[Home], wanted: Wanted) -> bool:
    """Whether a circuit stands at the site and belongs to the owner asked for, at last."""
    if not (wanted.site or wanted.owner):
        return True
    last = where[-1] if where else None
    return last is not None and (
        (not wanted.site or last.site == wanted.site)
        and (not wanted.owner or last.owner == wanted.owner)
    )


def _asked(rate: Rate, wanted: Wanted) -> bool:
    day = rate.on.isoformat()
    if (wanted.since and day < wanted.since) or (wanted.until and day > wanted.until):
        return False
    return bool(rate.over and rate.required) if wanted.over else True


def _footnotes(found: list[tuple[str, Rate]]) -> list[str]:
    """What the figures lean on that was not read in the text of the law itself."""
    weak = {
        f"{ref.cite} ({ref.evidence})"
        for _, rate in found
        for ref in rate.terms.law.rules.values()
        if rate.required and ref.evidence in ("memory", "secondary")
    }
    notes = ["Percent of full charge a year. Not legal advice; the official text decides."]
    if weak:
        cites = ", ".join(sorted(weak))
        notes.append(f"Values not yet checked against the official text: {cites}.")
    return notes


def rate_row(circuit: str, rate: Rate) -> dict[str, Any]:
    """One rate as a row."""
    charge = rate.full_charge
    return {
        "circuit": circuit,
        "date": rate.on.isoformat(),
        "entries": list(rate.entries),
        "counted_lb": Mass(rate.annual_pounds),
        "full_charge_lb": Mass(int(charge)) if charge is not None else "unknown",
        "days": rate.days if not rate.skipped else None,
        "annualizing": rate.rate_by("annualizing"),
        "rolling_lb": Mass(rate.window_pounds),
        "rolling": rate.rate_by("rolling average"),
        "method": rate.method,
        "trigger": None if rate.trigger is None or not rate.required else _percent(rate.trigger),
        "verdict": verdict_of(rate),
        "repair_by": rate.repair_by.isoformat() if rate.repair_by else None,
        "subpart": f"part {rate.subpart}" if rate.subpart else "none",
        "citation": _citation(rate),
        "remark": "; ".join([*([rate.skipped] if rate.skipped else []), *_notes(rate)]),
    }


def _percent(whole: int) -> Any:
    from fractions import Fraction

    return Fraction(whole, 100)


def _notes(rate: Rate) -> list[str]:
    notes = [rate.cannot] if rate.cannot else []
    return notes + [note.sentence for note in rate.notes]


def _citation(rate: Rate) -> str:
    return {"82": "40 CFR 82.157", "84": "40 CFR 84.106"}.get(rate.subpart, "")


def verdict_of(rate: Rate) -> str:
    """The verdict in words."""
    if rate.skipped:
        return "no calculation required"
    if rate.cannot:
        return "cannot be computed"
    if not rate.required:
        return "no federal rule"
    if rate.over is None:
        return "not compared"
    return f"over {rate.trigger} %" if rate.over else f"not over {rate.trigger} %"
