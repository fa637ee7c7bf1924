"""Close looks of some seconds, brought into the horse's own frame: the flow in its box over time.

The box that was followed from picture to picture is coarse and late. Here the whole window is known: the box's
path is smoothed in both directions along the horse's own flow, and the box is drawn tight round what moved in it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from annotate.motion.close_look import CELLS, CloseLook, cut_out
from annotate.motion.horse_place import Place
from annotate.motion.rhythm import Pace

Floats = NDArray[np.float32]
Doubles = NDArray[np.float64]

_SIDE: Final = 20
_ROOM: Final = 1.2
_SMOOTH_S: Final = 1.6


@dataclass(frozen=True, slots=True, eq=False)
class Glance:
    """One sample of the window."""

    at_s: float
    place: Place
    look: CloseLook


def fields_of(window: Sequence[Glance]) -> tuple[Floats, float, Pace]:
    """(fields, hop in s, pace): the fields at even times, in box heights a second, less the box's travel."""
    times = np.array([glance.at_s for glance in window])
    boxes = _path(window, times)
    loose = np.stack([_field(g.look, box, _ROOM) for g, box in zip(window, boxes, strict=True)])
    boxes = _tightened(boxes, loose)
    fields = np.stack(
        [_field(g.look, box, 1.12) / np.float32(box[3]) for g, box in zip(window, boxes, strict=True)]
    )
    travel = np.median(fields[:, 4:14, 4:16].reshape(len(fields), -1, 2), axis=1)
    fields = np.clip(fields - np.median(fields.reshape(len(fields), -1, 2), axis=1)[:, None, None], -3, 3)
    fields, hop_s = _even(fields, times)
    mean_way = np.median(travel, axis=0)
    shape = float(np.median(boxes[:, 2] / boxes[:, 3]))
    speed = max(float(np.hypot(*mean_way)), float(np.median(_given_speed(window, boxes))))
    return fields, hop_s, Pace(speed, float(np.clip((shape - 0.5) / 0.7, 0, 1)))


def _given_speed(window: Sequence[Glance], boxes: Doubles) -> Doubles:
    speeds: Doubles = np.array([np.hypot(g.place.u, g.place.v) for g in window]) / boxes[:, 3]
    return speeds


def _path(window: Sequence[Glance], times: Doubles) -> Doubles:
    """Centre x, y, width, height over time: where the box was found, along the way that the flow tells."""
    rows = []
    for glance in window:
        assert glance.place.box is not None
        x0, y0, x1, y1 = glance.place.box
        rows.append(((x0 + x1) / 2, (y0 + y1) / 2, x1 - x0, y1 - y0))
    boxes = np.array(rows)
    speed = np.array([(g.place.u + g.place.ground_u, g.place.v + g.place.ground_v) for g in window])
    steps = np.diff(times)[:, None] * (speed[1:] + speed[:-1]) / 2
    along = np.vstack([np.zeros((1, 2)), np.cumsum(steps, axis=0)])
    hop_s = float(np.median(np.diff(times)))
    width = min(max(3, round(_SMOOTH_S / hop_s)), len(times)) | 1
    boxes[:, :2] -= along
    boxes = _smoothed(boxes, width)
    boxes[:, :2] += along
    return boxes


def _smoothed(values: Doubles, width: int) -> Doubles:
    kernel = np.hanning(width + 2)[1:-1]
    kernel /= kernel.sum()
    padded = np.pad(values, ((width // 2, width // 2), (0, 0)), mode="edge")
    return np.stack([np.convolve(padded[:, k], kernel, "valid") for k in range(values.shape[1])], axis=1)


def _field(look: CloseLook, box: Doubles, room: float) -> Floats:
    step = look.side / CELLS
    x = (box[0] - look.x) / step + CELLS / 2
    y = (box[1] - look.y) / step + CELLS / 2
    part: Floats = cut_out(look.own, np.array([x, y, box[2] * room / step, box[3] * room / step]), _SIDE)
    return part


def _tightened(boxes: Doubles, loose: Floats) -> Doubles:
    speed = np.hypot(loose[..., 0], loose[..., 1])
    energy = (np.median(speed, axis=0) + speed.mean(axis=0)) / 2
    weights = np.clip(energy - 0.45 * np.percentile(energy, 95), 0, None)
    if not weights.any():
        return boxes
    ends = []
    for axis in (0, 1):
        total = np.cumsum(weights.sum(axis=axis))
        low, high = np.searchsorted(total, [0.02 * total[-1], 0.98 * total[-1]])
        ends.append((low / _SIDE, (high + 1) / _SIDE))
    (x0, x1), (y0, y1) = ends
    if min(x1 - x0, y1 - y0) < 0.3:
        return boxes
    tight = boxes.copy()
    tight[:, 0] += ((x0 + x1) / 2 - 0.5) * boxes[:, 2] * _ROOM
    tight[:, 1] += ((y0 + y1) / 2 - 0.5) * boxes[:, 3] * _ROOM
    tight[:, 2] *= (x1 - x0) * _ROOM
    tight[:, 3] *= (y1 - y0) * _ROOM
    return tight


def _even(fields: Floats, times: Doubles) -> tuple[Floats, float]:
    """The fields at even times, between the neighbours where the frames came unevenly."""
    steps = np.diff(times)
    hop_s = float(np.median(steps))
    if float(np.abs(steps - hop_s).max()) < 0.1 * hop_s:
        return fields, (times[-1] - times[0]) / (len(times) - 1)
    wanted = np.arange(times[0], times[-1] + 1e-9, hop_s)
    right = np.clip(np.searchsorted(times, wanted), 1, len(times) - 1)
    share = (wanted - times[right - 1]) / (times[right] - times[right - 1])
    share = share.astype(np.float32)[:, None, None, None]
    return fields[right - 1] * (1 - share) + fields[right] * share, hop_s
