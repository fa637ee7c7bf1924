"""Killing a program at its work, at a moment that is not of its choosing, and looking at what is left."""

from __future__ import annotations

import shutil
import subprocess
import sys
from collections.abc import Iterable
from contextlib import closing, suppress
from pathlib import Path
from random import Random

from store.barn import Barn
from store.connecting import connect
from store.copying import integrity
from store.files import followers
from store.rolling import backups, usual_folder
from store.versions import NEWEST, read_version

ROOT = Path(__file__).resolve().parents[2]


def tag_until_killed(barn_path: Path, session_id: int, first: int, random: Random) -> list[int]:
    """Lets a program tag for up to 60 ms after its first tag, and kills it; the tags it said were kept."""
    said = _until_killed(["tests.store.tag_writer", barn_path, session_id, first], random.uniform(0, 0.06))
    return [int(line) for line in said]


def work_until_killed(work: str, barn_path: Path, first: int, random: Random) -> list[str]:
    """Lets a program of `killed_work` go on for up to 60 ms after the first it said; all that it said."""
    return _until_killed(["tests.store.killed_work", work, barn_path, first], random.uniform(0, 0.06))


def lost_tags(barn_path: Path, session_id: int, said: set[int]) -> set[int]:
    """Of the tags that were said to be kept, those that the barn has not. The file must be sound."""
    assert_sound(barn_path)
    with Barn.open(barn_path) as barn:
        kept = {tag.id for tag in barn.tags(session_id)}
    return said - kept


def lost_sessions(barn_path: Path, said: Iterable[str]) -> set[int]:
    """Of the sessions that were said to be kept those that are gone, and those that have half their clips."""
    assert_sound(barn_path)
    with Barn.open(barn_path) as barn:
        clips = {row.id: row.clips for row in barn.sessions("Thistle")}
    halves = {number for number, count in clips.items() if count != 2}
    return {int(line) for line in said} - set(clips) | halves


def lost_backups(barn_path: Path, said: Iterable[str]) -> set[str]:
    """Of the backups that are there, those that are not sound; and the last that was said, if it is gone."""
    assert_sound(barn_path)
    there = backups(barn_path, usual_folder(barn_path))
    broken = {str(one.path) for one in there if not _is_sound(one.path)}
    last = [line for line in said if line != "None"][-1:]
    return broken | {line for line in last if not Path(line).exists()}


def migrate_until_killed(model: Path, folder: Path, random: Random, longest_s: float) -> str:
    """Kills a program while it brings a copy of `model` up to date; which version the copy has then.

    The copy must be sound and have all its tags, and so must the copy that was kept before, where it has its
    name already.
    """
    folder.mkdir()
    path = Path(shutil.copy(model, folder / "my.barn"))
    _until_killed(["tests.store.killed_work", "migrate", path, 0], random.uniform(0, longest_s))
    with closing(connect(path)) as bare:
        assert integrity(bare) == []
        tags = bare.execute("SELECT count(*) FROM tag").fetchone()
        version = read_version(bare)
        columns = {row[1] for row in bare.execute("PRAGMA table_info(tag)")}
    assert ("wind" in columns) == (version != NEWEST)
    for file in (model, *folder.glob("my.before*.barn")):
        with closing(connect(file)) as bare:
            assert bare.execute("SELECT count(*) FROM tag").fetchone() == tags
            assert read_version(bare) == NEWEST
    if version == NEWEST:
        Barn.open(path).close()
    shutil.rmtree(folder)
    return version


def assert_sound(path: Path) -> None:
    """The file opens and SQLite finds nothing wrong with it."""
    Barn.open(path).close()
    with closing(connect(path)) as bare:
        assert integrity(bare) == []


def _is_sound(path: Path) -> bool:
    with closing(connect(path)) as bare:
        sound = integrity(bare) == [] and read_version(bare) == NEWEST
    for leftover in followers(path):
        leftover.unlink(missing_ok=True)
    return sound


def _until_killed(command: list[object], longest_s: float) -> list[str]:
    """What a program said until it was killed, so long after the first thing that it said."""
    words = [sys.executable, "-m", *map(str, command)]
    with subprocess.Popen(words, cwd=ROOT, stdin=subprocess.PIPE, stdout=subprocess.PIPE) as program:
        assert program.stdout is not None
        said = program.stdout.readline()
        with suppress(subprocess.TimeoutExpired):
            program.wait(longest_s)
        program.kill()
        said += program.stdout.read()
    # The last line may have been cut off by the death.
    return [line.decode() for line in said.split(b"\n")[:-1]]
