"""Commands for sites, parties, units, circuits, people, cylinders, places, scales and machines.

The options of `add`, `mend` and `change` are made from the fields each kind has, so that a
field added to `masters.FIELDS` is on the command line at once.
"""

from __future__ import annotations

import inspect
from collections.abc import Callable
from typing import TYPE_CHECKING, Annotated, Any

import typer

from ledger.cli.common import (
    BookOption,
    DryRun,
    Key,
    Writing,
    ask,
    good,
    headline,
    new_key,
    write,
)
from ledger.facts.masters import FIELDS
from ledger.facts.problems import Problem, Refused, refuse

if TYPE_CHECKING:
    from ledger.book.known import BookKnown
    from ledger.book.record import Outcome, Recorder
    from ledger.facts.facts import Fact, Setting

UNIT_TAKES = (
    "refrigerant", "full charge", "category", "subsector", "installed", "retired", "small",
    "indoors", "process share", "named use",
)  # fmt: skip
"""Circuit fields that are given with the unit, so that one-circuit units need no more."""

_COMMON: tuple[tuple[str, Any, Any, str], ...] = (
    ("dry_run", bool, False, "Say what would be recorded; write nothing."),
    ("provisional", bool, False, "Begin what is named and not in the book."),
    ("key", str, "", "Your own key for this entry; a retry is then safe."),
    ("book", str, "", "Book file, or a database URL."),
)


def register(app: typer.Typer) -> None:
    """Put `add`, `mend` and `change` on the app, one command for each kind, and `join`, `alias`."""
    for verb, help_text in (
        ("add", "Enter a site, customer, unit, cylinder, person, place or scale."),
        ("mend", "Correct what was mistyped: it holds from the beginning."),
        ("change", "Record what changed on a day: owner, place, refrigerant, full charge, card."),
    ):
        group = typer.Typer(help=help_text, no_args_is_help=True, rich_markup_mode=None)
        for kind in FIELDS:
            group.command(kind, help=f"{help_text.split(':')[0]} [{kind}]")(_command(verb, kind))
        app.add_typer(group, name=verb)
    app.command()(join)
    app.command()(alias)


def _command(verb: str, kind: str) -> Callable[..., None]:
    """A command whose options are the fields of a kind."""
    fields = dict(FIELDS[kind])
    if kind == "unit":
        fields |= {name: FIELDS["circuit"][name] for name in UNIT_TAKES}
    options = {name.replace(" ", "_"): name for name in fields}

    def command(**values: Any) -> None:
        typed = {options[name]: values[name] for name in options if values.get(name)}
        _describe(verb, kind, typed, values)

    parameters = [_parameter("name", str, "", f"Name of the {kind}.", argument=True)]
    for option, name in options.items():
        shape = fields[name]
        choices = f" ({', '.join(shape.choices)})" if shape.choices else ""
        parameters.append(_parameter(option, str, "", f"{shape.help.capitalize()}{choices}."))
    if verb == "add" and kind == "unit":
        parameters.append(_parameter("circuits", str, "", "Letters of several circuits: A,B."))
    if verb == "change":
        parameters.append(_parameter("from", str, "", "Day it holds from; today if left out."))
    if verb != "add":
        parameters.append(_parameter("because", str, "", "Why."))
    parameters += [_parameter(*one) for one in _COMMON]
    command.__signature__ = inspect.Signature(parameters)  # type: ignore[attr-defined]
    command.__annotations__ = {one.name: one.annotation for one in parameters}
    return command


def _parameter(
    name: str, shape: Any, default: Any, text: str, argument: bool = False
) -> inspect.Parameter:
    if argument:
        made: Any = typer.Argument(default, help=text)
    else:
        flag = f"--{name.replace('_', '-')}"
        flags = (flag, "-b") if name == "book" else (flag,)
        environment = "TAREBOOK_BOOK" if name == "book" else None
        made = typer.Option(default, *flags, help=text, envvar=environment, show_default=False)
    return inspect.Parameter(
        f"{name}_" if name == "from" else name, inspect.Parameter.KEYWORD_ONLY, default=made,
        annotation=shape,
    )  # fmt: skip


def _describe(verb: str, kind: str, typed: dict[str, str], values: dict[str, Any]) -> None:
    from ledger.facts.entry import Draft

    name = " ".join(ask(values["name"], f"Name of the {kind}", "NAME").split())
    if verb != "add" and not typed:
        raise refuse("field-missing", "Nothing to record was given.", "Add an option; see --help.")
    options = Writing(values["book"], values["key"], values["dry_run"],
                      values.get("because") or "", values["provisional"])  # fmt: skip

    def draft(known: BookKnown) -> Draft:
        from ledger.cli.movements import day_of

        day = day_of(known, values.get("from_") or "")
        since = day if verb == "change" else ""
        fields = {field: _read(known, kind, field, text) for field, text in typed.items()}
        why = values.get("because") or ""
        facts = _facts(known, verb, kind, name, fields, since, why, values)
        when = min(day, known.today(known.shop_zone()))
        return Draft(new_key(options.key), f"{verb} {kind}", when, tuple(facts))

    def tell(recorder: Recorder, outcome: Outcome) -> None:
        from ledger.cli.after import tell_latest
        from ledger.cli.movements import moved

        headline(outcome, options.dry_run, moved(outcome))
        if kind == "circuit" and verb != "add" and outcome.entry:
            tell_latest(recorder, name)

    if not (kind == "cylinder" and "state" in typed):
        options.because = ""  # a reason for the change, not to record over a refusal
    write(options, draft, tell)


def _read(known: BookKnown, kind: str, field: str, text: str) -> Any:
    from ledger.intake.fields import read_field

    where = "circuit" if kind == "unit" and field in UNIT_TAKES else kind
    order = known.setting("reading", "date order") or "mdy"
    return good(read_field(where, field, text, known.settings("refrigerant name"), order=order))


def _facts(
    known: BookKnown, verb: str, kind: str, name: str, fields: dict[str, Any], since: str,
    why: str, values: dict[str, Any],
) -> list[Fact]:  # fmt: skip
    from ledger.facts.facts import Described

    new = "yes" if verb == "add" else ""
    if verb == "add" and kind == "circuit" and "unit" not in fields:
        fields["unit"] = name.split("/")[0]
    if kind != "unit":
        return [Described(kind, name, fields, since, new=new, why=why)]
    inside = {field: fields.pop(field) for field in UNIT_TAKES if field in fields}
    if verb != "add":
        described = (
            [Described("unit", name, fields, since, why=why)] if fields or not inside else []
        )
        return [*described, *_in_circuit(known, name, inside, since, why)]
    letters = [part.strip() for part in (values.get("circuits") or "").split(",") if part.strip()]
    facts: list[Fact] = [Described("unit", name, fields, new=new)]
    for circuit in [f"{name}/{letter}" for letter in letters] or [name]:
        facts.append(Described("circuit", circuit, {"unit": name, **inside}, new=new))
    return facts


def _in_circuit(
    known: BookKnown, unit: str, fields: dict[str, Any], since: str, why: str
) -> list[Fact]:
    """What is said of a unit and holds for its one circuit."""
    from ledger.facts.facts import Described
    from ledger.facts.resolve import Resolver

    if not fields:
        return []
    resolver = Resolver(known, provisional=False, looking=True)
    circuit = resolver.name("circuit", unit)
    if resolver.problems:
        raise Refused(resolver.problems)
    return [Described("circuit", circuit, fields, since, why=why)]


def join(
    kind: Annotated[str, typer.Argument(help="unit, circuit, cylinder, party, person, site ...")],
    name: Annotated[str, typer.Argument(help="The record that is the same thing.")],
    kept: Annotated[str, typer.Argument(help="The record to keep.")],
    because: Annotated[str, typer.Option("--because", help="Why.")] = "",
    dry_run: DryRun = False, key: Key = "", book: BookOption = "",
) -> None:  # fmt: skip
    """Say that two records are one unit, cylinder, customer or person."""
    from ledger.cli.movements import moved
    from ledger.facts.entry import Draft
    from ledger.facts.facts import Joined

    if kind not in FIELDS:
        raise refuse("value-unclear", f'"{kind}" is no kind.', f"Choose {', '.join(FIELDS)}.")

    only_there: list[str] = []

    def draft(known: BookKnown) -> Draft:
        today = known.today(known.shop_zone())
        only_there.extend(_not_on_kept(known, kind, name, kept))
        pairs = _circuits_joined(known, name, kept) if kind == "unit" else []
        facts = [Joined(kind, name, kept, because)]
        facts += [Joined("circuit", one, other, because) for one, other in pairs]
        for one, other in pairs:
            only_there.extend(_not_on_kept(known, "circuit", one, other))
        return Draft(new_key(key), "join", today, tuple(facts))

    def tell(recorder: Recorder, outcome: Outcome) -> None:
        headline(outcome, dry_run, moved(outcome))
        for line in dict.fromkeys(only_there):
            typer.echo(line)

    write(Writing(book, key, dry_run), draft, tell)


def _not_on_kept(known: BookKnown, kind: str, name: str, kept: str) -> list[str]:
    """What only the record that is given up says, for the kept one is what counts from now on."""
    from ledger.facts.checks import quoted
    from ledger.reports.words import value_in_words

    one, other = known.master(kind, name), known.master(kind, kept)
    if one is None or other is None:
        return []
    # The one circuit of a unit goes by the unit's name and is changed with it.
    shown = "unit" if kind == "circuit" and "/" not in other.name else kind
    return [
        f"Only {one.name} had {field} {value_in_words(one.now(field))}; where it is right: tarebook"
        f" mend {shown} {quoted(other.name)} --{field.replace(' ', '-')} ..."
        for field in one.history
        if field != "unit" and one.now(field) is not None and other.now(field) is None
    ]


def _circuits_joined(known: BookKnown, unit: str, kept: str) -> list[tuple[str, str]]:
    """The circuits of a joined unit, each with the one of the kept unit that it is."""
    ours, theirs = known.circuits_of(unit), known.circuits_of(kept)
    if len(ours) == len(theirs) == 1:
        pairs = {ours[0]: theirs[0]}
    else:
        letters = {name.partition("/")[2]: name for name in theirs}
        pairs = {name: letters.get(name.partition("/")[2], "") for name in ours}
    for name, other in pairs.items():
        if not other and name not in theirs:
            raise refuse(
                "circuit-needed",
                f"The circuits of {unit} ({', '.join(ours)}) and of {kept} ({', '.join(theirs)})"
                " do not answer to each other.",
                f'Join the circuits first: tarebook join circuit "{name}" CIRCUIT.',
            )
    return [(one, other) for one, other in pairs.items() if other and one != other]


def alias(
    written: Annotated[str, typer.Argument(help="The name people write.")],
    means: Annotated[str, typer.Argument(help="What it means: an R-number, or a name in the book.")],
    kind: Annotated[
        str, typer.Option("--kind", help="refrigerant, or a kind in the book.")
    ] = "refrigerant",
    dry_run: DryRun = False, key: Key = "", book: BookOption = "",
) -> None:  # fmt: skip
    """Keep your own name for a refrigerant, cylinder, unit, site or person."""
    from ledger.facts.entry import Draft

    if kind != "refrigerant" and kind not in FIELDS:
        raise refuse("value-unclear", f'"{kind}" is no kind.',
                     f"Choose refrigerant, {', '.join(FIELDS)}.")  # fmt: skip

    def draft(known: BookKnown) -> Draft:
        today = known.today(known.shop_zone())
        other = _other_refrigerant if kind == "refrigerant" else _other_name
        fact = other(known, kind, written, means)
        return Draft(new_key(key), "alias", today, (fact,))

    def tell(recorder: Recorder, outcome: Outcome) -> None:
        headline(outcome, dry_run, f'"{written}" now means {means}')

    write(Writing(book, key, dry_run), draft, tell)


def _other_refrigerant(known: BookKnown, kind: str, written: str, means: str) -> Setting:
    """The user's own name for a refrigerant, which no R-number can be."""
    from ledger.facts.facts import Setting
    from ledger.intake.fields import read_refrigerant
    from ledger.refrigerants.spelling import alias_key

    meant = good(read_refrigerant(means, {}))
    already = read_refrigerant(written, {})
    if not isinstance(already, Problem) and already != meant:
        raise refuse("id-taken", f'"{written}" is {already} in the register.',
                     "Choose a name that is no R-number.")  # fmt: skip
    return Setting("refrigerant name", alias_key(written), meant)


def _other_name(known: BookKnown, kind: str, written: str, means: str) -> Setting:
    """The user's own name for something in the book, which no name of the book can be."""
    from ledger.facts.facts import Setting
    from ledger.facts.masters import folded
    from ledger.facts.resolve import Resolver

    resolver = Resolver(known, provisional=False, looking=True)
    name = resolver.name(kind, means, record=True)
    if resolver.problems:
        raise Refused(resolver.problems)
    master = known.master(kind, written)
    if master is not None and folded(master.name) == folded(written):
        raise refuse("id-taken", f'"{written}" is a {kind} in the book.',
                     f"Where the two are one, join them: tarebook join {kind} NAME KEPT.")  # fmt: skip
    return Setting("alias", f"{kind}:{folded(written)}", name)
