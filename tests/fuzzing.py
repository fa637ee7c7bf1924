"""What comes from outside, spoilt: it is refused with words, or taken in whole; never a crash, never half.

Short in the tests, long in `python3 -m tests.bench fuzz`.
"""

from __future__ import annotations

import contextlib
import io
import json
import zipfile
from collections.abc import Iterator
from copy import deepcopy
from hashlib import blake2b
from pathlib import Path
from typing import Any

import numpy as np
from hypothesis import strategies as st

from annotate.agreement.again import Again, SecondLook, read_second_look, second_look_text
from annotate.behaviours import default_sheet, read_sheet
from annotate.clock import Span
from annotate.errors import ClipTrouble, SheetTrouble, TagTrouble
from annotate.media.clip import look
from annotate.motion.seen import TRACKS, Seen, Sound, Stretch
from annotate.motion.suggestions import Decision, Pointed
from annotate.taglist import read_tag_list, write_tag_list
from app.command import main
from store.barn import Barn
from store.wanted import WantedHorses, WantedSessions
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


def horses_like(whole: bytes) -> st.SearchStrategy[bytes]:
    """A horse handed over in which some values are others, with hashes that agree: as somebody could make one."""
    with zipfile.ZipFile(io.BytesIO(whole)) as file:
        entries = {name: file.read(name) for name in file.namelist()}
    texts = st.sampled_from(["", "x", "../x", "1/0", "9" * 30, "NaN", "\0", "\ud800", "2026-02-30", "walk"])
    numbers = st.sampled_from([0, 1, -1, 2**31, 2**63, 2**70, 0.5, float("inf")])
    others = st.one_of(st.none(), st.booleans(), numbers, texts, st.just([]), st.just({}), st.just([[]]))
    changes = st.lists(st.tuples(st.integers(0, 10_000), st.one_of(others, st.just(_GONE))), min_size=1, max_size=4)
    besides = st.sampled_from(sorted(name for name in entries if name.startswith(("frames/", "seen/"))))
    blobs = besides.flatmap(lambda name: st.tuples(st.just(name), spoilt(entries[name])))
    return st.one_of(
        changes.map(lambda drawn: _honest(entries, {"horse.json": _changed(entries["horse.json"], drawn)})),
        blobs.map(lambda drawn: _honest(entries, dict([drawn]))),
    )


_GONE = object()


def _changed(records: bytes, changes: list[tuple[int, object]]) -> bytes:
    said = json.loads(records)
    for number, value in changes:
        places = list(_places(said))
        inside, key = places[number % len(places)]
        if value is _GONE:
            del inside[key]
        else:
            inside[key] = deepcopy(value)
    return json.dumps(said).encode()


def _places(said: Any) -> Iterator[tuple[Any, Any]]:
    """Everything that stands somewhere in JSON: what it stands in, and where."""
    for key, inside in said.items() if isinstance(said, dict) else enumerate(said):
        yield said, key
        if isinstance(inside, dict | list):
            yield from _places(inside)


def _honest(entries: dict[str, bytes], others: dict[str, bytes]) -> bytes:
    """The file with other entries, and a manifest that agrees with them."""
    entries = {**entries, **others}
    said = json.loads(entries.pop("manifest.json"))
    said["entries"] = {
        name: {"size": len(content), "blake2b": blake2b(content).hexdigest()} for name, content in entries.items()
    }
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as file:
        for name, content in {**entries, "manifest.json": json.dumps(said).encode()}.items():
            packed = zipfile.ZIP_STORED if name.startswith("clips/") else zipfile.ZIP_DEFLATED
            file.writestr(name, content, packed)
    return out.getvalue()


def _put_besides(barn: Barn, session_id: int) -> None:
    """Something of all that goes along with a horse besides its records."""
    [clip] = barn.clips(session_id)
    tracks = {name: np.linspace(0, 1, 5, dtype=np.float32) for name in TRACKS}
    barn.keep_seen(clip, Seen(60.0, 1.5, tracks, (9.0,), (Stretch(0, 30, 1.4, 0.9),), (Sound(3.0, "kiss", 0.5),)))
    barn.keep_decision(Decision(clip.id, "walk", 1000, 91_000, "taken", "walk"))
    barn.point(clip, Pointed(1000, 0.25, 0.5))
    drawn = SecondLook(7, (Again(Span(0, 1_000_000_000), True),))
    barn.keep_setting(f"second_look.{session_id}", second_look_text(drawn))
    barn.keep_setting(f"desk.following.{session_id}", f'{{"{clip.id}": [[5, 0.5, 0.25]]}}')


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
            _put_besides(barn, session_id)
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

    def take_changed_horse(self, content: bytes) -> None:
        """A horse is taken in whole, or nothing of it, and what was taken in can be read; it is taken out again."""
        path = self.folder / "changed.horse"
        path.write_bytes(content)
        before = self.state()
        if not self.is_told("take-in", path):
            assert self.state() == before
            return
        with Barn.open(self.barn) as barn:
            for row in barn.find_sessions(WantedSessions(where=None)):
                barn.session(row.id), barn.clips(row.id), barn.decisions(row.id), barn.looks(row.id)
                if second := barn.setting(f"second_look.{row.id}"):
                    read_second_look(second)
            [horse] = [row.horse for row in barn.find_horses(WantedHorses(where=None)) if row.horse.name != "Alder"]
            barn.put_horse(horse.id, "bin")
            barn.empty_bin()
        for file in (self.folder / "fuzz.clips").glob("*"):
            file.unlink()

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
