"""Commands for cylinder deposits: what is out, a supplier's statement, what was credited."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ledger.cli.answers import cut_of, name_of
from ledger.cli.common import (
    AsCsv,
    AsJson,
    AsOf,
    AsXlsx,
    BookOption,
    DryRun,
    Key,
    KnownAt,
    Writing,
    ask,
    good,
    headline,
    open_book,
    write,
)
from ledger.cli.fleet import today_of
from ledger.cli.movements import By, Job, Note, On, moved
from ledger.cli.stock import named
from ledger.facts.papers import DepositCredit, DepositLine
from ledger.facts.problems import refuse

if TYPE_CHECKING:
    from ledger.book.known import BookKnown
    from ledger.book.record import Outcome, Recorder
    from ledger.facts.entry import Draft
    from ledger.facts.facts import Fact

Supplier = Annotated[str, typer.Option("--from", help="Supplier.")]
FIELDS = {
    "serial": "serial,serial no,serial number,cylinder,cylinder serial,cyl",
    "deposit": "deposit,amount,deposit amount",
    "out": "out,date out,shipped,date",
}


def register(app: typer.Typer) -> None:
    """Put the commands on the app."""
    app.command()(deposits)
    app.command("supplier-statement")(supplier_statement)
    app.command("deposit-credit")(deposit_credit)


def deposits(
    against: Annotated[bool, typer.Option("--against-statement", help="Compare with the supplier's last statement.")] = False,
    supplier: Supplier = "", as_of: AsOf = "", known_at: KnownAt = "", as_json: AsJson = False,
    as_csv: AsCsv = False, as_xlsx: AsXlsx = "", book: BookOption = "",
) -> None:  # fmt: skip
    """Deposits that are out and for how long, or held against the supplier's statement."""
    from ledger.cli.output import Output, put
    from ledger.reports.deposit_tables import compared_table, deposit_table

    with open_book(book) as opened, opened.reading() as reader:
        name = name_of(reader, "party", supplier) if supplier else ""
        table_of = compared_table if against else deposit_table
        table = table_of(reader, cut_of(reader, as_of, known_at), as_of or today_of(opened), name)
        put(table, Output(as_json, as_csv, as_xlsx), opened.zone)


def supplier_statement(
    file: Annotated[str, typer.Argument(help="Sheet with the headings Serial and Deposit, and Out where given.")],
    supplier: Supplier = "", number: Annotated[str, typer.Option("--number", help="Number or day of the statement.")] = "",
    on: On = "", by: By = "", note: Note = "", dry_run: DryRun = False, key: Key = "",
    book: BookOption = "",
) -> None:  # fmt: skip
    """Take in a supplier's statement of cylinders out; each line is found by serial or by name."""
    from ledger.intake.fields import read_cents, read_day
    from ledger.intake.short_list import read_list

    supplier = ask(supplier, "Supplier", "--from SUPPLIER")
    number = ask(number, "Number or day of the statement", "--number NUMBER")
    rows = read_list(Path(file), FIELDS, ("serial", "deposit"))
    job = Job(
        "supplier statement", key or f"statement:{supplier}:{number}", on, "", by, number, note
    )

    def draft(known: BookKnown) -> Draft:
        serials = _serials(known)
        order = known.setting("reading", "date order") or "mdy"
        facts: list[Fact] = []
        for row in rows:
            serial = row.values["serial"]
            if not serial:
                raise refuse("field-missing", f"{row.where}: no serial is given.", "Fill it in.")
            master = known.master("cylinder", serial)
            cylinder = master.name if master else serials.get(serial.casefold(), "")
            out = row.values.get("out", "")
            facts.append(
                DepositLine(
                    supplier, serial, cylinder, good(read_cents(row.values["deposit"] or "0")),
                    good(read_day(out, order)) if out else "", number,
                )
            )  # fmt: skip
        return job.draft(known, facts)

    def tell(recorder: Recorder, outcome: Outcome) -> None:
        from ledger.book.cut import Cut
        from ledger.reports.deposit_tables import compared_table

        headline(outcome, dry_run, moved(outcome))
        recorder.writer.flush()
        today = recorder.known.today(recorder.known.shop_zone())
        party = recorder.known.master("party", supplier)
        name = party.name if party else supplier
        typer.echo(compared_table(recorder.writer, Cut(), today, name).answer)

    write(Writing(book, key, dry_run), draft, tell)


def _serials(known: BookKnown) -> dict[str, str]:
    """Our cylinders by serial; a serial that two have names none of them."""
    from ledger.book.cut import Cut
    from ledger.book.reader import Reader
    from ledger.book.reading import masters_at

    found: dict[str, str] = {}
    for one in masters_at(Reader(known.connection), Cut()).all("cylinder").values():
        if serial := one.text("serial").casefold():
            found[serial] = "" if serial in found else one.name
    return found


def deposit_credit(
    cylinder: Annotated[str, typer.Argument(help="Cylinder.")],
    amount: Annotated[str, typer.Argument(help="Dollars credited.")] = "",
    supplier: Supplier = "", number: Annotated[str, typer.Option("--number", help="Number of the credit memo.")] = "",
    on: On = "", by: By = "", note: Note = "", dry_run: DryRun = False, key: Key = "",
    book: BookOption = "",
) -> None:  # fmt: skip
    """Record that a supplier credited the deposit of a cylinder."""
    from ledger.intake.fields import read_cents

    cents = good(read_cents(ask(amount, "Dollars credited", "AMOUNT")))
    supplier = ask(supplier, "Supplier", "--from SUPPLIER")
    job = Job("deposit credit", key, on, "", by, number, note)

    def draft(known: BookKnown) -> Draft:
        name = named(known, cylinder, False)
        return job.draft(known, [DepositCredit(name, supplier, cents, number)])

    def tell(recorder: Recorder, outcome: Outcome) -> None:
        headline(outcome, dry_run, moved(outcome))

    write(Writing(book, key, dry_run), draft, tell)
