"""Shows a table on a terminal: the answer, the rows, the cautions, and where it came from."""

from __future__ import annotations

import io
import os
from collections.abc import Callable, Mapping, Sequence
from typing import TextIO

from ledger.reports.cells import shown, totals_row
from ledger.reports.layout import Strip, fitted, one_below_another, side_by_side, wrapped
from ledger.reports.safe import for_terminal
from ledger.reports.table import Table

Emphasis = Callable[[list[str]], list[str]]

WIDTH = 80
"""The width of a terminal that does not say."""


def show(table: Table, out: TextIO, environ: Mapping[str, str], width: int | None = None) -> None:
    """Print the table: with rules and bold headings on a terminal, else as plain lines.

    NO_COLOR (set to anything) or TERM=dumb asks for plain lines too. A pipe gets lines as
    long as the rows are, so that one row stays one line.
    """
    if not out.isatty():
        out.write(plain(table, width))
        return
    places = width or terminal_width(out)
    bare = environ.get("NO_COLOR") or environ.get("TERM") == "dumb"
    out.write(plain(table, places) if bare else styled(table, places))


def terminal_width(out: TextIO) -> int:
    """The places of the terminal, WIDTH where it does not say."""
    try:
        return os.get_terminal_size(out.fileno()).columns or WIDTH
    except (OSError, ValueError):
        return WIDTH


def plain(table: Table, width: int | None = None) -> str:
    """The table as aligned text without escapes, in `width` places or as wide as it is."""
    return _joined(table, width, lambda heading: heading)


def styled(table: Table, width: int) -> str:
    """The same lines for a terminal of `width` places, headings bold; no colour is used."""
    return _joined(table, width, _bold)


def _joined(table: Table, width: int | None, emphasis: Emphasis) -> str:
    heading, body = _table_lines(table, width)
    blocks = [
        emphasis(_paragraph([table.answer], width)),
        [*emphasis(_paragraph([table.title], width)), *emphasis(heading), *body],
        _paragraph([f"Caution: {caution}" for caution in table.cautions], width),
        _paragraph([f"Note: {note}" for note in table.notes], width),
        _paragraph([table.provenance()], width),
    ]
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def _paragraph(texts: Sequence[str], width: int | None) -> list[str]:
    clean = [for_terminal(text) for text in texts if text]
    if width is None:
        return clean
    return [line for text in clean for line in wrapped(text, width)]


def _strips(table: Table) -> list[Strip]:
    """The columns as words a terminal can take."""
    sums = totals_row(table)
    return [
        Strip(
            for_terminal(column.label()),
            [for_terminal(shown(column, row.get(column.key))) for row in table.rows],
            for_terminal(shown(column, sums.get(column.key))),
            right=column.is_number,
            whole=column.is_number or column.kind in ("date", "quantity"),
        )
        for column in table.columns
    ]


def _table_lines(table: Table, width: int | None) -> tuple[list[str], list[str]]:
    if not table.rows or not table.columns:
        return [], ["No rows."]
    strips = _strips(table)
    widths = [strip.natural() for strip in strips] if width is None else fitted(strips, width)
    if widths is None:
        return [], one_below_another(strips, width or WIDTH)
    return side_by_side(strips, widths)


def _bold(lines: list[str]) -> list[str]:
    from rich.console import Console
    from rich.text import Text

    out = io.StringIO()
    console = Console(
        file=out,
        force_terminal=True,
        color_system="standard",
        no_color=True,
        legacy_windows=False,
        _environ={},
    )
    for line in lines:
        console.print(Text(line, style="bold"), soft_wrap=True)
    return out.getvalue().splitlines()
