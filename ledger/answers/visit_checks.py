"""What is worth saying about a visit before anybody drives off: told once, in a line each.

Pure. Trade facts carry their mark in the sentence's source; nothing here refuses anything.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from ledger.facts.mass import pounds

SOURCE = "common practice, no source"


class Seen(NamedTuple):
    """What the checks look at; masses in counts of 1.25 ng.

    `added` and `recovered` are of this visit, `full_charge` None where unknown; `low` and `high`
    bound what the customer agreed to. `opened`: the circuit was opened for the work; `leaks`:
    leaks on record that are not repaired; `repaired`: a repair is part of the visit; `declined`:
    the search or the repair was declined. `glide`: the refrigerant is a zeotropic blend, `vapour`:
    it left the cylinder as vapour. `attempted`: a recovery was made or tried. `waits` are minutes.
    """

    added: int
    recovered: int
    full_charge: int | None = None
    low: int | None = None
    high: int | None = None
    opened: bool = False
    attempted: bool = False
    leaks: tuple[str, ...] = ()
    repaired: bool = False
    declined: bool = False
    searched: bool = False
    glide: bool = False
    vapour: bool = False
    waits: tuple[int, ...] = ()


def remarks(seen: Seen) -> Iterator[str]:
    """One sentence for each thing that is out of the usual."""
    net = seen.added - seen.recovered
    if seen.high is not None and net > seen.high:
        yield (
            f"{pounds(net)} lb went in; the customer agreed to {pounds(seen.low or 0)} to"
            f" {pounds(seen.high)} lb."
        )
    elif seen.low is not None and 0 < net < seen.low:
        yield f"{pounds(net)} lb went in, less than the {pounds(seen.low)} lb that were expected."
    if seen.full_charge and net > seen.full_charge:
        yield f"{pounds(net)} lb is more than the full charge of {pounds(seen.full_charge)} lb."
    if seen.added and seen.opened and not seen.attempted:
        yield (
            "The circuit was opened and charged, and no recovery is recorded: record it, or a"
            " recovery of 0 as an attempt (40 CFR 82.154(a), 84.106)."
        )
    if seen.added and seen.leaks and not seen.repaired:
        yield (
            f"Charged with a known leak ({', '.join(seen.leaks)}) and no repair; note who declined"
            " it and when."
            if not seen.declined
            else f"Charged with a known leak ({', '.join(seen.leaks)}); declined as recorded."
        )
    if seen.added and not seen.searched and not seen.declined:
        yield "Nothing says where the refrigerant went: record a leak search, or who declined it."
    if seen.glide and seen.vapour and seen.added:
        yield (
            "A zeotropic blend left the cylinder as vapour: its composition shifts; charge it as"
            f" liquid ({SOURCE})."
        )
    short = [minutes for minutes in seen.waits if minutes < 5]
    if short:
        yield f"A stage waited {min(short)} minutes; 5 to 10 let the system settle ({SOURCE})."
