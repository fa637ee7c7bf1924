"""The barn behind the pen and the trailer that hides part of the track."""

from __future__ import annotations

import math
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from .camera import Shot
from .path import PEN_RADIUS_M
from .skin import SUN
from .strokes import bar, fill

Pixels = NDArray[np.uint8]
Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Box:
    """A building or a trailer: a box on the ground, with a pitched roof if ridge_m is above 0."""

    x: float
    y: float
    length: float
    width: float
    height: float
    turn: float
    wall: tuple[float, float, float]
    roof: tuple[float, float, float]
    ridge_m: float = 0.0
    lift: float = 0.0
    slats: bool = False

    def corners(self) -> Floats:
        c, s = math.cos(self.turn), math.sin(self.turn)
        out = []
        for z in (self.lift, self.lift + self.height):
            for u, v in ((-1, -1), (1, -1), (1, 1), (-1, 1)):
                a, b = u * self.length / 2, v * self.width / 2
                out.append((self.x + c * a - s * b, self.y + s * a + c * b, z))
        for u in (-1, 1):
            a = u * self.length / 2
            top = self.lift + self.height + self.ridge_m
            out.append((self.x + c * a, self.y + s * a, top))
        return np.array(out)

    def outline(self, shot: Shot) -> Floats | None:
        """Its hull in the picture, or None when it is not in front of the camera."""
        seen = shot.project(self.corners())
        if seen.depth.min() < 0.6:
            return None
        hull = cv2.convexHull(seen.xy.astype(np.float32))
        return hull[:, 0, :].astype(float)

    def paint(self, picture: Pixels, shot: Shot) -> None:
        corners = self.corners()
        seen = shot.project(corners)
        if seen.depth.min() < 0.6:
            return
        if seen.xy[:, 0].max() < -5 or seen.xy[:, 0].min() > shot.width + 5:
            return
        faces = [(0, 1, 5, 4), (1, 2, 6, 5), (2, 3, 7, 6), (3, 0, 4, 7)]
        roofs = [(4, 5, 9, 8), (6, 7, 8, 9), (5, 6, 9), (7, 4, 8)]
        painted = []
        for n, face in enumerate(faces + roofs):
            p = corners[list(face)]
            normal = np.cross(p[1] - p[0], p[2] - p[0])
            normal = normal / (np.linalg.norm(normal) + 1e-9)
            middle = p.mean(0)
            if (normal @ (shot.eye - middle)) <= 0:
                continue
            light = 0.68 + 0.45 * max(0.0, float(normal @ SUN)) + 0.1 * normal[2]
            base = self.roof if n in (4, 5) else self.wall
            colour = tuple(min(255.0, c * light) for c in base)
            painted.append((float(np.linalg.norm(shot.eye - middle)), n, face, colour))
        for _, n, face, colour in sorted(painted, reverse=True):
            fill(picture, seen.xy[list(face)], (colour[0], colour[1], colour[2]))
            if n < 4 and self.slats:
                self._slats(picture, seen.xy[list(face)], colour)
            elif n < 4:
                self._boards(picture, seen.xy[list(face)], colour)

    @staticmethod
    def _boards(picture: Pixels, quad: Floats, colour: tuple[float, ...]) -> None:
        dark = tuple(c * 0.86 for c in colour)
        for u in np.linspace(0.1, 0.9, 9):
            low = quad[0] + (quad[1] - quad[0]) * u
            high = quad[3] + (quad[2] - quad[3]) * u
            bar(picture, low, high, 0.9, 0.9, dark)


    @staticmethod
    def _slats(picture: Pixels, quad: Floats, colour: tuple[float, ...]) -> None:
        """A stock trailer's side: air gaps in the upper half, a stripe below, ribs."""

        def at(u: float, v: float) -> Floats:
            low = quad[0] + (quad[1] - quad[0]) * u
            high = quad[3] + (quad[2] - quad[3]) * u
            point: Floats = low + (high - low) * v
            return point

        for low, high, shade in (
            (0.56, 0.62, 0.30), (0.68, 0.74, 0.30), (0.80, 0.86, 0.30), (0.30, 0.36, 0.62),
        ):  # fmt: skip
            strip = np.stack([at(0.04, low), at(0.96, low), at(0.96, high), at(0.04, high)])
            tint = (1.0, 1.0, 1.0) if shade < 0.5 else (1.2, 0.9, 0.7)
            tone = [c * shade * k for c, k in zip(colour, tint, strict=True)]
            fill(picture, strip, (tone[0], tone[1], tone[2]))
        for u in (0.0, 0.25, 0.5, 0.75, 1.0):
            bar(picture, at(u, 0.0), at(u, 1.0), 3.0, 3.0, tuple(c * 0.84 for c in colour))


def barn() -> Box:
    return Box(-17.0, 27.0, 13.0, 8.0, 4.2, 0.25, (62, 70, 150), (120, 122, 126), 2.4)


def trailer(degrees: float) -> Box:
    """A stock trailer parked outside the rail between the camera and the horse's track."""
    a = math.radians(degrees)
    r = PEN_RADIUS_M + 1.35
    return Box(r * math.cos(a), r * math.sin(a), 4.4, 2.1, 2.75, a + math.pi / 2,
               (216, 214, 208), (222, 220, 214), 0.12, 0.45, True)  # fmt: skip


def trailer_wheels(picture: Pixels, shot: Shot, box: Box) -> None:
    c, s = math.cos(box.turn), math.sin(box.turn)
    for a in (-0.45, 0.45):
        for b in (-1, 1):
            x = box.x + c * a - s * b * box.width / 2
            y = box.y + s * a + c * b * box.width / 2
            seen = shot.project(np.array([[x, y, 0.36]]))
            if seen.depth[0] < 0.6:
                continue
            r = shot.focal * 0.36 / seen.depth[0]
            centre = (int(seen.xy[0, 0] * 8), int(seen.xy[0, 1] * 8))
            cv2.circle(picture, centre, int(r * 8), (36, 36, 40), -1, cv2.LINE_AA, 3)
            cv2.circle(picture, centre, int(r * 4), (120, 122, 124), -1, cv2.LINE_AA, 3)
