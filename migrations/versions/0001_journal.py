"""The journal, what identifies the book, and the guards that keep both append-only."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from ledger.book import guards

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

_EXACT = sa.Text().with_variant(sa.Text(collation="C"), "postgresql")
_NUMBER = sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def _texts(*names: str) -> list[sa.Column[str]]:
    return [sa.Column(name, _EXACT, nullable=False, server_default="") for name in names]


def upgrade() -> None:
    """Make the journal and meta, then guard them."""
    op.create_table(
        "journal",
        sa.Column("number", _NUMBER, primary_key=True, autoincrement=False),
        *_texts("key", "occurred_on", "occurred_time", "zone", "recorded_at", "actor", "person"),
        *_texts("origin_book"),
        sa.Column("origin_number", sa.BigInteger, nullable=False),
        *_texts("origin_digest", "body", "previous", "digest"),
        sa.UniqueConstraint("key", name="journal_key"),
        sa.UniqueConstraint("previous", name="journal_previous"),
        sa.UniqueConstraint("digest", name="journal_digest"),
    )
    op.create_table(
        "meta",
        sa.Column("name", _EXACT, primary_key=True),
        sa.Column("value", _EXACT, nullable=False),
    )
    guards.create(op.get_bind())
