"""The command that explains a refusal by the code printed behind it."""

from __future__ import annotations

from typing import Annotated

import typer

from ledger.facts.problems import CATALOGUE, refuse


def register(app: typer.Typer) -> None:
    """Put the command on the app."""
    app.command()(refusal)


def refusal(
    code: Annotated[
        str, typer.Argument(help="The code in brackets; all are listed if left out.")
    ] = "",
) -> None:
    """Explain a refusal: why it is, and whether --because records it all the same."""
    from ledger.facts.pages import codes, page

    if not code:
        for name in codes():
            typer.echo(f"{name:22} {CATALOGUE[name].page}")
        return
    name = code.strip().strip("[]").casefold()
    if name not in CATALOGUE:
        from difflib import get_close_matches

        near = ", ".join(get_close_matches(name, CATALOGUE, 3)) or "none"
        raise refuse("unknown-id", f'"{code}" is no code of a refusal.',
                     f"Near: {near}. See all with tarebook refusal.")  # fmt: skip
    for line in page(name):
        typer.echo(line)
