"""Invented motion for the tests: fields that repeat themselves, what was seen of a horse, a clip of a walker."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import av
import numpy as np
from numpy.typing import NDArray

from annotate.motion.seen import TRACKS, Seen, Sound, Stretch

Pixels = NDArray[np.uint8]

_SHAPE = 16 / 9


def fields(
    hz: float,
    seconds: float = 5.0,
    rate: float = 15.0,
    *,
    alike: float = 0.0,
    noise: float = 0.1,
    seed: int = 3,
) -> NDArray[np.float32]:
    """Flow in a box that repeats `hz` times a second, (n, 20, 20, 2).

    `alike`: 0 for a stride without like halves, 1 for one whose second half is like the first.
    """
    rng = np.random.default_rng(seed)
    waves = rng.standard_normal((2, 3, 20, 20, 2))
    t = np.arange(round(seconds * rate)) / rate
    out = np.zeros((len(t), 20, 20, 2))
    for k, weight in ((1, 1 - alike), (2, 0.35 + 0.65 * alike), (3, 0.3 * (1 - alike))):
        turn = 2 * np.pi * k * hz * t[:, None, None, None]
        out += weight * (np.cos(turn) * waves[0, k - 1] + np.sin(turn) * waves[1, k - 1])
    out = 0.3 * out + noise * rng.standard_normal(out.shape)
    return out.astype(np.float32)


def seen(
    seconds: float = 40.0,
    *,
    along: NDArray[np.float64] | float = 0.0,
    down: NDArray[np.float64] | float = 0.0,
    stir: NDArray[np.float64] | float = 0.05,
    height: NDArray[np.float64] | float = 0.4,
    lost: tuple[float, float] | None = None,
    rhythm: tuple[Stretch, ...] = (),
    cuts: tuple[float, ...] = (),
    sounds: tuple[Sound, ...] = (),
    rate: float = 15.0,
) -> Seen:
    """What was seen of a horse that a camera follows, `rate` samples a second; `times(seconds)` gives the instants."""
    at_s = times(seconds, rate)
    rows = {name: np.zeros(len(at_s)) for name in TRACKS}
    rows |= {"at_s": at_s, "x": np.full(len(at_s), 0.5), "y": np.full(len(at_s), 0.5)}
    rows |= {"width": np.full(len(at_s), 0.3), "height": np.zeros(len(at_s)) + height}
    rows |= {"along": np.zeros(len(at_s)) + along, "down": np.zeros(len(at_s)) + down}
    rows["pan"] = rows["along"] * rows["height"] / _SHAPE
    rows |= {"stir": np.zeros(len(at_s)) + stir}
    if lost is not None:
        gone = (at_s >= lost[0]) & (at_s < lost[1])
        for name in ("x", "y", "width", "height", "along", "down", "stir"):
            rows[name] = np.where(gone, np.nan, rows[name])
    tracks = {name: row.astype(np.float32) for name, row in rows.items()}
    return Seen(seconds, _SHAPE, tracks, cuts, rhythm, sounds)


def times(seconds: float, rate: float = 15.0) -> NDArray[np.float64]:
    """The instants of the samples."""
    return np.arange(round(seconds * rate)) / rate + 0.5 / rate


def ground(height: int, width: int, seed: int = 1) -> NDArray[np.float64]:
    """A picture with marks in all directions and of several sizes, 0 to 255."""
    rng = np.random.default_rng(seed)
    out = np.zeros((height, width))
    for cell, weight in ((4, 25.0), (10, 35.0), (30, 35.0)):
        coarse = rng.standard_normal((height // cell + 3, width // cell + 3))
        y = np.arange(height) / cell
        x = np.arange(width) / cell
        rows, columns = y.astype(int), x.astype(int)
        fy, fx = (y - rows)[:, None], (x - columns)[None, :]
        a, b = coarse[np.ix_(rows, columns)], coarse[np.ix_(rows, columns + 1)]
        c, d = coarse[np.ix_(rows + 1, columns)], coarse[np.ix_(rows + 1, columns + 1)]
        out += weight * ((a * (1 - fx) + b * fx) * (1 - fy) + (c * (1 - fx) + d * fx) * fy)
    return np.clip(128 + out, 0, 255)


class Mover:
    """A dark trunk on four legs that swings them `hz` times a second while it goes `speed` pixels a second."""

    def __init__(self, width: int = 320, height: int = 180, *, speed: float = 60.0, hz: float = 1.6) -> None:
        self.size = width, height
        self._speed, self._hz = speed, hz
        self._ground = ground(height, width + 400, 5)
        self._coat = ground(60, 120, 9)

    def picture(self, at_s: float, *, pan: float = 0.0, gone: bool = False) -> Pixels:
        """The picture at an instant; the camera turns `pan` pixels a second to the right."""
        width, height = self.size
        shift = pan * at_s
        whole = int(shift)
        view = self._ground[:, whole : whole + width + 1]
        part = shift - whole
        out = view[:, :width] * (1 - part) + view[:, 1 : width + 1] * part
        if gone:
            return out.astype(np.uint8)
        x = 60 + (self._speed - pan) * at_s
        y, x = np.mgrid[:height, :width][0] - 90.0, np.mgrid[:height, :width][1] - x
        trunk = (x / 36) ** 2 + (y / 15) ** 2 < 1
        coat = self._coat[np.clip(y + 30, 0, 59).astype(int), np.clip(x + 60, 0, 119).astype(int)]
        dark = 30 + 0.35 * (coat - 90)
        out = np.where(trunk, dark, out)
        for k, (hip, offset) in enumerate(((-26, 0.0), (-20, 0.27), (20, 0.3), (26, 0.55))):
            swing = 14 * np.sin(2 * np.pi * (self._hz * at_s + offset))
            place = hip + swing * np.clip(y / 34, 0, 1)
            leg = (y > 4) & (y < 34) & (np.abs(x - place) < 3.5)
            out = np.where(leg, 60.0 if k % 2 else 20.0, out)
        return np.clip(out, 0, 255).astype(np.uint8)


def write_clip(path: Path, pictures: list[Pixels], rate: int = 30) -> Path:
    """Pictures, grey or red, green and blue, as an H.264 clip."""
    with av.open(str(path), "w") as out:
        stream = out.add_stream("libx264", rate=rate)
        stream.height, stream.width = pictures[0].shape[:2]
        stream.pix_fmt = "yuv420p"
        stream.options = {"crf": "18", "preset": "ultrafast"}
        stream.codec_context.time_base = Fraction(1, rate)
        for k, picture in enumerate(pictures):
            colours = picture if picture.ndim == 3 else np.repeat(picture[..., None], 3, axis=2)
            frame = av.VideoFrame.from_ndarray(colours, format="rgb24")
            frame.pts = k
            out.mux(stream.encode(frame))
        out.mux(stream.encode(None))
    return path
