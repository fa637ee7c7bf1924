"""Watches one clip from the first frame to the last and tells what it saw. Runs in the worker process only.

Memory does not grow with the clip but for the few numbers a sample that are the answer: pictures and flow are kept
for moments only, fields for three seconds.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Generator, Sequence
from contextlib import closing
from dataclasses import replace
from fractions import Fraction
from typing import Final

import numpy as np
from numpy.typing import NDArray

from annotate.errors import Cancelled
from annotate.media.clip import ClipFacts
from annotate.motion.ahead import ahead
from annotate.motion.box_fields import BoxFields
from annotate.motion.camera import CELL, CameraWatch, Grey
from annotate.motion.cues import sounds_of
from annotate.motion.cuts import CutWatch
from annotate.motion.found import Sight
from annotate.motion.greys import FINE, evened, greys, shrunk, working_size
from annotate.motion.horse_place import HorseWatch, Place
from annotate.motion.jolts import Jolt
from annotate.motion.pace import pace_at
from annotate.motion.recognising import LONG_SIDE, Recogniser
from annotate.motion.rhythm import SLOT_S, Run, RunWatch
from annotate.motion.sampling import Sampling, sampling_of
from annotate.motion.seen import JOLTS, TRACKS, Seen, Stretch
from annotate.motion.strides import strides

Doubles = NDArray[np.float64]
OnProgress = Callable[[int, int], None]
OnRhythm = Callable[[tuple[Stretch, ...]], None]

_TELL_S: Final = 10.0
_LONGEST_HOLE_S: Final = 0.4
_LONGEST_RUN_S: Final = 120.0
_RECENT: Final = 80
_AHEAD: Final = 6
_RECOGNISE_S: Final = 0.2


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
        self._fields: BoxFields | None = None
        self._run: RunWatch | None = None
        self._runs: list[Run] = []
        self._jolts: dict[float, Jolt] = {}
        self._last_look_s = 0.0
        self._told_s = self._run_began_s = 0.0
        self._so_far: list[Stretch] = []

    def watch(
        self,
        on_progress: OnProgress = lambda done, of: None,
        cancelled: Callable[[], bool] = lambda: False,
        on_rhythm: OnRhythm = lambda rhythm: None,
    ) -> Seen:
        """Does it all. Raises `Cancelled` when asked to stop, `ClipTrouble` for a clip that cannot be read."""
        of = len(self._facts.table)
        firsts = {int(second): k for k, second in enumerate(self._sampling.second)}
        kept: dict[int, _Pictures] = {}
        with closing(ahead(_pictures(self._facts, self._sampling), _AHEAD)) as pictures:
            for count, (number, now) in enumerate(pictures):
                if count % 30 == 0:
                    if cancelled():
                        raise Cancelled
                    on_progress(number, of)
                    self._tell(on_rhythm)
                self._look_for_cut(number, now, kept)
                k = firsts.get(number)
                if k is not None:
                    before = kept.get(int(self._sampling.first[k]))
                    if before is not None:
                        self._pair(k, before, now)
                    kept.clear()
                kept[number] = now
        self._close_run()
        on_progress(of, of)
        rows = np.array(self._rows, dtype=np.float32).reshape(-1, len(TRACKS))
        jolts = [self._jolts.get(row[0], Jolt()) for row in self._rows]
        rows[:, TRACKS.index(JOLTS[0]) :] = np.reshape(jolts, (-1, len(JOLTS)))
        seen = Seen(
            length_s=float(self._facts.table.duration / self._capture_speed),
            shape=self._size[0] / self._size[1],
            tracks={name: rows[:, k].copy() for k, name in enumerate(TRACKS)},
            cuts=tuple(self._breaks),
            rhythm=(),
            sounds=sounds_of(self._facts, self._capture_speed),
        )
        rhythm = strides([_paced(run, seen) for run in self._runs], (0.0, *self._breaks))
        on_rhythm(rhythm)
        return replace(seen, rhythm=rhythm)

    # -- within

    def _look_for_cut(self, number: int, now: _Pictures, kept: dict[int, _Pictures]) -> None:
        found = self._cuts.see(float(self._sampling.times_s[number]), now.plain)
        if found is None:
            return
        self._breaks.append(round(found.at_s, 4))
        kept.clear()
        self._close_run(found.start_s)
        self._horse.cut()

    def _pair(self, k: int, first: _Pictures, second: _Pictures) -> None:
        at_s, gap_s = float(self._sampling.at_s[k]), float(self._sampling.gap_s[k])
        flow = self._camera.flow(first.working, second.working)
        camera = self._camera.motion(first.working, flow, self._horse.box)
        still = camera.shifts(self._camera.cells)
        witness = self._camera.witness(first.coarse, second.coarse, still)
        rows, columns = witness.shape
        own = flow[: rows * CELL : CELL, : columns * CELL : CELL].transpose(2, 0, 1) - still.reshape(2, rows, columns)
        own *= witness * np.float32(1 / gap_s)
        was = self._horse.which
        while self._clicks and self._clicks[0][0] <= at_s:
            _, x, y = self._clicks.popleft()
            self._horse.point_at(x * self._size[0], y * self._size[1])
        place, look = self._horse.see(at_s, gap_s, (first.fine, second.fine), own, camera, witness, second.sight)
        pan = -camera.dx / gap_s / self._size[0]
        self._rows.append(self._row(at_s, place, pan, (camera.zoom - 1) / gap_s))
        hole = at_s - self._last_look_s > _LONGEST_HOLE_S
        if look is None or self._horse.which != was or hole or at_s - self._run_began_s > _LONGEST_RUN_S:
            self._close_run()
        if look is None:
            return
        self._last_look_s = at_s
        if self._fields is None or self._run is None:
            self._fields, self._run = BoxFields(self._sampling.hop_s), RunWatch(at_s, self._sampling.hop_s)
            self._run_began_s = at_s
        for field in self._fields.take(at_s, place, look):
            self._run.take(field)

    def _row(self, at_s: float, place: Place, pan: float, zoom: float) -> tuple[float, ...]:
        nan = float("nan")
        if place.box is None:
            return (at_s, nan, nan, nan, nan, nan, nan, nan, pan, zoom, *Jolt())
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
            *Jolt(),
        )

    def _close_run(self, until_s: float | None = None) -> None:
        """The horse was lost, or the shot ended."""
        if self._fields is not None and self._run is not None:
            end_s = self._last_look_s + self._sampling.hop_s / 2
            end_s = end_s if until_s is None else min(end_s, until_s)
            for field in self._fields.end():
                if field.at_s < end_s:
                    self._run.take(field)
            self._jolts |= self._fields.jolts
            run = self._run.run(end_s)
            if run is not None:
                self._runs.append(run)
                self._note(run)
        self._fields = self._run = None

    def _note(self, run: Run) -> None:
        """What can be said of the rhythm so far; at the end, all is weighed together."""
        recent = run.last(_RECENT)
        before = [stretch for stretch in self._so_far if stretch.end_s <= recent.start_s + 1e-6]
        self._so_far = [*before, *strides([recent], (0.0, *self._breaks))]

    def _tell(self, on_rhythm: OnRhythm) -> None:
        if self._last_look_s - self._told_s < _TELL_S:
            return
        self._told_s = self._last_look_s
        run = self._run.run(self._last_look_s) if self._run is not None else None
        if run is not None:
            self._note(run)
        on_rhythm(tuple(self._so_far))


def _paced(run: Run, seen: Seen) -> Run:
    """The run with the pace of the whole way that its box went, which is known better afterwards than meanwhile."""
    middles: Doubles = run.start_s + (np.arange(len(run.stir), dtype=np.float64) + 0.5) * SLOT_S
    return replace(run, speed=pace_at(seen, middles), nearing=np.zeros(len(middles)))


class _Pictures:
    """One frame at the three sizes that are looked at; `plain` is the working picture as it was filmed.

    `sight`: what looks like a horse in it, if that was asked.
    """

    __slots__ = ("coarse", "fine", "plain", "sight", "working")

    def __init__(self, fine: Grey, sight: Sight | None) -> None:
        self.sight = sight
        height, width = fine.shape
        self.plain = shrunk(fine, (width // FINE, height // FINE))
        self.fine = evened(fine, self.plain)
        self.working = evened(self.plain, self.plain)
        self.coarse = shrunk(self.working, (width // FINE // CELL, height // FINE // CELL))


def _pictures(facts: ClipFacts, sampling: Sampling) -> Generator[tuple[int, _Pictures], None, None]:
    recogniser = Recogniser()
    with closing(greys(facts, sampling.wanted, sampling.apart(_RECOGNISE_S), LONG_SIDE)) as frames:
        for number, grey, colours in frames:
            yield number, _Pictures(grey, None if colours is None else recogniser.look(colours))


def watch(facts: ClipFacts, capture_speed: Fraction = Fraction(1)) -> Seen:
    """Watches a clip in this process."""
    return ClipWatch(facts, capture_speed).watch()
