"""What a write leads to, told right after it: leak rate, room, holdings, cautions."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import typer

from ledger.facts.checks import circuit_of, cylinders_of
from ledger.facts.contents import MIXED, SHARED
from ledger.facts.facts import Attempt, Movement, UnknownAddition, Weighing
from ledger.facts.fill_guard import FILLED_HERE
from ledger.facts.mass import pounds
from ledger.reports.words import counted

if TYPE_CHECKING:
    from ledger.answers.leak_result import Rate
    from ledger.book.record import Outcome, Recorder
    from ledger.facts.entry import Entry


def tell_charge(recorder: Recorder, outcome: Outcome, explain: bool) -> None:
    """The leak rate an addition led to, in one line a technician understands, and its clocks."""
    from ledger.cli.duties_told import tell_started

    circuits = _circuits(outcome)
    entry = outcome.entry.number if outcome.entry else outcome.already
    for circuit in circuits:
        for rate in rates_of(recorder, circuit):
            exempt = rate.skipped and rate.on.isoformat() == outcome.draft.occurred_on
            if entry in rate.entries or exempt:
                typer.echo(rate_line(circuit, rate))
                _notes(rate)
                if explain:
                    typer.echo("\n".join(rate.working().to_lines()))
                    typer.echo("\n".join(rate.working(rate.other_method).to_lines()))
    tell_started(recorder, outcome)
    tell_cylinders(recorder, outcome)
    _caution_charge(recorder, outcome)


def rates_of(recorder: Recorder, circuit: str) -> list[Rate]:
    """Every rate of one circuit, as it stands with what was just recorded."""
    from ledger.answers.leak_rate import rates
    from ledger.book.cut import Cut
    from ledger.book.reading import circuit_history_for
    from ledger.book.readings import overrides_of
    from ledger.law.for_rates import law_for_rates

    recorder.writer.flush()
    history = circuit_history_for(recorder.writer, Cut(), circuit)
    law = law_for_rates(overrides_of(recorder.writer, Cut()))
    return rates(history, law) if history else []


def rate_line(circuit: str, rate: Rate) -> str:
    """One rate in one line: the figure, what it rests on, the trigger and the day it is due."""
    where = f"{circuit}, {rate.on.isoformat()}"
    part = f"40 CFR {'82.157' if rate.subpart == '82' else '84.106'}"
    if rate.skipped:
        return f"Leak rate of {where}: {rate.text()}."
    if rate.cannot:
        return f"Leak rate of {where}: {rate.text()}{f' ({part})' if rate.required else ''}."
    charge = rate.full_charge
    of_charge = f" of {pounds(int(charge), 1)} lb" if charge is not None else ""
    if rate.method == "annualizing":
        rests = f"{pounds(rate.annual_pounds)} lb{of_charge} in {counted(rate.days, 'day')}"
    else:
        start = date.fromordinal(rate.window_start).isoformat()
        rests = f"{pounds(rate.window_pounds)} lb{of_charge} since {start}"
    line = f"Leak rate of {where}: {rate.text()} a year ({rate.method}: {rests})"
    line += f"; {rate.other_method} {rate.text(rate.other_method)}"
    if not rate.required:
        return line + ". No federal rule asks for it."
    verdict = {True: "over", False: "not over", None: "not compared with"}[rate.over]
    line += f". {verdict.capitalize()} {rate.trigger} % ({part})" if rate.trigger else f". {part}"
    if rate.repair_by:
        line += (
            f"; repair and initial test due by {rate.repair_by.isoformat()}"
            f" ({rate.repair_by_shutdown} where a process shutdown is needed)"
        )
    return line + "."


def _notes(rate: Rate) -> None:
    for note in rate.notes:
        typer.echo(f"  Note: {note.sentence}")


def _circuits(outcome: Outcome) -> list[str]:
    found: dict[str, None] = {}
    for fact in outcome.draft.facts:
        if isinstance(fact, Movement):
            if name := circuit_of(fact):
                found[name] = None
        elif isinstance(fact, (UnknownAddition, Attempt)):
            found[fact.circuit] = None
    return list(found)


def tell_cylinders(recorder: Recorder, outcome: Outcome) -> None:
    """What each cylinder of the movement holds now by the book."""
    if outcome.already:
        return
    names = {
        name: None
        for fact in outcome.draft.facts
        if isinstance(fact, Movement)
        for name, _ in cylinders_of(fact)
    }
    for name in names:
        holding = recorder.known.contents(name).latest
        what = f" {holding.stock}" if holding.stock not in ("", "virgin", "unknown") else ""
        whose = f", owner {holding.owner}" if holding.owner else ""
        refrigerant = f" {holding.refrigerant}" if holding.refrigerant else ""
        if holding.refrigerant == MIXED:
            refrigerant = " mixed refrigerant"
        typer.echo(
            f"Cylinder {name} now holds {pounds(holding.total)} lb{what}{refrigerant}"
            f" by the book{whose}."
        )
        if holding.owner == SHARED and holding.total > 0:
            typer.echo(
                f"Cylinder {name} holds refrigerant of several owners: only to a certified"
                " reclaimer (40 CFR 82.154(d))."
            )


def tell_recovery(recorder: Recorder, outcome: Outcome) -> None:
    """What the recovery cylinder holds, whose it is, and the caution of the moment.

    Where it is set off against an addition of the same event, the rate that leads to.
    """
    for circuit in _circuits(outcome):
        for rate in rates_of(recorder, circuit):
            if rate.on.isoformat() == outcome.draft.occurred_on:
                typer.echo(f"Now: {rate_line(circuit, rate)}")
    tell_cylinders(recorder, outcome)
    _nobody(outcome)
    tell_room(recorder, outcome)
    _caution_flammable(recorder, outcome)


def tell_room(recorder: Recorder, outcome: Outcome) -> None:
    """The room left in each cylinder that was filled, with the usual caution, in one line."""
    from ledger.book.cut import Cut
    from ledger.book.rooms import room_of

    filled = {
        name: None
        for fact in outcome.draft.facts
        if isinstance(fact, Movement) and fact.purpose in FILLED_HERE
        for name, sign in cylinders_of(fact)
        if sign > 0
    }
    recorder.writer.flush()
    for name in filled:
        if (cylinder := recorder.known.master("cylinder", name)) is None:
            continue
        room = room_of(recorder.writer, recorder.known, Cut(), cylinder)
        typer.echo(f"{room.line()}{_caution_full(room.left)}")


def _caution_full(left: int | None) -> str:
    if left is None:
        return ""
    if left < 0:
        return " Caution: move that out before it warms; a full cylinder bursts (49 CFR 173.304a)."
    return (
        " Caution: liquid expands as it warms, and a full cylinder bursts; less for oily or unknown"
        " contents (49 CFR 173.304a)."
    )


def _nobody(outcome: Outcome) -> None:
    """Work at a circuit that nobody is named for: no card can be looked at."""
    at_circuit = any(
        isinstance(fact, Movement) and fact.purpose in ("addition", "recovery")
        for fact in outcome.draft.facts
    )
    if at_circuit and not outcome.draft.person and not outcome.already:
        typer.echo("Nobody is named (--by), so no certification could be checked: a gap.")


def _caution_charge(recorder: Recorder, outcome: Outcome) -> None:
    _nobody(outcome)
    if any(
        isinstance(fact, Movement) and fact.purpose == "addition" for fact in outcome.draft.facts
    ):
        typer.echo("Caution: liquid causes frostbite; gloves and eye protection, ventilate.")
    _caution_flammable(recorder, outcome)


def _caution_flammable(recorder: Recorder, outcome: Outcome) -> None:
    for fact in outcome.draft.facts:
        if isinstance(fact, Movement) and recorder.known.flammable(fact.refrigerant):
            typer.echo(
                f"Caution: {fact.refrigerant} is flammable: rated equipment, ventilate, no"
                " ignition, purge before brazing (ASHRAE 15 and 34)."
            )
            return


def tell_weighing(recorder: Recorder, outcome: Outcome) -> None:
    """Net by the scale beside the book figure, and the difference in neutral words."""
    for fact in outcome.draft.facts:
        if not isinstance(fact, Weighing):
            continue
        cylinder = recorder.known.master("cylinder", fact.cylinder)
        tare = None
        if cylinder is not None:
            measured = cylinder.at("measured tare", outcome.draft.occurred_on)
            tare = measured if isinstance(measured, list) else cylinder.now("stamped tare")
        book = recorder.known.contents(fact.cylinder).at(outcome.draft.occurred_on).total
        if not isinstance(tare, list):
            typer.echo(f"Book {pounds(book)} lb; the tare is not in the book, so no net by scale.")
            continue
        net = fact.gross.mass - int(tare[0])
        typer.echo(
            f"Net by scale {pounds(net)} lb (tare {tare[1]}), book {pounds(book)} lb, difference"
            f" {pounds(net - book)} lb."
        )


def tell_twice(recorder: Recorder, outcome: Outcome, dry_run: bool) -> None:
    """One line where what was typed looks like an entry that is there already."""
    from ledger.intake.jobs import typed_twice

    if line := typed_twice(recorder, outcome, dry_run):
        typer.echo(line)


def tell_correction(recorder: Recorder, outcome: Outcome, target: Entry) -> None:
    """What a correction changes: the latest rate of every circuit it touched."""
    circuits = {
        name: None
        for fact in (*target.facts(), *outcome.draft.facts)
        if isinstance(fact, Movement) and (name := circuit_of(fact))
    }
    for circuit in circuits:
        tell_latest(recorder, circuit)
    tell_cylinders(recorder, outcome)


def tell_latest(recorder: Recorder, circuit: str) -> None:
    """The latest rate of a circuit as it stands now, where there is one."""
    master = recorder.known.master("circuit", circuit)
    if master is not None and (found := rates_of(recorder, master.name)):
        typer.echo(f"Latest now: {rate_line(master.name, found[-1])}")
