"""How fast the horse gets on over the ground, whichever way it goes, in its own heights a second.

The trap: seen from the end, a horse that trots hardly moves in the picture. Across the picture the box tells how fast
it goes, against the ground; towards the camera or away from it, two things tell it: how fast the box grows, zooming
taken out, and how short the horse looks, which says how much of its way is across. From the side the second tells
more, from the end the first.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from annotate.motion.seen import Seen

Doubles = NDArray[np.float64]
Places = NDArray[np.int64]

# Telephones film with a focal length of some seven tenths of the picture's longer side, zoomed twofold with twice that.
LENS: Final = 1.0
# Width over height of a horse from the end and from the side, head up (from memory).
_FROM_THE_END: Final = 0.4
_FROM_THE_SIDE: Final = 1.25
_LEAST_ACROSS: Final = 0.14
_MOST_BY_SHAPE: Final = 3.0
_ACROSS_S: Final = 0.8
_NEARER_S: Final = 1.2
_LONGEST_STEP_S: Final = 0.5
_LEAST_SAMPLES: Final = 4
_TIMES_FLOW: Final = 2.0
_BESIDES: Final = 0.1


def pace_at(seen: Seen, at_s: Doubles) -> Doubles:
    """Heights a second at each instant; nought where the horse is lost. No part of it looks across a cut."""
    if not seen.in_sight.any():
        return np.zeros(len(at_s))
    trace = _Trace(seen)
    near, wider = trace.window(at_s, _ACROSS_S), trace.window(at_s, _NEARER_S)
    # A box that jumps to where the horse is has gone no way.
    sideways = np.minimum(np.abs(trace.to_the_right(near)), _TIMES_FLOW * trace.flow.mean(near) + _BESIDES)
    return _together(sideways, np.abs(trace.away(wider, near)), trace.shape.mean(near))


def way_at(seen: Seen, at_s: Doubles, reach_s: float) -> tuple[Doubles, Doubles]:
    """How fast it goes (to the right, away from the camera) over the ground; heights a second, within `reach_s`."""
    if not seen.in_sight.any():
        return np.zeros(len(at_s)), np.zeros(len(at_s))
    trace = _Trace(seen)
    near = trace.window(at_s, reach_s)
    return trace.to_the_right(near), trace.away(trace.window(at_s, 1.5 * reach_s), near)


def _together(sideways: Doubles, nearing: Doubles, shape: Doubles) -> Doubles:
    """The whole pace, from what goes across the picture, how fast the box grows, and its width over its height."""
    share = (shape * shape - _FROM_THE_END**2) / (_FROM_THE_SIDE**2 - _FROM_THE_END**2)
    across = np.sqrt(np.clip(share, _LEAST_ACROSS**2, 1.0))
    by_shape = np.minimum(sideways * np.sqrt(1 / across**2 - 1), _MOST_BY_SHAPE * nearing)
    whole: Doubles = np.hypot(sideways, across * by_shape + (1 - across) * nearing)
    return whole


@dataclass(frozen=True, slots=True, eq=False)
class _Window:
    """Samples `first` to before `after`, for each instant."""

    first: Places
    after: Places


class _Sums:
    """Means and slopes of one row over any window, from sums up to each sample."""

    def __init__(self, times: Doubles, values: Doubles) -> None:
        self._middle = float(values.mean())
        t, v = times - times[0], values - self._middle
        self._sums = np.concatenate([np.zeros((4, 1)), np.cumsum([t, v, t * t, t * v], axis=1)], axis=1)

    def mean(self, window: _Window) -> Doubles:
        """The mean; of an empty window, that of the whole row."""
        count = np.maximum(window.after - window.first, 1)
        mean: Doubles = (self._sums[1, window.after] - self._sums[1, window.first]) / count + self._middle
        return mean

    def slope(self, window: _Window) -> Doubles:
        """The rise a second by least squares; nought with too few samples."""
        count = window.after - window.first
        t, v, tt, tv = (self._sums[:, window.after] - self._sums[:, window.first]) / np.maximum(count, 1)
        spread = tt - t * t
        enough = (count >= _LEAST_SAMPLES) & (spread > 1e-3)
        return np.where(enough, (tv - t * v) / np.where(enough, spread, 1.0), 0.0)


class _Trace:
    """Where the horse's box was in the world, at every sample at which it was in sight."""

    def __init__(self, seen: Seen) -> None:
        sight, times = seen.in_sight, seen.track("at_s")
        steps = np.minimum(np.diff(times, prepend=times[0]), _LONGEST_STEP_S)
        turned = np.cumsum(seen.track("pan") * steps)[sight]
        zoomed = np.cumsum(np.clip(seen.track("zoom"), -0.5, 0.5) * steps)[sight]
        x, width, height, along = (seen.track(name)[sight] for name in ("x", "width", "height", "along"))
        tall = np.log(np.maximum(height, 1e-3))
        self._times = times[sight]
        self._bounds = np.array([-np.inf, *seen.cuts, np.inf])
        self._lens = LENS * max(seen.shape, 1.0)
        self._place = _Sums(self._times, (x + turned) * seen.shape)
        self._size = _Sums(self._times, tall - zoomed)
        self._tall = _Sums(self._times, tall)
        self.shape = _Sums(self._times, width * seen.shape / np.exp(tall))
        self.flow = _Sums(self._times, np.abs(along))

    def window(self, at_s: Doubles, reach_s: float) -> _Window:
        """The samples within `reach_s` of each instant, in the same shot."""
        shot = np.searchsorted(self._bounds, at_s, side="right")
        first = np.searchsorted(self._times, np.maximum(at_s - reach_s, self._bounds[shot - 1]))
        after = np.searchsorted(self._times, np.minimum(at_s + reach_s, self._bounds[shot]))
        return _Window(first, np.maximum(after, first))

    def to_the_right(self, window: _Window) -> Doubles:
        """Over the ground; heights a second."""
        way: Doubles = self._place.slope(window) / np.exp(self._tall.mean(window))
        return way

    def away(self, window: _Window, near: _Window) -> Doubles:
        """From the camera; heights a second. `near`: where its size is that of the moment."""
        way: Doubles = -self._size.slope(window) * self._lens / np.exp(self._tall.mean(near))
        return way
