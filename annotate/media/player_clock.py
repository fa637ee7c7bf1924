"""The player's clock against the frame table: the one place that knows both.

The player counts microseconds (of a shown frame) and milliseconds (of a seek) from the container's start
time, not from the stream's zero, and rounds each frame's own time to the nearest microsecond, halves up.
The traps of a paused seek: at a frame's exact start it may show the frame before; in AVI, where a tick
lasts as long as a frame, from the middle on the frame after; in MPEG streams (.ts, .mpg) it goes on to a
later keyframe, whatever is asked for. So compare the shown frame's own time with what was wanted.
"""

from __future__ import annotations

from itertools import islice
from typing import Final

import numpy as np

from annotate.clock import round_half_up
from annotate.media.clip import ClipFacts
from annotate.media.opening import open_clip, picture_stream

_US_PER_S: Final = 1_000_000
_PACKETS_ASKED: Final = 40


def player_has_times(facts: ClipFacts) -> bool:
    """Whether the player can tell which frame it shows.

    AVI keeps no times for pictures that are stored out of order; there the player guesses, and only the
    decoder knows. Such pictures arrive in the order of their times although the codec reorders them.
    Raises `ClipTrouble` where the clip cannot be opened.
    """
    if facts.container != "avi":
        return True
    with open_clip(facts.path) as container:
        stream = picture_stream(container, facts.path)
        if not stream.codec_context.has_b_frames:
            return True
        packets = islice(container.demux(stream), _PACKETS_ASKED)
        times = [packet.pts for packet in packets if packet.size]
        return None not in times and times != sorted(times, key=lambda time: time or 0)


def frame_to_us(facts: ClipFacts, n: int) -> int:
    """The microseconds that the player gives for frame `n`."""
    return _pts_to_us(facts, facts.table.pts(n))


def us_to_frame(facts: ClipFacts, us: int) -> int:
    """The frame whose time in the player's microseconds is nearest to `us`; of two, the earlier.

    For a frame that was shown, this is that frame. Never fails: what lies outside is the nearest end.
    """
    table = facts.table
    ticks = int((us + _start_us(facts)) / (_US_PER_S * table.time_base))
    after = int(np.searchsorted(table.pts_array, ticks))
    near = range(max(0, after - 2), min(len(table), after + 3))
    return min(near, key=lambda n: (abs(_pts_to_us(facts, table.pts(n)) - us), n))


def seek_ms(facts: ClipFacts, n: int) -> int:
    """The position in milliseconds that makes a paused player show frame `n`.

    A quarter into the frame's time on the screen, but at least the first whole millisecond after its
    start. For the last frame only the latter: past the end a player may get stuck.
    """
    start_us = frame_to_us(facts, n)
    after_start = start_us // 1000 + 1
    if n == len(facts.table) - 1:
        return after_start
    end_us = _pts_to_us(facts, facts.table.interval(n)[1])
    return max(after_start, (3 * start_us + end_us) // 4000)


def _pts_to_us(facts: ClipFacts, pts: int) -> int:
    return round_half_up(pts * facts.time_base * _US_PER_S) - _start_us(facts)


def _start_us(facts: ClipFacts) -> int:
    return round_half_up(facts.container_start * _US_PER_S)
