"""The words a technician's message may hold, and what each is taken for; any other is asked about.

The lists are closed on purpose: a word that is not in them could turn the meaning round ("not",
"yesterday", "the other"). Common practice, no source.
"""

from __future__ import annotations

INTO, OUT, EITHER = "into the unit", "out of the unit", "either way"
"""Which way a verb moves refrigerant; of the last kind the words around it have to say."""

VERBS: dict[str, str] = {
    "added": INTO, "charged": INTO, "recharged": INTO, "topped off": INTO, "topped up": INTO,
    "topped it off": INTO, "topped it up": INTO, "trimmed": INTO, "trimmed in": INTO,
    "weighed in": INTO, "put in": INTO,
    "recovered": OUT, "took back": OUT, "took back out": OUT, "tried to recover": OUT,
    "attempted to recover": OUT,
    "put": EITHER, "pulled": EITHER, "took": EITHER, "moved": EITHER, "transferred": EITHER,
    "used": EITHER, "removed": EITHER, "got": EITHER,
}  # fmt: skip
"""What was done, always as done: "add 2 lb" may be an order, and is asked about."""

FROM = {"from", "off", "off of", "out of", "form", "frm"}
INTO_WORDS = {"to", "into", "in", "in to", "onto", "on", "for"}

FIRST = {"was", "before", "start", "started", "starting", "starts", "begin", "began",
         "gross before", "scale before", "gross was", "weight before", "start weight",
         "start wt", "starting weight", "went from"}  # fmt: skip
LAST = {"now", "after", "end", "ended", "ending", "ends", "gross after", "scale after",
        "gross now", "weight after", "end weight", "end wt", "ending weight", "finish", "finished",
         "is now", "down to", "finished at", "final"}  # fmt: skip
WEIGHED = {"gross", "gross weights", "scale", "weights", "weight", "wt", "stages", "in stages",
           "stage weights", "scale readings"}  # fmt: skip
"""Words before or between gross weights."""
IDLE = {"was", "now", "is now", "start", "started", "starting", "end", "ended", "final", "gross",
        "finish", "finished",
        "finished at", "scale", "stages", "in stages", "weights", "weight"}  # fmt: skip
"""Of those, the ones that mean nothing for the pounds where no number is beside them."""

NOTHING_CAME = {"nothing came out", "got nothing", "got nothing out", "nothing to recover",
                "none came out"}  # fmt: skip
"""A recovery that was tried and brought nothing."""

OTHER_STUFF = {"nitrogen", "n2", "oil", "dye", "water", "glycol", "co2", "acid", "sealant", "air"}
"""What is added, weighed or recovered at a unit and is not the refrigerant of its circuit."""

FILLERS = {
    "the", "old", "a", "an", "i", "we", "my", "it", "its", "is", "at", "of", "with", "w",
    "and then", "this morning", "this afternoon", "per",
    "hey", "hi", "hello", "thanks", "thx", "thank you", "ok", "okay", "done", "all good",
    "all set", "today", "this", "here", "there", "lb of", "total of", "went", "refrigerant",
    "gas", "by", "only", "just", "net", "unit", "cyl", "cylinder", "tank", "bottle", "drum",
    "on site", "onsite", "good morning", "good afternoon", "job", "system", "jug",
    "recovery cylinder", "recovery tank",
}  # fmt: skip
"""Words that change nothing."""

WORK = {
    "replaced", "changed", "cleaned", "checked", "repaired", "fixed", "tightened", "brazed",
    "soldered", "installed", "inspected", "tested", "leak tested", "found", "leak", "leaks",
    "leak check", "leak checked", "leak search", "flare", "nut", "flare nut", "schrader", "core",
    "cores", "valve", "valves", "filter", "filters", "drier", "filter drier", "coil", "coils",
    "evap", "evaporator", "condenser", "capacitor", "contactor", "compressor", "motor", "fan",
    "blower", "belt", "belts", "txv", "line", "lines", "line set", "lineset", "joint", "header",
    "fitting", "port", "bubbles", "detector", "held", "evacuated", "vacuum", "pulled vacuum",
    "pulled a vacuum", "pulled vacuum to", "pulled a vacuum to", "down to", "deep vacuum",
    "pressure tested", "pressure test", "swept", "swept with", "purged", "purged hoses", "arrived",
    "customer", "approved", "low", "flat", "empty on arrival", "new", "overcharged", "normal",
    "running", "runs", "running fine", "runs great", "running good", "fine", "good", "great",
    "cooling", "cools", "working", "waited", "settled", "let it settle", "low on charge",
    "vacuumed", "vacuumed to", "low on refrigerant",
    "low on gas", "was low", "was flat", "no leaks", "no leak found",
    "no leaks found", "back up", "up and running", "maintenance", "tune up", "service call",
}  # fmt: skip
"""Work and state of the unit: not recorded by a message, kept in the note of the entry."""

HINTS = {
    "same", "again", "ditto", "rest", "remaining", "all", "half", "full", "empty", "refrigerant",
    "gas", "pounds", "pound", "lb", "lbs", "oz", "ounces", "kg", "cyl", "cylinder", "cylinders",
    "tank", "tanks", "bottle", "jug", "drum", "vented", "vent", "dumped", "bled", "leaked", "lost",
    "released", "burped", "filled", "fill", "purge", "cancelled", "canceled", "cancel",
    "correction", "correct", "scratch", "mistake", "wrong", "typo", "meant", "forgot", "disregard",
    "ignore", "delete", "undo", "instead", "swapped", "switched", "add", "adding", "adds",
    "charging", "recover", "recovering", "recovery", "reclaimed", "reclaim", "topped", "top off",
    "topping", "emptied", "drained", "dropped", "gave", "borrowed", "returned", "shipped",
}  # fmt: skip
"""Words that keep a message from being taken for one with nothing to record."""

NO_MOVEMENT = (
    r"(?:no|zero) (?:refrigerant|gas)(?: (?:was )?(?:added|used|needed|moved|recovered))?(?![a-z])"
    r"|did(?: not|n'?t) (?:add|use|need|recover)(?: any)? (?:refrigerant|gas)(?![a-z])"
    r"|added no (?:refrigerant|gas)(?![a-z])"
)
"""Says in so many words that no refrigerant moved."""

PHRASES = tuple(
    sorted(
        {*VERBS, *FROM, *INTO_WORDS, *FIRST, *LAST, *WEIGHED, *NOTHING_CAME, *OTHER_STUFF,
         *FILLERS, *WORK},
        key=lambda phrase: (-len(phrase), phrase),
    )
)  # fmt: skip
"""Everything known, the longest first."""


def spelled_nearly(word: str) -> str:
    """The verb of one word that this misspells by a letter doubled, left out or swapped.

    A letter put for another is no slip to see through ("changed" is not "charged"), and neither
    is the last one left out ("charge" is not "charged").
    """
    if len(word) < 4:
        return ""
    found = {
        verb for verb in VERBS
        if " " not in verb and len(verb) >= 5 and (verb[0], verb[-1]) == (word[0], word[-1])
        and _one_slip(word, verb)
    }  # fmt: skip
    return found.pop() if len(found) == 1 else ""


def _one_slip(word: str, verb: str) -> bool:
    if len(word) == len(verb):
        differ = [place for place in range(len(verb)) if word[place] != verb[place]]
        if len(differ) != 2 or differ[1] != differ[0] + 1:
            return False
        first, second = differ
        return word[first] == verb[second] and word[second] == verb[first]
    longer, shorter = (word, verb) if len(word) > len(verb) else (verb, word)
    if len(longer) != len(shorter) + 1:
        return False
    doubled = range(1, len(longer)) if longer is word else range(len(longer))
    return any(
        longer[:place] + longer[place + 1 :] == shorter
        for place in doubled
        if longer is verb or longer[place] == longer[place - 1]
    )
