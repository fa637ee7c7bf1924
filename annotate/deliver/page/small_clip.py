"""A passage as a small clip that every browser plays: H.264 and AAC in MP4, its index first.

The pictures are exactly the frames asked for, each as long as it was shown in the clip, upright and with
square pixels; the sound is cut to the sample. Nothing of the old file's metadata is taken along.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import suppress
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
from av.audio.frame import AudioFrame
from av.audio.resampler import AudioResampler
from av.audio.stream import AudioStream
from av.container import OutputContainer
from av.video.frame import VideoFrame
from av.video.stream import VideoStream
from numpy.typing import NDArray

from annotate.errors import ClipTrouble
from annotate.media.clip import ClipFacts
from annotate.media.opening import name_of, open_clip
from annotate.media.reader import FrameReader
from annotate.media.upright import Upright
from annotate.writing import in_words

OnFrame = Callable[[], None]

LONGEST_SIDE = 640
_RATE = 48_000
# Sound that starts this much off where the sound before it ended is taken to follow it at once.
_JITTER = _RATE // 200
_MOST_SILENCE = _RATE
_KEYFRAMES_S = 2
# Main profile without B-frames: the first frame is at zero in every player, and an old phone keeps up.
_X264 = {
    "preset": "veryfast",
    "crf": "25",
    "profile": "main",
    "bf": "0",
    "x264-params": "colorprim=smpte170m:transfer=smpte170m:colormatrix=smpte170m",
}

Samples = NDArray[np.float32]


def write_small_clip(facts: ClipFacts, frames: range, to: Path, on_frame: OnFrame) -> None:
    """Writes the frames with their sound to `to`, which must not be there yet.

    `on_frame` is called after each, and may raise `Cancelled`. Raises `ClipTrouble` for a frame that cannot
    be read and `Trouble` where the disk refuses. Whatever is raised, nothing is left of the file.
    """
    try:
        try:
            with av.open(f"file:{to.absolute()}", "w", format="mp4", options=_mp4_options()) as made:
                _Cutting(facts, frames, made).write(on_frame)
        except OSError as error:
            raise in_words(error, to) from error
        except av.FFmpegError as error:
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
        stream = self._made.add_stream("aac", rate=_RATE)
        assert isinstance(stream, AudioStream)
        assert self._facts.sound is not None
        stream.codec_context.layout = "mono" if self._facts.sound.channels == 1 else "stereo"
        stream.codec_context.bit_rate = 96_000
        stream.time_base = Fraction(1, _RATE)
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

    def _hear(self, piece: tuple[int, Samples]) -> Fraction:
        assert self._audio is not None
        place, samples = piece
        layout = self._audio.codec_context.layout
        frame = AudioFrame.from_ndarray(np.ascontiguousarray(samples), format="fltp", layout=layout.name)
        frame.sample_rate, frame.pts, frame.time_base = _RATE, place, Fraction(1, _RATE)
        self._made.mux(self._audio.encode(frame))
        return Fraction(place + samples.shape[1], _RATE)

    def _sound(self) -> Iterator[tuple[int, Samples]]:
        """The sound as (place, samples), one after the other without a gap; silence where there is none."""
        if self._audio is None:
            return
        wanted = round(self._length * _RATE)
        channels = self._audio.codec_context.layout.nb_channels
        done = 0
        for at, samples in self._decoded_sound():
            place = round((at - self._start) * _RATE)
            if abs(place - done) < _JITTER:
                place = done
            while done < min(place, wanted):
                quiet = min(place - done, wanted - done, _MOST_SILENCE)
                yield done, np.zeros((channels, quiet), dtype=np.float32)
                done += quiet
            kept = samples[:, max(0, done - place) : max(0, wanted - place)]
            if kept.shape[1]:
                yield done, kept
                done += kept.shape[1]
            if done >= wanted:
                return
        while done < wanted:
            quiet = min(wanted - done, _MOST_SILENCE)
            yield done, np.zeros((channels, quiet), dtype=np.float32)
            done += quiet

    def _decoded_sound(self) -> Iterator[tuple[Fraction, Samples]]:
        """From shortly before the passage on: the time of each piece on the stream's clock, its samples."""
        assert self._audio is not None
        resampler = AudioResampler("fltp", self._audio.codec_context.layout.name, _RATE)
        with open_clip(self._facts.path) as container:
            stream = container.streams.best("audio")
            if not isinstance(stream, AudioStream):
                return
            base = stream.time_base
            if base is not None and self._start > 1:
                with suppress(av.FFmpegError):
                    container.seek(int((self._start - 1) / base), stream=stream, backward=True)
            following: Fraction | None = None
            try:
                for heard in container.decode(stream):
                    if heard.pts is not None and heard.time_base is not None:
                        at = heard.pts * heard.time_base
                        if following is None or abs(at - following) > Fraction(_JITTER, _RATE):
                            following = at
                    for piece in resampler.resample(heard):
                        samples = piece.to_ndarray().astype(np.float32, copy=False)
                        if following is not None:
                            yield following, samples
                            following += Fraction(samples.shape[1], _RATE)
            except av.FFmpegError:
                # What cannot be decoded any more is silent; the pictures are shown all the same.
                return


def small_size(size: tuple[int, int]) -> tuple[int, int]:
    """Width and height fitted into the longest side, both even, as the codec wants them."""
    scale = min(Fraction(1), Fraction(LONGEST_SIDE, max(size)))
    width, height = (max(2, round(side * scale / 2) * 2) for side in size)
    return width, height
