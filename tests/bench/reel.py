"""A reel of ten passages of ten seconds out of an hour of 1920 x 1080, as a phone writes it.

Ours cuts at the marked frames. Beside it, in the same run and in turns: ffmpeg coding the same passages anew
(exact, slow), and ffmpeg copying them (quick, but beginning at the keyframe before). Both are run as one
would by hand: a run for each passage, and one that joins them. The least of the runs counts, for whatever
else the machine does only ever adds.
"""

from __future__ import annotations

import tempfile
import time
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import ffmpeg

from annotate.behaviours import default_sheet
from annotate.clock import NS_PER_S
from annotate.deliver.cuts import cuts
from annotate.deliver.highlights import ClipFile, Material, highlights
from annotate.deliver.reel.coding import PRESET, QUALITY
from annotate.deliver.reel.reel import write_reel
from annotate.media.clip import ClipFacts, look
from annotate.passages import Passage
from annotate.sessions import PlacedClip, Session
from tests.bench.row import Row
from tests.made_clips import run_ffmpeg

PIECE_S, PIECES = 60, 60
PASSAGES, PASSAGE_S = 10, 10
SHORT_TURNS, LONG_TURNS = 9, 1


def make_clip(folder: Path) -> Path:
    """A minute of moving pattern and a noise like wind, keyframes a second apart, sixty times over."""
    picture = ffmpeg.input(f"testsrc2=s=1920x1080:r=30:d={PIECE_S}", f="lavfi")
    sound = ffmpeg.input(f"anoisesrc=c=pink:a=0.1:r=48000:d={PIECE_S}", f="lavfi")
    coding = {"c:v": "libx264", "preset": "ultrafast", "pix_fmt": "yuv420p", "b:v": "12M", "c:a": "aac"}
    keyframes = {"g": 30, "keyint_min": 30, "sc_threshold": 0}
    piece = folder / "piece.mp4"
    run_ffmpeg(ffmpeg.output(picture, sound, str(piece), **coding, **keyframes))
    hour = folder / "hour.mp4"
    run_ffmpeg(_joined(folder, [piece] * PIECES, hour))
    return hour


def rows() -> list[Row]:
    """The table, measured now."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        facts = look(make_clip(folder))
        starts = [40 + 350 * n + 0.35 * n for n in range(PASSAGES)]
        ours, copied = _least(
            SHORT_TURNS,
            lambda: _ours(facts, starts, folder),
            lambda: _by_hand(facts.path, starts, folder, {"c": "copy"}),
        )
        _, anew = _least(
            LONG_TURNS,
            lambda: _ours(facts, starts, folder),
            lambda: _by_hand(facts.path, starts, folder, _anew),
        )
        return [
            Row("reel, beside coding all of it anew", ours, anew, 0.25, "s"),
            Row("reel, beside copying inexactly", ours, copied, 3.0, "s"),
        ]


_anew: dict[str, Any] = {
    "c:v": "libx264",
    "preset": PRESET,
    "crf": QUALITY,
    "pix_fmt": "yuv420p",
    "c:a": "aac",
    "b:a": "160k",
}


def _ours(facts: ClipFacts, starts: list[float], folder: Path) -> None:
    table = facts.table
    placed = PlacedClip(1, 0, table.time_base, table.first_pts, table.end_pts)
    session = Session(1, "Bramble", date(2026, 5, 4), clips=(placed,))
    passages = tuple(
        Passage(round(start * NS_PER_S), round((start + PASSAGE_S) * NS_PER_S), position=place)
        for place, start in enumerate(starts)
    )
    files = (ClipFile(placed, facts.path.name, facts.container_start, facts),)
    material = Material(session, passages, (), default_sheet(), files)
    write_reel(cuts(material, highlights(material)), folder / "ours.mp4")


def _by_hand(clip: Path, starts: list[float], folder: Path, coding: dict[str, Any]) -> None:
    parts = [folder / f"part-{place}.mp4" for place in range(len(starts))]
    for start, part in zip(starts, parts, strict=True):
        run_ffmpeg(ffmpeg.output(ffmpeg.input(str(clip), ss=start, t=PASSAGE_S), str(part), **coding))
    run_ffmpeg(_joined(folder, parts, folder / "by_hand.mp4"))


def _joined(folder: Path, parts: list[Path], to: Path) -> Any:
    listed = folder / "parts.txt"
    listed.write_text("".join(f"file '{part}'\n" for part in parts))
    return ffmpeg.output(
        ffmpeg.input(str(listed), f="concat", safe=0), str(to), c="copy", movflags="+faststart"
    )


def _least(turns: int, *ways: Callable[[], None]) -> list[float]:
    took: list[list[float]] = [[] for _ in ways]
    for _ in range(turns):
        for way, times in zip(ways, took, strict=True):
            begun = time.perf_counter()
            way()
            times.append(time.perf_counter() - begun)
    return [min(times) for times in took]
