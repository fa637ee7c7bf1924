"""What a watched clip holds: facts in numbers, kept with the clip and stamped with the method's version.

Times are seconds of the horse's time from the clip's first frame. Speeds are in the horse's own heights a
second, positive to the right and down the picture.
"""

from __future__ import annotations

import io
import json
import zipfile
from dataclasses import asdict, dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from annotate.errors import ClipTrouble

METHOD: Final = 4
"""Raised whenever the same clip would give other facts than before."""

FINDING_S: Final = 1.3
"""So long it may take, from the beginning of a shot, until a horse that moves is found."""

Floats = NDArray[np.float32]

JOLTS: Final = ("back", "pitch", "left", "right")
TRACKS: Final = ("at_s", "x", "y", "width", "height", "along", "down", "stir", "pan", "zoom", *JOLTS)


@dataclass(frozen=True, slots=True)
class Stretch:
    """The rhythm from `start_s` to `end_s`: `hz` strides a second, None without one.

    `two_beats`: whether a stride shows as two like halves (walk, trot), None if unknown.
    """

    start_s: float
    end_s: float
    hz: float | None
    confidence: float
    two_beats: bool | None = None


@dataclass(frozen=True, slots=True)
class Sound:
    """Something that may be a cue. `what`: cluck or kiss."""

    at_s: float
    what: str
    confidence: float


@dataclass(frozen=True, slots=True, eq=False)
class Seen:
    """Everything that was seen and heard in one clip.

    `tracks`: for each of TRACKS a row of float32 over the samples. x, y, width and height of the horse's box are
    shares of the picture's width and height, NaN while it is lost; along and down its travel; stir the motion
    within the box; pan and zoom what the camera did, picture widths a second to the right and 1/s; JOLTS as in
    `jolts.Jolt`, 0 where that is not known.
    """

    length_s: float
    shape: float
    tracks: dict[str, Floats]
    cuts: tuple[float, ...]
    rhythm: tuple[Stretch, ...]
    sounds: tuple[Sound, ...]
    method: int = METHOD

    def track(self, name: str) -> NDArray[np.float64]:
        """One row in double precision."""
        return self.tracks[name].astype(np.float64)

    @property
    def in_sight(self) -> NDArray[np.bool_]:
        """At which samples the horse's place is known."""
        return np.isfinite(self.tracks["x"])

    def to_bytes(self) -> bytes:
        """A compact form to keep."""
        facts: dict[str, Any] = {
            "method": self.method,
            "length_s": self.length_s,
            "shape": self.shape,
            "cuts": self.cuts,
            "rhythm": [asdict(stretch) for stretch in self.rhythm],
            "sounds": [asdict(sound) for sound in self.sounds],
        }
        out = io.BytesIO()
        words = np.frombuffer(json.dumps(facts).encode(), dtype=np.uint8)
        rows: dict[str, Any] = {name: self.tracks[name] for name in TRACKS}
        np.savez_compressed(out, facts=words, **rows)
        return out.getvalue()

    @classmethod
    def from_bytes(cls, kept: bytes) -> Seen:
        """What `to_bytes` gave; raises `ClipTrouble` if the bytes are not whole."""
        try:
            with np.load(io.BytesIO(kept), allow_pickle=False) as rows:
                facts = json.loads(rows["facts"].tobytes())
                tracks = {name: rows[name] for name in TRACKS}
            return cls(
                length_s=facts["length_s"],
                shape=facts["shape"],
                tracks=tracks,
                cuts=tuple(facts["cuts"]),
                rhythm=tuple(Stretch(**stretch) for stretch in facts["rhythm"]),
                sounds=tuple(Sound(**sound) for sound in facts["sounds"]),
                method=facts["method"],
            )
        except (ValueError, KeyError, TypeError, zipfile.BadZipFile, OSError) as failure:
            raise ClipTrouble("What was seen in a clip is damaged: let it be watched again.") from failure


def method_of(kept: bytes) -> int:
    """By which method it was seen, of what `Seen.to_bytes` gave in any version; raises as NumPy and JSON do."""
    with np.load(io.BytesIO(kept), allow_pickle=False) as rows:
        return int(json.loads(rows["facts"].tobytes())["method"])
