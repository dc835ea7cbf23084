"""Finds the names of the book in a message: units, circuits, cylinders, sites, people.

Case, spaces, hyphens and slashes within a name do not matter ("rtu 3" is RTU-3); anything further
off is a question with the near names.
"""

from __future__ import annotations

import re
from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ledger.intake.unclear import plain

if TYPE_CHECKING:
    from ledger.book.known import BookKnown
    from ledger.book.reader import Reader

KINDS = ("unit", "circuit", "cylinder", "site", "person")
_LETTERS = re.compile(r"[\s\-_/#']+|\.(?![0-9])|(?<![0-9])\.")
_LONGEST = 60


def key_of(name: str) -> str:
    """What two spellings of one name have in common; a point between figures counts."""
    return _LETTERS.sub("", plain(name))


@dataclass(frozen=True, slots=True)
class Found:
    """A name at a place of a message: where it ends, and what of the book it can be."""

    end: int
    things: tuple[tuple[str, str], ...]


class Names:
    """Every name of the book that a message can speak of."""

    def __init__(self, reader: Reader, known: BookKnown) -> None:
        self.known = known
        self._by_key: dict[str, dict[tuple[str, str], None]] = defaultdict(dict)
        self._starts: set[str] = set()
        rows = reader.rows(
            "SELECT DISTINCT kind, name FROM described WHERE kind IN"
            " ('unit', 'circuit', 'cylinder', 'site', 'person')"
        )
        named = sorted(rows)
        for kind in KINDS:
            known.read_ahead(kind, [name for one, name in named if one == kind])
        for kind, name in named:
            self._take(kind, name, name)
        for alias, name in sorted(known.settings("alias").items()):
            kind, _, written = alias.partition(":")
            if kind in KINDS:
                self._take(kind, written, name)

    def _take(self, kind: str, written: str, name: str) -> None:
        master = self.known.master(kind, name)
        key = key_of(written)
        if master is None or not key:
            return
        if kind == "circuit" and self.known.master("unit", master.name) is not None:
            kind = "unit"
        self._by_key[key][kind, master.name] = None
        self._starts.add(key[0])

    def things(self, written: str) -> tuple[tuple[str, str], ...]:
        """What a name can be, as (kind, name); empty where the book has none like it."""
        return tuple(self._by_key.get(key_of(written), ()))

    def cylinder(self, written: str) -> str:
        """The cylinder of that name; empty where there is none or more than one."""
        found = [name for kind, name in self.things(written) if kind == "cylinder"]
        return found[0] if len(found) == 1 else ""

    def at(self, text: str, start: int) -> Found | None:
        """The name that begins at a place of a plain text; of two that fit, both are given."""
        if text[start] not in self._starts or (start and text[start - 1].isalnum()):
            return None
        found: Found | None = None
        for end in range(start + 1, min(len(text), start + _LONGEST) + 1):
            if not _ends(text, end):
                continue
            written = text[start:end]
            things = self.things(written)
            if things and not _bare_figures(written):
                longer = dict.fromkeys((*(found.things if found else ()), *things))
                # "rtu 3 3 lb" with an RTU-3 and an RTU-33 in the book: both, to be asked about.
                apart = found is not None and _apart(text[found.end : end])
                found = Found(end, tuple(longer) if apart else things)
        return found

    def all_of(self, kind: str) -> list[str]:
        """Every name of a kind."""
        return sorted({
            name for things in self._by_key.values() for what, name in things if what == kind
        })  # fmt: skip

    def units_at(self, site: str) -> list[str]:
        """The units that stand at a site now."""
        found = []
        for name in self.all_of("unit"):
            unit = self.known.master("unit", name)
            if unit is not None and unit.text("site") == site:
                found.append(name)
        return found

    def near(self, kind: str, name: str) -> tuple[str, ...]:
        """Names of a kind that look like this one."""
        return tuple(self.known.near(kind, name))

    def kind_like(self, written: str) -> str:
        """The kind that a name not in the book seems to be of, by its letters and its length."""
        letters = re.match(r"[a-z]*", plain(written))
        stem = letters[0] if letters else ""
        for kind in ("unit", "cylinder"):
            if stem and any(
                key.startswith(stem) and not key[len(stem) :][:1].isalpha()
                for key, things in self._by_key.items()
                if any(one == kind for one, _ in things)
            ):
                return kind
        if self.near("cylinder", written):
            return "cylinder"
        return "unit" if self.near("unit", written) else ""


def _apart(rest: str) -> bool:
    """Whether what would make a name longer may be another word: all but the letter of a circuit.

    "RTU-1 B" is a circuit; "RTU-1 a leak" may be the unit.
    """
    return rest[:1] == " " and not (len(rest) == 2 and rest[1].isalpha() and rest[1] not in "ai")


def _ends(text: str, end: int) -> bool:
    """Whether a name can end here: not within a word, and not within a number."""
    if not text[end - 1].isalnum():
        return False
    rest = text[end : end + 2]
    if rest[:1].isalnum():
        return False
    return not (len(rest) == 2 and rest[0] in ".,/-'" and rest[1].isalnum())


def _bare_figures(written: str) -> bool:
    """Figures alone are a name only where they are many or parted: 410017, 410-017."""
    bare = written.replace(" ", "")
    return bare.isdigit() and len(bare) < 5
