"""Pictures out of a passage as JPEG: exact frames, upright and made small; the file holds nothing else."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from av import CodecContext
from av.video.codeccontext import VideoCodecContext
from av.video.frame import VideoFrame

from annotate.behaviours import REACTION, Sheet
from annotate.deliver.cuts import Cut
from annotate.deliver.page.content import Scene
from annotate.media.clip import ClipFacts
from annotate.media.reader import FrameReader
from annotate.media.upright import RGB
from annotate.tags import Tag

LONGEST_SIDE = 960


@dataclass(frozen=True, slots=True)
class Still:
    """One picture: of which clip, and which frame."""

    facts: ClipFacts
    frame: int


def poster_of(cut: Cut, tags: Sequence[Tag], sheet: Sheet) -> Still | None:
    """The picture that stands for a passage: its first hard reaction, or else its middle."""
    if cut.facts is None or cut.frames is None:
        return None
    kinds = sheet.names(REACTION)
    inside = [
        tag for tag in tags if tag.what in kinds and cut.row.start_ns <= tag.start_ns < cut.row.end_ns
    ]
    worst = max(inside, key=lambda tag: (tag.severity or 0, -tag.start_ns), default=None)
    if worst is None or cut.file is None:
        return Still(cut.facts, cut.frames[len(cut.frames) // 2])
    placed = cut.file.placed
    table = cut.facts.table
    at = table.nearest_at_pts(placed.pts_at(worst.start_ns))
    # A few frames on, where the horse has moved.
    on = at + max(1, round(cut.facts.rate / 4))
    return Still(cut.facts, min(max(on, cut.frames.start), cut.frames.stop - 1))


def stills_of(scene: Scene, count: int) -> tuple[Still, ...]:
    """Pictures spread evenly over a passage, its beginning and its end among them."""
    shown = [(cut.facts, frame) for cut in scene.cuts if cut.facts for frame in cut.frames or ()]
    if not shown or count < 1:
        return ()
    if count == 1:
        picked = [shown[len(shown) // 2]]
    else:
        places = (round(Fraction(i * (len(shown) - 1), count - 1)) for i in range(count))
        picked = [shown[place] for place in dict.fromkeys(places)]
    return tuple(Still(facts, frame) for facts, frame in picked)


def read_jpegs(stills: Sequence[Still], longest_side: int = LONGEST_SIDE) -> list[bytes]:
    """The pictures in the order asked for; each clip is opened once. Raises `ClipTrouble`."""
    made: dict[Still, bytes] = {}
    by_clip: dict[int, list[Still]] = {}
    for still in dict.fromkeys(stills):
        by_clip.setdefault(id(still.facts), []).append(still)
    for wanted in by_clip.values():
        with FrameReader(wanted[0].facts, cache_bytes=0) as reader:
            for still in sorted(wanted, key=lambda one: one.frame):
                made[still] = jpeg(reader.frame(still.frame, max_size=(longest_side, longest_side)))
    return [made[still] for still in stills]


def jpeg_size(shown: tuple[int, int], longest_side: int = LONGEST_SIDE) -> tuple[int, int]:
    """About the width and height that a clip's stills have; exact in shape, for a page to keep room."""
    scale = min(Fraction(1), Fraction(longest_side, max(shown)))
    return round(shown[0] * scale), round(shown[1] * scale)


def jpeg(picture: RGB) -> bytes:
    """An RGB picture (height, width, 3) as the bytes of a JPEG file."""
    height, width = (side - side % 2 or side for side in picture.shape[:2])
    encoder = CodecContext.create("mjpeg", "w")
    assert isinstance(encoder, VideoCodecContext)
    encoder.width, encoder.height = width, height
    encoder.pix_fmt = "yuvj420p"
    encoder.time_base = Fraction(1)
    encoder.options = {"qmin": "3", "qmax": "4"}
    whole = VideoFrame.from_ndarray(picture[:height, :width].copy(), format="rgb24")
    made = whole.reformat(format="yuvj420p", dst_colorspace="ITU601", dst_color_range="JPEG")
    made.pts = 0
    return b"".join(bytes(packet) for packet in [*encoder.encode(made), *encoder.encode(None)])
