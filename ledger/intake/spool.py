"""Keeps what is read of a file on disk until all of it is read: no row is recorded early.

A file is read to its end and found sound before its first row is recorded; then its rows are
taken in the order in which things happened, whatever their order in the sheet.
"""

from __future__ import annotations

import marshal
import pickle
from array import array
from collections.abc import Iterable, Iterator
from tempfile import TemporaryFile
from typing import Any

_PICKLED = b"\x00"
"""Before what is kept by pickle; no tuple begins so that is kept by marshal."""


class Spool:
    """Tuples by their index, written once and read back in any order."""

    def __init__(self) -> None:
        self._file = TemporaryFile()  # noqa: SIM115
        self._starts = array("Q")
        self._end = 0
        self._moved = False

    def __len__(self) -> int:
        return len(self._starts)

    def add(self, kept: tuple[Any, ...]) -> int:
        """Keep one tuple; returns its index."""
        # Only this process reads the file back, and it has no name that another could open.
        try:
            packed = marshal.dumps(tuple(kept))
        except ValueError:
            # A day, a time or a cell without a value of its own; plain cells are the most.
            packed = _PICKLED + pickle.dumps(tuple(kept), protocol=5)
        if self._moved:
            self._file.seek(self._end)
            self._moved = False
        self._file.write(packed)
        self._starts.append(self._end)
        self._end += len(packed)
        return len(self._starts) - 1

    def read(self, indexes: Iterable[int]) -> Iterator[tuple[int, tuple[Any, ...]]]:
        """What was kept under these indexes, in that order, each with its index."""
        place = -1
        for index in indexes:
            start = self._starts[index]
            if start != place or not self._moved:
                self._moved = True
                self._file.seek(start)
            end = self._starts[index + 1] if index + 1 < len(self._starts) else self._end
            packed = self._file.read(end - start)
            if packed[:1] == _PICKLED:
                yield index, pickle.loads(packed[1:])
            else:
                yield index, marshal.loads(packed)
            place = end

    def close(self) -> None:
        """Let it all go."""
        self._file.close()

    def __enter__(self) -> Spool:
        return self

    def __exit__(self, *exc: object) -> None:
        self.close()
