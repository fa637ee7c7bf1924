"""Pictures and sound into an MP4: H.264 High with B-frames, AAC. What a file's times became is
read back by demuxing, never assumed."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
from numpy.typing import NDArray

from .sound import RATE


@dataclass(frozen=True)
class Quality:
    crf: float = 31.0
    preset: str = "slow"
    keyframe_distance: int = 250
    audio_bits: int = 24000


@dataclass(frozen=True)
class Times:
    """Presentation times of a file's video as demuxed: ticks of time_base, in order; end is the
    tick at which the last frame's interval ends."""

    pts: tuple[int, ...]
    time_base: Fraction
    end: int


def write_clip(
    to: Path,
    pictures: Iterable[NDArray[np.uint8]],
    pts: Sequence[int],
    time_base: Fraction,
    rate: Fraction,
    sound: NDArray[np.int16] | None,
    metadata: dict[str, str],
    quality: Quality,
) -> None:
    """Encode BGR pictures at the given ticks. Writes beside `to` first, then renames."""
    part = to.with_suffix(".part.mp4")
    with av.open(
        str(part), "w", format="mp4", options={"movflags": "+faststart"}
    ) as out:
        out.metadata.update(metadata)
        video = out.add_stream("libx264", rate=rate)
        context = video.codec_context
        context.pix_fmt = "yuv420p"
        context.time_base = time_base
        video.time_base = time_base
        context.gop_size = quality.keyframe_distance
        video.options = {
            "crf": str(quality.crf),
            "preset": quality.preset,
            "profile": "high",
            "bf": "3",
            "x264-params": "keyint-min=25:aq-mode=3:threads=2",
        }
        context.color_range = 1
        context.colorspace = 1
        context.color_primaries = 1
        context.color_trc = 1
        audio = None
        if sound is not None:
            audio = out.add_stream("aac", rate=RATE)
            audio.codec_context.layout = "mono"
            audio.codec_context.bit_rate = quality.audio_bits
        heard = 0
        first = True
        for pixels, tick in zip(pictures, pts, strict=True):
            if first:
                video.width, video.height = pixels.shape[1], pixels.shape[0]
                first = False
            frame = av.VideoFrame.from_ndarray(pixels, format="bgr24")
            frame = frame.reformat(format="yuv420p", dst_colorspace="ITU709")
            frame.pts, frame.time_base = tick, time_base
            out.mux(video.encode(frame))
            if audio is not None and sound is not None:
                until = min(int(tick * time_base * RATE), len(sound))
                while heard + 1024 <= until:
                    heard = _hear(out, audio, sound, heard, 1024)
        if audio is not None and sound is not None:
            while heard < len(sound):
                heard = _hear(out, audio, sound, heard, min(1024, len(sound) - heard))
            out.mux(audio.encode(None))
        out.mux(video.encode(None))
    part.replace(to)


def _hear(
    out: av.container.OutputContainer,
    audio: av.AudioStream,
    sound: NDArray[np.int16],
    start: int,
    count: int,
) -> int:
    block = av.AudioFrame.from_ndarray(
        sound[None, start : start + count].copy(), format="s16", layout="mono"
    )
    block.sample_rate, block.pts, block.time_base = RATE, start, Fraction(1, RATE)
    out.mux(audio.encode(block))
    return start + count


def read_times(clip: Path) -> Times:
    """Every frame's presentation time by demuxing."""
    with av.open(str(clip)) as container:
        stream = container.streams.video[0]
        base = stream.time_base
        if base is None:
            raise ValueError(f"{clip.name} has no time base.")
        found = [
            (p.pts, int(p.duration or 0)) for p in container.demux(stream) if p.pts is not None
        ]
    found.sort()
    last, length = found[-1]
    return Times(tuple(p for p, _ in found), Fraction(base), last + length)
