"""The barn's tables.

Columns ending in _ns are the session's clock in nanoseconds, in _pts a clip's own ticks; a Fraction is two
columns, _num and _den. A change here needs a migration in store/migrations/versions: a test compares them.
"""

from __future__ import annotations

from typing import Final

from sqlalchemy import (
    BigInteger,
    Boolean,
    CheckConstraint,
    Column,
    Date,
    Float,
    ForeignKey,
    ForeignKeyConstraint,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    Table,
    Text,
    UniqueConstraint,
    text,
)

metadata: Final = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
        "fk": "fk_%(table_name)s_%(column_0_N_name)s",
        "pk": "pk_%(table_name)s",
    }
)


def _words(name: str) -> Column[str]:
    return Column(name, Text, nullable=False, server_default="")


def _created() -> Column[str]:
    now = text("(strftime('%Y-%m-%dT%H:%M:%SZ', 'now'))")
    return Column("created_at", Text, nullable=False, server_default=now)


def _fraction(name: str, *, nullable: bool = False) -> tuple[Column[int], Column[int]]:
    return (
        Column(f"{name}_num", BigInteger, nullable=nullable),
        Column(f"{name}_den", BigInteger, nullable=nullable),
    )


def _of_session() -> Column[int]:
    return Column("session_id", ForeignKey("session.id", ondelete="CASCADE"), nullable=False)


def _frame_of_session(edge: str) -> ForeignKeyConstraint:
    """A frame mark may only name a clip of the same session."""
    return ForeignKeyConstraint(["session_id", f"{edge}_clip"], ["clip.session_id", "clip.id"])


def _uid() -> Column[str]:
    """What a record is known by in every barn that it is handed to."""
    return Column("uid", Text, nullable=False, unique=True)


def _put_away() -> tuple[Column[str], ...]:
    """The texts by which a record is found, and since when it lies in the archive or in the bin."""
    return _words("found_by"), Column("archived_at", Text), Column("binned_at", Text)


owner: Final = Table(
    "owner",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("name", Text, nullable=False),
    Column("same_name", Text, nullable=False, unique=True),
    _words("contact"),
    _words("note"),
    _created(),
    sqlite_autoincrement=True,
)

horse: Final = Table(
    "horse",
    metadata,
    Column("id", Integer, primary_key=True),
    _uid(),
    Column("name", Text, nullable=False),
    Column("same_name", Text, nullable=False, unique=True),
    Column("owner_id", ForeignKey("owner.id")),
    _words("sex"),
    _words("colour"),
    Column("born", Date),
    Column("year_only", Boolean, nullable=False, server_default=text("0")),
    Column("height_tenth_mm", Integer),
    Column("hip_height_tenth_mm", Integer),
    Column("weight_kg", Integer),
    _words("note"),
    *_put_away(),
    _created(),
    CheckConstraint("height_tenth_mm > 0", name="height"),
    CheckConstraint("hip_height_tenth_mm > 0", name="hip_height"),
    CheckConstraint("weight_kg > 0", name="weight"),
    sqlite_autoincrement=True,
)

session: Final = Table(
    "session",
    metadata,
    Column("id", Integer, primary_key=True),
    _uid(),
    Column("horse_id", ForeignKey("horse.id"), nullable=False),
    Column("day", Date, nullable=False),
    Column("number", Integer, nullable=False),
    Column("length_ns", BigInteger, nullable=False),
    _words("title"),
    _words("note"),
    _words("handler"),
    _words("place"),
    _words("pen"),
    _words("footing"),
    _words("weather"),
    _words("goal"),
    _words("ended_on"),
    _words("soundness"),
    _words("next_step"),
    Column("details", Text, nullable=False, server_default="{}"),
    *_put_away(),
    _created(),
    UniqueConstraint("horse_id", "day", "number"),
    CheckConstraint("length_ns >= 0", name="length"),
    CheckConstraint("number >= 1", name="number"),
    sqlite_autoincrement=True,
)

clip: Final = Table(
    "clip",
    metadata,
    Column("id", Integer, primary_key=True),
    _of_session(),
    Column("path", Text, nullable=False),
    Column("fingerprint", Text, nullable=False, unique=True),
    Column("size", BigInteger, nullable=False),
    Column("view", Integer, nullable=False, server_default=text("1")),
    Column("starts_ns", BigInteger, nullable=False),
    Column("ends_ns", BigInteger, nullable=False),
    *_fraction("capture_speed"),
    *_fraction("time_base"),
    Column("first_pts", BigInteger, nullable=False),
    Column("end_pts", BigInteger, nullable=False),
    Column("container", Text, nullable=False),
    Column("codec", Text, nullable=False),
    Column("coded_width", Integer, nullable=False),
    Column("coded_height", Integer, nullable=False),
    *_fraction("pixel_shape"),
    Column("rotation", Integer, nullable=False),
    Column("mirrored", Boolean, nullable=False),
    *_fraction("container_start"),
    Column("recorded_at", Text),
    *_fraction("capture_rate", nullable=True),
    *_fraction("stated_rate", nullable=True),
    Column("sound_codec", Text),
    Column("sound_rate", Integer),
    Column("sound_channels", Integer),
    *_fraction("sound_first", nullable=True),
    _created(),
    # Last, because a large value slows the reading of what stands behind it.
    Column("frame_table", LargeBinary, nullable=False),
    UniqueConstraint("session_id", "id"),
    CheckConstraint("starts_ns >= 0", name="starts"),
    CheckConstraint("ends_ns > starts_ns", name="span"),
    CheckConstraint("end_pts > first_pts", name="frames"),
    CheckConstraint('"view" >= 1', name="view"),
    CheckConstraint("capture_speed_num > 0 AND capture_speed_den > 0", name="capture_speed"),
    sqlite_autoincrement=True,
)

tag: Final = Table(
    "tag",
    metadata,
    Column("id", Integer, primary_key=True, autoincrement=False),
    _of_session(),
    Column("look", Integer, nullable=False),
    Column("what", Text, nullable=False),
    Column("start_ns", BigInteger, nullable=False),
    Column("end_ns", BigInteger),
    Column("severity", Integer),
    Column("stimulus", Text, nullable=False),
    Column("side", Text, nullable=False),
    Column("note", Text, nullable=False),
    Column("running", Boolean, nullable=False),
    Column("start_clip", Integer),
    Column("start_pts", BigInteger),
    Column("end_clip", Integer),
    Column("end_pts", BigInteger),
    _created(),
    _frame_of_session("start"),
    _frame_of_session("end"),
    CheckConstraint("look >= 1", name="look"),
    CheckConstraint("start_ns >= 0", name="start"),
    CheckConstraint("end_ns > start_ns", name="span"),
    CheckConstraint("severity BETWEEN 1 AND 4", name="severity"),
    CheckConstraint("side IN ('', 'left', 'right')", name="side"),
    CheckConstraint("(start_clip IS NULL) = (start_pts IS NULL)", name="start_frame"),
    CheckConstraint("(end_clip IS NULL) = (end_pts IS NULL)", name="end_frame"),
    Index(None, "session_id", "look", "start_ns"),
)

passage: Final = Table(
    "passage",
    metadata,
    Column("id", Integer, primary_key=True, autoincrement=False),
    _of_session(),
    Column("position", Integer, nullable=False),
    Column("start_ns", BigInteger, nullable=False),
    Column("end_ns", BigInteger, nullable=False),
    Column("caption", Text, nullable=False),
    Column("start_clip", Integer),
    Column("start_pts", BigInteger),
    Column("end_clip", Integer),
    Column("end_pts", BigInteger),
    _created(),
    _frame_of_session("start"),
    _frame_of_session("end"),
    CheckConstraint("start_ns >= 0", name="start"),
    CheckConstraint("end_ns > start_ns", name="span"),
    CheckConstraint("(start_clip IS NULL) = (start_pts IS NULL)", name="start_frame"),
    CheckConstraint("(end_clip IS NULL) = (end_pts IS NULL)", name="end_frame"),
    UniqueConstraint("session_id", "position"),
)

motion: Final = Table(
    "motion",
    metadata,
    Column("clip_id", ForeignKey("clip.id", ondelete="CASCADE"), primary_key=True),
    Column("method", Integer, nullable=False),
    *_fraction("capture_speed"),
    _created(),
    Column("seen", LargeBinary, nullable=False),
)

decision: Final = Table(
    "decision",
    metadata,
    Column("id", Integer, primary_key=True, autoincrement=False),
    Column("clip_id", ForeignKey("clip.id", ondelete="CASCADE"), nullable=False),
    Column("what", Text, nullable=False),
    Column("start_pts", BigInteger, nullable=False),
    Column("end_pts", BigInteger),
    Column("verdict", Text, nullable=False),
    Column("became", Text, nullable=False),
    Column("method", Integer, nullable=False),
    _created(),
    CheckConstraint("end_pts > start_pts", name="span"),
    CheckConstraint("verdict IN ('taken', 'changed', 'refused')", name="verdict"),
    Index(None, "clip_id"),
)

pointed: Final = Table(
    "pointed",
    metadata,
    Column("clip_id", ForeignKey("clip.id", ondelete="CASCADE"), primary_key=True),
    Column("pts", BigInteger, primary_key=True),
    Column("x", Float, nullable=False),
    Column("y", Float, nullable=False),
    Column("heeded", Boolean, nullable=False, server_default=text("0")),
    _created(),
    CheckConstraint("x BETWEEN 0 AND 1 AND y BETWEEN 0 AND 1", name="place"),
)

setting: Final = Table(
    "setting",
    metadata,
    Column("key", Text, primary_key=True),
    Column("value", Text, nullable=False),
)
