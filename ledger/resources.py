"""Finds the folders that travel with the program: migrations, reports and fixtures."""

from __future__ import annotations

from pathlib import Path

FOLDERS = ("migrations", "reports", "fixtures")
"""The folders a wheel carries as `ledger/_migrations`, `ledger/_reports`, `ledger/_fixtures`."""


def folder(name: str) -> Path:
    """The folder `name` of FOLDERS: inside the installed package, else in the checkout.

    FileNotFoundError where neither is there, which means a broken installation.
    """
    package = Path(__file__).resolve().parent
    for place in (package / f"_{name}", package.parent / name):
        if place.is_dir():
            return place
    raise FileNotFoundError(f"The folder {name} did not come with this installation of Tarebook.")
