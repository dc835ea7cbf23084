"""Makes a movement of each frame of a message, or the questions that keep it from being one."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import islice

from ledger.facts.facts import Evidence
from ledger.facts.mass import NOTHING, Mass, Quantity
from ledger.facts.masters import UNKNOWN
from ledger.facts.problems import Problem
from ledger.facts.weights import IN, net_of
from ledger.facts.weights import OUT as OUT_OF
from ledger.intake.text_frames import Frame, Named
from ledger.intake.text_heard import Move, Question
from ledger.intake.text_names import Names
from ledger.intake.text_pieces import (
    AND,
    BREAK,
    CYLINDER,
    NUMBER,
    REFRIGERANT,
    SITE,
    SOURCE,
    TARGET,
    UNCLEAR,
    UNIT,
    Piece,
    has_number,
)
from ledger.intake.text_weights import Gross
from ledger.intake.text_words import EITHER, INTO, OUT, VERBS
from ledger.refrigerants.spelling import Unclear as UnclearName
from ledger.refrigerants.spelling import recognise

_MOST_OFFERED = 9
CHARGE, RECOVER, TRANSFER = "charge", "recover", "transfer"


def ask(kind: str, about: str, code: str, sentence: str, remedy: str, *choices: str) -> Question:
    """A question."""
    return Question(kind, about, Problem(code, sentence, remedy, choices=choices))


@dataclass(slots=True)
class Judge:
    """Judges the frames of one message, in order; later ones inherit what was said before."""

    names: Names
    day: str
    sites: list[str] = field(default_factory=list)
    every_unit: list[str] = field(default_factory=list)
    unit: list[Named] = field(default_factory=list)
    letters: list[Piece] = field(default_factory=list)
    verb: str = ""

    def units_named(self, pieces: list[Piece]) -> None:
        """Take note of every unit and site that the message names anywhere."""
        self.sites = list(dict.fromkeys(one.value for one in pieces if one.kind == SITE))
        self.every_unit = list(dict.fromkeys(one.value for one in pieces if one.kind == UNIT))

    def judged(self, frames: list[Frame]) -> Iterator[Move | Question]:
        """The movements and the questions of the frames."""
        moving = [frame for frame in frames if frame.told or frame.cylinders]
        spare = set(self.every_unit) - {one.name for frame in moving for one in frame.units}
        for frame in frames:
            if frame not in moving:
                self.unit, self.letters = frame.units or self.unit, frame.letters or self.letters
                continue
            yield from self._frame(frame, bool(spare))

    def _frame(self, frame: Frame, spare: bool) -> Iterator[Move | Question]:
        together = frame.together
        if not frame.units:
            frame.units = [Named(one.name, one.text) for one in self.unit]
            frame.letters = frame.letters or self.letters
        else:
            self.unit, self.letters = frame.units, frame.letters
        verb = frame.verbs[0].value if frame.verbs else ""
        if not frame.verbs and not frame.work and frame.after not in ("", BREAK):
            verb = self.verb
        self.verb = verb or self.verb
        if spare and not together and frame.units:
            yield ask("unit", frame.units[0].text, "field-missing",
                      f"Which unit is meant: {', '.join(self.every_unit)}?",
                      "Name it beside the amount.", *self.every_unit)  # fmt: skip
            return
        yield from self._movement(frame, verb)

    def _movement(self, frame: Frame, verb: str) -> Iterator[Move | Question]:
        if len(frame.cylinders) == 2 and not frame.verbs[1:] and not frame.units:
            sides = {one.side: one.name for one in frame.cylinders}
            if set(sides) == {SOURCE, TARGET} and VERBS.get(verb, EITHER) == EITHER:
                yield from self._transfer(frame, sides[SOURCE], sides[TARGET])
                return
        way = self._way(frame, verb)
        questions = [
            *self._which(frame, way), *([way] if isinstance(way, Question) else []),
        ]  # fmt: skip
        circuit = self._circuit(frame, questions)
        cylinder = frame.cylinders[0].name if len(frame.cylinders) == 1 else ""
        zero = way == OUT and self._nothing_came(frame)
        weighed = self._pounds(frame, way, cylinder, zero, questions)
        refrigerant = self._refrigerant(frame, way, circuit, cylinder, questions)
        if not cylinder and not frame.cylinders and not zero and not isinstance(way, Question):
            questions.append(self._no_cylinder(way, refrigerant))
        yield from questions
        if questions or weighed is None:
            return
        net, evidence = weighed
        yield Move(
            CHARGE if way == INTO else RECOVER, circuit, cylinder, refrigerant, net, evidence
        )

    # -- which way -------------------------------------------------------------------------

    def _way(self, frame: Frame, verb: str) -> str | Question:
        """Into the unit or out of it, by the verb and the words before the names."""
        unit = frame.units[0].side if frame.units else ""
        cylinder = frame.cylinders[0].side if frame.cylinders else ""
        into = unit == TARGET or cylinder == SOURCE
        out = unit == SOURCE or cylinder == TARGET
        said = VERBS.get(verb, EITHER)
        named = frame.units[0].text if frame.units else ""
        if (into and out) or (said == INTO and out) or (said == OUT and into):
            return ask("verb", verb or named, "value-unclear",
                       "Which way the refrigerant went is said two ways.",
                       'Write it like "added 2 lb to RTU-3 from 410-017".')  # fmt: skip
        if said != EITHER:
            return said
        if (into or out) and not (not verb and frame.work):
            return INTO if into else OUT
        return ask("verb", verb or named, "field-missing",
                   "What was done with the refrigerant is not said.",
                   "Write added or recovered.", "added", "recovered")  # fmt: skip

    def _which(self, frame: Frame, way: str | Question) -> list[Question]:
        """Questions about two things where one is wanted."""
        found = []
        if len(frame.units) > 1:
            named = [one.text for one in frame.units]
            found.append(ask("unit", named[1], "value-unclear",
                             f"Several units are named for one movement: {', '.join(named)}.",
                             "Tell each movement by itself."))  # fmt: skip
        if len(frame.cylinders) > 1:
            named = [one.text for one in frame.cylinders]
            found.append(ask("cylinder", named[1], "value-unclear",
                             f"Several cylinders are named for one movement: {', '.join(named)}.",
                             "Say how much came from each."))  # fmt: skip
        if len(frame.verbs) > 1:
            found.append(ask("verb", frame.verbs[1].text, "value-unclear",
                             "Two things are done in one breath.",
                             "Part them by a comma, each with its amount."))  # fmt: skip
        return found

    # -- where -------------------------------------------------------------------------------

    def _circuit(self, frame: Frame, questions: list[Question]) -> str:
        known = self.names.known
        unit = frame.units[0].name if frame.units else self._unit_of_site(questions)
        if not unit:
            return ""
        if self._at_another_site(unit):
            questions.append(ask("unit", unit, "value-unclear",
                                 f"{unit} does not stand at {self.sites[0]} by the book.",
                                 "Check the unit and the site."))  # fmt: skip
        if frame.letters and "/" not in unit:
            name = f"{unit}/{frame.letters[0].value}"
            if (master := known.master("circuit", name)) is not None:
                return master.name
            questions.append(ask("circuit", frame.letters[0].text, "unknown-id",
                                 f"{unit} has no circuit {frame.letters[0].value.upper()}.",
                                 "Check the letter.", *known.circuits_of(unit)))  # fmt: skip
            return ""
        if known.master("unit", unit) is None:
            return unit
        circuits = known.circuits_of(unit)
        if len(circuits) == 1:
            return circuits[0]
        said = f"has {len(circuits)} circuits: {', '.join(circuits)}"
        questions.append(ask("circuit", unit, "circuit-needed",
                             f"{unit} {said if circuits else 'has no circuit in the book'}.",
                             "Name the circuit; each is an appliance of its own.",
                             *circuits))  # fmt: skip
        return ""

    def _unit_of_site(self, questions: list[Question]) -> str:
        at = [unit for site in self.sites for unit in self.names.units_at(site)]
        if len(at) == 1:
            return at[0]
        about = self.sites[0] if self.sites else ""
        where = f" at {about}" if about else ""
        questions.append(ask("unit", about, "field-missing", f"The unit{where} is not named.",
                             "Name the unit.", *at[:_MOST_OFFERED]))  # fmt: skip
        return ""

    def _at_another_site(self, unit: str) -> bool:
        if len(self.sites) != 1:
            return False
        master = self.names.known.master("unit", unit.partition("/")[0])
        return master is not None and master.text("site", self.day) not in ("", self.sites[0])

    # -- how much ------------------------------------------------------------------------------

    def _nothing_came(self, frame: Frame) -> bool:
        if frame.weights:
            return False
        if frame.nothing and not frame.amounts:
            return True
        amounts = [one for one in frame.amounts if one.kind != UNCLEAR]
        return len(amounts) == 1 == len(frame.amounts) and amounts[0].value.mass == NOTHING

    def _pounds(
        self, frame: Frame, way: str | Question, cylinder: str, zero: bool,
        questions: list[Question],
    ) -> tuple[Quantity, Evidence] | None:  # fmt: skip
        """The net with its evidence; questions are added where it is not there or not one."""
        amounts, unclear = self._amounts(frame, questions)
        if unclear:
            return None
        if len(amounts) > 1 or frame.doubtful or (frame.nothing and amounts):
            named = [one.text for one in (*amounts, *frame.doubtful)]
            questions.append(ask("amount", named[-1], "quantity-unclear",
                                 f"More than one amount, or one that may be something else:"
                                 f" {', '.join(dict.fromkeys(named))}.",
                                 "Write the one that was weighed."))  # fmt: skip
            return None
        if zero:
            return Quantity(NOTHING, "0 lb"), Evidence("net")
        net = amounts[0].value if amounts else None
        gross = frame.weights[0] if frame.weights else None
        if net is None and gross is None:
            questions.append(ask("amount", "", "field-missing", "How much is not said.",
                                 "Give the pounds, or the gross weights."))  # fmt: skip
            return None
        if isinstance(way, Question):
            return None
        if net is not None and net.mass == NOTHING:
            questions.append(ask("amount", amounts[0].text, "amount-not-positive",
                                 f'"{amounts[0].text}" is nothing, and nothing was added by it.',
                                 "Write what was put in."))  # fmt: skip
            return None
        return self._weighed(net, gross, OUT_OF if way == INTO else IN, cylinder, questions)

    def _amounts(self, frame: Frame, questions: list[Question]) -> tuple[list[Piece], bool]:
        """The amounts of a frame; figures that are a refrigerant beside an amount are taken so."""
        unclear = any(one.kind == UNCLEAR for one in frame.amounts)
        unclear = unclear or any(gross.unclear for gross in frame.weights)
        figures = [one for one in frame.amounts if one.kind == NUMBER]
        others = [one for one in frame.amounts if one.kind not in (NUMBER, UNCLEAR)]
        with_unit = [one for one in others if not _bare(one.text)]
        for one in figures:
            if len(with_unit) == 1 or (frame.weights and not others):
                one.kind, one.value = REFRIGERANT, recognise(one.text)
                frame.refrigerants.append(one)
            elif not unclear:
                questions.append(ask("amount", one.text, "quantity-unclear",
                                     f'"{one.text}" can be pounds or R-{one.text}.',
                                     f'Write "{one.text} lb" or "R-{one.text}".'))  # fmt: skip
                unclear = True
        return others, unclear

    def _weighed(
        self, net: Quantity | None, gross: Gross | None, direction: int, cylinder: str,
        questions: list[Question],
    ) -> tuple[Quantity, Evidence] | None:  # fmt: skip
        readings = gross.readings if gross else ()
        found = net_of(net, readings, direction)
        if isinstance(found, Problem):
            questions.append(Question("weights", "", found))
            return None
        if gross is None:
            return found
        tare = self._tare(cylinder)
        lowest = min(one.mass for one in readings)
        if tare is not None and lowest < tare:
            written = min(readings, key=lambda one: one.mass).written
            questions.append(ask("weights", written, "gross-below-tare",
                                 f"{written} is less than cylinder {cylinder} weighs empty.",
                                 "Give the gross weights, cylinder and contents."))  # fmt: skip
            return None
        rising = gross.spoken and readings[0].mass < readings[-1].mass
        if not gross.said and net is None and (tare is None or rising):
            questions.append(ask("weights", readings[0].written, "value-unclear",
                                 "The numbers may be gross weights or the pounds of each stage.",
                                 'Write "gross" before them, or the pounds alone.'))  # fmt: skip
            return None
        if len({one.written.split()[-1] for one in readings}) > 1:
            questions.append(ask("weights", readings[-1].written, "value-unclear",
                                 "The weights are in two units.",
                                 "Write the unit behind each."))  # fmt: skip
            return None
        return found

    def _tare(self, cylinder: str) -> Mass | None:
        master = self.names.known.master("cylinder", cylinder) if cylinder else None
        if master is None:
            return None
        for name in ("measured tare", "stamped tare"):
            value = master.at(name, self.day)
            if isinstance(value, list):
                return Mass(int(value[0]))
        return None

    # -- of what, from what --------------------------------------------------------------------

    def _refrigerant(
        self, frame: Frame, way: str | Question, circuit: str, cylinder: str,
        questions: list[Question],
    ) -> str:  # fmt: skip
        """The refrigerant, where message, cylinder and circuit do not speak against each other."""
        inside, held = self._of_circuit(circuit), self._of_cylinder(cylinder)
        said: dict[str, str] = {}
        for piece in frame.refrigerants:
            if isinstance(piece.value, UnclearName):
                likely = [
                    one for one in piece.value.candidates
                    if one == (held or inside) and has_number(one, piece.text)
                ]  # fmt: skip
                if not likely:
                    found = piece.value
                    questions.append(ask("refrigerant", piece.text, "refrigerant-unknown",
                                         f'"{piece.text}": {found.why}', "Write the R-number.",
                                         *found.candidates))  # fmt: skip
                    return ""
                said[likely[0]] = piece.text
            else:
                said[piece.value] = piece.text
        where = {name: f'the message says "{text}"' for name, text in said.items()}
        for name, what in ((held, f"cylinder {cylinder} is {held}"),
                           (inside, f"{circuit} is {inside}")):  # fmt: skip
            if name:
                where.setdefault(name, what)
        if len(where) > 1:
            questions.append(ask("refrigerant", next(iter(said.values()), ""), "wrong-refrigerant",
                                 f"Two refrigerants: {', '.join(where.values())}.",
                                 "Check the cylinder and the unit."))  # fmt: skip
            return ""
        if not where and circuit and (cylinder or way == OUT):
            questions.append(ask("refrigerant", "", "field-missing", "The refrigerant is not known"
                                 " from the message, the cylinder or the circuit.",
                                 "Write the R-number."))  # fmt: skip
        return next(iter(where), "")

    def _of_cylinder(self, name: str) -> str:
        known = self.names.known
        master = known.master("cylinder", name) if name else None
        if master is None:
            return ""
        held = known.contents(master.name).latest.refrigerant or master.now("refrigerant")
        return str(held) if held and held != UNKNOWN else ""

    def _of_circuit(self, name: str) -> str:
        master = self.names.known.master("circuit", name) if name else None
        return master.text("refrigerant", self.day) if master is not None else ""

    def _no_cylinder(self, way: str | Question, refrigerant: str) -> Question:
        side = "it came from" if way == INTO else "it went into"
        held = list(islice(self._assigned_to(refrigerant), _MOST_OFFERED))
        return ask("cylinder", "", "field-missing", f"The cylinder {side} is not named.",
                   "Name it.", *held)  # fmt: skip

    def _assigned_to(self, refrigerant: str) -> Iterator[str]:
        """The cylinders that are meant for a refrigerant; what each holds now is not looked up."""
        for name in self.names.all_of("cylinder") if refrigerant else ():
            master = self.names.known.master("cylinder", name)
            if master is not None and master.now("refrigerant") == refrigerant:
                yield name

    def _transfer(self, frame: Frame, source: str, target: str) -> Iterator[Move | Question]:
        questions: list[Question] = []
        weighed = self._pounds(frame, INTO, source, False, questions)
        refrigerant = self._refrigerant(frame, INTO, "", source, questions)
        held = self._of_cylinder(target)
        if held and refrigerant and held != refrigerant:
            questions.append(ask("refrigerant", target, "wrong-refrigerant",
                                 f"Cylinder {source} is {refrigerant}, {target} is {held}.",
                                 "Check the cylinders."))  # fmt: skip
        yield from questions
        if not questions and weighed is not None:
            yield Move(TRANSFER, "", source, refrigerant, *weighed, target)


def joined_names(pieces: list[Piece]) -> Iterator[Question]:
    """Two units or two cylinders joined by "and": how much is of which is not said."""
    for first, between, second in zip(pieces, pieces[1:], pieces[2:], strict=False):
        if between.kind == AND and first.kind == second.kind and first.kind in (UNIT, CYLINDER):
            yield ask(first.kind, second.text, "value-unclear",
                      f"{first.text} and {second.text} are named together.",
                      "Say how much is of which.")  # fmt: skip


def _bare(text: str) -> bool:
    return all(sign.isdigit() or sign in ".," for sign in text)
