"""Tabs of a workbook that hold no rows of work, or work that somebody hid."""

from __future__ import annotations

import random
from dataclasses import replace

from tests.oracle.messy.paper import ASK, Cell, Line, Shop, Tab, Truth
from tests.oracle.messy.sheets import layout


def side_tabs(rng: random.Random, shop: Shop) -> list[Tab]:
    """A tab of notes, and one of sums by refrigerant, each now and then."""
    made = []
    if rng.random() < 0.4:
        made.append(Tab("Notes", [Line([text], layout("tab of notes")) for text in _NOTES]))
    if rng.random() < 0.4:
        lines: list[Line] = [Line(["Refrigerant", "Added", "Recovered"], layout("tab of sums"))]
        for name in sorted({unit.refrigerant for unit in shop.units}):
            cells: list[Cell] = [name, rng.randint(5, 90), rng.randint(0, 40)]
            lines.append(Line(cells, layout("tab of sums")))
        made.append(Tab("Summary", lines))
    for tab in made:
        tab.records = False
    return made


_NOTES = ("to do", "order 25 lb of 410A", "T-2044: 6.2 lb? ask", "new scale 3/1/26")


def hidden_tab(first: Tab) -> Tab:
    """A hidden copy of the top of another tab, as left from an earlier month."""
    lines = []
    for line in first.lines[:14]:
        truth = line.truth
        if truth.says:
            truth = Truth("hidden sheet", ASK, truth.says, "row", False)
        lines.append(replace(line, cells=list(line.cells), truth=truth))
    merged = [one for one in first.merged if int(one.rpartition(":")[2][1:]) <= 14]
    tables = [table for table in first.tables if table.row <= 14]
    return Tab("old", lines, tables, merged, hidden=True)
