"""Pictures of a scenario, one at a time, and the truth of each.

`Film(scenario, view)` prepares once; `pictures(times)` then yields a Picture for each instant of
the horse's time, in any order and at any rate, so memory does not grow with the length.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache

import cv2
import numpy as np
from numpy.typing import NDArray

from .buildings import barn, trailer, trailer_wheels
from .camera import Operator, Shot, View
from .coats import COATS
from .fence import Fence
from .figure import HorseFigure
from .footfalls import Footfalls
from .ground import paint_ground
from .handler import HandlerFigure
from .landscape import Landscape, landscape
from .passing import paint_dust, paint_passer
from .path import walk_the_path
from .pose import Pose, pose_at
from .scenario import Scenario
from .skin import Seen, paint, shadow
from .trees import Trees

Pixels = NDArray[np.uint8]
Floats = NDArray[np.float64]
LABEL = "drawn, not filmed"
DUST_S = 0.9


@dataclass(frozen=True)
class FrameTruth:
    """What is so at one instant. rein, lead and gait are the horse's own, seen or not; shown is
    the share of the horse in the picture and not behind something; box is in pixels, clipped."""

    time_s: float
    gait: str
    rein: str
    lead: str
    stride_phase: float
    stride_hz: float
    speed_mps: float
    heading_rad: float
    x_m: float
    y_m: float
    shown: float
    box: tuple[int, int, int, int] | None
    pan_rad: float


@dataclass(frozen=True)
class Picture:
    pixels: Pixels
    truth: FrameTruth


@lru_cache(maxsize=2)
def _land(seed: int) -> Landscape:
    return landscape(seed)


class Film:
    """One scenario seen by one camera."""

    def __init__(self, scenario: Scenario, view: View) -> None:
        self.scenario, self.view = scenario, view
        self.path = walk_the_path(scenario)
        self.footfalls = Footfalls(scenario, self.path)
        self._operator = Operator(scenario, self.path, view)
        coat = COATS[scenario.horse.coat]
        self._horse = HorseFigure(coat, scenario.horse.height_m, scenario.tack)
        self._handler = HandlerFigure(scenario, self.path)
        self._fence = Fence()
        self._trees = Trees(scenario.seed, scenario.wind)
        self._barn = barn()
        self._trailer = (
            trailer(scenario.trailer_deg) if scenario.trailer_deg is not None else None
        )
        self._land = _land(scenario.seed)
        rng = np.random.default_rng([view.seed, scenario.seed, 3])
        self._grain = (
            rng.standard_normal((view.height + 64, view.width + 64, 1)).astype(np.float32)
            * view.noise
        ).round().astype(np.int8)
        self._label = _label(view.width)

    def truth(self, time_s: float) -> FrameTruth:
        """The truth without drawing."""
        pose = self._pose(time_s)
        shot = self._operator.shot(time_s)
        return self._truth(pose, shot, shot.project(self._horse.vertices(pose)))

    def pictures(self, times: Iterable[float]) -> Iterator[Picture]:
        for time_s in times:
            yield self.picture(time_s)

    def picture(self, time_s: float) -> Picture:
        shot = self._operator.shot(time_s)
        pose = self._pose(time_s)
        pixels = paint_ground(self._land, shot)
        for start, kind in self.scenario.passers:
            if kind == "bird":
                paint_passer(pixels, shot, kind, time_s - start)
        self._barn.paint(pixels, shot)
        self._trees.paint(pixels, shot, time_s)
        for start, kind in self.scenario.passers:
            if kind == "dog":
                paint_passer(pixels, shot, kind, time_s - start)
        self._fence.paint_shadow(pixels, shot)
        self._fence.paint(pixels, shot, before=False)
        horse = self._horse.vertices(pose)
        handler = self._handler.vertices(time_s)
        seen = shot.project(horse)
        shadow(pixels, self._horse.skin, horse, shot.project)
        shadow(pixels, self._handler.skin, handler, shot.project)
        place = np.array(self._handler.place(time_s))
        horse_off = float(np.hypot(pose.x - shot.eye[0], pose.y - shot.eye[1]))
        handler_off = float(np.hypot(*(place - shot.eye[:2])))
        figures = [
            (horse_off, self._horse.skin, horse, seen),
            (handler_off, self._handler.skin, handler, shot.project(handler)),
        ]
        figures.sort(key=lambda f: -f[0])
        dust = self._dust(time_s, pose)
        for away, skin, vertices, projected in figures:
            paint(pixels, skin, vertices, projected, shot.eye)
            if away == horse_off and dust:
                paint_dust(pixels, shot, dust, self.scenario.seed)
        self._fence.paint(pixels, shot, before=True)
        if self._trailer is not None:
            trailer_wheels(pixels, shot, self._trailer)
            self._trailer.paint(pixels, shot)
        self._sensor(pixels, time_s)
        return Picture(pixels, self._truth(pose, shot, seen))

    def _pose(self, time_s: float) -> Pose:
        return pose_at(self.scenario, self.path, self.footfalls, time_s)

    def _dust(self, time_s: float, pose: Pose) -> list[tuple[float, float, float, float]]:
        out = []
        for on_s, x, y, _ in self.footfalls.landings(time_s - DUST_S, time_s):
            speed = abs(self.path.at(self.path.speed, on_s))
            strength = min(1.0, max(0.0, (speed - 1.6) / 4.0)) + 0.4 * pose.alarm * (speed > 0.3)
            if strength > 0.08:
                out.append((time_s - on_s, x, y, min(1.0, strength)))
        return out

    def _sensor(self, pixels: Pixels, time_s: float) -> None:
        if self.view.noise > 0:
            instant = round(time_s * 1e6) + 60_000_000
            dx, dy = np.random.default_rng([self.view.seed, instant]).integers(0, 64, 2)
            grain = self._grain[dy : dy + self.view.height, dx : dx + self.view.width]
            noisy = pixels.astype(np.int16) + grain
            np.clip(noisy, 0, 255, out=noisy)
            pixels[:] = noisy.astype(np.uint8)
        h, w = self._label.shape
        place = pixels[-h - 4 : -4, 6 : 6 + w]
        light = self._label[..., None]
        place[:] = (place * (1 - light) + 246 * light).astype(np.uint8)

    def _truth(self, pose: Pose, shot: Shot, seen: Seen) -> FrameTruth:
        t = pose.time_s
        spell = self.scenario.spell_at(t)
        inside = (
            (seen.depth > 0.3)
            & (seen.xy[:, 0] >= 0)
            & (seen.xy[:, 0] < shot.width)
            & (seen.xy[:, 1] >= 0)
            & (seen.xy[:, 1] < shot.height)
        )
        open_ = inside.copy()
        if self._trailer is not None:
            hull = self._trailer.outline(shot)
            if hull is not None:
                open_ &= ~_within(seen.xy, hull)
        box = None
        if inside.any() and (whole := seen.box()) is not None:
            x0, y0 = max(0, int(whole[0])), max(0, int(whole[1]))
            x1 = min(shot.width, int(whole[2]) + 1)
            y1 = min(shot.height, int(whole[3]) + 1)
            box = (x0, y0, x1, y1) if x1 > x0 and y1 > y0 else None
        at = self.path.at
        rein_sign = at(self.path.rein.astype(float), t)
        lead = ""
        if spell.gait in ("lope", "gallop"):
            own = spell.lead or ("left" if rein_sign > 0 else "right")
            lead = "disunited" if own == "disunited" else f"{own}_lead"
        hz = at(self.path.stride_hz, t)
        return FrameTruth(
            time_s=t,
            gait=spell.gait,
            rein="left_rein" if rein_sign > 0 else "right_rein",
            lead=lead,
            stride_phase=at(self.path.phase, t) % 1.0,
            stride_hz=hz if spell.gait != "stand" else 0.0,
            speed_mps=at(self.path.speed, t),
            heading_rad=pose.heading,
            x_m=pose.x,
            y_m=pose.y,
            shown=float(open_.mean()),
            box=box,
            pan_rad=shot.azimuth,
        )


def _within(points: Floats, hull: Floats) -> NDArray[np.bool_]:
    """Which points lie inside a convex polygon."""
    side = np.ones(len(points), bool)
    other = np.ones(len(points), bool)
    for a, b in zip(hull, np.roll(hull, -1, 0), strict=True):
        cross = (b[0] - a[0]) * (points[:, 1] - a[1]) - (b[1] - a[1]) * (points[:, 0] - a[0])
        side &= cross >= 0
        other &= cross <= 0
    return side | other


def _label(width: int) -> Floats:
    """How much of each pixel the words in the corner cover, 0 to 1."""
    scale = 0.28 * max(0.75, width / 640)
    (w, h), low = cv2.getTextSize(LABEL, cv2.FONT_HERSHEY_SIMPLEX, scale * 4, 4)
    big = np.zeros((h + low + 8, w + 8), np.uint8)
    cv2.putText(big, LABEL, (4, h + 4), cv2.FONT_HERSHEY_SIMPLEX, scale * 4, 255, 4, cv2.LINE_AA)
    small = cv2.resize(big, (big.shape[1] // 4, big.shape[0] // 4), interpolation=cv2.INTER_AREA)
    return small.astype(np.float64) / 255 * 0.75
