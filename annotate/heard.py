"""The sound of a session on its clock: the peaks of its clips, each where the clip lies.

A clip in slow motion is drawn out in its file, so its sound is pressed together here as its picture is. What
no clip covers has no sound, and is not silence either.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from annotate.clock import NS_PER_S
from annotate.media.sound_peaks import Roots, SoundPeaks
from annotate.sessions import PlacedClip, Session


@dataclass(frozen=True, eq=False)
class Heard:
    """One column per stretch: least and greatest sample as square roots, and whether there is sound."""

    lows: Roots
    highs: Roots
    is_sound: NDArray[np.bool_]


def heard(session: Session, peaks: Mapping[int, SoundPeaks], edges_ns: NDArray[np.int64]) -> Heard:
    """The sound between each two neighbouring instants of the session's clock; `peaks` by clip.

    Where two cameras heard the same, it is the sound of the lower view, and of the clip that began last.
    """
    count = max(0, len(edges_ns) - 1)
    told = Heard(np.zeros(count, np.int8), np.zeros(count, np.int8), np.zeros(count, np.bool_))
    if not count:
        return told
    for clip in sorted(session.clips, key=lambda clip: (-clip.view, clip.starts_ns)):
        if clip.id not in peaks:
            continue
        span = clip.span
        inside = np.flatnonzero((edges_ns[1:] > span.start_ns) & (edges_ns[:-1] < span.end_ns))
        if not len(inside):
            continue
        first, last = int(inside[0]), int(inside[-1]) + 1
        within = np.clip(edges_ns[first : last + 1], span.start_ns, span.end_ns)
        lows, highs, is_sound = peaks[clip.id].columns(_clip_seconds(clip, within))
        told.lows[first:last] = lows
        told.highs[first:last] = highs
        told.is_sound[first:last] = is_sound
    return told


def _clip_seconds(clip: PlacedClip, session_ns: NDArray[np.int64]) -> NDArray[np.float64]:
    """Instants of the session on the clip's own clock."""
    since_s = (session_ns - clip.starts_ns) * float(clip.capture_speed) / NS_PER_S
    return float(clip.first_pts * clip.time_base) + since_s
