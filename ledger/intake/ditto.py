"""Ditto marks, with which people say "as above"; what they repeat is the row above them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from ledger.intake.sheets import Unread

_SIGNS = (
    '"', '""', '" "', "''", "' '", "″", "〃", "”", "“", "„", "””", "““", "’’", "ʺ", "״",
    '-"-', '- " -', "-''-", "-〃-", '—"—', ",,", ", ,", "do", "do.", "ditto", "ditto.",
)  # fmt: skip
# "DO" is left out: it is how somebody's initials are written.
_WORDS = (*_SIGNS, "Do", "Do.", "Ditto", "DITTO", "Ditto.")
_AROUND = ("", " ", "  ", "   ", "\u00a0")
DITTO = frozenset(f"{one}{sign}{two}" for sign in _WORDS for one in _AROUND for two in _AROUND)
"""Every cell that is a ditto mark, with the spaces that slip in around one."""
NOTHING_ABOVE = Unread("is a ditto mark, and nothing stands above it to repeat", asks=True)
DOUBTFUL_ABOVE = Unread("is a ditto mark below a row that is hidden or struck through", asks=True)


def is_ditto(cell: object) -> bool:
    """Whether a cell is a ditto mark and nothing else."""
    return type(cell) is str and cell in DITTO


def repeated(
    cells: Sequence[object], dittos: Iterable[int], above: Sequence[object] | None,
    clear: Sequence[object] | None,
) -> list[object]:  # fmt: skip
    """The cells with what their ditto marks, in the columns `dittos`, repeat.

    `above` is the row above, `clear` the last one that is neither hidden nor struck through;
    where the two differ, nobody can know which was meant.
    """
    made = list(cells)
    for index in dittos:
        found, seen = (_at(row, index) for row in (above, clear))
        if found in (None, ""):
            made[index] = NOTHING_ABOVE
        else:
            made[index] = found if found == seen else DOUBTFUL_ABOVE
    return made


def _at(row: Sequence[object] | None, index: int) -> object:
    return row[index] if row is not None and index < len(row) else None
