"""Watches one clip from the first frame to the last and tells what it saw. Runs in the worker process only.

Memory does not grow with the clip but for the few numbers a sample that are the answer: flow is kept for the
last five seconds.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Sequence
from fractions import Fraction
from typing import Final

import numpy as np

from annotate.errors import Cancelled
from annotate.media.clip import ClipFacts
from annotate.motion.box_fields import Glance
from annotate.motion.camera import CameraWatch, Grey
from annotate.motion.cues import sounds_of
from annotate.motion.cuts import CutWatch
from annotate.motion.greys import FINE, greys, shrunk, working_size
from annotate.motion.horse_place import HorseWatch, Place
from annotate.motion.rhythm import WINDOW_S
from annotate.motion.sampling import Sampling, sampling_of
from annotate.motion.seen import TRACKS, Seen, Stretch
from annotate.motion.strides import Window, strides
from annotate.motion.windows import SLOT_S, windows_of

OnProgress = Callable[[int, int], None]
OnRhythm = Callable[[tuple[Stretch, ...]], None]

_TELL_S: Final = 10.0


class ClipWatch:
    """One clip being watched."""

    def __init__(
        self, facts: ClipFacts, capture_speed: Fraction, clicks: Sequence[tuple[float, float, float]] = ()
    ) -> None:
        """`clicks`: (seconds, x, y) where the trainer pointed at the horse, x and y as shares of the picture."""
        self._clicks = deque(sorted(clicks))
        self._facts, self._capture_speed = facts, capture_speed
        self._sampling: Sampling = sampling_of(facts.table, capture_speed)
        self._size = working_size(facts)
        self._camera = CameraWatch(self._size)
        self._horse = HorseWatch(self._size, FINE)
        self._cuts = CutWatch()
        self._breaks: list[float] = []
        self._rows: list[tuple[float, ...]] = []
        self._glances: deque[Glance] = deque()
        self._windows: list[Window] = []
        self._told_until_s = 0.0
        self._told = 0

    def watch(
        self,
        on_progress: OnProgress = lambda done, of: None,
        cancelled: Callable[[], bool] = lambda: False,
        on_rhythm: OnRhythm = lambda rhythm: None,
    ) -> Seen:
        """Does it all. Raises `Cancelled` when asked to stop, `ClipTrouble` for a clip that cannot be read."""
        of = len(self._facts.table)
        firsts = {int(second): k for k, second in enumerate(self._sampling.second)}
        kept: dict[int, Grey] = {}
        for count, (number, grey) in enumerate(greys(self._facts, self._sampling.wanted)):
            if count % 30 == 0:
                if cancelled():
                    raise Cancelled
                on_progress(number, of)
                self._tell(on_rhythm)
            self._look_for_cut(number, grey, kept)
            kept[number] = grey
            k = firsts.get(number)
            if k is None:
                continue
            first = int(self._sampling.first[k])
            if first in kept:
                self._pair(k, kept[first], grey)
            for old in [n for n in kept if n < number and n != number]:
                del kept[old]
        self._close_window()
        on_progress(of, of)
        rhythm = strides(self._windows)
        on_rhythm(rhythm)
        sounds = sounds_of(self._facts, self._capture_speed)
        rows = np.array(self._rows, dtype=np.float32).reshape(-1, len(TRACKS))
        return Seen(
            length_s=float(self._facts.table.duration / self._capture_speed),
            shape=self._size[0] / self._size[1],
            tracks={name: rows[:, k].copy() for k, name in enumerate(TRACKS)},
            cuts=tuple(self._breaks),
            rhythm=rhythm,
            sounds=sounds,
        )

    # -- within

    def _look_for_cut(self, number: int, grey: Grey, kept: dict[int, Grey]) -> None:
        small = shrunk(grey, self._size)
        found = self._cuts.see(float(self._sampling.times_s[number]), small)
        if found is None:
            return
        self._breaks.append(round(found.at_s, 4))
        kept.clear()
        while self._glances and self._glances[-1].at_s > found.start_s:
            self._glances.pop()
        self._close_window(found.start_s)
        self._horse.cut()

    def _pair(self, k: int, first: Grey, second: Grey) -> None:
        at_s, gap_s = float(self._sampling.at_s[k]), float(self._sampling.gap_s[k])
        before = shrunk(first, self._size)
        after = shrunk(second, self._size)
        flow = self._camera.flow(before, after)
        camera = self._camera.motion(before, flow, self._horse.box)
        witness = self._camera.witness(before, after, camera)
        was = self._horse.which
        while self._clicks and self._clicks[0][0] <= at_s:
            _, x, y = self._clicks.popleft()
            self._horse.point_at(x * self._size[0], y * self._size[1])
        place, look = self._horse.see(
            at_s, gap_s, (first, second), flow, camera, witness, self._camera.edges(before)
        )
        pan = -camera.dx / gap_s / self._size[0]
        self._rows.append(self._row(at_s, place, pan, (camera.zoom - 1) / gap_s))
        if look is None or (self._glances and self._horse.which != was):
            self._close_window()
        if look is None:
            return
        if not self._glances:
            self._told_until_s = at_s
        self._glances.append(Glance(at_s, place, look.halved()))
        while self._glances[-1].at_s - self._glances[0].at_s > WINDOW_S:
            self._glances.popleft()
        full = self._glances[-1].at_s - self._glances[0].at_s > WINDOW_S - 1.5 * self._sampling.hop_s
        if full and at_s - WINDOW_S / 2 + SLOT_S / 2 >= self._told_until_s + SLOT_S:
            self._measure(at_s - WINDOW_S / 2 + SLOT_S / 2)

    def _row(self, at_s: float, place: Place, pan: float, zoom: float) -> tuple[float, ...]:
        nan = float("nan")
        if place.box is None:
            return (at_s, nan, nan, nan, nan, nan, nan, nan, pan, zoom)
        width, height = self._size
        x0, y0, x1, y1 = place.box
        tall = y1 - y0
        return (
            at_s,
            (x0 + x1) / 2 / width,
            (y0 + y1) / 2 / height,
            (x1 - x0) / width,
            tall / height,
            place.u / tall,
            place.v / tall,
            place.stir / tall,
            pan,
            zoom,
        )

    def _close_window(self, until_s: float | None = None) -> None:
        """The horse was lost, or the shot ended: what is left of the last window speaks for its rest."""
        if self._glances:
            end_s = self._glances[-1].at_s + self._sampling.hop_s / 2
            if until_s is not None:
                end_s = min(end_s, until_s)
            if end_s > self._told_until_s + 0.05:
                self._measure(end_s)
        self._glances.clear()

    def _measure(self, until_s: float) -> None:
        found = windows_of(list(self._glances), self._told_until_s, until_s)
        if found:
            self._windows += found
            self._told_until_s = until_s

    def _tell(self, on_rhythm: OnRhythm) -> None:
        if len(self._windows) - self._told >= _TELL_S / SLOT_S:
            self._told = len(self._windows)
            on_rhythm(strides(self._windows))


def watch(facts: ClipFacts, capture_speed: Fraction = Fraction(1)) -> Seen:
    """Watches a clip in this process."""
    return ClipWatch(facts, capture_speed).watch()
