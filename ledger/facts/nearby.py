"""Near matches for a name that is not in the book, quick enough to be asked for many rows."""

from __future__ import annotations

from collections import defaultdict
from difflib import get_close_matches

_MOST = 3
_POOL = 200


def squeezed(name: str) -> str:
    """The letters and digits of a name, in one case: "RTU 3" and "rtu-3" are the same."""
    return "".join(sign for sign in name.casefold() if sign.isalnum())


class Nearby:
    """An index over the names of one kind."""

    def __init__(self, names: list[str]) -> None:
        self._same: dict[str, list[str]] = defaultdict(list)
        self._ends: dict[str, list[str]] = defaultdict(list)
        self._answers: dict[str, list[str]] = {}
        for name in names:
            self.add(name)

    def add(self, name: str) -> None:
        """Take one more name in."""
        key = squeezed(name)
        if name in self._same[key]:
            return
        self._same[key].append(name)
        for end in {key[:2], key[-2:]}:
            if len(self._ends[end]) < _POOL:
                self._ends[end].append(name)
        self._answers.clear()

    def remove(self, name: str) -> None:
        """Take a name out again that was taken in last."""
        key = squeezed(name)
        for names in (self._same[key], *(self._ends[end] for end in {key[:2], key[-2:]})):
            if name in names:
                names.remove(name)
        self._answers.clear()

    def to(self, name: str) -> list[str]:
        """Up to three names that look like `name`, best first."""
        if name not in self._answers:
            self._answers[name] = self._look(name)
        return self._answers[name]

    def _look(self, name: str) -> list[str]:
        key = squeezed(name)
        if same := self._same.get(key):
            return same[:_MOST]
        pool = {
            one: squeezed(one) for end in (key[:2], key[-2:]) for one in self._ends.get(end, ())
        }
        close = get_close_matches(key, sorted(set(pool.values())), n=_MOST, cutoff=0.6)
        return [one for match in close for one, its in sorted(pool.items()) if its == match][:_MOST]
