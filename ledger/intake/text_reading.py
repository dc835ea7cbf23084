"""Reads a message as proposed movements, as questions, or as nothing to record; never as a guess.

Every word has to be understood before anything is proposed: what could turn the meaning round is
asked about. Where one question is open nothing of the message is recorded.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from ledger.facts.problems import Problem
from ledger.facts.weights import ounces_echo
from ledger.intake.dates import parse_day
from ledger.intake.fields import typed
from ledger.intake.text_frames import frames_of
from ledger.intake.text_heard import Heard, Question
from ledger.intake.text_judging import Judge, ask, joined_names
from ledger.intake.text_names import Names
from ledger.intake.text_pieces import (
    AMOUNT,
    AND,
    ARROW,
    CYLINDER,
    DAY,
    DID,
    NO_MOVE,
    NO_NAME,
    NUMBER,
    PERSON,
    PLUS,
    READING,
    REFRIGERANT,
    SITE,
    STUFF,
    TICKET,
    TWO,
    UNCLEAR,
    UNIT,
    UNKNOWN,
    VERB,
    WEIGHTS,
    WORD,
    Lexicon,
    Piece,
    pieces,
)
from ledger.intake.text_weights import Gross, with_weights
from ledger.intake.text_words import HINTS
from ledger.intake.unclear import Unclear

LONGEST = 600
"""Characters; a longer message is a report, and is asked for in pieces."""


def hear(message: str, names: Names, today: str, refrigerants: Mapping[str, str]) -> Heard:
    """What a message says; `today` is the ISO day it was sent, in the zone of the shop."""
    heard = Heard(message)
    if len(message) > LONGEST:
        heard.questions.append(_word(message[:40], f"is the beginning of more than {LONGEST}"
                                     " characters", "Send it in pieces."))  # fmt: skip
        return heard
    found = with_weights(pieces(message, Lexicon(names, refrigerants)))
    _take_heading(heard, found, names, today)
    if not _speaks_of_pounds(found):
        return heard
    heard.questions += _open_words(found, names)
    heard.questions += joined_names(found)
    heard.questions += _joined_amounts(found)
    judge = Judge(names, heard.on or today)
    judge.units_named(found)
    for made in judge.judged(frames_of(found)):
        if isinstance(made, Question):
            heard.questions.append(made)
        else:
            heard.moves.append(made)
    _tell_taken(heard, found)
    _settle(heard)
    return heard


def _settle(heard: Heard) -> None:
    """Nothing is proposed beside an open question, and no message passes unread."""
    if not (heard.moves or heard.questions):
        heard.questions.append(ask(
            "verb", "", "field-missing", "No movement of refrigerant was read in this.",
            "Write it like \"RTU-3 added 2.25 lb from 410-017\".",
        ))  # fmt: skip
    asked = {one.about for one in heard.questions if one.kind in ("unit", "cylinder") and one.about}
    unnamed = {
        kind for kind in ("unit", "cylinder")
        if any(one.kind == kind and one.about in asked for one in heard.questions)
    }  # fmt: skip
    heard.questions = [
        one for one in dict.fromkeys(heard.questions)
        if one.about or one.kind not in unnamed or one.problem.code != "field-missing"
    ]  # fmt: skip
    if heard.questions:
        heard.moves = []


def _take_heading(heard: Heard, found: list[Piece], names: Names, today: str) -> None:
    """Day, person and ticket."""
    for kind, what, member in ((TICKET, "tickets", "ticket"), (PERSON, "people", "by")):
        values = list(dict.fromkeys(one.value for one in found if one.kind == kind))
        if len(values) == 1:
            setattr(heard, member, values[0])
        elif values:
            told = "person" if kind == PERSON else "word"
            heard.questions.append(ask(told, values[1], "value-unclear",
                                       f"Several {what} are named: {', '.join(values)}.",
                                       "Name the one."))  # fmt: skip
    _take_day(heard, found, names, today)
    _take_initials(heard, names)


def _tell_taken(heard: Heard, found: list[Piece]) -> None:
    """What each word was taken for, and what only the note keeps."""
    for one in found:
        if one.kind in (READING, DID):
            heard.aside.append(one.text)
        elif meaning := _meaning(one):
            heard.taken.append((one.text, meaning))


def _take_day(heard: Heard, found: list[Piece], names: Names, today: str) -> None:
    order = names.known.setting("reading", "date order") or "mdy"
    days: dict[str, str] = {}
    for one in found:
        if one.kind != DAY:
            continue
        read = parse_day(one.value, order, int(today[:4]))
        if isinstance(read, Unclear):
            heard.questions.append(Question("day", one.text, Problem(
                "date-unclear", read.sentence(), "Write the day like 2026-03-30.",
            )))  # fmt: skip
        else:
            days[read.isoformat()] = one.text
    if len(days) == 1:
        heard.on = next(iter(days))
    elif days:
        heard.questions.append(ask("day", list(days.values())[1], "date-unclear",
                                   f"Two days are named: {', '.join(days.values())}.",
                                   "Send a message for each."))  # fmt: skip


def _take_initials(heard: Heard, names: Names) -> None:
    """Initials stand for the one person who has them."""
    if not heard.by or names.known.master("person", heard.by) is not None:
        return
    letters = heard.by.casefold()
    people = []
    for name in names.all_of("person"):
        master = names.known.master("person", name)
        if master is not None and master.text("initials").casefold() == letters:
            people.append(name)
    if len(people) == 1:
        heard.by = people[0]
        return
    heard.questions.append(ask("person", heard.by, "unknown-id",
                               f'Who "{heard.by}" is, is not in the book.'
                               if not people else f"{', '.join(people)} have these initials.",
                               "Write the name.", *people))  # fmt: skip


def _meaning(one: Piece) -> str:
    """What a piece was taken for, in words; empty where there is nothing to tell."""
    if one.kind in (UNIT, CYLINDER, SITE, PERSON):
        return f"{one.kind} {one.value}"
    if one.kind in (AMOUNT, NUMBER):
        return f"{one.value.written} ({ounces_echo(one.value)})"
    if one.kind == WEIGHTS and isinstance(one.value, Gross):
        return f"gross weights {', '.join(reading.written for reading in one.value.readings)}"
    if one.kind == REFRIGERANT and isinstance(one.value, str):
        return one.value
    if one.kind == VERB:
        return "" if one.value == one.text else str(one.value)
    return ""


def _open_words(found: list[Piece], names: Names) -> list[Question]:
    """Questions about single pieces: unknown words, unknown names, amounts that are none."""
    asked: list[Question] = []
    for place, one in enumerate(found):
        if one.kind in (UNKNOWN, ARROW, NO_MOVE):
            unknown = _word(one.text, "is not understood and may change what is meant",
                            "Say it in other words, or leave it out.")  # fmt: skip
            asked.append(replace(unknown, named=False))
        elif one.kind == STUFF and not _tested_with(found, place):
            asked.append(_word(one.text, "is not refrigerant", "Tell the refrigerant by itself."))
        elif one.kind == TWO:
            kind = one.value[0][0]
            named = [name for _, name in one.value]
            asked.append(ask(UNIT if kind == "circuit" else kind, one.text, "unknown-id",
                             f'"{one.text}" can be {" or ".join(named)}.',
                             "Write the name in full.", *named))  # fmt: skip
        elif one.kind == NO_NAME:
            near = [*names.near(one.value, one.text)]
            asked.append(ask(one.value, one.text, "unknown-id",
                             f'No {one.value} "{one.text}" is in the book.',
                             f"Near: {', '.join(near)}." if near else "Check the name.",
                             *near))  # fmt: skip
        asked += _unclear_amounts(one)
    return asked


def _tested_with(found: list[Piece], place: int) -> bool:
    """Whether nitrogen and the like is told of as work: "pressure tested with nitrogen 400 psi"."""
    before = [one.kind for one in found[max(0, place - 3) : place] if one.kind != WORD]
    after = found[place + 1].kind if place + 1 < len(found) else ""
    moved = VERB in before or AMOUNT in before or after == AMOUNT
    return not moved and (DID in before or READING in before or after == READING)


def _unclear_amounts(one: Piece) -> list[Question]:
    pieces = [one] if one.kind == UNCLEAR else []
    if one.kind == WEIGHTS and isinstance(one.value, Gross):
        pieces = list(one.value.unclear)
    return [
        Question("amount", piece.text, Problem(
            "quantity-unclear", piece.value.sentence(), "Nothing was guessed.",
            choices=typed(piece.value.readings),
        ))
        for piece in pieces
    ]  # fmt: skip


def _joined_amounts(found: list[Piece]) -> list[Question]:
    """Amounts put together by "and" or "+": whether they add up is not said."""
    return [
        ask("amount", second.text, "quantity-unclear",
            f"{first.text} and {second.text} stand side by side.",
            "Write what was weighed in all, or each with its cylinder.")
        for first, between, second in zip(found, found[1:], found[2:], strict=False)
        if between.kind in (AND, PLUS) and first.kind == second.kind == AMOUNT
    ]  # fmt: skip


def _speaks_of_pounds(found: list[Piece]) -> bool:
    """Whether anything in a message may be refrigerant that moved."""
    moving = {VERB, AMOUNT, NUMBER, UNCLEAR, WEIGHTS, CYLINDER, REFRIGERANT, TWO, PLUS, ARROW}
    denied = any(one.kind == NO_MOVE for one in found)
    for one in found:
        if one.kind in moving or (one.kind == NO_NAME and one.value == CYLINDER):
            return True
        if one.kind == UNKNOWN and (one.text in HINTS or any(map(str.isdigit, one.text))):
            return True
        if one.text in HINTS and not denied and one.kind != DID:
            return True
    return False


def _word(words: str, what: str, remedy: str) -> Question:
    return Question("word", words, Problem("value-unclear", f'"{words}" {what}.', remedy))
