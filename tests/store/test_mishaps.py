"""What happens on a yard, made to happen: a folder turns read-only, two write at once, a clip vanishes."""

from __future__ import annotations

import os
import threading
from collections.abc import Callable
from pathlib import Path

import pytest

from annotate.errors import BarnTrouble, ClipTrouble
from annotate.media.clip import look
from annotate.media.reader import FrameReader
from annotate.numbers.session_numbers import session_numbers
from annotate.tagging import Change
from store.barn import Barn
from store.rows import NewClip
from tests.made_clips import ClipBox
from tests.store.children import NOBODY, as_nobody
from tests.store.made_barns import MAY_4, event, put, state
from tests.store.test_opening import open_folder

__all__ = ["open_folder"]

posix = pytest.mark.skipif(os.name == "nt", reason="rights of POSIX")


@posix
def test_a_folder_that_turns_read_only_is_said_and_what_was_kept_stays(open_folder: Path) -> None:
    path = open_folder / "my.barn"
    with Barn.open(path) as barn:
        session_id = barn.add_session("Juniper", MAY_4, length_ns=600_000_000_000)
    for file in open_folder.iterdir():
        file.chmod(0o666)

    def tag_then_lose_the_right() -> None:
        with Barn.open(path) as barn:
            put(barn, session_id, event("spook", 1))
        with Barn.open(path) as barn:
            barn.horses()
            for file in (path, *path.parent.glob("my.barn-*")):
                file.chmod(0o444)
            path.parent.chmod(0o555)
            Barn.open(path)

    if os.getuid() == 0:
        for place in (path, open_folder):
            os.chown(place, NOBODY, NOBODY)
    said = as_nobody(tag_then_lose_the_right)
    assert said.startswith("BarnTrouble:")
    assert "can only be read, not written" in said
    open_folder.chmod(0o777)
    for file in open_folder.iterdir():
        file.chmod(0o666)
    with Barn.open(path) as barn:
        assert [tag.what for tag in barn.tags(session_id)] == ["spook"]


def test_two_that_change_the_same_tag_do_not_overwrite_each_other(barn: Barn, session_id: int) -> None:
    old = state("walk", 0, 10)
    put(barn, session_id, old)
    with Barn.open(barn.path) as other:
        shorter, longer = state("walk", 0, 5), state("walk", 0, 20)
        barn.apply(session_id, Change((old,), (shorter,)))
        with pytest.raises(BarnTrouble, match="changed meanwhile in another window"):
            other.apply(session_id, Change((old,), (longer,)))
        assert other.tags(session_id) == (shorter,)


def test_two_that_write_at_once_lose_nothing(barn: Barn, session_id: int) -> None:
    begin, failed = threading.Barrier(2), list[str]()

    def write(path: Path, first: int) -> None:
        with Barn.open(path) as own:
            begin.wait()
            for n in range(100):
                try:
                    put(own, session_id, event("spook", first + n))
                except BarnTrouble as trouble:
                    failed.append(str(trouble))

    writers = [threading.Thread(target=write, args=(barn.path, first)) for first in (0, 200)]
    for writer in writers:
        writer.start()
    for writer in writers:
        writer.join()
    assert failed == []
    assert len(barn.tags(session_id)) == 200


def test_a_session_without_its_clips_still_shows_its_numbers(
    barn: Barn, clip: Callable[..., NewClip]
) -> None:
    kept = barn.add_session("Juniper", MAY_4, [clip(seconds=60)])
    put(barn, kept, state("walk", 0, 20), event("spook", 5))
    barn.clips(kept)[0].path.unlink()
    assert barn.clips(kept)[0].missing
    numbers = session_numbers(barn.session(kept), barn.tags(kept), barn.sheet())
    assert numbers.reactions.count == 1


def test_a_clip_that_vanishes_while_it_is_read_says_so_and_hurts_nothing(tmp_path: Path) -> None:
    made = ClipBox(tmp_path).get("far_keyframes")
    facts = look(made.path)
    with FrameReader(facts) as reader:
        reader.frame(0)
        made.path.rename(tmp_path / "away.mp4")
        reader.frame(len(facts.table) - 1)
    with pytest.raises(ClipTrouble), FrameReader(facts) as reader:
        reader.frame(0)
