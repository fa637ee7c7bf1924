"""The first barn: horses, sessions, clips, what was seen in them, tags, passages and settings."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

NOW = sa.text("(strftime('%Y-%m-%dT%H:%M:%SZ', 'now'))")


def upgrade() -> None:
    """Makes every table."""
    op.create_table(
        "owner",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("same_name", sa.Text(), nullable=False),
        sa.Column("contact", sa.Text(), server_default="", nullable=False),
        sa.Column("note", sa.Text(), server_default="", nullable=False),
        sa.Column("created_at", sa.Text(), server_default=NOW, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_owner"),
        sa.UniqueConstraint("same_name", name="uq_owner_same_name"),
        sqlite_autoincrement=True,
    )
    op.create_table(
        "horse",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("uid", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("same_name", sa.Text(), nullable=False),
        sa.Column("owner_id", sa.Integer()),
        sa.Column("sex", sa.Text(), server_default="", nullable=False),
        sa.Column("colour", sa.Text(), server_default="", nullable=False),
        sa.Column("born", sa.Date()),
        sa.Column("year_only", sa.Boolean(), server_default=sa.text("0"), nullable=False),
        sa.Column("height_tenth_mm", sa.Integer()),
        sa.Column("hip_height_tenth_mm", sa.Integer()),
        sa.Column("weight_kg", sa.Integer()),
        sa.Column("note", sa.Text(), server_default="", nullable=False),
        sa.Column("found_by", sa.Text(), server_default="", nullable=False),
        sa.Column("archived_at", sa.Text()),
        sa.Column("binned_at", sa.Text()),
        sa.Column("created_at", sa.Text(), server_default=NOW, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_horse"),
        sa.ForeignKeyConstraint(["owner_id"], ["owner.id"], name="fk_horse_owner_id"),
        sa.UniqueConstraint("uid", name="uq_horse_uid"),
        sa.UniqueConstraint("same_name", name="uq_horse_same_name"),
        sa.CheckConstraint("height_tenth_mm > 0", name=op.f("ck_horse_height")),
        sa.CheckConstraint("hip_height_tenth_mm > 0", name=op.f("ck_horse_hip_height")),
        sa.CheckConstraint("weight_kg > 0", name=op.f("ck_horse_weight")),
        sqlite_autoincrement=True,
    )
    op.create_table(
        "session",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("uid", sa.Text(), nullable=False),
        sa.Column("horse_id", sa.Integer(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("length_ns", sa.BigInteger(), nullable=False),
        sa.Column("title", sa.Text(), server_default="", nullable=False),
        sa.Column("note", sa.Text(), server_default="", nullable=False),
        sa.Column("handler", sa.Text(), server_default="", nullable=False),
        sa.Column("place", sa.Text(), server_default="", nullable=False),
        sa.Column("pen", sa.Text(), server_default="", nullable=False),
        sa.Column("footing", sa.Text(), server_default="", nullable=False),
        sa.Column("weather", sa.Text(), server_default="", nullable=False),
        sa.Column("goal", sa.Text(), server_default="", nullable=False),
        sa.Column("ended_on", sa.Text(), server_default="", nullable=False),
        sa.Column("soundness", sa.Text(), server_default="", nullable=False),
        sa.Column("next_step", sa.Text(), server_default="", nullable=False),
        sa.Column("details", sa.Text(), server_default="{}", nullable=False),
        sa.Column("found_by", sa.Text(), server_default="", nullable=False),
        sa.Column("archived_at", sa.Text()),
        sa.Column("binned_at", sa.Text()),
        sa.Column("created_at", sa.Text(), server_default=NOW, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_session"),
        sa.ForeignKeyConstraint(["horse_id"], ["horse.id"], name="fk_session_horse_id"),
        sa.UniqueConstraint("uid", name="uq_session_uid"),
        sa.UniqueConstraint("horse_id", "day", "number", name="uq_session_horse_id_day_number"),
        sa.CheckConstraint("length_ns >= 0", name=op.f("ck_session_length")),
        sa.CheckConstraint("number >= 1", name=op.f("ck_session_number")),
        sqlite_autoincrement=True,
    )
    op.create_table(
        "clip",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("session_id", sa.Integer(), nullable=False),
        sa.Column("path", sa.Text(), nullable=False),
        sa.Column("fingerprint", sa.Text(), nullable=False),
        sa.Column("size", sa.BigInteger(), nullable=False),
        sa.Column("view", sa.Integer(), server_default=sa.text("1"), nullable=False),
        sa.Column("starts_ns", sa.BigInteger(), nullable=False),
        sa.Column("ends_ns", sa.BigInteger(), nullable=False),
        sa.Column("capture_speed_num", sa.BigInteger(), nullable=False),
        sa.Column("capture_speed_den", sa.BigInteger(), nullable=False),
        sa.Column("time_base_num", sa.BigInteger(), nullable=False),
        sa.Column("time_base_den", sa.BigInteger(), nullable=False),
        sa.Column("first_pts", sa.BigInteger(), nullable=False),
        sa.Column("end_pts", sa.BigInteger(), nullable=False),
        sa.Column("container", sa.Text(), nullable=False),
        sa.Column("codec", sa.Text(), nullable=False),
        sa.Column("coded_width", sa.Integer(), nullable=False),
        sa.Column("coded_height", sa.Integer(), nullable=False),
        sa.Column("pixel_shape_num", sa.BigInteger(), nullable=False),
        sa.Column("pixel_shape_den", sa.BigInteger(), nullable=False),
        sa.Column("rotation", sa.Integer(), nullable=False),
        sa.Column("mirrored", sa.Boolean(), nullable=False),
        sa.Column("container_start_num", sa.BigInteger(), nullable=False),
        sa.Column("container_start_den", sa.BigInteger(), nullable=False),
        sa.Column("recorded_at", sa.Text()),
        sa.Column("capture_rate_num", sa.BigInteger()),
        sa.Column("capture_rate_den", sa.BigInteger()),
        sa.Column("stated_rate_num", sa.BigInteger()),
        sa.Column("stated_rate_den", sa.BigInteger()),
        sa.Column("sound_codec", sa.Text()),
        sa.Column("sound_rate", sa.Integer()),
        sa.Column("sound_channels", sa.Integer()),
        sa.Column("sound_first_num", sa.BigInteger()),
        sa.Column("sound_first_den", sa.BigInteger()),
        sa.Column("created_at", sa.Text(), server_default=NOW, nullable=False),
        sa.Column("frame_table", sa.LargeBinary(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_clip"),
        sa.ForeignKeyConstraint(
            ["session_id"], ["session.id"], name="fk_clip_session_id", ondelete="CASCADE"
        ),
        sa.UniqueConstraint("fingerprint", name="uq_clip_fingerprint"),
        sa.UniqueConstraint("session_id", "id", name="uq_clip_session_id_id"),
        sa.CheckConstraint("starts_ns >= 0", name=op.f("ck_clip_starts")),
        sa.CheckConstraint("ends_ns > starts_ns", name=op.f("ck_clip_span")),
        sa.CheckConstraint("end_pts > first_pts", name=op.f("ck_clip_frames")),
        sa.CheckConstraint("\"view\" >= 1", name=op.f("ck_clip_view")),
        sa.CheckConstraint(
            "capture_speed_num > 0 AND capture_speed_den > 0", name=op.f("ck_clip_capture_speed")
        ),
        sqlite_autoincrement=True,
    )
    op.create_table(
        "tag",
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("session_id", sa.Integer(), nullable=False),
        sa.Column("look", sa.Integer(), nullable=False),
        sa.Column("what", sa.Text(), nullable=False),
        sa.Column("start_ns", sa.BigInteger(), nullable=False),
        sa.Column("end_ns", sa.BigInteger()),
        sa.Column("severity", sa.Integer()),
        sa.Column("stimulus", sa.Text(), nullable=False),
        sa.Column("side", sa.Text(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("running", sa.Boolean(), nullable=False),
        *_frame_columns(),
        sa.Column("created_at", sa.Text(), server_default=NOW, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_tag"),
        *_frame_constraints("tag"),
        sa.CheckConstraint("look >= 1", name=op.f("ck_tag_look")),
        sa.CheckConstraint("start_ns >= 0", name=op.f("ck_tag_start")),
        sa.CheckConstraint("end_ns > start_ns", name=op.f("ck_tag_span")),
        sa.CheckConstraint("severity BETWEEN 1 AND 4", name=op.f("ck_tag_severity")),
        sa.CheckConstraint("side IN ('', 'left', 'right')", name=op.f("ck_tag_side")),
    )
    op.create_index("ix_tag_session_id_look_start_ns", "tag", ["session_id", "look", "start_ns"])
    op.create_table(
        "passage",
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("session_id", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("start_ns", sa.BigInteger(), nullable=False),
        sa.Column("end_ns", sa.BigInteger(), nullable=False),
        sa.Column("caption", sa.Text(), nullable=False),
        *_frame_columns(),
        sa.Column("created_at", sa.Text(), server_default=NOW, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_passage"),
        *_frame_constraints("passage"),
        sa.UniqueConstraint("session_id", "position", name="uq_passage_session_id_position"),
        sa.CheckConstraint("start_ns >= 0", name=op.f("ck_passage_start")),
        sa.CheckConstraint("end_ns > start_ns", name=op.f("ck_passage_span")),
    )
    op.create_table(
        "motion",
        sa.Column("clip_id", sa.Integer(), nullable=False),
        sa.Column("method", sa.Integer(), nullable=False),
        sa.Column("capture_speed_num", sa.BigInteger(), nullable=False),
        sa.Column("capture_speed_den", sa.BigInteger(), nullable=False),
        sa.Column("created_at", sa.Text(), server_default=NOW, nullable=False),
        sa.Column("seen", sa.LargeBinary(), nullable=False),
        sa.PrimaryKeyConstraint("clip_id", name="pk_motion"),
        sa.ForeignKeyConstraint(["clip_id"], ["clip.id"], name="fk_motion_clip_id", ondelete="CASCADE"),
    )
    op.create_table(
        "setting",
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("value", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("key", name="pk_setting"),
    )


def _frame_columns() -> list[sa.Column[int]]:
    return [
        sa.Column("start_clip", sa.Integer()),
        sa.Column("start_pts", sa.BigInteger()),
        sa.Column("end_clip", sa.Integer()),
        sa.Column("end_pts", sa.BigInteger()),
    ]


def _frame_constraints(table: str) -> list[sa.Constraint]:
    edges = ("start", "end")
    return [
        sa.ForeignKeyConstraint(
            ["session_id"], ["session.id"], name=f"fk_{table}_session_id", ondelete="CASCADE"
        ),
        *(
            sa.ForeignKeyConstraint(
                ["session_id", f"{edge}_clip"],
                ["clip.session_id", "clip.id"],
                name=f"fk_{table}_session_id_{edge}_clip",
            )
            for edge in edges
        ),
        *(
            sa.CheckConstraint(
                f"({edge}_clip IS NULL) = ({edge}_pts IS NULL)", name=op.f(f"ck_{table}_{edge}_frame")
            )
            for edge in edges
        ),
    ]
