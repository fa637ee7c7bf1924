"""The horse: a skeleton moved by a Pose, clothed in rings. Metres; x forward, y left, z up."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import PchipInterpolator

from .coats import Coat
from .limbs import joints
from .pose import Pose
from .skin import Skin, sheet_faces, tube, tube_faces

Floats = NDArray[np.float64]

BODY_K, NECK_K, LEG_K, TAIL_K, EAR_K = 26, 16, 9, 7, 5
BODY_RINGS, NECK_RINGS, TAIL_RINGS, MANE_RINGS = 36, 15, 10, 14

# Barrel in profile: x, top, bottom, half width (metres, 1.44 m at the withers).
_PROFILE = np.array(
    [
        (-0.83, 1.155, 1.150, 0.003),
        (-0.815, 1.215, 1.06, 0.085),
        (-0.77, 1.295, 0.97, 0.165),
        (-0.68, 1.365, 0.90, 0.225),
        (-0.56, 1.415, 0.86, 0.258),
        (-0.42, 1.435, 0.865, 0.266),
        (-0.27, 1.418, 0.860, 0.255),
        (-0.08, 1.385, 0.805, 0.270),
        (0.12, 1.380, 0.765, 0.278),
        (0.28, 1.425, 0.755, 0.255),
        (0.38, 1.435, 0.765, 0.238),
        (0.50, 1.380, 0.79, 0.222),
        (0.60, 1.290, 0.84, 0.190),
        (0.67, 1.200, 0.90, 0.140),
        (0.70, 1.130, 0.96, 0.075),
        (0.71, 1.062, 1.058, 0.003),
    ]
)
# Head from poll to lip: along, half depth, half width.
_HEAD = np.array(
    [
        (-0.05, 0.050, 0.050),
        (0.00, 0.095, 0.078),
        (0.07, 0.122, 0.094),
        (0.15, 0.132, 0.098),
        (0.24, 0.117, 0.084),
        (0.33, 0.093, 0.066),
        (0.42, 0.077, 0.056),
        (0.50, 0.074, 0.060),
        (0.555, 0.066, 0.056),
        (0.585, 0.035, 0.036),
        (0.590, 0.002, 0.002),
    ]
)
# Legs: share of the way along joint-to-joint, half depth (front to back), half width.
_FORE = (
    (0, 0.0, 0.170, 0.085), (0, 0.5, 0.150, 0.085), (0, 1.0, 0.110, 0.072),
    (1, 0.3, 0.082, 0.060), (1, 0.65, 0.058, 0.046), (1, 0.9, 0.047, 0.042),
    (1, 1.0, 0.050, 0.044), (2, 0.16, 0.037, 0.033), (2, 0.55, 0.032, 0.027),
    (2, 0.85, 0.034, 0.029), (2, 1.0, 0.042, 0.036), (3, 0.45, 0.034, 0.031),
    (3, 0.85, 0.044, 0.042), (4, 0.15, 0.050, 0.047), (4, 1.0, 0.066, 0.057),
    (4, 1.02, 0.020, 0.020),
)  # fmt: skip
_HIND = (
    (0, 0.0, 0.230, 0.100), (0, 0.5, 0.215, 0.110), (0, 1.0, 0.165, 0.095),
    (1, 0.3, 0.120, 0.072), (1, 0.62, 0.078, 0.052), (1, 0.88, 0.056, 0.042),
    (1, 1.0, 0.060, 0.044), (2, 0.16, 0.046, 0.036), (2, 0.55, 0.036, 0.029),
    (2, 0.86, 0.037, 0.030), (2, 1.0, 0.044, 0.037), (3, 0.45, 0.035, 0.032),
    (3, 0.85, 0.045, 0.043), (4, 0.15, 0.051, 0.048), (4, 1.0, 0.066, 0.057),
    (4, 1.02, 0.020, 0.020),
)  # fmt: skip
LEG_RINGS = len(_FORE)

@dataclass
class HorseFigure:
    """Builds the vertices of one horse for a pose; the skin's faces never change."""

    coat: Coat
    height_m: float
    tack: tuple[str, ...] = ()
    seed: int = 1

    def __post_init__(self) -> None:
        self.scale = self.height_m / 1.44
        self._profile = {
            n: PchipInterpolator(_PROFILE[:, 0], _PROFILE[:, n + 1])
            for n in range(3)
        }
        t = np.linspace(0, 1, BODY_RINGS)
        xs = -0.83 + 1.54 * (0.5 - 0.5 * np.cos(np.pi * t)) * 0.55 + 1.54 * t * 0.45
        self._xs = np.clip(xs, -0.83, 0.71)
        self._top, self._bottom, self._half = (self._profile[n](self._xs) for n in range(3))
        self.skin = self._clothe()

    def _clothe(self) -> Skin:
        coat, rng = self.coat, np.random.default_rng(self.seed)
        faces, colours, sheets = [], [], []
        count = 0

        def add(quads: NDArray[np.int64], colour: Floats, vertices: int, sheet: bool) -> None:
            nonlocal count
            faces.append(quads)
            colours.append(colour)
            sheets.append(np.full(len(quads), sheet))
            count += vertices

        def shades(rings: int, k: int, colour: tuple[int, int, int]) -> Floats:
            return np.tile(np.array(colour, float), (rings - 1, k, 1))

        body = shades(BODY_RINGS, BODY_K, coat.body)
        under = 0.5 - 0.5 * np.cos((np.arange(BODY_K) + 0.5) * 2 * np.pi / BODY_K)
        under = np.clip((under - 0.55) / 0.45, 0, 1)[None, :, None]
        body = body * (1 - under * 0.7) + np.array(coat.belly, float) * under * 0.7
        middle = (self._xs[1:] + self._xs[:-1]) / 2
        if "surcingle" in self.tack:
            body[(middle > 0.09) & (middle < 0.19)] = (178, 120, 44)
        if "pad" in self.tack or "saddle" in self.tack:
            upper = np.r_[0:6, BODY_K - 6 : BODY_K]
            rows = np.flatnonzero((middle > -0.22) & (middle < 0.28))
            body[np.ix_(rows, upper)] = (120, 70, 60) if "pad" in self.tack else (30, 48, 84)
        add(tube_faces(BODY_RINGS, BODY_K, count), body.reshape(-1, 3), BODY_RINGS * BODY_K, False)
        neck = shades(NECK_RINGS, NECK_K, coat.body)
        add(tube_faces(NECK_RINGS, NECK_K, count), neck.reshape(-1, 3), NECK_RINGS * NECK_K, False)
        head = shades(len(_HEAD), NECK_K, coat.body)
        along = (_HEAD[1:, 0] + _HEAD[:-1, 0]) / 2
        muzzle = np.clip((along - 0.36) / 0.15, 0, 1)[:, None, None]
        head = head * (1 - 0.7 * muzzle) + np.array(coat.points, float) * 0.7 * muzzle
        front = np.array([0, 1, NECK_K - 1, NECK_K - 2])
        if coat.face == "blaze":
            rows = np.flatnonzero((along > 0.03) & (along < 0.53))
            head[np.ix_(rows, front)] = (226, 234, 238)
        elif coat.face == "star":
            rows = np.flatnonzero((along > 0.05) & (along < 0.17))
            head[np.ix_(rows, np.array([0, NECK_K - 1]))] = (214, 224, 230)
        add(tube_faces(len(_HEAD), NECK_K, count), head.reshape(-1, 3), len(_HEAD) * NECK_K, False)
        for leg in range(4):
            limb = _HIND if leg in (0, 2) else _FORE
            part = np.array([r[0] + r[1] for r in limb])
            part = (part[1:] + part[:-1]) / 2
            colour = shades(LEG_RINGS, LEG_K, coat.body)
            if coat.dark_legs:
                dark = np.clip((part - 1.45) / 0.6, 0, 1)[:, None, None]
                colour = colour * (1 - dark) + np.array(coat.points, float) * dark
            if leg in coat.socks:
                colour[part > (2.45 if leg == 0 else 2.75)] = (222, 228, 232)
            colour[part > 4.0] = coat.hoof
            add(
                tube_faces(LEG_RINGS, LEG_K, count),
                colour.reshape(-1, 3),
                LEG_RINGS * LEG_K,
                False,
            )
        tail = shades(TAIL_RINGS, TAIL_K, coat.mane)
        add(tube_faces(TAIL_RINGS, TAIL_K, count), tail.reshape(-1, 3), TAIL_RINGS * TAIL_K, False)
        for _ in range(2):
            ear = shades(4, EAR_K, coat.body)
            add(tube_faces(4, EAR_K, count), ear.reshape(-1, 3), 4 * EAR_K, False)
        for _ in range(2):
            eye = shades(3, EAR_K, (18, 18, 22))
            add(tube_faces(3, EAR_K, count), eye.reshape(-1, 3), 3 * EAR_K, False)
        mane = np.tile(np.array(coat.mane, float), ((MANE_RINGS - 1) * 2, 1))
        add(sheet_faces(MANE_RINGS, 3, count), mane, MANE_RINGS * 3, True)
        all_colours = np.concatenate(colours)
        all_colours = all_colours * rng.normal(1.0, 0.022, (len(all_colours), 1))
        sheet = np.concatenate(sheets)
        # The mane lies on the neck and the neck on the chest: painted as if a little nearer.
        lead = np.where(sheet, 0.06, 0.0)
        neck_first = len(faces[0])
        lead[neck_first : neck_first + len(faces[1])] = 0.045
        return Skin(np.concatenate(faces), np.clip(all_colours, 0, 255), sheet, lead, 0.22)

    def vertices(self, pose: Pose) -> Floats:
        """World vertices (n, 3) in the order of the skin."""
        parts = [self._body(pose), *self._neck_and_head(pose)]
        parts[3:3] = self._legs(pose)
        return np.concatenate([p.reshape(-1, 3) for p in parts])

    def in_world(self, points: Floats, pose: Pose) -> Floats:
        """From the straight horse's frame to the world: bend, pitch, roll, height, place."""
        p = points * self.scale
        x, y, z = p[..., 0], p[..., 1], p[..., 2]
        k = pose.bend
        turn = k * x
        x, y = x - y * np.sin(turn), y * np.cos(turn) + k * x * np.abs(x) / 2 * np.sign(x)
        pivot = 1.0 * self.scale
        c, s = math.cos(pose.pitch), math.sin(pose.pitch)
        x, z = c * x - s * (z - pivot), s * x + c * (z - pivot) + pivot
        c, s = math.cos(pose.roll), math.sin(pose.roll)
        y, z = c * y - s * z, s * y + c * z
        c, s = math.cos(pose.heading), math.sin(pose.heading)
        return np.stack([c * x - s * y + pose.x, s * x + c * y + pose.y, z + pose.z], -1)

    def _body(self, pose: Pose) -> Floats:
        angle = np.arange(BODY_K) * (2 * np.pi / BODY_K)
        up, out = np.cos(angle), np.sin(angle)
        middle = (self._top + self._bottom) / 2
        tall = (self._top - self._bottom) / 2
        # Ribs are fuller below the middle, withers and croup narrower above it.
        narrow = 1.0 - 0.20 * np.clip(up, 0, 1) ** 2
        points = np.empty((BODY_RINGS, BODY_K, 3))
        points[..., 0] = self._xs[:, None]
        points[..., 1] = self._half[:, None] * (np.sign(out) * np.abs(out) ** 0.9 * narrow)[None]
        points[..., 2] = middle[:, None] + tall[:, None] * up[None]
        return self.in_world(points, pose)

    def _neck_and_head(self, pose: Pose) -> list[Floats]:
        t = np.linspace(0, 1, NECK_RINGS)
        low = 0.55 * pose.neck + 0.33
        high = pose.neck + 0.26
        elevation = low + (high - low) * t
        length = 0.86
        step = length / (NECK_RINGS - 1)
        base = np.array([0.41 - 0.10 * max(0.0, pose.neck - 0.6), 0.0, 1.13])
        yaw = pose.neck_yaw * t**1.2
        run = np.stack(
            [np.cos(elevation) * np.cos(yaw), np.cos(elevation) * np.sin(yaw), np.sin(elevation)],
            -1,
        )
        centres = base + np.concatenate([np.zeros((1, 3)), np.cumsum(run[1:] * step, 0)])
        side = np.stack([-np.sin(yaw), np.cos(yaw), np.zeros(NECK_RINGS)], -1)
        deep = np.interp(t, [0, 0.25, 0.5, 0.75, 1], [0.29, 0.245, 0.190, 0.145, 0.108])
        wide = np.interp(t, [0, 0.25, 0.5, 0.75, 1], [0.190, 0.125, 0.095, 0.076, 0.066])
        neck = tube(centres, side, wide, deep, NECK_K)

        poll = centres[-1] + run[-1] * 0.02 + np.array([0, 0, 0.02])
        nose = pose.head + 0.25 * (pose.neck - 0.6)
        face = np.array(
            [math.cos(nose) * math.cos(yaw[-1]), math.cos(nose) * math.sin(yaw[-1]), math.sin(nose)]
        )
        left = side[-1]
        brow = np.cross(face, left)
        along = _HEAD[:, 0]
        axis = poll + along[:, None] * face - (_HEAD[:, 1] - 0.075)[:, None] * brow
        head = tube(axis, np.tile(left, (len(along), 1)), _HEAD[:, 2], _HEAD[:, 1], NECK_K)

        ears = []
        for sign in (1.0, -1.0):
            root = poll + 0.015 * face + 0.055 * brow + sign * 0.050 * left
            back = -0.9 if pose.ears < -0.5 else 0.35 * pose.ears
            tip = brow * 0.75 + np.array([face[0], face[1], 0]) * (0.3 + back) + sign * 0.20 * left
            tip = tip / np.linalg.norm(tip)
            reach = np.array([0.0, 0.05, 0.11, 0.165])[:, None]
            rings = np.tile(left + 0.4 * sign * face, (4, 1))
            half = np.array([0.030, 0.036, 0.026, 0.004])
            ears.append(tube(root + reach * tip, rings, half, half * 0.6, EAR_K))
        eyes = []
        for sign in (1.0, -1.0):
            spot = poll + 0.155 * face - 0.025 * brow + sign * 0.086 * left
            run_out = np.array([0.0, 0.012, 0.020])[:, None] * sign * left
            half = np.array([0.026, 0.024, 0.004])
            eyes.append(tube(spot + run_out, np.tile(face, (3, 1)), half, half, EAR_K))

        pick = np.interp(np.linspace(0.10, 1.0, MANE_RINGS), t, np.arange(NECK_RINGS))
        crest = np.stack(
            [np.interp(pick, np.arange(NECK_RINGS), neck[:, 0, n]) for n in range(3)], -1
        )
        hang = np.interp(np.linspace(0.1, 1, MANE_RINGS), [0.1, 0.4, 0.9, 1], [0.10, 0.2, 0.19, 0.1])
        wave = 0.03 * np.sin(np.arange(MANE_RINGS) * 1.1 + pose.time_s * 7) * (
            0.3 + pose.mane_lift
        )
        out = -(0.150 + 0.05 * pose.mane_lift + wave)
        strands = [crest + np.array([-0.005, 0, 0.035])]
        for share in (0.5, 1.0):
            fall = np.stack(
                [
                    -0.10 * share * pose.mane_lift * np.ones(MANE_RINGS) - 0.02 * share,
                    out * (1.0 if share == 0.5 else 1.15),
                    -hang * share * (1 - 0.55 * pose.mane_lift),
                ],
                -1,
            )
            strands.append(crest + fall)
        mane = np.stack(strands, 1)

        tail = self._tail(pose)
        parts = [neck, head, tail, *ears, *eyes, mane]
        return [self.in_world(p, pose) for p in parts]

    def _tail(self, pose: Pose) -> Floats:
        t = np.linspace(0, 1, TAIL_RINGS)
        lift = pose.tail_up
        start = -2.55 + 1.15 * lift  # elevation of the dock, pointing back
        end = -1.57 - 0.15 * math.sin(pose.time_s * 2.1) - 0.5 * min(pose.speed / 7, 1)
        bendy = start + (end - start) * np.clip(t * (2.2 - 0.9 * lift), 0, 1) ** 0.8
        step = 0.78 / (TAIL_RINGS - 1)
        sway = pose.tail_swing * (0.3 + 1.4 * t)
        run = np.stack([np.cos(bendy), np.sin(sway) * 0.9, np.sin(bendy)], -1)
        run /= np.linalg.norm(run, axis=1, keepdims=True)
        centres = np.array([-0.76, 0, 1.275]) + np.concatenate(
            [np.zeros((1, 3)), np.cumsum(run[1:] * step, 0)]
        )
        half = np.interp(t, [0, 0.15, 0.5, 0.85, 1], [0.035, 0.045, 0.075, 0.060, 0.015])
        side = np.tile(np.array([0.0, 1.0, 0.0]), (TAIL_RINGS, 1))
        return tube(centres, side, half, half * 0.8, TAIL_K)

    def _legs(self, pose: Pose) -> list[Floats]:
        forward = np.array([math.cos(pose.heading), math.sin(pose.heading), 0.0])
        left = np.array([-forward[1], forward[0], 0.0])
        result = []
        for leg in range(4):
            points = joints(leg, pose, forward, self.scale, self.in_world)
            rows = _HIND if leg in (0, 2) else _FORE
            centres = np.array([points[p] + (points[p + 1] - points[p]) * u for p, u, _, _ in rows])
            deep = np.array([r[2] for r in rows]) * self.scale
            wide = np.array([r[3] for r in rows]) * self.scale
            side = np.tile(left, (LEG_RINGS, 1))
            result.append(tube(centres, side, wide, deep, LEG_K))
        return result
