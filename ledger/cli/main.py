"""The command `tarebook`: trade verbs on a book of refrigerant pounds."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable, Sequence
from importlib import import_module
from pathlib import Path

import typer

from ledger import __version__
from ledger.facts.problems import Refused, refuse

ROOMS: dict[str, str] = {
    "bookkeeping": "init head verify rebuild upgrade backup restore export",
    "masters": "join alias add mend change",
    "movements": "charge recover transfer added-by-others",
    "texting": "text",
    "stock": "receive opening issue move weigh empty release return",
    "custody": "load-out turn-in lend not-found found stolen",
    "upkeep": "requalify condition",
    "shipping": "ship analysis credit destruction sign manifest match weight-ticket",
    "deposits": "deposits supplier-statement deposit-credit",
    "empties": "scrap empties",
    "labels": "labels",
    "filling": "room heel hoses",
    "scales": "check-weight scales tolerances tolerance",
    "visit": "visit",
    "papers": "service-record statement",
    "service": "repair test decide same-leak bring-forward",
    "case_facts": "inspect leak plan extend mothball event",
    "due": "due case preview binds",
    "corrections": "reverse show find",
    "same_job": "same-job",
    "answers": "balance rates history cylinders pounds list",
    "counting": "count-sheet count",
    "closing": "difference explain close",
    "disposals": "disposals",
    "listings": "movements weighings services",
    "fleet": "truck-sheet last-seen attention held-for",
    "templates": "template day-sheet",
    "files": "import attach",
    "import_runs": "imports reverse-import",
    "pressures": "saturation pt superheat subcooling evacuation properties",
    "readings": "readings",
    "estimate": "estimate",
    "rules": "rules",
    "demo": "demo",
    "refusals": "refusal",
}
"""The commands of each module, in the order in which the help lists them."""


def _version(show: bool) -> None:
    if show:
        typer.echo(f"tarebook {__version__}")
        raise typer.Exit


def tarebook(
    version: bool = typer.Option(
        False, "--version", callback=_version, is_eager=True, help="Print the version."
    ),
) -> None:
    """Account for every pound of refrigerant."""


def assembled(rooms: Iterable[str] = tuple(ROOMS)) -> typer.Typer:
    """The command line with the commands of these modules, of all where none are named."""
    app = typer.Typer(
        name="tarebook",
        no_args_is_help=True,
        add_completion=False,
        pretty_exceptions_enable=False,
        rich_markup_mode=None,
        help="Account for every pound of refrigerant, rate every addition, keep what the law asks."
        " Not legal advice: local codes, licensed practice and the official text of the law"
        " decide.",
    )
    app.callback()(tarebook)
    for room in rooms:
        import_module(f"ledger.cli.{room}").register(app)
    return app


def rooms_for(words: Sequence[str]) -> Iterable[str]:
    """The module that the command named is in; all of them for help and for an unknown word."""
    command = next((word for word in words if not word.startswith("-")), "")
    return [room for room, commands in ROOMS.items() if command in commands.split()] or ROOMS


def _check_words() -> None:
    """Bytes that are not UTF-8 reach a program as halves of characters, which no book keeps."""
    if any("\ud800" <= sign <= "\udfff" for word in sys.argv for sign in word):
        raise refuse(
            "text-unfit", "A word of the command is not text in UTF-8.",
            "Type it again, or set the terminal to UTF-8.",
        )  # fmt: skip


def run() -> None:
    """Run the command line; every refusal is a sentence and an exit code, never a traceback."""
    from ledger.cli.common import stop

    try:
        _check_words()
        assembled(rooms_for(sys.argv[1:]))()
    except Refused as refused:
        stop(refused)
    except BrokenPipeError:
        sys.stderr.close()
        sys.exit(0)
    except OSError as error:
        stop(_file_refusal(error))
    except Exception as error:
        if os.environ.get("TAREBOOK_TRACE"):
            raise
        kind = type(error).__name__
        print(f"The program failed ({kind}: {error}); this command recorded nothing."
              " Please report it; TAREBOOK_TRACE=1 shows where.", file=sys.stderr)  # fmt: skip
        sys.exit(70)
    except KeyboardInterrupt:
        print("Stopped; what was not acknowledged is not recorded.", file=sys.stderr)
        sys.exit(130)


def _file_refusal(error: OSError) -> Refused:
    """What the system says about a file, as a refusal with a next step."""
    from ledger.facts.problems import refuse

    name = str(error.filename or "the file")
    if Path(name).name.startswith(".tarebook-"):
        # Reports are drafted under a passing name in the folder they go to.
        name = str(Path(name).parent)
    if isinstance(error, FileExistsError):
        what = str(error) if error.filename is None else f"{name} is there already."
        return refuse("file-exists", what, "Name another file, or move that one away.")
    reason = (error.strerror or str(error)).lower()
    return refuse(
        "file-unwritable", f"{name}: {reason}.", "Check the folder, its rights and the space left."
    )
