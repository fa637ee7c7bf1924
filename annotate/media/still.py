"""One exact frame as a PNG file, as a person should see it: upright, with square pixels."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

from av import CodecContext
from av.video.codeccontext import VideoCodecContext
from av.video.frame import VideoFrame

from annotate.errors import ClipTrouble
from annotate.media.clip import ClipFacts, look
from annotate.media.opening import name_of
from annotate.media.reader import FrameReader
from annotate.media.upright import RGB
from annotate.writing import write_bytes


def write_still(
    path: Path | str,
    to: Path | str,
    *,
    frame: int | None = None,
    at: Fraction | None = None,
    facts: ClipFacts | None = None,
) -> int:
    """Write frame number `frame`, or the one on the screen `at` seconds, to the PNG file `to`.

    `at` is on the clip's own clock (raw pts x time base), as `look` tells it. `facts` save a look if
    they are known. Gives the frame's number. The file appears whole or not at all. Raises `ClipTrouble`
    if there is no such frame or the file would replace the clip, and `Trouble` where the disk refuses.
    """
    if (frame is None) == (at is None):
        raise ValueError("say either the frame or the time")
    target = Path(to)
    _refuse(target, Path(path))
    known = facts if facts is not None else look(path)
    with FrameReader(known, cache_bytes=0) as reader:
        n = frame if frame is not None else reader.number_at(at or Fraction(0))
        picture = reader.frame(n)
    write_bytes(target, png(picture))
    return n


def png(picture: RGB) -> bytes:
    """An RGB picture (height, width, 3) as the bytes of a PNG file."""
    encoder = CodecContext.create("png", "w")
    assert isinstance(encoder, VideoCodecContext)
    encoder.height, encoder.width = picture.shape[:2]
    encoder.pix_fmt = "rgb24"
    encoder.time_base = Fraction(1)
    made = VideoFrame.from_ndarray(picture, format="rgb24")
    return b"".join(bytes(packet) for packet in [*encoder.encode(made), *encoder.encode(None)])


def _refuse(target: Path, clip: Path) -> None:
    if target.suffix.lower() != ".png":
        raise ClipTrouble(f"A still is a PNG picture: let the name {name_of(target)} end in .png.")
    try:
        same = target.exists() and clip.exists() and target.samefile(clip)
    except OSError:
        same = False
    if same:
        raise ClipTrouble(f"{name_of(target)} is the clip itself: choose another name for the still.")
    if target.is_dir():
        raise ClipTrouble(f"{name_of(target)} is a folder: give the still a name in it.")
