"""What the trainer decided about the machine's proposals, and where the trainer pointed at a lost horse."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

NOW = sa.text("(strftime('%Y-%m-%dT%H:%M:%SZ', 'now'))")


def upgrade() -> None:
    """Makes the two tables; nothing that was there is touched."""
    op.create_table(
        "decision",
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("clip_id", sa.Integer(), nullable=False),
        sa.Column("what", sa.Text(), nullable=False),
        sa.Column("start_pts", sa.BigInteger(), nullable=False),
        sa.Column("end_pts", sa.BigInteger()),
        sa.Column("verdict", sa.Text(), nullable=False),
        sa.Column("became", sa.Text(), nullable=False),
        sa.Column("method", sa.Integer(), nullable=False),
        sa.Column("created_at", sa.Text(), server_default=NOW, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_decision"),
        sa.ForeignKeyConstraint(["clip_id"], ["clip.id"], name="fk_decision_clip_id", ondelete="CASCADE"),
        sa.CheckConstraint("end_pts > start_pts", name=op.f("ck_decision_span")),
        sa.CheckConstraint("verdict IN ('taken', 'changed', 'refused')", name=op.f("ck_decision_verdict")),
    )
    op.create_index("ix_decision_clip_id", "decision", ["clip_id"])
    op.create_table(
        "pointed",
        sa.Column("clip_id", sa.Integer(), nullable=False),
        sa.Column("pts", sa.BigInteger(), nullable=False),
        sa.Column("x", sa.Float(), nullable=False),
        sa.Column("y", sa.Float(), nullable=False),
        sa.Column("heeded", sa.Boolean(), server_default=sa.text("0"), nullable=False),
        sa.Column("created_at", sa.Text(), server_default=NOW, nullable=False),
        sa.PrimaryKeyConstraint("clip_id", "pts", name="pk_pointed"),
        sa.ForeignKeyConstraint(["clip_id"], ["clip.id"], name="fk_pointed_clip_id", ondelete="CASCADE"),
        sa.CheckConstraint("x BETWEEN 0 AND 1 AND y BETWEEN 0 AND 1", name=op.f("ck_pointed_place")),
    )
