"""Reels of made clips, and what a decoder finds in them: numbers drawn, times shown, the sound."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
from av.audio.frame import AudioFrame
from av.audio.resampler import AudioResampler
from numpy.typing import NDArray

from annotate.behaviours import default_sheet
from annotate.deliver.cuts import Cut, cuts
from annotate.deliver.highlights import ClipFile, Material, highlights
from annotate.media.clip import look
from annotate.passages import Passage
from annotate.sessions import PlacedClip, Session
from tests.made_clips import read_number

Range = tuple[int, int, int]
"""The place of a clip, the first frame and the last frame of a passage."""


@dataclass(frozen=True)
class Watched:
    """A reel as decoded: numbers and times of its pictures, and its sound, (channels, samples) at 48 kHz."""

    numbers: list[int]
    times: list[Fraction]
    size: tuple[int, int]
    sound: NDArray[np.float32]
    sound_start: Fraction


def material_of(paths: Sequence[Path], ranges: Sequence[Range], *, caption: str = "") -> Material:
    """The clips one after the other, and a passage marked from one frame to another for each range."""
    files: list[ClipFile] = []
    at = 0
    for number, path in enumerate(paths, 1):
        facts = look(path)
        table = facts.table
        placed = PlacedClip(number, at, table.time_base, table.first_pts, table.end_pts)
        files.append(ClipFile(placed, path.name, facts.container_start, facts))
        at = placed.span.end_ns
    passages: list[Passage] = []
    for position, (clip, first, last) in enumerate(ranges):
        placed, facts = files[clip].placed, files[clip].facts
        assert facts is not None
        start, end = facts.table.pts(first), facts.table.interval(last)[1]
        passages.append(Passage(placed.session_ns(start), placed.session_ns(end), caption, position))
    session = Session(1, "Bramble", date(2026, 5, 4), clips=tuple(file.placed for file in files))
    return Material(session, tuple(passages), (), default_sheet(), tuple(files))


def cuts_of(paths: Sequence[Path], ranges: Sequence[Range], *, caption: str = "") -> tuple[Cut, ...]:
    """The same as it is cut."""
    material = material_of(paths, ranges, caption=caption)
    return cuts(material, highlights(material))


def shown_times(some: Sequence[Cut]) -> list[Fraction]:
    """When each frame has to be shown in the reel."""
    times: list[Fraction] = []
    for cut in some:
        assert cut.facts is not None
        assert cut.frames is not None
        table = cut.facts.table
        first = table.time(cut.frames.start)
        times += [cut.reel_start + table.time(n) - first for n in cut.frames]
    return times


def watch(path: Path) -> Watched:
    """Decodes a reel from its beginning to its end."""
    numbers: list[int] = []
    times: list[Fraction] = []
    size = (0, 0)
    with av.open(str(path)) as container:
        for frame in container.decode(video=0):
            numbers.append(read_number(_without_bars(frame.to_ndarray(format="rgb24"))))
            assert frame.pts is not None
            times.append(frame.pts * Fraction(frame.time_base))
            size = (frame.width, frame.height)
    sound, start = heard(path)
    return Watched(numbers, times, size, sound, start)


def heard(path: Path) -> tuple[NDArray[np.float32], Fraction]:
    """The sound of a file at 48 kHz in stereo, and when it begins."""
    parts: list[NDArray[np.float32]] = []
    start: Fraction | None = None
    to_stereo = AudioResampler("fltp", "stereo", 48000)
    with av.open(str(path)) as container:
        for frame in container.decode(audio=0):
            assert isinstance(frame, AudioFrame)
            if start is None and frame.pts is not None and frame.time_base is not None:
                start = frame.pts * frame.time_base
            parts += [part.to_ndarray() for part in to_stereo.resample(frame)]
    assert start is not None
    return np.concatenate(parts, axis=1), start


def _without_bars(picture: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Cuts away what was letterboxed; the numbered pictures are 4 to 3."""
    height, width = picture.shape[:2]
    if width * 3 > height * 4 + 8:
        inner = round(height * 4 / 3)
        left = (width - inner) // 2
        return np.ascontiguousarray(picture[:, left : left + inner])
    if width * 3 < height * 4 - 8:
        inner = round(width * 3 / 4)
        top = (height - inner) // 2
        return np.ascontiguousarray(picture[top : top + inner])
    return picture
