"""A clip's sound as plain numbers: one channel, at one rate, with its place on the clip's clock."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Final

import av
import numpy as np
from av.audio.resampler import AudioResampler
from av.audio.stream import AudioStream
from numpy.typing import NDArray

from annotate.errors import Cancelled, ClipTrouble
from annotate.media.opening import name_of, open_clip

RATE: Final = 8000
_LONGEST_S: Final = 4 * 3600


@dataclass(frozen=True, slots=True)
class Sound:
    """Samples of -1 to 1, `rate` a second. `first`: seconds on the clip's own clock at the first of them."""

    samples: NDArray[np.float32]
    first: Fraction
    rate: int = RATE


def read_sound(path: Path, cancelled: Callable[[], bool] = lambda: False) -> Sound:
    """The whole sound of a clip. Silence stands where the file has a gap in its sound.

    Raises `ClipTrouble` for a clip without sound that can be read, `Cancelled` if stopped.
    """
    with open_clip(path) as container:
        stream = container.streams.best("audio")
        if not isinstance(stream, AudioStream):
            raise ClipTrouble(f"{name_of(path)} has no sound. Line it up by hand.")
        resampler = AudioResampler(format="flt", layout="mono", rate=RATE)
        parts: list[NDArray[np.float32]] = []
        first: Fraction | None = None
        length = 0
        try:
            for frame in container.decode(stream):
                if cancelled():
                    raise Cancelled
                if first is None:
                    at, base = frame.pts, frame.time_base
                    first = at * base if at is not None and base is not None else Fraction(0)
                for piece in resampler.resample(frame):
                    parts.append(piece.to_ndarray().reshape(-1).astype(np.float32))
                    length += len(parts[-1])
                if length > _LONGEST_S * RATE:
                    break
        except (av.FFmpegError, ValueError):
            # What was decoded up to the fault is enough to line up by.
            pass
    if first is None or not length:
        raise ClipTrouble(f"The sound of {name_of(path)} cannot be read. Line it up by hand.")
    return Sound(np.concatenate(parts), first)
