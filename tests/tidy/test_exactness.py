"""Masses, rates and dates are exact, and only the command line reads the clock."""

from __future__ import annotations

import ast
from collections.abc import Iterator

from tests.tidy.source import Module, in_rooms, modules

EXACT_ROOMS = ("facts", "answers", "law", "refrigerants", "book", "intake")
"""Rooms in which a binary fraction could become a mass, a rate or a date."""

FLOATS: dict[str, str] = {
    "ledger/facts/nearby.py": "likeness of two names, a ratio of letters",
    "ledger/refrigerants/spelling.py": "likeness of two names, a ratio of letters",
    "ledger/book/engine.py": "seconds to wait for another writer",
    "ledger/book/journal.py": "seconds to wait for another writer",
    "ledger/intake/quantities.py": "a spreadsheet hands numbers over as floats; read as decimals",
    "ledger/intake/dates.py": "a spreadsheet hands numbers over as floats; read as decimals",
    "ledger/intake/fields.py": "a spreadsheet hands numbers over as floats; read as decimals",
    "ledger/intake/rows.py": "a spreadsheet hands numbers over as floats; read as decimals",
    "ledger/intake/sheets.py": "a spreadsheet hands numbers over as floats; kept as their digits",
    "ledger/intake/workbook.py": "a spreadsheet hands numbers over as floats; kept as their digits",
}
"""The modules that name a float at all, each with its reason."""

EXACT_DIVISIONS: dict[str, tuple[str, ...]] = {
    # Fraction divided by a whole number stays a Fraction: nothing is lost.
    "ledger/answers/leak_working.py": (
        "(rate.full_charge or Fraction(0)) / POUND",
        "rate.full_charge / POUND",
    ),
    "ledger/refrigerants/co2e.py": ("1000 * tonnes_co2e / gwp",),
    "ledger/refrigerants/substances.py": (
        "figure.value * part.percent / 100",
        "f.value * percent / 100",
    ),
    "ledger/intake/quantities.py": ("_value(ounces) / 16",),
}
"""The divisions that are exact because one side is a Fraction, word for word."""

CLOCKS = {
    "now", "utcnow", "today", "time", "time_ns", "monotonic", "perf_counter", "localtime",
    "gmtime",
}  # fmt: skip
CLOCK_OWNERS = {"datetime", "date", "time"}


def _floats(module: Module) -> Iterator[str]:
    for node in ast.walk(module.tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, float | complex):
            yield module.at(node, f"the literal {node.value!r}")
        elif isinstance(node, ast.Name) and node.id == "float":
            yield module.at(node, "names float")
        elif isinstance(node, ast.Attribute) and node.attr in ("real", "total_seconds"):
            yield module.at(node, f"takes .{node.attr}, a float")


def _pathlike(node: ast.expr) -> bool:
    """Whether an operand shows that `/` puts a path together: a text or a name of a place."""
    if isinstance(node, ast.Constant):
        return isinstance(node.value, str)
    if isinstance(node, ast.JoinedStr):
        return True
    if isinstance(node, ast.BinOp) and isinstance(node.op, ast.Div):
        return _pathlike(node.left) or _pathlike(node.right)
    words = ast.unparse(node)
    return any(word in words for word in ("folder", "path", "Path", "package", "parent", "PACKS"))


def test_no_float_reaches_a_mass_a_rate_or_a_date() -> None:
    wrong = [
        found
        for module in in_rooms(*EXACT_ROOMS)
        if module.path not in FLOATS
        for found in _floats(module)
    ]
    assert not wrong, "\n".join(wrong)


def test_the_list_of_excused_modules_is_no_longer_than_needed() -> None:
    by_path = {module.path: module for module in modules()}
    idle = [path for path in FLOATS if path not in by_path or not any(_floats(by_path[path]))]
    assert not idle


def test_nothing_is_divided_with_a_remainder_lost() -> None:
    wrong = [
        module.at(node, ast.unparse(node))
        for module in in_rooms(*EXACT_ROOMS)
        for node in ast.walk(module.tree)
        if isinstance(node, ast.BinOp | ast.AugAssign) and isinstance(node.op, ast.Div)
        if ast.unparse(node) not in EXACT_DIVISIONS.get(module.path, ())
        if not (isinstance(node, ast.BinOp) and (_pathlike(node.left) or _pathlike(node.right)))
    ]
    assert not wrong, "\n".join(wrong)


def test_only_the_command_line_reads_the_clock() -> None:
    wrong = []
    for module in modules():
        if module.room == "cli":
            continue
        for node in ast.walk(module.tree):
            if isinstance(node, ast.Attribute) and node.attr in CLOCKS:
                owner = node.value
                last = owner.attr if isinstance(owner, ast.Attribute) else ast.unparse(owner)
                if last in CLOCK_OWNERS:
                    wrong.append(module.at(node, ast.unparse(node)))
            elif isinstance(node, ast.ImportFrom) and node.module == "time":
                wrong.append(module.at(node, "imports from time"))
    assert not wrong, "\n".join(wrong)


def test_the_clock_is_read_in_one_place() -> None:
    places = {
        module.path
        for module in in_rooms("cli")
        for node in ast.walk(module.tree)
        if isinstance(node, ast.Attribute)
        and node.attr in CLOCKS
        and ast.unparse(node.value).rpartition(".")[2] in CLOCK_OWNERS
    }
    assert places == {"ledger/cli/common.py"}
