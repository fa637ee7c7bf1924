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

Floats = NDArray[np.float32]
Doubles = NDArray[np.float64]

_SIDE: Final = 20
_ROOM: Final = 1.2
_SMOOTH_S: Final = 1.6
_SPEED_S: Final = 1.8


@dataclass(frozen=True, slots=True, eq=False)
class Glance:
    """One sample of the window."""

    at_s: float
    place: Place
    look: CloseLook


@dataclass(frozen=True, slots=True, eq=False)
class InTheBox:
    """A window in the horse's own frame, at `times_s` that are `hop_s` apart.

    `fields`: (n, rows, columns, 2), box heights a second, less the box's travel. `speeds`: how fast the horse
    goes, heights a second. `places`: where it is against the ground, in heights. `side_on`: 0 seen from the
    front or the rear, 1 from the side.
    """

    times_s: Doubles
    fields: Floats
    hop_s: float
    speeds: Doubles
    places: Doubles
    side_on: float


def fields_of(window: Sequence[Glance]) -> InTheBox:
    """The flow in the box at even times, and how the horse went."""
    times = np.array([glance.at_s for glance in window])
    wide = _path(window, times)
    loose = np.stack([_field(g.look, box, _ROOM) for g, box in zip(window, wide, strict=True)])
    boxes = _tightened(wide, loose)
    # The tight box may hold the trunk only; the horse is hardly lower than the box that was followed.
    tall = np.maximum(boxes[:, 3], 0.8 * wide[:, 3])
    fields = np.stack(
        [_field(g.look, box, 1.12) / np.float32(box[3]) for g, box in zip(window, boxes, strict=True)]
    )
    inner = fields[:, 4:14, 4:16].reshape(len(fields), -1, 2)
    width = max(1, round(_SPEED_S / float(np.median(np.diff(times)))))
    core = np.median(inner, axis=1).astype(np.float64) * (boxes[:, 3] / tall)[:, None]
    core, given = _smoothed(core, width | 1), _smoothed(_given_ways(window, tall), width | 1)
    fields = np.clip(fields - np.median(fields.reshape(len(fields), -1, 2), axis=1)[:, None, None], -3, 3)
    fields, hop_s = _even(fields, times)
    speed = np.maximum(np.hypot(*core.T), np.hypot(*given.T))
    even = times[0] + hop_s * np.arange(len(fields))
    shape = float(np.median(boxes[:, 2] / boxes[:, 3]))
    place = _over_ground(window, times) / float(np.median(tall))
    return InTheBox(
        even,
        fields,
        hop_s,
        np.interp(even, times, speed),
        np.stack([np.interp(even, times, place[:, k]) for k in (0, 1)], axis=1),
        float(np.clip((shape - 0.5) / 0.7, 0, 1)),
    )


def _over_ground(window: Sequence[Glance], times: Doubles) -> Doubles:
    """Where the box's middle is against the ground it started on, in working pixels."""
    middles = np.array([((b[0] + b[2]) / 2, (b[1] + b[3]) / 2) for g in window if (b := g.place.box) is not None])
    ground = np.array([(g.place.ground_u, g.place.ground_v) for g in window])
    steps = np.diff(times)[:, None] * (ground[1:] + ground[:-1]) / 2
    place: Doubles = middles - np.vstack([np.zeros((1, 2)), np.cumsum(steps, axis=0)])
    return place


def _given_ways(window: Sequence[Glance], tall: Doubles) -> Doubles:
    ways: Doubles = np.array([(g.place.u, g.place.v) for g in window]) / tall[:, None]
    return ways


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
    part = share.astype(np.float32)[:, None, None, None]
    between: Floats = fields[right - 1] * (1 - part) + fields[right] * part
    return between, hop_s
