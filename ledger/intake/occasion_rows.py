"""Turns rows about inspections, leaks, plans, mothballing and other dated events into facts.

What a cell does not say plainly is asked about: some of these events start or move a date.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from ledger.facts.facts import Described, Fact, ServiceEvent
from ledger.facts.mass import Quantity
from ledger.facts.occasions import LEAK_WORDS, OCCASIONS, SITE
from ledger.facts.verbs import recover
from ledger.facts.weights import IN
from ledger.intake.occasion_words import (
    FIELD_OF,
    FOUND,
    GROUND_WORDS,
    INSPECTION,
    MOTHBALLED,
    SAID,
)
from ledger.intake.service_rows import YES, asked_word, circuit_of, folded_words, stop

if TYPE_CHECKING:
    from ledger.intake.drafts import Drafter
    from ledger.intake.reading import Reading

LEAK, NO_LEAK = "leak found", "no leak"
_RESULTS = {
    "no leak": NO_LEAK, "no leaks": NO_LEAK, "no leak found": NO_LEAK, "no leaks found": NO_LEAK,
    "none": NO_LEAK, "none found": NO_LEAK, "clean": NO_LEAK, "tight": NO_LEAK,
    "leak": LEAK, "leaks": LEAK, "leak found": LEAK, "leaks found": LEAK, "leaking": LEAK,
}  # fmt: skip
_EITHER = ("yes", "no")
_MOVED = ("amount", "gross before", "gross after", "readings", "gross")


def event_facts(drafter: Drafter, reading: Reading) -> list[Fact]:
    """The event a row records, with the leaks it found and what it changes of the circuit."""
    what = SAID[reading.action].what
    if what != MOTHBALLED:
        _no_pounds(reading)
    if OCCASIONS[what].about == SITE:
        return [_event(reading, "", _site(reading))]
    circuit = circuit_of(drafter, reading)
    if what == INSPECTION:
        return _inspected(reading, circuit)
    event = _event(reading, circuit, "")
    before = _recovered(drafter, reading, circuit) if what == MOTHBALLED else []
    return [*before, event, *_changes(reading, event)]


def leak_places(reading: Reading, *fields: str) -> tuple[str, ...]:
    """The places of leaks in the first of these fields; several are parted by a semicolon."""
    for name in fields:
        if text := reading.text(name):
            return tuple(part for one in text.split(";") if (part := one.strip()))
    return ()


def _inspected(reading: Reading, circuit: str) -> list[Fact]:
    """An inspection, and the leaks it found as their own fact, as the command records them."""
    clean = SAID[reading.action].ground == NO_LEAK
    said = NO_LEAK if clean else asked_word(reading, "result", _RESULTS, (LEAK, NO_LEAK))
    places = leak_places(reading, "leak places")
    if where := reading.text("where"):
        if not places and not said:
            raise stop("result", "value-unclear",
                       f'"{where[:80]}": a leak there, or where was looked?',
                       "Write leak found or no leak under result.", (LEAK, NO_LEAK))  # fmt: skip
        if not places and said == LEAK:
            places = leak_places(reading, "where")
        else:
            _note(reading, f"where: {where}")
    if places and said == NO_LEAK:
        raise stop("leak places", "value-unclear",
                   "The row names a leak and says that none was found.",
                   "Leave one of them out.")  # fmt: skip
    how = reading.text("how")
    whole = "yes" if asked_word(reading, "all parts", YES, _EITHER) == "yes" else ""
    ground = NO_LEAK if said == NO_LEAK else ""
    facts: list[Fact] = [
        ServiceEvent(INSPECTION, circuit, places=places, how=how, complete=whole, ground=ground)
    ]
    if places or said == LEAK:
        facts.append(ServiceEvent(FOUND, circuit, places=places, how="inspection"))
    return facts


def _event(reading: Reading, circuit: str, site: str) -> ServiceEvent:
    """The event with the members that its word takes."""
    said, text = SAID[reading.action], reading.text
    row, takes = OCCASIONS[said.what], OCCASIONS[said.what].takes
    yes = {
        name: "yes" if asked_word(reading, FIELD_OF[name][0], YES, _EITHER) == "yes" else ""
        for name in ("complete", "signed", "required")
        if name in takes
    }
    places = leak_places(reading, *FIELD_OF["places"]) if said.what in LEAK_WORDS else ()
    return ServiceEvent(
        said.what, circuit, site, places,
        how=text("how") if "how" in takes else "",
        complete=yes.get("complete", ""),
        ground=said.ground or (_ground(reading, row.grounds) if "ground" in takes else ""),
        signed=yes.get("signed", ""),
        part=text("watched part") if "part" in takes else "",
        required=yes.get("required", ""),
        refrigerant=text("replacement") if "refrigerant" in takes else "",
        due=text("estimated day") if "due" in takes else "",
        period=text("report year") if "period" in takes else "",
    )  # fmt: skip


def _ground(reading: Reading, grounds: tuple[str, ...]) -> str:
    """Why or which, in the words that are kept; any text where an event has no list of them."""
    text = reading.text("ground")
    if not grounds or not text:
        if grounds and not text and "ground" in OCCASIONS[SAID[reading.action].what].needs:
            raise stop("ground", "field-missing", "The row does not give the ground.",
                       f"Write {' or '.join(grounds)}.", grounds)  # fmt: skip
        return text
    words = {folded_words(one): one for one in grounds}
    words |= {word: one for word, one in GROUND_WORDS.items() if one in grounds}
    return asked_word(reading, "ground", words, grounds)


def _changes(reading: Reading, event: ServiceEvent) -> list[Fact]:
    """What an event changes of the circuit itself: its last day, or its refrigerant."""
    if event.what == "retired":
        return [Described("circuit", event.circuit, {"retired": reading.day}, why="retired")]
    if event.what == "retrofitted" and event.refrigerant:
        fields = {"refrigerant": event.refrigerant}
        return [Described("circuit", event.circuit, fields, since=reading.day, why="retrofitted")]
    return []


def _recovered(drafter: Drafter, reading: Reading, circuit: str) -> list[Fact]:
    """What was taken out for the mothballing, where the row says how much."""
    if not any(name in reading.values for name in _MOVED):
        return []
    net, evidence = drafter.weights(reading, IN)
    cylinder = drafter.cylinder(reading, "to cylinder", "cylinder")
    name = drafter.refrigerant(reading, f"circuit:{circuit}", f"cylinder:{cylinder}")
    return recover(circuit, cylinder, name, net, evidence, "mothballing")


def _no_pounds(reading: Reading) -> None:
    """Pounds beside an event would go lost in a note: they are rows of their own."""
    for name in _MOVED:
        value = reading.values.get(name)
        if isinstance(value, Quantity) and value.mass:
            raise stop(name, "value-unclear",
                       f"An amount, {value.written}, stands beside {reading.action}.",
                       "Put the charge or the recovery on a row of its own.")  # fmt: skip


def _site(reading: Reading) -> str:
    site = reading.text("site")
    if not site:
        raise stop("site", "field-missing", "No site is named.", "Name the site it is about.")
    return site


def _note(reading: Reading, text: str) -> None:
    """Keep words in the note, once, however often the row is drafted."""
    if text not in reading.note:
        reading.add_note(text)
