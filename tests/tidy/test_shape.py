"""Modules and functions stay small and explained, and print only where people read."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from statistics import median

from tests.tidy.source import Module, modules

LONGEST_MODULE = 500
LONGEST_FUNCTION = 70
LONGEST_MEDIAN = 12

Function = ast.FunctionDef | ast.AsyncFunctionDef


def _functions(module: Module) -> Iterator[Function]:
    return (node for node in ast.walk(module.tree) if isinstance(node, Function))


def _length(node: Function) -> int:
    return (node.end_lineno or node.lineno) - node.lineno + 1


def _public(body: list[ast.stmt], owner: str = "") -> Iterator[tuple[ast.AST, str, str | None]]:
    """Every public function and class with its docstring, classes opened."""
    for node in body:
        if isinstance(node, Function | ast.ClassDef) and not node.name.startswith("_"):
            yield node, f"{owner}{node.name}", ast.get_docstring(node)
            if isinstance(node, ast.ClassDef):
                yield from _public(node.body, f"{node.name}.")


def _inherits(module: Module, name: str) -> bool:
    """Whether a method is explained where it is declared: on the base class of its class."""
    owner = name.partition(".")[0]
    return any(
        isinstance(node, ast.ClassDef) and node.name == owner and node.bases
        for node in module.tree.body
    )


def test_modules_are_short() -> None:
    wrong = [f"{m.path}: {m.lines} lines" for m in modules() if m.lines > LONGEST_MODULE]
    assert not wrong, "\n".join(wrong)


def test_functions_are_short() -> None:
    wrong = [
        module.at(node, f"{node.name} has {_length(node)} lines")
        for module in modules()
        for node in _functions(module)
        if _length(node) > LONGEST_FUNCTION
    ]
    assert not wrong, "\n".join(wrong)
    assert median(_length(node) for m in modules() for node in _functions(m)) <= LONGEST_MEDIAN


def test_every_module_says_what_it_is_for() -> None:
    wrong = [
        module.path
        for module in modules()
        if not ast.get_docstring(module.tree) and module.tree.body
    ]
    assert not wrong, "\n".join(wrong)


def test_every_public_name_is_explained() -> None:
    """A method that a base class declares is explained there."""
    wrong = [
        module.at(node, f"{name} has no docstring")
        for module in modules()
        for node, name, text in _public(module.tree.body)
        if not text and not ("." in name and _inherits(module, name))
    ]
    assert not wrong, "\n".join(wrong)


def test_nothing_is_swallowed() -> None:
    wrong = []
    for module in modules():
        for node in ast.walk(module.tree):
            if not isinstance(node, ast.ExceptHandler):
                continue
            name = ast.unparse(node.type) if node.type else ""
            bare = node.type is None
            broad = name in ("Exception", "BaseException")
            raises = any(isinstance(part, ast.Raise) for part in ast.walk(node))
            if bare or (broad and not raises):
                wrong.append(module.at(node, f"except {name or 'everything'}"))
    assert not wrong, "\n".join(wrong)


def test_only_the_command_line_prints() -> None:
    wrong = [
        module.at(node, "prints")
        for module in modules()
        if module.room != "cli"
        for node in ast.walk(module.tree)
        if isinstance(node, ast.Call)
        and ast.unparse(node.func) in ("print", "sys.stdout.write", "sys.stderr.write", "input")
    ]
    assert not wrong, "\n".join(wrong)


def test_nothing_is_left_for_later() -> None:
    """Only a Protocol, which nothing runs, may leave a body out."""
    wrong = []
    for module in modules():
        declared = {
            part
            for node in ast.walk(module.tree)
            if isinstance(node, ast.ClassDef) and "Protocol" in map(ast.unparse, node.bases)
            for part in ast.walk(node)
        }
        for node in ast.walk(module.tree):
            if isinstance(node, ast.Raise) and "NotImplementedError" in ast.unparse(node):
                wrong.append(module.at(node, "not implemented"))
            if isinstance(node, ast.Expr) and ast.unparse(node) == "..." and node not in declared:
                wrong.append(module.at(node, "a body left out"))
    assert not wrong, "\n".join(wrong)
