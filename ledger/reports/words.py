"""Facts in words, for the first line of a write, for `show` and for reports."""

from __future__ import annotations

from collections.abc import Iterable

from ledger.answers.scale_checks import signed
from ledger.facts.contents import MIXED
from ledger.facts.facts import (
    Attachment,
    Attempt,
    BroughtForward,
    CheckWeight,
    Closed,
    Counted,
    Decision,
    Described,
    Explained,
    Fact,
    Joined,
    Movement,
    Receipt,
    Repair,
    Reversal,
    SameLeak,
    ServiceEvent,
    Setting,
    Test,
    UnknownAddition,
    Weighing,
    split_holder,
)
from ledger.facts.mass import POUND
from ledger.facts.papers import Shipped
from ledger.facts.visit import Visit
from ledger.facts.weights import ounces_echo
from ledger.reports.custody_words import CUSTODY, custody_in_words

_SIDES = {"air": "the air", "brought-forward": "the older records"}


def facts_in_words(facts: Iterable[Fact]) -> str:
    """Every fact of an entry, joined; what only supports another is left out."""
    words = [in_words(fact) for fact in facts if not isinstance(fact, (Receipt, Shipped))]
    return "; ".join(words[:6]) + (f"; and {len(words) - 6} more" if len(words) > 6 else "")


def counted(number: int, noun: str, plural: str = "") -> str:
    """A number with its noun: "1 rate", "2 rates", "1,024 entries"."""
    word = noun if number == 1 else plural or f"{noun}s"
    return f"{number:,} {word}"


def side(holder: str) -> str:
    """A holder in words."""
    kind, name = split_holder(holder)
    return _SIDES.get(kind, f'"{name}"' if kind == "difference" else name)


def in_words(fact: Fact) -> str:
    """One fact in a few plain words."""
    if isinstance(fact, Movement):
        return _movement(fact)
    if isinstance(fact, Described):
        return _described(fact)
    if isinstance(fact, Attempt):
        return f"recovery attempted at {fact.circuit}, 0.0 lb came out"
    if isinstance(fact, UnknownAddition):
        return f"unknown amount added to {fact.circuit} by {fact.party or 'others'}"
    if isinstance(fact, Weighing):
        state = f", {fact.state}" if fact.state else ""
        return f"cylinder {fact.cylinder} weighs {fact.gross.written} gross{state}"
    return _other(fact)


def _movement(fact: Movement) -> str:
    amount = fact.mass.written
    if amount.endswith(" lb") and fact.mass.mass % POUND:
        amount += f" ({ounces_echo(fact.mass)})"
    stock = f" {fact.stock}" if fact.stock not in ("", "virgin", "unknown") else ""
    claim = f", {fact.claim}" if fact.claim else ""
    estimated = ", estimated" if fact.amount else ""
    what = "mixed refrigerant" if fact.refrigerant == MIXED else fact.refrigerant
    return (
        f"{amount}{stock} {what} from {side(fact.source)} to {side(fact.target)}"
        f" ({fact.purpose}{claim}{estimated})"
    )


def _described(fact: Described) -> str:
    if fact.new:
        return f"{fact.kind} {fact.name} added"
    since = f" from {fact.since}" if fact.since else ""
    fields = ", ".join(f"{name} {value_in_words(value)}" for name, value in fact.fields.items())
    return f"{fact.kind} {fact.name}{since}: {fields}"


def value_in_words(value: object) -> str:
    """A field value as people read it."""
    if isinstance(value, list) and len(value) == 2:
        return str(value[1])
    if isinstance(value, dict):
        if value.get("method") == "range":
            text = f"{value['low'][1]} to {value['high'][1]} (range, midpoint counts)"
        elif "charge" in value:
            how = {"unknown": "method not recorded"}.get(value["method"], value["method"])
            text = f"{value['charge'][1]} ({how})"
        else:
            parts = {"type": "", **value}  # a card's type before its number
            return " ".join(str(part) for part in parts.values() if part != "")
        return text + (f"; {value['basis']}" if value.get("basis") else "")
    return str(value)


def _event(fact: ServiceEvent) -> str:
    """An event with what was said of it, in the order of its members."""
    told = [
        ", ".join(fact.places),
        fact.ground,
        fact.refrigerant,
        fact.period,
        f"watches {fact.part}" if fact.part else "",
        "asked for by a rule" if fact.required else "",
        ("all parts that can be seen and reached" if fact.what == "leak inspection" else "complete")
        if fact.complete
        else "",
        "signed" if fact.signed else "",
        f"estimated for {fact.due}" if fact.due else "",
        fact.how,
    ]
    more = "; ".join(part for part in told if part)
    return f"{fact.what} at {fact.circuit or fact.site}{f': {more}' if more else ''}"


def _visit(fact: Visit) -> str:
    """A visit in short: when, why, how it was left."""
    times = " to ".join(part for part in (fact.arrived, fact.departed) if part)
    told = [times, fact.complaint, fact.outcome]
    more = "; ".join(part for part in told if part)
    return f"visit at {fact.circuit}{f': {more}' if more else ''}"


def _other(fact: Fact) -> str:
    if isinstance(fact, Reversal):
        lines = ", ".join(str(line + 1) for line in fact.lines)
        return f"line {lines} of entry {fact.entry} reversed: {fact.reason}"
    if isinstance(fact, Joined):
        return f"{fact.kind} {fact.name} is the same as {fact.kept}"
    if isinstance(fact, SameLeak):
        return f"same leak on {fact.circuit} as entry {', '.join(map(str, fact.entries))}"
    if isinstance(fact, Repair):
        where = ", ".join(fact.places) or fact.location or "location not given"
        return f"repair at {fact.circuit}: {where}"
    if isinstance(fact, Test):
        leaks = ", ".join(fact.places) or f"{fact.leaks} leaks"
        return f"{fact.which} verification test at {fact.circuit}: {fact.result}, {leaks}"
    if isinstance(fact, ServiceEvent):
        return _event(fact)
    if isinstance(fact, Visit):
        return _visit(fact)
    if isinstance(fact, BroughtForward):
        return f"{fact.circuit}: last addition {fact.last_addition} by the older records"
    if isinstance(fact, Decision):
        return f"{fact.subject}: {fact.question}: {fact.answer} ({fact.basis})"
    if isinstance(fact, Setting) and fact.setting == "job decision":
        return "two jobs, decided" if fact.value["answer"] == "both" else "one job, decided"
    if isinstance(fact, Setting):
        return f"{fact.setting} {fact.key}: {fact.value}"
    if isinstance(fact, CheckWeight):
        off = signed(fact.reading.mass - fact.weight.mass)
        return (
            f"scale {fact.scale} read {fact.reading.written} with a check weight of"
            f" {fact.weight.written} ({off} lb)"
        )
    if isinstance(fact, CUSTODY):
        return custody_in_words(fact)
    if isinstance(fact, Counted):
        seen = f"{fact.gross.written} gross" if fact.gross else fact.found
        return f"cylinder {fact.cylinder} counted at {fact.place} for {fact.cut_off}: {seen}"
    if isinstance(fact, Explained):
        where = fact.cylinder or fact.place
        at = f" at {where}" if where else ""
        return (
            f"{fact.mass.written} of {fact.refrigerant}{at}, count of {fact.cut_off}: {fact.cause}"
        )
    if isinstance(fact, Closed):
        where = f" at {fact.place}" if fact.place else ""
        return f"period {fact.period}{where} closed and locked at {fact.cut_off}"
    if isinstance(fact, Attachment):
        return f"file {fact.file} ({fact.size} bytes, SHA-256 {fact.sha256[:12]})"
    return fact.TYPE
