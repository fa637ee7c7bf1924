"""Small clips made by the tests, each frame of which says its own number in its pixels.

A picture is a grid of 4 x 4 cells, white or black. The corners tell which way is up: only the upper left
one is white. The other twelve cells, row by row, are bits: nine of the frame's number, the highest first,
then three that check it. Cells are large, so they survive compression and scaling.
"""

from __future__ import annotations

import subprocess
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any

import av
import ffmpeg
import imageio_ffmpeg
import numpy as np
from numpy.typing import NDArray

WIDTH, HEIGHT = 160, 120
_NUMBER_BITS = 9
_CHECK_BITS = 3
_CORNERS = {(0, 0), (0, 3), (3, 0), (3, 3)}
_CELLS = [(row, column) for row in range(4) for column in range(4) if (row, column) not in _CORNERS]

Pixels = NDArray[np.uint8]
Options = dict[str, Any]


@dataclass(frozen=True)
class MadeClip:
    """A made clip. `numbers`: what its frames say, in the order in which they are to be shown."""

    name: str
    path: Path
    numbers: Sequence[int]


def drawn_number(number: int, width: int = WIDTH, height: int = HEIGHT) -> Pixels:
    """A grey picture (height, width) that says `number`, 0 to 511."""
    if not 0 <= number < 1 << _NUMBER_BITS:
        raise ValueError(f"{number} does not fit into a picture")
    code = number << _CHECK_BITS | _check(number)
    grid = np.zeros((4, 4), dtype=np.uint8)
    grid[0, 0] = 235
    for bit, cell in enumerate(reversed(_CELLS)):
        grid[cell] = 235 if code >> bit & 1 else 16
    rows, columns = np.arange(height) * 4 // height, np.arange(width) * 4 // width
    return np.ascontiguousarray(grid[np.ix_(rows, columns)])


def read_number(picture: Pixels) -> int:
    """The number in an RGB picture (height, width, 3); raises ValueError if it says none or lies wrong."""
    height, width = picture.shape[:2]
    rows, columns = height / 4, width / 4

    def is_white(row: int, column: int) -> bool:
        top, left = int((row + 0.25) * rows), int((column + 0.25) * columns)
        cell = picture[top : int((row + 0.75) * rows) + 1, left : int((column + 0.75) * columns) + 1]
        return float(cell.mean()) > 128

    if {corner for corner in _CORNERS if is_white(*corner)} != {(0, 0)}:
        raise ValueError("the picture is not upright, or is not one of ours")
    code = 0
    for cell in _CELLS:
        code = code << 1 | is_white(*cell)
    number = code >> _CHECK_BITS
    if code & ((1 << _CHECK_BITS) - 1) != _check(number):
        raise ValueError("the picture is too damaged to be read")
    return number


def run_ffmpeg(stream: Any, feed: bytes = b"") -> bytes:
    """Run a graph built with ffmpeg-python; gives its standard output."""
    command = [imageio_ffmpeg.get_ffmpeg_exe(), "-nostdin", "-hide_banner", "-loglevel", "error"]
    arguments = ffmpeg.get_args(ffmpeg.overwrite_output(stream))
    done = subprocess.run([*command, *arguments], input=feed, capture_output=True, check=False)
    if done.returncode != 0:
        raise RuntimeError(done.stderr.decode("utf-8", "replace"))
    return done.stdout


def numbered(
    path: Path,
    count: int,
    *,
    rate: str = "25",
    size: tuple[int, int] = (WIDTH, HEIGHT),
    sound: bool = False,
    before: Options | None = None,
    filters: Sequence[tuple[str, str]] = (),
    **options: Any,
) -> Path:
    """A clip of `count` numbered frames. `before` are options of its input, `options` of its output."""
    pictures = b"".join(drawn_number(n, *size).tobytes() for n in range(count))
    source = ffmpeg.input(
        "pipe:", f="rawvideo", pix_fmt="gray", s=f"{size[0]}x{size[1]}", r=rate, **(before or {})
    )
    video = source.video
    for name, argument in filters:
        video = video.filter(name, *filter(None, [argument]))
    streams = [video]
    if sound:
        seconds = float(count / Fraction(rate))
        streams.append(ffmpeg.input(f"sine=f=440:r=48000:d={seconds}", f="lavfi").audio)
    settings = {"c:v": "libx264", "preset": "ultrafast", "pix_fmt": "yuv420p", "threads": 1, **options}
    run_ffmpeg(ffmpeg.output(*streams, f"file:{path}", **settings), pictures)
    return path


def repacked(source: Path, path: Path, *, before: Options | None = None, **options: Any) -> Path:
    """The same packets in another file."""
    opened = ffmpeg.input(f"file:{source}", **(before or {}))
    run_ffmpeg(ffmpeg.output(opened, f"file:{path}", **{"c": "copy", **options}))
    return path


def timed(path: Path, times: Sequence[int], time_base: Fraction) -> Path:
    """A clip whose frames have exactly these pts."""
    with av.open(str(path), "w") as container:
        stream = container.add_stream("libx264", rate=30, options={"preset": "ultrafast"})
        stream.width, stream.height, stream.pix_fmt = WIDTH, HEIGHT, "yuv420p"
        stream.time_base = stream.codec_context.time_base = time_base
        for number, pts in enumerate(times):
            frame = av.VideoFrame.from_ndarray(drawn_number(number), format="gray")
            frame = frame.reformat(format="yuv420p")
            frame.pts, frame.time_base = pts, time_base
            container.mux(stream.encode(frame))
        container.mux(stream.encode(None))
    return path


def without_first_packets(source: Path, path: Path, count: int) -> Path:
    """The same clip as if recording had begun `count` packets later, wherever that is."""
    with av.open(str(source)) as old, av.open(str(path), "w") as new:
        stream = new.add_stream_from_template(old.streams.video[0])
        for number, packet in enumerate(p for p in old.demux(video=0) if p.size):
            if number >= count:
                packet.stream = stream
                new.mux(packet)
    return path


def irregular_times(count: int) -> list[int]:
    """Ticks of 1/90000 s as a phone's camera gives them: about 30 per second, never even, some lost."""
    times, at = [], 0
    for n in range(count):
        times.append(at)
        at += 3000 + (n * 7919) % 611 - 305 + (3000 if n % 17 == 16 else 0)
    return times


Build = Callable[["ClipBox", Path], Sequence[int]]


class ClipBox:
    """Makes each clip once, when it is first asked for."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._made: dict[str, MadeClip] = {}

    def get(self, name: str) -> MadeClip:
        """The clip of that name from `CLIPS`."""
        if name not in self._made:
            suffix, build = CLIPS[name]
            path = self.folder / f"{name}{suffix}"
            self._made[name] = MadeClip(name, path, build(self, path))
        return self._made[name]


def _check(number: int) -> int:
    return (number ^ number >> 3 ^ number >> 6 ^ 5) & 7


def _plain(count: int, **options: Any) -> Build:
    def build(_box: ClipBox, path: Path) -> Sequence[int]:
        numbered(path, count, **options)
        return range(count)

    return build


def _copy(source: str, **options: Any) -> Build:
    def build(box: ClipBox, path: Path) -> Sequence[int]:
        original = box.get(source)
        repacked(original.path, path, **options)
        return original.numbers

    return build


def _later_begin(source: str, packets: int, first: int) -> Build:
    def build(box: ClipBox, path: Path) -> Sequence[int]:
        original = box.get(source)
        without_first_packets(original.path, path, packets)
        return original.numbers[first:]

    return build


def _variable(_box: ClipBox, path: Path) -> Sequence[int]:
    timed(path, irregular_times(120), Fraction(1, 90000))
    return range(120)


def _edited(box: ClipBox, path: Path) -> Sequence[int]:
    repacked(box.get("b_frames").path, path, before={"ss": "1.44"})
    return range(36, 100)


def _turned(turn: str, rotation: int | None, **base: Any) -> Build:
    """Pictures stored lying on their side, or mirrored, with the display matrix that sets them right."""

    def build(box: ClipBox, path: Path) -> Sequence[int]:
        lying = numbered(box.folder / f"lying_{path.name}", 50, filters=_TURNS[turn], **base)
        matrix = {"display_hflip": None} if rotation is None else {"display_rotation": -rotation}
        repacked(lying, path, before=matrix)
        return range(50)

    return build


def _picture_after_sound(box: ClipBox, path: Path) -> Sequence[int]:
    original = box.get("constant_25")
    picture = ffmpeg.input(f"file:{original.path}", itsoffset="0.083").video
    sound = ffmpeg.input(f"file:{original.path}").audio
    run_ffmpeg(ffmpeg.output(picture, sound, f"file:{path}", c="copy"))
    return original.numbers


_TURNS: dict[str, list[tuple[str, str]]] = {
    "left": [("transpose", "cclock")],
    "over": [("hflip", ""), ("vflip", "")],
    "right": [("transpose", "clock")],
    "mirrored": [("hflip", "")],
    "left, wide": [("transpose", "cclock"), ("setsar", "4/3")],
}
_B = {"preset": "veryfast", "bf": 3, "g": 30, "sc_threshold": 0, "x264-params": "b-adapt=0"}
_OPEN = "open-gop=1:keyint=30:min-keyint=30:scenecut=0:bframes=3:b-adapt=0"

# name: (suffix, builder). Together they are the kinds of file that cameras and phones write.
CLIPS: dict[str, tuple[str, Build]] = {
    "constant_25": (".mp4", _plain(75, sound=True)),
    "constant_30": (".mp4", _plain(60, rate="30")),
    "constant_29_97": (".mp4", _plain(90, rate="30000/1001")),
    "constant_29_97_in_ms": (".mkv", _plain(90, rate="30000/1001")),
    "constant_60": (".mov", _plain(120, rate="60")),
    "variable": (".mp4", _variable),
    "b_frames": (".mp4", _plain(100, **_B)),
    "b_frames_in_avi": (".avi", _copy("b_frames")),
    "far_keyframes": (".mp4", _plain(300, g=250, keyint_min=250, sc_threshold=0)),
    "only_keyframes": (".mp4", _plain(60, g=1)),
    "turned_90": (".mp4", _turned("left", 90)),
    "turned_180": (".mp4", _turned("over", 180)),
    "turned_270": (".mov", _turned("right", 270)),
    "mirrored": (".mp4", _turned("mirrored", None)),
    "wide_pixels_turned": (".mp4", _turned("left, wide", 90)),
    "late_start": (".mp4", _copy("b_frames", before={"itsoffset": "8.333"})),
    "picture_after_sound": (".mp4", _picture_after_sound),
    "edit_list": (".mp4", _edited),
    "transport_stream": (".ts", _copy("b_frames", output_ts_offset="10", muxdelay=0, muxpreload=0)),
    "programme_stream": (".mpg", _plain(60, **{"c:v": "mpeg2video", "bf": 2, "g": 15, "f": "vob"})),
    "hevc": (".mp4", _plain(60, **{"c:v": "libx265", "x265-params": "log-level=none:pools=1"})),
    "open_gop": (".mkv", _plain(120, preset="veryfast", **{"x264-params": _OPEN})),
    "open_gop_in_ts": (".ts", _copy("open_gop")),
    "no_whole_keyframes": (".ts", _plain(90, **{"x264-params": "intra-refresh=1:keyint=25"})),
    "photos_in_avi": (".avi", _plain(75, **{"c:v": "mjpeg", "pix_fmt": "yuvj420p"})),
    "old_camera": (".avi", _plain(75, **{"c:v": "mpeg4", "bf": 2, "g": 25})),
    "vp9": (".webm", _plain(50, **{"c:v": "libvpx-vp9", "deadline": "realtime", "cpu-used": 8})),
    "wide_pixels": (".mp4", _plain(50, filters=[("setsar", "4/3")])),
    "begins_between_keyframes": (".mp4", _later_begin("b_frames", 10, 30)),
    "begins_at_open_gop": (".mkv", _later_begin("open_gop", 27, 30)),
}
