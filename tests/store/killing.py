"""Killing a program that tags, at a moment that is not of its choosing, and looking at what is left."""

from __future__ import annotations

import subprocess
import sys
from contextlib import closing, suppress
from pathlib import Path
from random import Random

from store.barn import Barn
from store.connecting import connect
from store.copying import integrity

ROOT = Path(__file__).resolve().parents[2]


def tag_until_killed(barn_path: Path, session_id: int, first: int, random: Random) -> list[int]:
    """Lets a program tag for up to 60 ms after its first tag, and kills it; the tags it said were kept."""
    command = [sys.executable, "-m", "tests.store.tag_writer", str(barn_path), str(session_id), str(first)]
    with subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE) as writer:
        assert writer.stdout is not None
        said = writer.stdout.readline()
        with suppress(subprocess.TimeoutExpired):
            writer.wait(random.uniform(0, 0.06))
        writer.kill()
        said += writer.stdout.read()
    # The last line may have been cut off by the death.
    return [int(line) for line in said.split(b"\n")[:-1]]


def lost_tags(barn_path: Path, session_id: int, said: set[int]) -> set[int]:
    """Of the tags that were said to be kept, those that the barn has not. The file must be sound."""
    with Barn.open(barn_path) as barn:
        kept = {tag.id for tag in barn.tags(session_id)}
    with closing(connect(barn_path)) as bare:
        assert integrity(bare) == []
    return said - kept
