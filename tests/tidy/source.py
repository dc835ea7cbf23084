"""The program's own source, parsed once, for the tests that hold its shape."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from dataclasses import dataclass
from fnmatch import fnmatch
from functools import lru_cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
TEXT_SUFFIXES = (".py", ".toml", ".md", ".sh", ".mako", ".csv", ".json", ".txt", "")
"""Endings of the files whose text is looked at; `.ci/run` has none."""


@dataclass(frozen=True, slots=True)
class Module:
    """One Python file: its path from the top, its room (the folder under ledger) and its tree."""

    path: str
    room: str
    lines: int
    tree: ast.Module

    def at(self, node: ast.AST, what: str) -> str:
        """A finding with the place it was found, as an editor opens it."""
        return f"{self.path}:{getattr(node, 'lineno', 1)}: {what}"


@lru_cache(maxsize=1)
def modules() -> tuple[Module, ...]:
    """Every module of the program, in order of path."""
    found = []
    for file in sorted((ROOT / "ledger").rglob("*.py")):
        path = file.relative_to(ROOT)
        room = path.parts[1] if len(path.parts) > 2 else path.stem
        text = file.read_text(encoding="utf-8")
        found.append(Module(path.as_posix(), room, text.count("\n"), ast.parse(text, str(path))))
    return tuple(found)


def in_rooms(*rooms: str) -> Iterator[Module]:
    """The modules of some rooms."""
    return (module for module in modules() if module.room in rooms)


def ignored_names() -> tuple[str, ...]:
    """Names at the top that git does not keep, from .gitignore."""
    lines = (ROOT / ".gitignore").read_text(encoding="utf-8").split()
    return (".git", *(line.strip("/") for line in lines))


def is_ignored(path: Path) -> bool:
    """Whether a path from the top lies in something git does not keep."""
    return any(fnmatch(part, name) for part in path.parts for name in ignored_names())


def texts() -> Iterator[tuple[str, str]]:
    """Every text file that git keeps: its path from the top and what is in it."""
    for file in sorted(ROOT.rglob("*")):
        path = file.relative_to(ROOT)
        if file.is_file() and file.suffix in TEXT_SUFFIXES and not is_ignored(path):
            yield path.as_posix(), file.read_text(encoding="utf-8")


def for_type_checking(tree: ast.Module) -> set[ast.AST]:
    """Every node under `if TYPE_CHECKING:`, which nothing runs."""
    guarded: set[ast.AST] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.If) and ast.unparse(node.test).endswith("TYPE_CHECKING"):
            for part in node.body:
                guarded.update(ast.walk(part))
    return guarded


def imports(tree: ast.AST) -> Iterator[tuple[ast.stmt, str]]:
    """Every import with the module it names; `from a import b` names `a.b` as well."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from ((node, part.name) for part in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, "imports are absolute"
            base = node.module or ""
            yield node, base
            yield from ((node, f"{base}.{part.name}") for part in node.names)


def at_module_level(tree: ast.Module) -> Iterator[tuple[ast.stmt, str]]:
    """The imports that run when the module is imported."""
    guarded = for_type_checking(tree)
    inside = {
        part
        for node in ast.walk(tree)
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda)
        for part in ast.walk(node)
    }
    for node, name in imports(tree):
        if node not in guarded and node not in inside:
            yield node, name
