"""Programs that are killed at their work: `python -m tests.store.killed_work WORK BARN FIRST`.

They say on standard output what was kept, one line each, and go on until they are killed: `bring_in` says the
numbers of sessions of two clips, `back_up` the files of backups. `migrate` says 'begun', brings the barn to a
version to come, and says 'done'.
"""

from __future__ import annotations

import shutil
import sys
from datetime import UTC, datetime, timedelta
from itertools import count
from pathlib import Path

from annotate.tagging import Change
from annotate.tags import Tag
from store.barn import Barn
from store.copying import copy_barn
from store.files import free_name
from store.rolling import back_up, usual_folder
from store.versions import MIGRATIONS, NEWEST, migrate
from tests.store.made_barns import MAY_4, new_clip

TO_COME = """
import sqlalchemy as sa
from alembic import op

revision = "to come"
down_revision = "{newest}"
branch_labels = None
depends_on = None


def upgrade():
    for table in ("session", "tag"):
        with op.batch_alter_table(table, recreate="always") as rebuilt:
            rebuilt.add_column(sa.Column("wind", sa.Text(), server_default="", nullable=False))
"""


def bring_in(path: Path, first: int) -> None:
    """Keeps one session of two clips after another."""
    with Barn.open(path) as barn:
        for number in count(first):
            clips = [
                new_clip(path.with_name(f"{part}.mp4"), content=f"{part} {number}".encode(), starts_s=at)
                for part, at in (("a", 0), ("b", 60))
            ]
            _say(barn.add_session("Thistle", MAY_4, clips))


def keep_backups(path: Path, first: int) -> None:
    """Takes one rolling backup after another, with a tag between them."""
    with Barn.open(path) as barn:
        for number in count(first):
            barn.apply(1, Change((), (Tag("calm", number),)))
            now = datetime(2026, 5, 4, tzinfo=UTC) + timedelta(hours=number)
            _say(back_up(path, usual_folder(path), now))


def bring_up_to_date(path: Path, first: int) -> None:
    """Copies the barn and brings it to a version to come, as opening it would."""
    scripts = path.with_name("migrations")
    shutil.copytree(MIGRATIONS, scripts, ignore=shutil.ignore_patterns("__pycache__"))
    (scripts / "versions" / "to_come.py").write_text(TO_COME.format(newest=NEWEST), encoding="utf-8")
    _say("begun")
    copy_barn(path, free_name(path, "before"))
    migrate(path, scripts)
    _say("done")
    sys.stdin.read()


WORKS = {"bring_in": bring_in, "back_up": keep_backups, "migrate": bring_up_to_date}


def _say(words: object) -> None:
    sys.stdout.write(f"{words}\n")
    sys.stdout.flush()


if __name__ == "__main__":
    WORKS[sys.argv[1]](Path(sys.argv[2]), int(sys.argv[3]))
