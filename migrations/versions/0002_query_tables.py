"""The query tables: movements, weighings, descriptions, service facts and reversals."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

_EXACT = sa.Text().with_variant(sa.Text(collation="C"), "postgresql")


def _texts(*names: str) -> list[sa.Column[str]]:
    return [sa.Column(name, _EXACT, nullable=False, server_default="") for name in names]


def _wholes(*names: str) -> list[sa.Column[int]]:
    return [sa.Column(name, sa.BigInteger, nullable=False) for name in names]


def _movements() -> None:
    op.create_table(
        "movement",
        *_wholes("entry", "line"),
        *_texts("occurred_on", "occurred_time", "person", "ticket"),
        *_texts("source_kind", "source_name", "target_kind", "target_name", "refrigerant"),
        *_wholes("mass"),
        *_texts("written", "stock", "owner", "purpose", "claim", "amount", "cause"),
        *_texts("evidence", "although"),
        sa.PrimaryKeyConstraint("entry", "line", name="movement_line"),
        sqlite_with_rowid=False,
    )
    op.create_index("movement_source", "movement", ["source_kind", "source_name"])
    op.create_index("movement_target", "movement", ["target_kind", "target_name"])


def _weighings() -> None:
    op.create_table(
        "weighing",
        *_wholes("entry", "line", "part"),
        *_texts("occurred_on", "occurred_time", "cylinder"),
        *_wholes("gross"),
        *_texts("written", "scale", "moment", "state"),
        sa.PrimaryKeyConstraint("entry", "line", "part", name="weighing_part"),
        sqlite_with_rowid=False,
    )
    op.create_index("weighing_cylinder", "weighing", ["cylinder"])


def upgrade() -> None:
    """Make the tables empty; the program fills them from the journal in the same transaction."""
    _movements()
    _weighings()
    op.create_table(
        "described",
        *_wholes("entry", "line"),
        *_texts("occurred_on", "kind", "name", "folded", "since", "provisional", "fields"),
        sa.PrimaryKeyConstraint("entry", "line", name="described_line"),
        sqlite_with_rowid=False,
    )
    op.create_index("described_name", "described", ["kind", "folded"])
    op.create_table(
        "service",
        *_wholes("entry", "line"),
        *_texts("occurred_on", "occurred_time", "type", "subject", "body"),
        sa.PrimaryKeyConstraint("entry", "line", name="service_line"),
        sqlite_with_rowid=False,
    )
    op.create_index("service_subject", "service", ["subject"])
    op.create_index("service_type", "service", ["type"])
    op.create_table(
        "reversal",
        *_wholes("entry", "target_entry", "target_line"),
        sa.PrimaryKeyConstraint("target_entry", "target_line", name="reversal_target"),
    )
    op.create_index("reversal_entry", "reversal", ["entry"])
