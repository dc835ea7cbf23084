"""Which room may import which, and what may be imported when a module is loaded."""

from __future__ import annotations

import sys

from tests.tidy.source import at_module_level, for_type_checking, imports, in_rooms, modules

ARROWS: dict[str, set[str]] = {
    "facts": {"facts"},
    "answers": {"facts", "answers"},
    "law": {"facts", "answers", "law"},
    "refrigerants": {"facts", "refrigerants"},
    "properties": {"facts", "refrigerants", "properties"},
    "book": {"facts", "refrigerants", "properties", "answers", "law", "resources", "book"},
    "intake": {"facts", "refrigerants", "book", "intake"},
    "reports": {"facts", "answers", "law", "refrigerants", "properties", "book", "resources",
                "reports"},
    "cli": {
        "facts", "answers", "law", "refrigerants", "properties", "book", "intake", "reports",
        "resources", "cli",
    },
    "resources": set(),
    "__init__": set(),
}  # fmt: skip
"""Each room with the rooms it may import from."""

LEANT_ON_BY_LAW = {"leak_history", "leak_law", "duty_law", "facility_law", "working"}
"""The records of the answers that the law fills in; the law computes no answer itself."""

ADAPTERS = {
    "bound.py",
    "circuit_subjects.py",
    "circuit_terms.py",
    "circuits.py",
    "closing.py",
    "counting.py",
    "custody.py",
    "cylinders.py",
    "deposits.py",
    "derived_events.py",
    "facilities.py",
    "reading.py",
    "readings.py",
    "rooms.py",
    "scale_log.py",
    "shipping.py",
    "stories.py",
    "timeline.py",
    "watching.py",
}  # fmt: skip
"""The modules of the book that turn what is stored into what the answers are given."""

BARE_ROOMS = ("facts", "answers", "law", "refrigerants", "properties")
"""Rooms that need nothing but Python itself."""

HEAVY = {"sqlalchemy", "alembic", "openpyxl", "rich", "pandas", "psycopg", "CoolProp", "segno"}
"""Packages slow to import: only inside functions, so that help and refusals come at once."""


def _room(name: str) -> str | None:
    parts = name.split(".")
    if parts[0] != "ledger":
        return None
    return parts[1] if len(parts) > 1 else "__init__"


def test_every_room_has_its_arrows() -> None:
    assert {module.room for module in modules()} == set(ARROWS)


def test_rooms_import_only_along_the_arrows() -> None:
    wrong = []
    for module in modules():
        allowed = ARROWS[module.room]
        for node, name in imports(module.tree):
            room = _room(name)
            if room in ("__version__", "__init__"):  # `from ledger import __version__`
                continue
            if room is not None and room not in allowed:
                wrong.append(module.at(node, f"{module.room} imports {name}"))
    assert not wrong, "\n".join(sorted(set(wrong)))


def test_the_law_leans_on_records_of_the_answers_only() -> None:
    wrong = [
        module.at(node, f"imports {name}")
        for module in in_rooms("law")
        for node, name in imports(module.tree)
        if _room(name) == "answers" and len(name.split(".")) > 2
        if name.split(".")[2] not in LEANT_ON_BY_LAW
    ]
    assert not wrong, "\n".join(wrong)


def test_the_journal_knows_neither_answers_nor_law() -> None:
    """Answers and law reach the book in its adapters only."""
    wrong = [
        module.at(node, f"imports {name}")
        for module in in_rooms("book")
        if module.path.rpartition("/")[2] not in ADAPTERS
        for node, name in imports(module.tree)
        if _room(name) in ("answers", "law")
    ]
    assert not wrong, "\n".join(wrong)


def test_the_pure_rooms_need_nothing_but_python() -> None:
    """Nothing but Python, and in one module the encoder that the digests are fast by."""
    wrong = [
        module.at(node, f"imports {name}")
        for module in in_rooms(*BARE_ROOMS)
        for node, name in imports(module.tree)
        if name.split(".")[0] not in {*sys.stdlib_module_names, "ledger"}
        and (module.path, name) != ("ledger/facts/entry.py", "orjson")
    ]
    assert not wrong, "\n".join(wrong)


def test_heavy_packages_are_imported_inside_functions() -> None:
    wrong = []
    for module in modules():
        allowed = {"sqlalchemy"} if module.room == "book" else set()
        for node, name in at_module_level(module.tree):
            package = name.split(".")[0]
            if package in HEAVY - allowed:
                wrong.append(module.at(node, f"imports {package} when it is loaded"))
    assert not wrong, "\n".join(wrong)


def test_help_loads_neither_database_nor_spreadsheet() -> None:
    """What the command line loads at once, and what that loads, is light."""
    by_name = {module.path.removesuffix(".py").replace("/", "."): module for module in modules()}
    waiting = [name for name in by_name if name.startswith("ledger.cli.")]
    loaded_by = dict.fromkeys(waiting, "the command line")
    while waiting:
        name = waiting.pop()
        for _, wanted in at_module_level(by_name[name].tree):
            if wanted in by_name and wanted not in loaded_by:
                loaded_by[wanted] = name
                waiting.append(wanted)
    wrong = [
        f"{name}, by {by}" for name, by in loaded_by.items() if name.startswith("ledger.book.")
    ]
    assert not wrong, "\n".join(wrong)


def test_typer_stays_on_the_command_line() -> None:
    wrong = [
        module.at(node, f"imports {name}")
        for module in modules()
        if module.room != "cli"
        for node, name in imports(module.tree)
        if name.split(".")[0] == "typer"
    ]
    assert not wrong, "\n".join(wrong)


def test_no_room_is_left_by_a_guarded_import() -> None:
    """`if TYPE_CHECKING` excuses the time of an import, not its direction."""
    wrong = [
        module.at(node, f"{module.room} names {name}")
        for module in modules()
        for node in for_type_checking(module.tree)
        for _, name in imports(node)
        if (room := _room(name)) not in (None, "__init__", *ARROWS[module.room]) and room in ARROWS
    ]
    assert not wrong, "\n".join(sorted(set(wrong)))
