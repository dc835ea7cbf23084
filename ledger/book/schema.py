"""The tables of a book: the journal that is the record, and the query tables made from it."""

from __future__ import annotations

from sqlalchemy import (
    BigInteger,
    Column,
    Index,
    Integer,
    MetaData,
    PrimaryKeyConstraint,
    Table,
    Text,
    UniqueConstraint,
)

HEAD_REVISION = "0002"
"""The revision of the schema that this version of the program writes."""
REVISIONS = ("0001", "0002")
"""Every revision this version knows, oldest first; any other was made by a later version."""
FORMAT = "1"
"""The format of the journal itself, kept in `meta`; migrations never change it."""

Exact = Text().with_variant(Text(collation="C"), "postgresql")
"""Text that both engines compare and sort by its bytes."""

metadata = MetaData()


def _text(*names: str) -> list[Column[str]]:
    return [Column(name, Exact, nullable=False, server_default="") for name in names]


def _whole(*names: str) -> list[Column[int]]:
    return [Column(name, BigInteger, nullable=False) for name in names]


journal = Table(
    "journal",
    metadata,
    # A plain INTEGER makes the number the row id on SQLite, without a second index.
    Column(
        "number",
        BigInteger().with_variant(Integer(), "sqlite"),
        primary_key=True,
        autoincrement=False,
    ),
    *_text("key", "occurred_on", "occurred_time", "zone", "recorded_at", "actor", "person"),
    *_text("origin_book"),
    *_whole("origin_number"),
    *_text("origin_digest", "body", "previous", "digest"),
    UniqueConstraint("key", name="journal_key"),
    UniqueConstraint("previous", name="journal_previous"),
    UniqueConstraint("digest", name="journal_digest"),
)
"""One row an entry, exactly the members of `Entry`."""

meta = Table(
    "meta",
    metadata,
    Column("name", Exact, primary_key=True),
    Column("value", Exact, nullable=False),
)
"""What identifies the book: `book` (32 hex digits), `created_at`, `format`."""

movement = Table(
    "movement",
    metadata,
    *_whole("entry", "line"),
    *_text("occurred_on", "occurred_time", "person", "ticket"),
    *_text("source_kind", "source_name", "target_kind", "target_name", "refrigerant"),
    *_whole("mass"),
    *_text("written", "stock", "owner", "purpose", "claim", "amount", "cause"),
    *_text("evidence", "although"),
    PrimaryKeyConstraint("entry", "line", name="movement_line"),
    Index("movement_source", "source_kind", "source_name"),
    Index("movement_target", "target_kind", "target_name"),
    sqlite_with_rowid=False,
)
"""Movements; `mass` in counts of 1.25 ng, `evidence` how it is known, `although` with commas."""

weighing = Table(
    "weighing",
    metadata,
    *_whole("entry", "line", "part"),
    *_text("occurred_on", "occurred_time", "cylinder"),
    *_whole("gross"),
    *_text("written", "scale", "moment", "state"),
    PrimaryKeyConstraint("entry", "line", "part", name="weighing_part"),
    Index("weighing_cylinder", "cylinder"),
    sqlite_with_rowid=False,
)
"""Gross weights seen on a scale; `moment` is before, reading, after or alone."""

described = Table(
    "described",
    metadata,
    *_whole("entry", "line"),
    *_text("occurred_on", "kind", "name", "folded", "since", "provisional", "fields"),
    PrimaryKeyConstraint("entry", "line", name="described_line"),
    Index("described_name", "kind", "folded"),
    sqlite_with_rowid=False,
)
"""Descriptions of sites, units, circuits, cylinders ...; `fields` is canonical JSON."""

service = Table(
    "service",
    metadata,
    *_whole("entry", "line"),
    *_text("occurred_on", "occurred_time", "type", "subject", "body"),
    PrimaryKeyConstraint("entry", "line", name="service_line"),
    Index("service_subject", "subject"),
    Index("service_type", "type"),
    sqlite_with_rowid=False,
)
"""Every other fact but reversals, with what it is about and its canonical body."""

reversal = Table(
    "reversal",
    metadata,
    *_whole("entry", "target_entry", "target_line"),
    PrimaryKeyConstraint("target_entry", "target_line", name="reversal_target"),
    Index("reversal_entry", "entry"),
    # With a row id: the integrity check of SQLite 3.40 misreads a table without one whose key
    # is not its first columns.
)
"""Lines taken back: `entry` is the one that reverses."""

PROJECTIONS: dict[str, Table] = {
    table.name: table for table in (movement, weighing, described, service, reversal)
}
"""The query tables by name: all of them can be dropped and made again from the journal."""

ORDER: dict[str, tuple[str, ...]] = {
    "movement": ("entry", "line"),
    "weighing": ("entry", "line", "part"),
    "described": ("entry", "line"),
    "service": ("entry", "line"),
    "reversal": ("entry", "target_entry", "target_line"),
}
"""The order in which rows of a query table are compared and printed."""

COLUMNS: dict[str, tuple[str, ...]] = {
    table.name: tuple(column.name for column in table.columns)
    for table in (journal, *PROJECTIONS.values())
}
"""The columns of the journal and of each query table, in the order of their tuples."""


def insert_text(table: str) -> str:
    """The INSERT of one row into a table of COLUMNS, with `?` for each value."""
    columns = COLUMNS[table]
    marks = ",".join("?" * len(columns))
    return f"INSERT INTO {table} ({','.join(columns)}) VALUES ({marks})"


def select_text(table: str, where: str = "") -> str:
    """The SELECT of whole rows of a table of COLUMNS in their order; `where` uses `?`."""
    order = ",".join(ORDER.get(table, ("number",)))
    clause = f" WHERE {where}" if where else ""
    return f"SELECT {','.join(COLUMNS[table])} FROM {table}{clause} ORDER BY {order}"
