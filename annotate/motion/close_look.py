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

from annotate.motion.camera import CELL, CameraMotion, Grey

Floats = NDArray[np.float32]
Doubles = NDArray[np.float64]

SIDE: Final = 112
CELLS: Final = 28
ROOM: Final = 1.8


@dataclass(frozen=True, slots=True, eq=False)
class CloseLook:
    """Flow round a box, in working pixels a second, (CELLS, CELLS, 2).

    The square has its middle at (x, y) and sides of `side` working pixels. `own` is what the camera does not explain.
    """

    x: float
    y: float
    side: float
    own: Floats


class CloseFlow:
    """Finds the flow of close looks."""

    def __init__(self, size: tuple[int, int], fine: float) -> None:
        """`size`: of the working picture; `fine`: how many times larger the pictures to look at are."""
        self._size, self._fine = size, fine
        self._flow = cv2.DISOpticalFlow.create(cv2.DISOPTICAL_FLOW_PRESET_ULTRAFAST)
        self._flow.setFinestScale(1)
        offsets = ((np.arange(CELLS) + 0.5) / CELLS - 0.5).astype(np.float32)
        self._ox, self._oy = np.meshgrid(offsets, offsets)

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
        fine = self._flow.calc(first, second, nothing)
        own = fine[2 :: SIDE // CELLS, 2 :: SIDE // CELLS] * np.float32(side / SIDE)
        width, height = self._size
        gx = self._ox * np.float32(side) + np.float32(x - width / 2)
        gy = self._oy * np.float32(side) + np.float32(y - height / 2)
        u, v = camera.shifts_of(gx, gy)
        own[..., 0] -= u - np.float32(step[0])
        own[..., 1] -= v - np.float32(step[1])
        seen = cut_out(witness, x / CELL, y / CELL, side / CELL, side / CELL, CELLS, CELLS) / np.float32(gap_s)
        if x - side / 2 < 0 or y - side / 2 < 0 or x + side / 2 > width or y + side / 2 > height:
            seen[(np.abs(gx) > width / 2 - 1) | (np.abs(gy) > height / 2 - 1)] = 0
        own *= seen[..., None]
        return CloseLook(x, y, side, own)

    def _cut(self, grey: Grey, x: float, y: float, side: float) -> Grey:
        fine = self._fine
        cut: Grey = cut_out(grey, x * fine, y * fine, side * fine, side * fine, SIDE, SIDE)
        return cut


def cut_out(
    field: NDArray[Any], x: float, y: float, width: float, height: float, columns: int, rows: int
) -> NDArray[Any]:
    """The part of a field with its middle at (x, y), as `rows` by `columns`; beyond the rim the rim goes on."""
    turn = np.array(
        [[width / columns, 0.0, x - width / 2], [0.0, height / rows, y - height / 2]], dtype=np.float64
    )
    flags = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
    return cv2.warpAffine(field, turn, (columns, rows), flags=flags, borderMode=cv2.BORDER_REPLICATE)
