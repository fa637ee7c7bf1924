"""Finds a thing again by its look: a correlation filter that learns as it goes.

Bolme, Beveridge, Draper & Lui 2010, "Visual object tracking using adaptive correlation filters", CVPR. The
sharpness of the peak (peak to sidelobe ratio) tells how sure it is: about 7 or less means that the thing is
hidden or gone (the same paper, section 3.5).
"""

from __future__ import annotations

from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float32]
Doubles = NDArray[np.float64]

SIDE: Final = 48
# The picture reaches this much beyond the box, so that the background is learned as not the horse.
ROOM: Final = 1.7
HIDDEN: Final = 5.5
_SIGMA: Final = 2.0


class LikenessFilter:
    """The look of one thing."""

    def __init__(self) -> None:
        offsets = np.fft.fftfreq(SIDE) * SIDE
        gaussian = np.exp(-(offsets[:, None] ** 2 + offsets[None, :] ** 2) / (2 * _SIGMA**2))
        self._goal = np.fft.rfft2(gaussian)
        # What is outside the box counts little: it is the background.
        rim = (SIDE - round(SIDE / ROOM)) // 2
        own = np.full((SIDE, SIDE), 0.15, np.float32)
        own[rim:-rim, rim:-rim] = 0.85
        fading = np.outer(np.hanning(SIDE), np.hanning(SIDE))
        self._window = (cv2.GaussianBlur(own, (0, 0), 3) * fading).astype(np.float32)
        self._top: NDArray[np.complex128] | None = None
        self._bottom: NDArray[np.complex128] | None = None

    @property
    def is_new(self) -> bool:
        """Whether nothing has been learned yet."""
        return self._top is None

    def find(self, grey: NDArray[np.uint8], box: Doubles) -> tuple[float, float, float]:
        """(x, y, sharpness): how far in pixels the thing is from the box's middle, and how sure that is."""
        if self._top is None or self._bottom is None:
            return 0.0, 0.0, 0.0
        seen = np.fft.rfft2(self._patch(grey, box))
        answer = np.fft.irfft2(self._top / self._bottom * seen, s=(SIDE, SIDE))
        row, column = np.unravel_index(int(np.argmax(answer)), answer.shape)
        sharpness = _sharpness(answer, int(row), int(column))
        dy = _finer(answer[:, column], int(row))
        dx = _finer(answer[row, :], int(column))
        return dx * box[2] * ROOM / SIDE, dy * box[3] * ROOM / SIDE, sharpness

    def learn(self, grey: NDArray[np.uint8], box: Doubles, share: float) -> None:
        """Takes the look at `box`; `share` is how much of what was known it replaces."""
        seen = np.fft.rfft2(self._patch(grey, box))
        top = self._goal * np.conj(seen)
        bottom = seen * np.conj(seen) + 1.0
        if self._top is None or self._bottom is None:
            self._top, self._bottom = top, bottom
            return
        self._top = (1 - share) * self._top + share * top
        self._bottom = (1 - share) * self._bottom + share * bottom

    def _patch(self, grey: NDArray[np.uint8], box: Doubles) -> Floats:
        x, y, w, h = box
        w, h = w * ROOM, h * ROOM
        turn = np.array([[w / SIDE, 0, x - w / 2], [0, h / SIDE, y - h / 2]], dtype=np.float64)
        flags = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
        cut = cv2.warpAffine(grey, turn, (SIDE, SIDE), flags=flags, borderMode=cv2.BORDER_REPLICATE)
        patch: Floats = np.log1p(cut.astype(np.float32))
        patch = (patch - patch.mean()) / (float(patch.std()) + 1e-3)
        windowed: Floats = patch * self._window
        return windowed


def _sharpness(answer: Doubles, row: int, column: int) -> float:
    around = np.ones(answer.shape, bool)
    rows = np.arange(row - 5, row + 6) % SIDE
    columns = np.arange(column - 5, column + 6) % SIDE
    around[np.ix_(rows, columns)] = False
    rest = answer[around]
    return float((answer[row, column] - rest.mean()) / (rest.std() + 1e-9))


def _finer(line: Doubles, peak: int) -> float:
    """The peak's place between samples by a parabola, in samples from zero, negative past the middle."""
    before, top, after = line[peak - 1], line[peak], line[(peak + 1) % SIDE]
    bend = before - 2 * top + after
    part = 0.5 * (before - after) / bend if abs(bend) > 1e-12 else 0.0
    place = peak + float(np.clip(part, -0.5, 0.5))
    return place - SIDE if place > SIDE / 2 else place
