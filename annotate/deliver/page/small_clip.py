"""A passage as a small clip that every browser plays: H.264 and AAC in MP4, its index first.

The pictures are exactly the frames asked for, each as long as it was shown in the clip, upright and with
square pixels; the sound is that of the reel, cut to the sample. Nothing of the old file's metadata is taken along.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import suppress
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
from av.audio.frame import AudioFrame
from av.audio.stream import AudioStream
from av.container import OutputContainer
from av.video.frame import VideoFrame
from av.video.stream import VideoStream

from annotate.clock import round_half_up
from annotate.deliver.loudness import RATE, Sound
from annotate.deliver.passage_sound import HeardClip
from annotate.errors import ClipTrouble
from annotate.media.clip import ClipFacts
from annotate.media.opening import name_of
from annotate.media.reader import FrameReader
from annotate.media.upright import Upright

OnFrame = Callable[[], None]

LONGEST_SIDE = 640
_PIECE = RATE // 10
_KEYFRAMES_S = 2
# Main profile without B-frames: the first frame is at zero in every player, and an old phone keeps up.
_X264 = {
    "preset": "veryfast",
    "crf": "25",
    "profile": "main",
    "bf": "0",
    "x264-params": "colorprim=smpte170m:transfer=smpte170m:colormatrix=smpte170m",
}


def write_small_clip(facts: ClipFacts, frames: range, to: Path, on_frame: OnFrame) -> None:
    """Writes the frames with their sound to `to`, which must not be there yet.

    `on_frame` is called after each, and may raise `Cancelled`. Raises `ClipTrouble` for a frame that cannot
    be read and `OSError` where the disk refuses. Whatever is raised, nothing is left of the file.
    """
    try:
        try:
            with av.open(f"file:{to.absolute()}", "w", format="mp4", options=_mp4_options()) as made:
                _Cutting(facts, frames, made).write(on_frame)
        except av.FFmpegError as error:
            if isinstance(error, OSError):
                raise
            name = name_of(facts.path)
            raise ClipTrouble(f"A passage of {name} could not be made small: {error}.") from error
    except BaseException:
        with suppress(OSError):
            to.unlink()
        raise


def _mp4_options() -> dict[str, str]:
    return {"movflags": "+faststart", "fflags": "+bitexact"}


class _Cutting:
    """One passage on its way into a file."""

    def __init__(self, facts: ClipFacts, frames: range, made: OutputContainer) -> None:
        self._facts, self._frames, self._made = facts, frames, made
        table = facts.table
        self._first = table.pts(frames.start)
        self._start = self._first * table.time_base
        self._length = table.interval(frames.stop - 1)[1] * table.time_base - self._start
        self._lasts: dict[int, int] = {}
        self._size = small_size(facts.shown_size)
        self._video = self._video_stream()
        self._audio = self._audio_stream() if facts.sound is not None else None

    def write(self, on_frame: OnFrame) -> None:
        """All frames, the sound between them."""
        upright = Upright(self._facts.picture)
        sound = self._sound()
        heard = Fraction(0)
        with FrameReader(self._facts, cache_bytes=0) as reader:
            for number in self._frames:
                frame = self._small(upright.frame(reader.decoded(number), self._size), number)
                self._see(frame)
                while self._audio is not None and heard <= Fraction(frame.pts or 0) * self._facts.time_base:
                    piece = next(sound, None)
                    if piece is None:
                        break
                    heard = self._hear(piece)
                on_frame()
        for piece in sound:
            self._hear(piece)
        self._see(None)
        if self._audio is not None:
            self._made.mux(self._audio.encode(None))

    def _video_stream(self) -> VideoStream:
        stream = self._made.add_stream("libx264", options=dict(_X264))
        assert isinstance(stream, VideoStream)
        stream.width, stream.height = self._size
        stream.pix_fmt = "yuv420p"
        stream.time_base = self._facts.time_base
        stream.codec_context.time_base = self._facts.time_base
        rate = self._facts.rate
        stream.codec_context.framerate = rate
        stream.codec_context.gop_size = max(1, round(rate * _KEYFRAMES_S))
        return stream

    def _audio_stream(self) -> AudioStream:
        stream = self._made.add_stream("aac", rate=RATE)
        assert isinstance(stream, AudioStream)
        stream.codec_context.layout = "stereo"
        stream.codec_context.bit_rate = 96_000
        stream.time_base = Fraction(1, RATE)
        return stream

    def _small(self, picture: VideoFrame, number: int) -> VideoFrame:
        small = picture.reformat(*self._size, format="yuv420p", dst_colorspace="ITU601")
        start, end = self._facts.table.interval(number)
        small.pts, small.time_base = start - self._first, self._facts.time_base
        self._lasts[start - self._first] = end - start
        return small

    def _see(self, frame: VideoFrame | None) -> None:
        """Encodes; each packet is told how long it lasts, or the last one would last as long as is usual."""
        for packet in self._video.encode(frame):
            packet.duration = self._lasts.get(packet.pts or 0, 0)
            self._made.mux(packet)

    def _hear(self, piece: tuple[int, Sound]) -> Fraction:
        assert self._audio is not None
        place, samples = piece
        frame = AudioFrame.from_ndarray(np.ascontiguousarray(samples), format="fltp", layout="stereo")
        frame.sample_rate, frame.pts, frame.time_base = RATE, place, Fraction(1, RATE)
        self._made.mux(self._audio.encode(frame))
        return Fraction(place + samples.shape[1], RATE)

    def _sound(self) -> Iterator[tuple[int, Sound]]:
        """The sound as (place, samples), one after the other; none where the clip has none."""
        if self._audio is None:
            return
        with HeardClip(self._facts) as clip:
            whole = clip.passage(self._start, round_half_up(self._length * RATE))
        for place in range(0, whole.shape[1], _PIECE):
            yield place, whole[:, place : place + _PIECE]


def small_size(size: tuple[int, int]) -> tuple[int, int]:
    """Width and height fitted into the longest side, both even, as the codec wants them."""
    scale = min(Fraction(1), Fraction(LONGEST_SIDE, max(size)))
    width, height = (max(2, round(side * scale / 2) * 2) for side in size)
    return width, height
