"""The handler in the middle of the pen with a flag on a stick: turns with the horse, steps up to
it for an exposure, raises the flag when it is active."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from .path import STEP_HZ, Path
from .scenario import Scenario
from .skin import Skin, sheet_faces, tube, tube_faces

Floats = NDArray[np.float64]
K = 8
_SHIRT, _JEANS, _SKIN, _STRAW, _BOOT = (
    (150, 96, 52), (110, 78, 52), (128, 162, 206), (150, 196, 220), (40, 52, 70),
)  # fmt: skip
_FLAGS = {"flag": (60, 90, 235), "bag": (235, 235, 235), "whip": (50, 60, 70)}
FLAG_ROWS, FLAG_COLUMNS = 3, 5
_LATERAL = np.array([0.0, 1.0, 0.0])
RINGS = {"leg": 6, "torso": 6, "head": 6, "brim": 4, "crown": 4, "arm": 5, "stick": 4}


class HandlerFigure:
    """Vertices of the handler at an instant; the faces never change."""

    def __init__(self, scenario: Scenario, path: Path) -> None:
        self._scenario = scenario
        self._path = path
        self._step = STEP_HZ // 10
        self._walk()
        kinds = [e.stimulus for e in scenario.exposures]
        self._flag = next((k for k in kinds if k in _FLAGS), "flag")
        self.skin = self._clothe()

    def _walk(self) -> None:
        path, n = self._path, len(self._path.x) // self._step
        times = path.start_s + np.arange(n) * self._step / STEP_HZ
        hx, hy = path.x[:: self._step][:n], path.y[:: self._step][:n]
        psi = path.heading[:: self._step][:n]
        # Behind the withers, where a handler drives from.
        want = np.stack([0.11 * hx - 1.3 * np.cos(psi), 0.11 * hy - 1.3 * np.sin(psi)], 1)
        self._active = np.zeros(n)
        for e in self._scenario.exposures:
            near = (times > e.start_s - 2.5) & (times < e.end_s + 0.4)
            slow = path.speed[:: self._step][:n] < 0.3
            sign = 1.0 if e.side == "left" else -1.0
            away = 3.2 - 0.5 * e.grade
            place = np.stack(
                [hx - np.sin(psi) * sign * away, hy + np.cos(psi) * sign * away], 1
            )
            want[near & slow] = place[near & slow]
            self._active[(times >= e.start_s) & (times < e.end_s)] = 1.0
        for cue in self._scenario.cues:
            self._active[(times > cue.at_s - 0.3) & (times < cue.at_s + 1.3)] = 0.55
        for turn in self._scenario.turns:
            self._active[(times > turn.start_s - 0.8) & (times < turn.start_s + 1.0)] = 0.7
        place = np.empty_like(want)
        here = want[0].copy()
        self._gone = np.zeros(n)
        walked = 0.0
        for i in range(n):
            step = want[i] - here
            size = float(np.hypot(*step))
            pace = min(size * 0.14, 0.145)
            if size > 0.25:
                here = here + step / size * pace
                walked += pace
            place[i] = here
            self._gone[i] = walked
        smooth = np.hanning(9)[1:-1]
        smooth /= smooth.sum()
        self._place = np.stack(
            [np.convolve(np.pad(place[:, k], 3, "edge"), smooth, "valid") for k in range(2)], 1
        )
        self._active = np.convolve(np.pad(self._active, 3, "edge"), smooth, "valid")
        self._facing = np.unwrap(np.arctan2(hy - self._place[:, 1], hx - self._place[:, 0]))
        self._times = times

    def place(self, time_s: float) -> tuple[float, float]:
        return (
            float(np.interp(time_s, self._times, self._place[:, 0])),
            float(np.interp(time_s, self._times, self._place[:, 1])),
        )

    def _clothe(self) -> Skin:
        faces, colours, sheets, count = [], [], [], 0
        for name, colour in (
            ("leg", _JEANS), ("leg", _JEANS), ("torso", _SHIRT), ("head", _SKIN),
            ("brim", _STRAW), ("crown", _STRAW), ("arm", _SHIRT), ("arm", _SHIRT),
            ("stick", (60, 66, 70)),
        ):  # fmt: skip
            rings = RINGS[name]
            quads = tube_faces(rings, K, count)
            shade = np.tile(np.array(colour, float), (len(quads), 1))
            if name == "leg":
                shade[-K * 2 :] = _BOOT
            if name == "arm":
                shade[-K:] = _SKIN
            faces.append(quads)
            colours.append(shade)
            sheets.append(np.full(len(quads), name == "brim"))
            count += rings * K
        cloth = sheet_faces(FLAG_ROWS, FLAG_COLUMNS, count)
        faces.append(cloth)
        colours.append(np.tile(np.array(_FLAGS[self._flag], float), (len(cloth), 1)))
        sheets.append(np.full(len(cloth), True))
        return Skin(np.concatenate(faces), np.concatenate(colours), np.concatenate(sheets))

    def vertices(self, time_s: float) -> Floats:
        x, y = self.place(time_s)
        facing = float(np.interp(time_s, self._times, self._facing))
        gone = float(np.interp(time_s, self._times, self._gone))
        active = float(np.interp(time_s, self._times, self._active))
        stride = 0.32 * math.sin(2 * math.pi * gone / 1.35)
        moving = min(1.0, abs(gone - float(np.interp(time_s - 0.5, self._times, self._gone))) * 3)
        stride *= moving
        parts = [*_legs(stride), *_trunk(), *self._arms_and_flag(time_s, active, stride)]
        points = np.concatenate([p.reshape(-1, 3) for p in parts])
        c, s = math.cos(facing), math.sin(facing)
        return np.stack(
            [c * points[:, 0] - s * points[:, 1] + x, s * points[:, 0] + c * points[:, 1] + y,
             points[:, 2]], 1,
        )  # fmt: skip

    def _arms_and_flag(self, time_s: float, active: float, stride: float) -> list[Floats]:
        parts = []
        wave = math.sin(time_s * 9.0) * 0.30 * (active > 0.8) + math.sin(time_s * 5) * 0.08 * active
        raise_angle = -0.95 + 1.45 * active + wave
        shoulder = np.array([0.0, -0.19, 1.41])
        hand = shoulder + 0.58 * np.array(
            [math.cos(raise_angle), -0.25, math.sin(raise_angle)]
        ) / math.hypot(1, 0.25)
        rest = np.array([0.08 + 0.3 * stride, 0.24, 0.86])
        for a, b in ((np.array([0, 0.19, 1.41]), rest), (shoulder, hand)):
            line = np.array([a + (b - a) * u for u in (0, 0.3, 0.6, 0.9, 1.05)])
            half = np.array([0.060, 0.052, 0.043, 0.034, 0.030])
            parts.append(tube(line, np.tile(np.array([0.1, 1.0, 0.0]), (5, 1)), half, half, K))
        stick_angle = raise_angle * 0.75 + 0.15 + wave * 0.5
        along = np.array([math.cos(stick_angle), -0.12, math.sin(stick_angle)])
        tip = hand + 1.25 * along
        line = np.array([hand - 0.1 * along, hand + 0.4 * along, hand + 0.8 * along, tip])
        half = np.array([0.013, 0.012, 0.011, 0.010])
        parts.append(tube(line, np.tile(_LATERAL, (4, 1)), half, half, K))
        size = 0.42 if self._flag != "whip" else 0.05
        flap = []
        for i in range(FLAG_ROWS):
            for j in range(FLAG_COLUMNS):
                u, v = j / (FLAG_COLUMNS - 1), i / (FLAG_ROWS - 1)
                ripple = 0.11 * u * math.sin(time_s * (4 + 9 * active) - 4.5 * u + v)
                stream = 0.25 + 0.55 * active
                flap.append(
                    tip - along * 0.40 * v
                    + size * u * np.array([-0.25, stream * 0.9, -1.0 + 0.55 * active])
                    + np.array([ripple, ripple, 0.4 * ripple])
                )
        parts.append(np.array(flap))
        return parts


def _legs(stride: float) -> list[Floats]:
    parts = []
    for side, s in ((0.10, stride), (-0.10, -stride)):
        knee = np.array([0.06 + 0.5 * s, side, 0.50])
        sole = np.array([s - 0.02, side * 1.2, 0.06 + 0.05 * abs(s) * (s < 0)])
        toe = sole + np.array([0.14, 0, -0.03])
        hip = np.array([0, side, 0.95])
        line = np.array([hip, (hip + knee) / 2, knee, (knee + sole) / 2, sole, toe])
        half = np.array([0.105, 0.09, 0.07, 0.062, 0.055, 0.04])
        parts.append(tube(line, np.tile(_LATERAL, (6, 1)), half, half, K))
    return parts


def _trunk() -> list[Floats]:
    """Body, head, brim and crown of the hat."""
    parts = []
    line = np.array([[0, 0, z] for z in (0.88, 0.95, 1.10, 1.28, 1.43, 1.50)], float)
    wide = np.array([0.150, 0.165, 0.155, 0.190, 0.180, 0.05])
    parts.append(tube(line, np.tile(_LATERAL, (6, 1)), wide, wide * 0.62, K))
    line = np.array([[0.02, 0, z] for z in (1.48, 1.53, 1.58, 1.65, 1.72, 1.77)], float)
    half = np.array([0.05, 0.06, 0.088, 0.098, 0.085, 0.03])
    parts.append(tube(line, np.tile(_LATERAL, (6, 1)), half, half, K))
    line = np.array([[0.02, 0, z] for z in (1.700, 1.705, 1.712, 1.715)])
    half = np.array([0.09, 0.20, 0.205, 0.09])
    parts.append(tube(line, np.tile(_LATERAL, (4, 1)), half, half * 1.15, K))
    line = np.array([[0.02, 0, z] for z in (1.70, 1.76, 1.82, 1.835)])
    half = np.array([0.105, 0.098, 0.080, 0.01])
    parts.append(tube(line, np.tile(_LATERAL, (4, 1)), half, half * 1.1, K))
    return parts
