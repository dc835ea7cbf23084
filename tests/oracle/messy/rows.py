"""Writes one true movement as one row of a table, plainly or with one mess in it."""

from __future__ import annotations

import random
from dataclasses import dataclass, replace

from tests.oracle.messy.amounts import Written, doubtful_cell, sure_cell, worked_out
from tests.oracle.messy.days import doubtful_day, sure_day
from tests.oracle.messy.names import (
    cylinder_cell,
    doubtful_refrigerant,
    doubtful_unit,
    person_cell,
    sure_refrigerant,
    sure_unit,
)
from tests.oracle.messy.paper import (
    ADDED,
    CERTAIN,
    NOTHING,
    WRONG,
    Cell,
    Heading,
    Job,
    Line,
    Says,
    Shop,
    Truth,
)

PLAIN = "plain"
_ACTIONS = {
    "added": ("Added", "added", "charged", "Charge", "topped off"),
    "recovered": ("Recovered", "recovered", "Rec", "pulled out", "removed"),
}
_NO_POUNDS = ("n/a", "N/A", "-", "none", "0", "", "0 - flat", "leak check only")
_NOTES = ("", "", "", "low on charge", "customer on site", "see ticket", "5 lb nitrogen test",
          "used new hose", "filter changed")  # fmt: skip


@dataclass(slots=True)
class Pen:
    """Who writes: the seed, the shop, the columns, and whether the file holds text only."""

    rng: random.Random
    shop: Shop
    columns: list[Heading]
    text_only: bool

    def has(self, *meanings: str) -> bool:
        """Whether the table has all these columns."""
        return set(meanings) <= {one.meaning for one in self.columns}

    def unit_of_amounts(self) -> str:
        """The unit that the heading of the amounts names; pounds where it names none."""
        return next((one.unit for one in self.columns if one.unit), "lb")

    def line(self, values: dict[str, Cell], truth: Truth) -> Line:
        """A row of the table with these values by meaning."""
        return Line([values.get(one.meaning) for one in self.columns], truth)


def plain_row(pen: Pen, job: Job) -> Line:
    """A row in which everything is sure, in whatever spelling."""
    values, truth = _sure(pen, job)
    return pen.line(values, truth)


def messy_row(pen: Pen, job: Job) -> Line:
    """A row with one thing in it that is in doubt, contradicts something, or is no record."""
    values, truth = _sure(pen, job)
    turns = [_mess_in_day, _mess_in_unit]
    if pen.has("refrigerant"):
        turns.append(_mess_in_refrigerant)
    if pen.has("gross before"):
        turns.append(_weights_reversed)
    elif pen.unit_of_amounts() == "lb":
        turns += [_mess_in_amount, _mess_in_amount, _mess_in_amount, _no_pounds]
    values, truth = pen.rng.choice(turns)(pen, job, values, truth)
    return pen.line(values, truth)


def _sure(pen: Pen, job: Job) -> tuple[dict[str, Cell], Truth]:
    rng = pen.rng
    day = sure_day(rng, job.day, pen.text_only)
    spelling, unit = sure_unit(rng, job)
    kinds = [day.kind if day.kind in ("serial number", "date with time") else "", spelling]
    values: dict[str, Cell] = {
        "date": day.cell, "site": job.site, "unit": unit,
        "refrigerant": sure_refrigerant(rng, job.refrigerant), "ticket": job.ticket or None,
        "note": rng.choice(_NOTES) or None,
    }  # fmt: skip
    cylinders: tuple[str, ...] = (job.cylinder, "")
    if pen.has("cylinder"):
        named = cylinder_cell(rng, job.cylinder)
        values["cylinder"], cylinders = named.cell, named.names
        kinds.append("" if named.kind == PLAIN else named.kind)
    if pen.has("technician"):
        person = next(one for one in pen.shop.people if one.name == job.person)
        kind, values["technician"] = person_cell(rng, person)
        kinds.append(kind)
    kinds.append(_put_amount(pen, job, values))
    says = Says(
        job.number, job.direction, (job.day,), (job.circuit,), (job.refrigerant,),
        (job.amount.grams,), cylinders,
    )  # fmt: skip
    return values, Truth(next((one for one in kinds if one), PLAIN), CERTAIN, (says,))


def _put_amount(pen: Pen, job: Job, values: dict[str, Cell]) -> str:
    """Put the amount where the table has a place for it; the name of its spelling."""
    rng = pen.rng
    if pen.has("action"):
        values["action"] = rng.choice(_ACTIONS[job.direction])
    if pen.has("gross before"):
        return _weighed(pen, job, values)
    kind, cell = sure_cell(rng, job.amount, pen.unit_of_amounts(), pen.text_only)
    formula = worked_out(rng, job.amount)
    if formula and not pen.text_only and pen.unit_of_amounts() == "lb" and rng.random() < 0.1:
        kind, cell = formula.kind, formula.cell
    values[place_of_amount(pen, job.direction)] = cell
    return "" if kind in ("number", "bare text") else kind


def place_of_amount(pen: Pen, direction: str) -> str:
    """The meaning of the column in which an amount of this direction stands."""
    return "amount" if pen.has("amount") else direction


def _weighed(pen: Pen, job: Job, values: dict[str, Cell]) -> str:
    """The gross weights before and after, in the unit of the amount, exact to the hundredth."""
    first, second = weights(pen.rng, job)
    values["gross before"], values["gross after"] = first, second
    return "weights before and after"


def weights(rng: random.Random, job: Job) -> tuple[str, str]:
    """Two gross weights whose difference is the amount exactly."""
    amount, suffix = job.amount, ""
    if amount.style == "gram":
        base = 20_000 + 10 * rng.randint(0, 900)
        low, high, suffix = str(base), str(base + amount.whole), " g"
    elif amount.style == "ounce":
        base = 16 * rng.randint(30, 60) + rng.randint(0, 15)
        more = base + 16 * amount.whole + amount.part
        low, high = (f"{one // 16} lb {one % 16} oz" for one in (base, more))
    else:
        scale = 100 if amount.style == "hundredth" else 10
        base = scale * rng.randint(30, 60) + rng.randint(0, scale - 1)
        more = base + scale * amount.whole + amount.part
        places = 2 if scale == 100 else 1
        low, high = (f"{one // scale}.{one % scale:0{places}d}" for one in (base, more))
        suffix = " kg" if amount.style == "kilo" else ""
    low, high = low + suffix, high + suffix
    return (high, low) if job.direction == ADDED else (low, high)


# --- one mess each -----------------------------------------------------------------------
Put = tuple[dict[str, Cell], Truth]


def _with(truth: Truth, kind: str, sure: str, doubt: str, flag_ok: bool, **parts: object) -> Truth:
    says = tuple(replace(one, **parts) for one in truth.says)  # type: ignore[arg-type]
    return Truth(kind, sure, says, doubt, flag_ok)


def _mess_in_day(pen: Pen, job: Job, values: dict[str, Cell], truth: Truth) -> Put:
    found = doubtful_day(pen.rng, job.day)
    values["date"] = found.cell
    return values, _with(truth, found.kind, found.sure, "day", found.flag_ok, days=found.days)


def _mess_in_unit(pen: Pen, job: Job, values: dict[str, Cell], truth: Truth) -> Put:
    found = doubtful_unit(pen.rng, pen.shop, job)
    if found.kind == "unit of another site" and not pen.has("site"):
        # Without its site nothing on the row shows the slip, so it is not written there.
        return values, truth
    values["unit"] = found.cell
    parts: dict[str, object] = {"circuits": found.names}
    if not pen.has("refrigerant"):
        parts["refrigerants"] = (job.refrigerant, "unknown")
    return values, _with(truth, found.kind, found.sure, "circuit", found.flag_ok, **parts)


def _mess_in_refrigerant(pen: Pen, job: Job, values: dict[str, Cell], truth: Truth) -> Put:
    found = doubtful_refrigerant(pen.rng, job)
    values["refrigerant"] = found.cell
    return values, _with(
        truth, found.kind, found.sure, "refrigerant", found.flag_ok, refrigerants=found.names
    )


def _mess_in_amount(pen: Pen, job: Job, values: dict[str, Cell], truth: Truth) -> Put:
    unit = next(one for one in pen.shop.units if one.circuit == job.circuit)
    found = doubtful_cell(pen.rng, job.amount, unit.full_charge)
    if pen.text_only and not isinstance(found.cell, str):
        return values, truth
    return put_written(pen, job, values, truth, found)


def put_written(pen: Pen, job: Job, values: dict[str, Cell], truth: Truth, found: Written) -> Put:
    """The row with this spelling of its amount, and the truth about it."""
    values[place_of_amount(pen, job.direction)] = found.cell
    return values, _with(truth, found.kind, found.sure, "pounds", found.flag_ok, grams=found.grams)


def _weights_reversed(pen: Pen, job: Job, values: dict[str, Cell], truth: Truth) -> Put:
    values["gross before"], values["gross after"] = values["gross after"], values["gross before"]
    return values, _with(truth, "weights the wrong way round", WRONG, "pounds", True)


def _no_pounds(pen: Pen, job: Job, values: dict[str, Cell], truth: Truth) -> Put:
    """A visit without pounds: the movement itself is on no paper of the shop."""
    text = pen.rng.choice(_NO_POUNDS)
    values[place_of_amount(pen, job.direction)] = text or None
    return values, Truth("visit without pounds", NOTHING)
