"""How much the frame reader costs on top of bare decoding, 1920 x 1080, H.264, keyframes 250 apart.

Ours and bare take turns in the same run, block by block, and medians are compared, so that whatever else
the machine does meets both alike. Bare means PyAV with threads, decoding and converting to an RGB array
in the shortest code that does the same.
"""

from __future__ import annotations

import itertools
import random
import statistics
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import av
import ffmpeg

from annotate.media.clip import ClipFacts, look
from annotate.media.reader import FrameReader, first_picture
from tests.bench.row import Row
from tests.made_clips import run_ffmpeg

SECONDS = 20
_MS = 1000


def make_clip(path: Path) -> Path:
    """Twenty seconds of moving test pattern with a little noise, 30 frames per second."""
    source = ffmpeg.input(f"testsrc2=s=1920x1080:r=30:d={SECONDS}", f="lavfi")
    moving = source.filter("noise", alls=6, allf="t")
    coding = {"c:v": "libx264", "preset": "veryfast", "pix_fmt": "yuv420p"}
    keyframes = {"g": 250, "keyint_min": 250, "sc_threshold": 0}
    run_ffmpeg(ffmpeg.output(moving, str(path), **coding, **keyframes))
    return path


def rows() -> list[Row]:
    """The table, measured now."""
    with tempfile.TemporaryDirectory() as folder:
        path = make_clip(Path(folder) / "bench.mp4")
        facts = look(path)
        return [
            step_forward(facts),
            step_back(facts),
            random_seek(facts),
            open_to_first_picture(path),
            open_to_frame_0(path),
        ]


def step_forward(facts: ClipFacts) -> Row:
    """One step forward against plain sequential decoding and the same conversion."""
    bare = bare_pictures(facts.path)
    with FrameReader(facts) as reader:
        numbers = iter(range(len(facts.table)))
        return in_turns(
            "step forward, one frame", 1.3, lambda: reader.frame(next(numbers)), lambda: next(bare)
        )


def step_back(facts: ClipFacts) -> Row:
    """One step back on kept ground against one bare step forward."""
    bare = bare_pictures(facts.path)
    with FrameReader(facts) as reader:
        reader.frame(len(facts.table) - 1)
        held = [n for n in range(len(facts.table)) if reader.holds(n)]
        back = itertools.cycle(reversed(held))
        return in_turns("step back, kept", 2.0, lambda: reader.frame(next(back)), lambda: next(bare))


def random_seek(facts: ClipFacts) -> Row:
    """A jump to any frame against a bare seek and decoding up to it."""
    chosen = random.Random(5).choices(range(len(facts.table)), k=60)
    ours_to, bare_to = iter(chosen), iter(chosen)
    with FrameReader(facts, cache_bytes=0) as reader, av.open(str(facts.path)) as container:
        stream = container.streams.video[0]
        stream.thread_type = "AUTO"

        def bare() -> object:
            goal = facts.table.pts(next(bare_to))
            container.seek(goal, stream=stream)
            for frame in container.decode(stream):
                if frame.pts == goal:
                    return frame.to_ndarray(format="rgb24")
            raise AssertionError("the bare seek missed")

        return in_turns(
            "jump to a random frame",
            1.3,
            lambda: reader.frame(next(ours_to)),
            bare,
            block=1,
            blocks=len(chosen),
        )


def open_to_first_picture(path: Path) -> Row:
    """From a closed file to its first picture, as the window does it."""
    return in_turns(
        "open, first picture",
        1.5,
        lambda: first_picture(path),
        lambda: bare_first(path),
        block=1,
        blocks=30,
    )


def open_to_frame_0(path: Path) -> Row:
    """From a closed file over its whole frame table to frame 0; grows with the clip, so without an aim."""

    def ours() -> object:
        with FrameReader(look(path)) as reader:
            return reader.frame(0)

    name = f"open, frame table of {SECONDS} s, frame 0"
    return in_turns(name, None, ours, lambda: bare_first(path), block=1, blocks=15)


def bare_first(path: Path) -> object:
    """Open, decode one frame, convert."""
    with av.open(str(path)) as container:
        return next(container.decode(video=0)).to_ndarray(format="rgb24")


def bare_pictures(path: Path) -> Iterator[object]:
    """Every picture in order, again and again."""
    while True:
        with av.open(str(path)) as container:
            container.streams.video[0].thread_type = "AUTO"
            for frame in container.decode(video=0):
                yield frame.to_ndarray(format="rgb24")


def in_turns(
    name: str,
    aim: float | None,
    ours: Callable[[], object],
    bare: Callable[[], object],
    *,
    block: int = 15,
    blocks: int = 30,
) -> Row:
    """Median time of one call of each, in blocks that take turns."""
    took: dict[Callable[[], object], list[float]] = {ours: [], bare: []}
    for call in (ours, bare):
        call()
    for turn in range(blocks - 1):
        for call in (ours, bare) if turn % 2 else (bare, ours):
            begun = time.perf_counter()
            for _ in range(block):
                call()
            took[call].append((time.perf_counter() - begun) / block * _MS)
    return Row(name, statistics.median(took[ours]), statistics.median(took[bare]), aim, "ms")
