"""A closer look at the horse: the flow in and around its box, finer than that of the whole picture.

Both pictures of a pair are cut out round the box, the second one where the box is expected to have gone, so that
what is left to be found is small, and both are brought to one size, so that a far horse is seen as finely as a
near one.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

import cv2
import numpy as np
from numpy.typing import NDArray

from annotate.motion.camera import CameraMotion, Grey

Floats = NDArray[np.float32]
Doubles = NDArray[np.float64]
Halves = NDArray[np.float16]

SIDE: Final = 112
CELLS: Final = 56
ROOM: Final = 1.8


@dataclass(frozen=True, slots=True, eq=False)
class CloseLook:
    """Flow round a box, in working pixels a second, (CELLS, CELLS, 2).

    The square has its middle at (x, y) and sides of `side` working pixels. `own` is what the camera does not explain.
    """

    x: float
    y: float
    side: float
    own: Floats | Halves

    def within(self, box: Doubles, cells: int) -> Floats:
        """The own flow within a box, as `cells` by `cells`."""
        step = self.side / CELLS
        x = (box[0] - self.x) / step + CELLS / 2
        y = (box[1] - self.y) / step + CELLS / 2
        inside: Floats = cut_out(self.own, np.array([x, y, box[2] / step, box[3] / step]), cells)
        return inside

    def halved(self) -> CloseLook:
        """The same in half precision, to keep for some seconds."""
        half = self.own.astype(np.float16)
        return CloseLook(self.x, self.y, self.side, half)


class CloseFlow:
    """Finds the flow of close looks."""

    def __init__(self, size: tuple[int, int], fine: float) -> None:
        """`size`: of the working picture; `fine`: how many times larger the pictures to look at are."""
        self._size, self._fine = size, fine
        self._flow = cv2.DISOpticalFlow.create(cv2.DISOPTICAL_FLOW_PRESET_ULTRAFAST)
        self._flow.setFinestScale(0)

    def look(
        self,
        before: Grey,
        after: Grey,
        box: Doubles,
        step: Doubles,
        gap_s: float,
        camera: CameraMotion,
        witness: Floats,
    ) -> CloseLook:
        """The look at a box of the first picture that is expected to go by `step` working pixels."""
        side = ROOM * float(max(box[2], 1.1 * box[3]))
        x, y = float(box[0]), float(box[1])
        first = self._cut(before, x, y, side)
        second = self._cut(after, x + step[0], y + step[1], side)
        nothing: Any = None
        found = self._flow.calc(first, second, nothing)
        flow = cv2.resize(found, (CELLS, CELLS), interpolation=cv2.INTER_AREA) * np.float32(side / SIDE)
        flow = flow + step.astype(np.float32)
        gx, gy = self._places(x, y, side)
        own = flow - camera.field(gx, gy)
        own *= cut_out(witness, np.array([x, y, side, side]), CELLS)[..., None]
        width, height = self._size
        beyond = (np.abs(gx) > width / 2 - 2) | (np.abs(gy) > height / 2 - 2)
        own[beyond] = 0
        per_s = np.float32(1 / gap_s)
        return CloseLook(x, y, side, own * per_s)

    def _cut(self, grey: Grey, x: float, y: float, side: float) -> Grey:
        square = np.array([x, y, side, side]) * self._fine
        return cut_out(grey, square, SIDE, smooth=square[2] > 1.3 * SIDE)

    def _places(self, x: float, y: float, side: float) -> tuple[Floats, Floats]:
        """Where the cells are, in working pixels from the picture's middle."""
        offsets = (((np.arange(CELLS) + 0.5) / CELLS - 0.5) * side).astype(np.float32)
        gx, gy = np.meshgrid(x - self._size[0] / 2 + offsets, y - self._size[1] / 2 + offsets)
        return gx, gy


def cut_out(field: NDArray[Any], box: Doubles, cells: int, smooth: bool = False) -> NDArray[Any]:
    """The part of a field within a box (centre x, y, width, height), as a square of `cells`."""
    x, y, w, h = box
    if field.dtype == np.float16:
        field = field.astype(np.float32)
    if smooth:
        # Take more samples than needed and average them, lest fine texture flickers.
        twice = cut_out(field, box, 2 * cells)
        return cv2.resize(twice, (cells, cells), interpolation=cv2.INTER_AREA)
    turn = np.array([[w / cells, 0, x - w / 2], [0, h / cells, y - h / 2]], dtype=np.float64)
    flags = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
    return cv2.warpAffine(field, turn, (cells, cells), flags=flags, borderMode=cv2.BORDER_REPLICATE)
