"""The checks a movement passes before it is recorded: amount, day, people, identity, pounds.

Each function looks at one thing and returns the problems it finds; nothing is raised and
nothing is written. Rules of use come from 49 CFR 178.65 and 180.205, 40 CFR 82.154 and
82.161; the official text decides.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date, timedelta
from typing import NamedTuple

from ledger.facts.contents import MIXED, SHARED, Contents, Holding, Line, line_of
from ledger.facts.entry import Draft
from ledger.facts.facts import Attempt, CheckWeight, Joined, Movement, Weighing, split_holder
from ledger.facts.fill_guard import fill_problems
from ledger.facts.known import Known
from ledger.facts.limits import LARGEST_MOVEMENT
from ledger.facts.mass import Quantity, pounds
from ledger.facts.masters import RETIRED_STATES, UNKNOWN, Master, folded, full_charge_ends
from ledger.facts.problems import Problem
from ledger.facts.requalification import filling_problems

Found = Iterator[Problem]

EARLIEST_DAY = "1930-01-01"
FIRST_FILL = {"receipt", "opening"}
"""Purposes that fill a disposable cylinder, once."""
GIVES_STOCK = FIRST_FILL | {"difference", "return to us"}
"""Purposes that may put refrigerant into a disposable cylinder."""
PUTS_TOGETHER = {"transfer", "recovery", "receipt"}
"""Purposes by which refrigerant is put on top of what a cylinder holds."""
_LIFE = frozenset(("installed", "retired", "state"))
"""Fields that bound the life of a thing; most things have none of them."""
LEAVES_FOR_GOOD = {"shipment", "return", "release", "heel", "difference"}
"""Purposes for which a cylinder in quarantine may give what it holds."""


class Side(NamedTuple):
    """A cylinder of a movement that is not yet recorded, looked up once for all checks.

    `sign` is -1 where it gives and +1 where it takes, `seen` the movement as it sees it, and
    `before` what it held when the movement began.
    """

    sign: int
    cylinder: Master
    contents: Contents
    seen: Line
    before: Holding


def sides_of(known: Known, draft: Draft, line: int, move: Movement) -> list[Side]:
    """The cylinders of a movement that are in the book, the giving one first."""
    sides = []
    for name, sign in cylinders_of(move):
        cylinder = known.master("cylinder", name)
        if cylinder is not None:
            contents = known.contents(name)
            seen = cylinder_line(draft, 1 << 62, line, move, sign)
            sides.append(Side(sign, cylinder, contents, seen, contents.holding_before(seen)))
    return sides


def movement_problems(
    known: Known, draft: Draft, move: Movement, sides: list[Side]
) -> list[Problem]:
    """Every problem of one movement, unordered; `sides` are those of `sides_of`."""
    found = list(_amount(move))
    if move.source == move.target:
        return found
    name = circuit_of(move)
    circuit = known.master("circuit", name) if name else None
    found += day_problems(known, draft, [circuit, *(side.cylinder for side in sides)])
    found += _identity(draft, move, circuit, sides)
    found += _ownership(known, draft, move, sides)
    if name and move.purpose in ("addition", "recovery"):
        found += certification_problems(known, draft, name, move.refrigerant)
    found += _pounds(known, move, sides)
    if circuit is not None:
        found += _beyond_full_charge(circuit, move, draft.occurred_on)
    return found


def attempt_problems(known: Known, draft: Draft, attempt: Attempt) -> list[Problem]:
    """Every problem of a recovery attempt that brought nothing."""
    found = list(day_problems(known, draft, [known.master("circuit", attempt.circuit)]))
    found += certification_problems(known, draft, attempt.circuit, attempt.refrigerant)
    return found


def circuit_of(move: Movement) -> str:
    """The circuit a movement touches, or empty."""
    for text in (move.target, move.source):
        if text.startswith("circuit:"):
            return text[8:]
    return ""


def cylinders_of(move: Movement) -> Iterator[tuple[str, int]]:
    """The cylinders of a movement, each with -1 (gives) or +1 (takes)."""
    if move.source.startswith("cylinder:"):
        yield move.source[9:], -1
    if move.target.startswith("cylinder:"):
        yield move.target[9:], 1


def cylinder_line(draft: Draft, entry: int, line: int, move: Movement, sign: int) -> Line:
    """A movement as the cylinder on one side of it sees it."""
    return line_of(
        draft.occurred_on, draft.occurred_time, entry, line, sign * move.mass.mass,
        move.refrigerant, move.stock, move.owner,
    )  # fmt: skip


def _amount(move: Movement) -> Found:
    if move.mass.mass <= 0:
        yield Problem(
            "amount-not-positive",
            f"The amount is {move.mass.written}.",
            "Give an amount above zero; a recovery that brought nothing is recorded as 0.",
        )
    elif move.mass.mass > LARGEST_MOVEMENT:
        yield _absurd(move.mass)
    if move.source == move.target:
        yield Problem(
            "same-holder",
            f"Both sides of the movement are {split_holder(move.source)[1]}.",
            "Name two different cylinders.",
        )


def _absurd(amount: Quantity) -> Problem:
    return Problem(
        "amount-absurd",
        f"{amount.written} is more than {pounds(LARGEST_MOVEMENT, 0)} lb.",
        "Check the amount and its unit.",
    )


def day_problems(known: Known, draft: Draft, masters: Iterable[Master | None]) -> Found:
    """The day against the calendar, today at the site, and the life of what is involved."""
    day = draft.occurred_on
    today = known.today(draft.zone or known.shop_zone())
    if day > today:
        yield Problem(
            "date-future",
            f"{day} is after today ({today}, {draft.zone or known.shop_zone()}).",
            "Give the day the work was done.",
        )
    if day < EARLIEST_DAY:
        yield Problem("date-unclear", f"{day} is before 1930.", "Check the year.")
    for master in masters:
        if master is None or _LIFE.isdisjoint(master.history):
            continue
        installed = master.text("installed")
        if installed and day < installed:
            yield Problem(
                "date-before-unit",
                f"{master.name} was installed on {installed}; the entry says {day}.",
                "Check the date and the circuit, or mend the installation date.",
            )
        yield from retired_problems(master, day)


def retired_problems(master: Master, day: str) -> Found:
    """A unit after its last day, a cylinder after the day it was scrapped, returned, condemned."""
    retired = master.text("retired")
    state = master.at("state", day)
    if retired and day > retired:
        yield Problem(
            "date-after-retired",
            f"{master.name} was retired on {retired}; the entry says {day}.",
            "Check the date and the name.",
        )
    elif state in RETIRED_STATES and master.at("state", _day_before(day)) == state:
        yield Problem(
            "date-after-retired",
            f"Cylinder {master.name} was {state} before {day}.",
            f"Check which cylinder it was; if it came back, say so first: {_back(master, state)}.",
        )


def _day_before(day: str) -> str:
    return (date.fromisoformat(day) - timedelta(days=1)).isoformat()


def _back(cylinder: Master, state: str) -> str:
    """The command that takes a cylinder back into use, after a state that ended it or not."""
    if state == "stolen":
        return f"tarebook found {quoted(cylinder.name)} --at PLACE"
    why = "" if state == "returned" else ' --because "REASON"'
    return _in_service(cylinder) + why


def _in_service(cylinder: Master) -> str:
    name = quoted(cylinder.name)
    return f'tarebook change cylinder {name} --state "in service" --from DAY'


def certification_problems(known: Known, draft: Draft, circuit: str, refrigerant: str) -> Found:
    """The technician's card on the day against what the circuit needs (40 CFR 82.161).

    An apprentice is exempt while closely supervised by a technician with the right card.
    """
    person = known.master("person", draft.person) if draft.person else None
    unit = known.master("circuit", circuit)
    if person is None or unit is None or person.provisional:
        return
    low = known.pressure_class(refrigerant or unit.text("refrigerant")) == "low"
    need = "I" if unit.text("small") == "yes" else "III" if low else "II"
    kind = _card(person, draft.occurred_on)
    if _covers(kind, need):
        return
    supervisor = known.master("person", draft.supervisor) if draft.supervisor else None
    if kind == "apprentice" and supervisor and _covers(_card(supervisor, draft.occurred_on), need):
        return
    has = f"card type {kind}" if kind and kind != "none" else "no certification on record"
    yield Problem(
        "no-certification",
        f"{person.name} has {has} on {draft.occurred_on}; {circuit} needs type {need} or"
        " Universal.",
        f"Record the card (tarebook change person {quoted(person.name)} --certification ..."
        " --from DAY), or name who did it; an apprentice is named with --supervised-by.",
    )


def _card(person: Master, day: str) -> str:
    held = person.at("certification", day)
    return str(held.get("type", "")) if isinstance(held, dict) else ""


def _covers(kind: str, need: str) -> bool:
    return kind == "Universal" or need in kind.split("+")


def quoted(name: str) -> str:
    """A name as it is typed in a command line."""
    return f'"{name}"' if " " in name else name


def _identity(draft: Draft, move: Movement, circuit: Master | None, sides: list[Side]) -> Found:
    day = draft.occurred_on
    for side in sides:
        cylinder, name = side.cylinder, side.cylinder.name
        if cylinder.text("kind") == "other gas":
            yield Problem(
                "not-refrigerant",
                f"Cylinder {name} holds {cylinder.text('gas') or 'another gas'}, not refrigerant.",
                "Name the refrigerant cylinder.",
            )
        if cylinder.at("state", day) == "quarantined" and move.purpose not in LEAVES_FOR_GOOD:
            why = cylinder.text("state because", day)
            yield Problem(
                "cylinder-quarantined",
                f"Cylinder {name} is in quarantine{f' ({why})' if why else ''}.",
                f"Use another cylinder, or end the quarantine: {_in_service(cylinder)}.",
            )
        if side.sign > 0:
            yield from _filling(side, move, day)
            yield from _other_stock(side, move)
        yield from _same_refrigerant(side, move, day)
    in_it = circuit.at("refrigerant", day) if circuit else None
    if circuit and in_it and in_it not in (UNKNOWN, move.refrigerant):
        yield Problem(
            "wrong-refrigerant",
            f"{circuit.name} is recorded with {in_it} on {day}, the movement says"
            f" {move.refrigerant}.",
            "Check the circuit and the cylinder; after a retrofit, record the circuit's new"
            " refrigerant first.",
        )


def _filling(side: Side, move: Movement, day: str) -> Found:
    cylinder = side.cylinder
    if cylinder.text("kind") == "disposable" and move.purpose not in GIVES_STOCK:
        yield Problem(
            "disposable-recovery",
            f"Cylinder {cylinder.name} is a disposable: never refill or recover into it.",
            "Use a recovery or refillable cylinder (49 U.S.C. 5124; 49 CFR 178.65).",
        )
    elif cylinder.text("kind") == "disposable" and move.purpose in FIRST_FILL:
        earlier = [line for line in side.contents.lines
                   if line.change > 0 and line.stock in ("virgin", "reclaimed")]  # fmt: skip
        if earlier:
            yield Problem(
                "disposable-recovery",
                f"Cylinder {cylinder.name} is a disposable that was filled once (entry"
                f" {earlier[0].entry}).",
                "Check its name, or whether this is in the book already.",
            )
    if move.purpose not in GIVES_STOCK:
        yield from filling_problems(cylinder, day)


def _other_stock(side: Side, move: Movement) -> Found:
    """Clean stock is not spoiled by another kind; what is recovered already takes anything."""
    held = side.before
    kept = held.total > 0 and held.stock in ("virgin", "reclaimed")
    if not kept or move.stock in (held.stock, "", UNKNOWN) or move.purpose not in PUTS_TOGETHER:
        return
    if side.cylinder.text("kind") != "disposable":
        yield Problem(
            "stock-mixed",
            f"Cylinder {side.cylinder.name} holds {pounds(held.total)} lb of {held.stock}"
            f" {held.refrigerant}; {move.stock} refrigerant would make all of it recovered.",
            "Use a recovery cylinder, or one of that kind of stock.",
        )


def _same_refrigerant(side: Side, move: Movement, day: str) -> Found:
    cylinder, sign = side.cylinder, side.sign
    assigned = cylinder.at("refrigerant", day) or cylinder.now("refrigerant")
    held = side.before.refrigerant if side.before.total > 0 else assigned
    if sign > 0 and (not held or held in (UNKNOWN, move.refrigerant)):
        held = side.contents.mixed_by(side.seen)
    if not held or held in (UNKNOWN, move.refrigerant):
        return
    if sign > 0:
        yield Problem(
            "second-refrigerant",
            f"Cylinder {cylinder.name} is {held}; {move.refrigerant} would mix it.",
            "Use a cylinder of that refrigerant, or a clean evacuated one.",
        )
    elif held != MIXED:
        yield Problem(
            "wrong-refrigerant",
            f"Cylinder {cylinder.name} is {held}, the movement says {move.refrigerant}.",
            "Check which cylinder was used.",
        )


def _ownership(known: Known, draft: Draft, move: Movement, sides: list[Side]) -> Found:
    if move.purpose != "addition" or not sides or sides[0].sign > 0:
        return
    holding = sides[0].before
    if holding.total <= 0 or holding.stock != "recovered":
        return
    circuit = circuit_of(move)
    owner = owner_of(known, circuit, draft.occurred_on)
    if holding.owner == SHARED:
        yield Problem(
            "recovered-not-stock",
            f"Cylinder {move.source[9:]} holds recovered refrigerant of several owners.",
            "It can only go to a certified reclaimer (40 CFR 82.154(d)).",
        )
    elif not holding.owner or holding.owner != owner:
        whose = holding.owner or "an owner not on record"
        yield Problem(
            "other-owner",
            f"Cylinder {move.source[9:]} holds refrigerant recovered for {whose}; {circuit}"
            f" belongs to {owner or 'an owner not on record'}.",
            "Same owner only, else reclaim (40 CFR 82.154(d)).",
        )


def owner_of(known: Known, circuit: str, day: str) -> str:
    """The owner or operator of a circuit's unit on a day, by unit, else by site."""
    master = known.master("circuit", circuit)
    unit = known.master("unit", master.text("unit")) if master else None
    if unit is None:
        return ""
    if owner := unit.text("owner", day):
        return owner
    site = known.master("site", unit.text("site", day))
    return site.text("owner", day) if site else ""


def _pounds(known: Known, move: Movement, sides: list[Side]) -> Found:
    if not 0 < move.mass.mass <= LARGEST_MOVEMENT:
        return
    for side in sides:
        sign, cylinder, name = side.sign, side.cylinder, side.cylinder.name
        if move.evidence is not None and (sign < 0 or not move.source.startswith("cylinder:")):
            how = move.evidence
            yield from _lighter_than_empty(cylinder, (how.before, how.after, *how.readings))
        if sign < 0:
            lowest = side.contents.lowest_with(side.seen)
            counts = not cylinder.provisional and cylinder.text("kind") != "other gas"
            if lowest < 0 and counts:
                held = side.before.total
                later = " later on" if held >= move.mass.mass else ""
                yield Problem(
                    "cylinder-short",
                    f"Cylinder {name} held {pounds(held)} lb by the book on {side.seen.day};"
                    f" taking {move.mass.written} leaves it {pounds(-lowest)} lb below"
                    f" nothing{later}.",
                    "Check the cylinder and the amount, or record what is not in the book yet.",
                )
        else:
            yield from fill_problems(known, side, move)


def _beyond_full_charge(circuit: Master, move: Movement, day: str) -> Found:
    """A quarter more than a full charge at once is a slip of the key, or another unit."""
    ends = full_charge_ends(circuit.at("full charge", day))
    if ends is not None and 5 * ends[1] < 4 * move.mass.mass <= 4 * LARGEST_MOVEMENT:
        yield Problem(
            "above-full-charge",
            f"{move.mass.written} is more than 125 % of the full charge of {circuit.name}"
            f" ({pounds(ends[1])} lb).",
            "Check the amount and the unit; where the full charge is wrong, put that right first:"
            f" tarebook mend {'circuit' if '/' in circuit.name else 'unit'}"
            f" {quoted(circuit.name)} --full-charge WEIGHT.",
        )


def join_problems(known: Known, fact: Joined) -> Found:
    """Two records can be one only if they are two, and nothing is below nothing together."""
    if folded(fact.name) == folded(fact.kept):
        yield Problem(
            "same-holder",
            f"Both names are the one {fact.kind} {fact.kept}.",
            "Name two records that are still apart.",
        )
    elif fact.kind == "cylinder":
        kept = known.master("cylinder", fact.kept)
        lines = [*known.contents(fact.name).lines, *known.contents(fact.kept).lines]
        lowest = Contents.of(lines).lowest_without(set())
        if lowest < 0 and kept is not None and not kept.provisional:
            yield Problem(
                "cylinder-short",
                f"Together, cylinders {fact.name} and {fact.kept} would have held"
                f" {pounds(-lowest)} lb less than was taken from them.",
                "Record what was put into them first.",
            )


def weighing_problems(known: Known, weighing: Weighing) -> Found:
    """A weight that no cylinder, or not this one, can have."""
    if weighing.gross.mass > LARGEST_MOVEMENT:
        yield _absurd(weighing.gross)
    cylinder = known.master("cylinder", weighing.cylinder)
    if cylinder is not None:
        yield from _lighter_than_empty(cylinder, (weighing.gross,))


def check_weight_problems(check: CheckWeight) -> Found:
    """A check weight, or a reading of it, that cannot be."""
    for what, one in (("check weight", check.weight), ("reading", check.reading)):
        if one.mass <= 0:
            yield Problem(
                "amount-not-positive",
                f"The {what} is {one.written}.",
                "Give the mass marked on the weight and what the scale showed with it.",
            )
        elif one.mass > LARGEST_MOVEMENT:
            yield _absurd(one)


def _lighter_than_empty(cylinder: Master, readings: tuple[Quantity | None, ...]) -> Found:
    name = cylinder.name
    tares = [tare[0] for field in ("stamped tare", "measured tare")
             if isinstance(tare := cylinder.now(field), list)]  # fmt: skip
    for reading in readings:
        # Cylinders a tenth lighter than stamped are met in practice; more is another weight.
        if reading is not None and tares and 10 * reading.mass < 9 * min(tares):
            yield Problem(
                "gross-below-tare",
                f"Cylinder {name} weighs {pounds(min(tares))} lb empty by the book and"
                f" {reading.written} by this reading.",
                "Give the gross weight, cylinder included; where the tare is wrong, mend it:"
                f" tarebook mend cylinder {quoted(name)} --stamped-tare WEIGHT.",
            )
            return
