"""What comes from outside, spoilt: it is refused with words, or taken in whole; never a crash, never half.

Short in the tests, long in `python3 -m tests.bench fuzz`.
"""

from __future__ import annotations

import contextlib
import io
from pathlib import Path

from hypothesis import strategies as st

from annotate.behaviours import default_sheet, read_sheet
from annotate.errors import ClipTrouble, SheetTrouble, TagTrouble
from annotate.media.clip import look
from annotate.taglist import read_tag_list, write_tag_list
from app.command import main
from store.barn import Barn
from tests.store.made_barns import MAY_4, event, new_clip, put, state

END_NS = 600_000_000_000
TAG_LIST = (
    "start_s,end_s,what,severity,stimulus,side,note\r\n"
    '0,60,walk,,,,\r\n60,180.5,trot,,,,"a, b"\r\n100,,spook,3,flag,left,\r\n108,,calm,,,,\'=1\r\n'
)


def spoilt(whole: bytes, head: int | None = None) -> st.SearchStrategy[bytes]:
    """Bytes with pieces overwritten, taken out, put in, doubled or cut off; `head`: only that far in."""
    far = min(head or len(whole), len(whole)) - 1
    at = st.integers(0, far)
    change = st.one_of(
        st.tuples(st.just("flip"), at, st.binary(min_size=1, max_size=8)),
        st.tuples(st.just("drop"), at, st.integers(1, 64)),
        st.tuples(st.just("put"), at, st.binary(min_size=1, max_size=64)),
        st.tuples(st.just("double"), at, st.integers(1, 64)),
        st.tuples(st.just("cut"), st.integers(0, len(whole) - 1), st.just(0)),
    )
    return st.lists(change, min_size=1, max_size=5).map(lambda changes: _spoil(whole, changes))


def _spoil(whole: bytes, changes: list[tuple[str, int, bytes | int]]) -> bytes:
    for kind, at, what in changes:
        if kind == "flip" and isinstance(what, bytes):
            whole = whole[:at] + what + whole[at + len(what) :]
        elif kind == "put" and isinstance(what, bytes):
            whole = whole[:at] + what + whole[at:]
        elif kind == "drop" and isinstance(what, int):
            whole = whole[:at] + whole[at + what :]
        elif kind == "double" and isinstance(what, int):
            whole = whole[: at + what] + whole[at : at + what] + whole[at + what :]
        else:
            whole = whole[:at]
    return whole


def tag_lists() -> st.SearchStrategy[bytes]:
    """Tag lists of all sorts, most of them wrong."""
    fields = st.sampled_from(
        ["0", "1e9", "-1", "1.5", "walk", "spook", "5", "left", "", "flag", '"', "=1", "NaN"]
    )
    rows = st.lists(st.lists(fields, max_size=9).map(",".join), max_size=6).map("\r\n".join)
    whole = rows.map(lambda text: f"{TAG_LIST.splitlines()[0]}\r\n{text}".encode())
    return st.one_of(spoilt(TAG_LIST.encode()), whole, st.binary(max_size=200))


def clips_like(whole: bytes) -> st.SearchStrategy[bytes]:
    """A clip spoilt in its head or in its index, which stands at its end."""
    tail = min(4000, len(whole) // 2)
    return st.one_of(spoilt(whole, 200), spoilt(whole[-tail:]).map(lambda end: whole[:-tail] + end))


def check_tag_list(content: bytes) -> None:
    """It is refused in words, or comes back the same."""
    sheet = default_sheet()
    try:
        tags = read_tag_list(content, sheet, END_NS)
    except TagTrouble:
        return
    assert read_tag_list(write_tag_list(tags, sheet), sheet, END_NS) == tags


def check_sheet(content: bytes) -> None:
    """It is refused in words, or can be used."""
    try:
        sheet = read_sheet(content.decode("utf-8", "replace"))
    except SheetTrouble:
        return
    assert sheet.behaviours is not None


def check_clip(content: bytes, folder: Path) -> None:
    """It is refused in words, or its frames are in order."""
    path = folder / "spoilt.mp4"
    path.write_bytes(content)
    try:
        facts = look(path)
    except ClipTrouble:
        return
    assert len(facts.table) > 0
    assert facts.table.first_pts < facts.table.end_pts


class Line:
    """The command line on a barn of one horse with a tagged session, whose file `handed` is, too."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.barn = folder / "fuzz.barn"
        with Barn.create(folder / "giver.barn") as barn:
            session_id = barn.add_session(
                "Juniper", MAY_4, [new_clip(folder / "a.mp4", sound=True)], title="Flag"
            )
            put(barn, session_id, state("walk", 0, 30), event("spook", 12))
            barn.hand_over("Juniper", folder / "juniper.horse", with_clips=True)
        self.handed = (folder / "juniper.horse").read_bytes()
        with Barn.create(self.barn) as barn:
            put(barn, barn.add_session("Alder", MAY_4, length_ns=END_NS), state("trot", 0, 30))

    def is_told(self, *words: object) -> bool:
        """Runs a verb; whether it succeeded. What it refuses it refuses in words."""
        out, err = io.StringIO(), io.StringIO()
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
            code = main(["--barn", str(self.barn), *map(str, words)])
        assert code in (0, 1)
        assert bool(code) == bool(err.getvalue().strip())
        assert "Traceback" not in err.getvalue()
        return not code

    def state(self) -> object:
        """All that the barn holds."""
        with Barn.open(self.barn) as barn:
            return [(row, barn.tags(row.id), barn.passages(row.id)) for row in barn.sessions()]

    def take_tags(self, content: bytes) -> None:
        """A tag list is taken in whole, or nothing of it."""
        path = self.folder / "list.csv"
        path.write_bytes(content)
        before = self.state()
        if not self.is_told("tags", "1", "--from", path):
            assert self.state() == before

    def take_horse(self, content: bytes) -> None:
        """A horse is taken in whole, or nothing of it; it is taken out again."""
        path = self.folder / "spoilt.horse"
        path.write_bytes(content)
        before = self.state()
        clips = self.folder / "fuzz.clips"
        if not self.is_told("take-in", path):
            assert self.state() == before
            assert not clips.exists() or not list(clips.iterdir())
            return
        with Barn.open(self.barn) as barn:
            [row] = [row for row in barn.sessions() if row.id != 1]
            assert (row.clips, row.tags) == (1, 2)
            barn.put_horse(barn.horse(row.horse).id, "bin")
            barn.empty_bin()
        for file in clips.iterdir():
            file.unlink()
