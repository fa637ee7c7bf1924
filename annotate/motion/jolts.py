"""How the horse's topline rises and falls within one close look: back, pitch, and what is above each end.

Speeds are in the heights of its box a second, positive down the picture.
"""

from __future__ import annotations

from typing import Final, NamedTuple

import numpy as np

from annotate.motion.close_look import CloseLook

_FEW: Final = 6
_ALIKE: Final = 0.5
_RESTS: Final = 0.02


class Jolt(NamedTuple):
    """`back`: how fast the trunk falls; `pitch`: how much faster it does so a height further to the right.

    `left`, `right`: how fast what is above and beyond that end of the trunk falls: head and neck at one end, croup
    and tail at the other.
    """

    back: float = 0.0
    pitch: float = 0.0
    left: float = 0.0
    right: float = 0.0


def jolt_of(look: CloseLook, x: float, y: float, width: float, tall: float) -> Jolt:
    """What one look tells of the horse in the box with its middle at (x, y), in pixels of the working picture."""
    cells = look.own.shape[0]
    place = ((np.arange(cells) + 0.5) / cells - 0.5) * look.side
    beside = np.broadcast_to((place + look.x - x) / width, (cells, cells))
    below = np.broadcast_to(((place + look.y - y) / tall)[:, None], (cells, cells))
    along, down = (look.own[..., k].astype(np.float64) / tall for k in (0, 1))
    trunk = (np.abs(beside) < 0.3) & (below > -0.3) & (below < 0.12)
    if trunk.sum() < _FEW:
        return Jolt()
    goes, falls = float(np.median(along[trunk])), float(np.median(down[trunk]))
    apart = beside[trunk] - beside[trunk].mean()
    pitch = float(apart @ down[trunk]) / max(float(apart @ apart), 1e-9) * tall / width
    # What rests, and what passes before or behind the horse, is not its head.
    its = (np.hypot(along, down) > _RESTS) / (1 + ((along - goes) / _ALIKE) ** 2) ** 2
    its *= (below > -0.6) & (below < -0.15)
    ends = (its * ((side * beside > 0.22) & (side * beside < 0.55)) for side in (-1, 1))
    left, right = (float((end * down).sum() + _RESTS * falls) / (float(end.sum()) + _RESTS) for end in ends)
    return Jolt(falls, pitch, left, right)
