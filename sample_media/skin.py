"""Surfaces made of rings: which vertices make which face, and how a set of faces is painted.

A tube is rings of the same number of vertices; faces are quads between neighbouring rings. Faces
are painted from far to near, twice as large as needed and then reduced, which smooths their edges.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Pixels = NDArray[np.uint8]

SUN = np.array([-0.50, -0.52, 0.69])
SUN = SUN / np.linalg.norm(SUN)
OVERSAMPLE = 2


def tube(centres: Floats, side: Floats, half_side: Floats, half_other: Floats, k: int) -> Floats:
    """Vertices of rings (…, n, k, 3) about centres (…, n, 3), across the run of the centres.

    side is the direction of half_side (…, n, 3), roughly square to the run; the first vertex of
    a ring points along -(run x side)... for a run forward and side to the left: upwards.
    """
    run = np.gradient(centres, axis=-2)
    run /= np.linalg.norm(run, axis=-1, keepdims=True) + 1e-9
    across = side - (side * run).sum(-1, keepdims=True) * run
    across /= np.linalg.norm(across, axis=-1, keepdims=True) + 1e-9
    up = np.cross(run, across)
    angle = np.arange(k) * (2 * np.pi / k)
    ring = (
        up[..., None, :] * (np.cos(angle)[:, None] * half_other[..., None, None])
        + across[..., None, :] * (np.sin(angle)[:, None] * half_side[..., None, None])
    )
    result: Floats = centres[..., None, :] + ring
    return result


def tube_faces(rings: int, k: int, first: int) -> NDArray[np.int64]:
    """Quads of one tube whose vertices begin at index first; seen from outside anticlockwise."""
    i, j = np.meshgrid(np.arange(rings - 1), np.arange(k), indexing="ij")
    a = first + i * k + j
    b = first + i * k + (j + 1) % k
    quads = np.stack([a, b, b + k, a + k], axis=-1).reshape(-1, 4)
    return quads[:, ::-1].copy()


def sheet_faces(rows: int, columns: int, first: int) -> NDArray[np.int64]:
    """Quads of an open sheet of rows x columns vertices."""
    i, j = np.meshgrid(np.arange(rows - 1), np.arange(columns - 1), indexing="ij")
    a = first + i * columns + j
    return np.stack([a, a + 1, a + columns + 1, a + columns], axis=-1).reshape(-1, 4)


@dataclass(frozen=True)
class Skin:
    """The faces of a figure: indices into its vertices, colours, which are seen from both sides,
    and by how many metres a face is painted as if nearer."""

    faces: NDArray[np.int64]
    colours: Floats
    sheet: NDArray[np.bool_]
    lead: Floats | float = 0.0
    gloss: float = 0.0


@dataclass(frozen=True)
class Seen:
    """Vertices in the picture: pixel x, y and distance along the view."""

    xy: Floats
    depth: Floats

    def box(self) -> tuple[float, float, float, float] | None:
        if not (self.depth > 0.2).all():
            return None
        x0, y0 = self.xy.min(0)
        x1, y1 = self.xy.max(0)
        return float(x0), float(y0), float(x1), float(y1)


def _lit(skin: Skin, vertices: Floats, eye: Floats) -> tuple[Floats, NDArray[np.bool_], Floats]:
    """Colours (faces, 3), which faces are turned to the eye, and their centres."""
    corner = vertices[skin.faces]
    normal = np.cross(corner[:, 2] - corner[:, 0], corner[:, 3] - corner[:, 1])
    normal /= np.linalg.norm(normal, axis=1, keepdims=True) + 1e-12
    centre = corner.mean(1)
    view = eye - centre
    view /= np.linalg.norm(view, axis=1, keepdims=True)
    facing = (normal * view).sum(1)
    normal = np.where((skin.sheet & (facing < 0))[:, None], -normal, normal)
    turned = skin.sheet | (facing > 0)
    sun = np.clip(normal @ SUN, 0, None)
    # Sky from above is bluish, sand from below sends warm light back.
    sky = 0.5 + 0.5 * normal[:, 2]
    light = (
        np.array([0.60, 0.56, 0.54]) * sky[:, None]
        + np.array([0.30, 0.36, 0.40]) * (1 - sky[:, None])
        + np.array([0.58, 0.66, 0.70]) * sun[:, None]
    )
    colour = skin.colours * light
    if skin.gloss:
        half = view + SUN
        half /= np.linalg.norm(half, axis=1, keepdims=True) + 1e-9
        shine = np.clip((normal * half).sum(1), 0, 1) ** 14
        colour = colour + skin.gloss * 120.0 * (shine * (sun > 0))[:, None]
    return np.clip(colour, 0, 255), turned, centre


def paint(picture: Pixels, skin: Skin, vertices: Floats, seen: Seen, eye: Floats) -> None:
    """Paint the figure into picture (h, w, 3), in place."""
    box = seen.box()
    height, width = picture.shape[:2]
    if box is None:
        return
    x0, y0 = int(max(box[0] - 3, 0)), int(max(box[1] - 3, 0))
    x1, y1 = int(min(box[2] + 4, width)), int(min(box[3] + 4, height))
    if x1 - x0 < 2 or y1 - y0 < 2:
        return
    colour, turned, centre = _lit(skin, vertices, eye)
    shown = np.flatnonzero(turned)
    away = np.linalg.norm(centre - eye, axis=1) - skin.lead
    far_first = shown[np.argsort(-away[shown])]
    scale = OVERSAMPLE
    points = (seen.xy[skin.faces[far_first]] - (x0, y0) + 0.5) * (scale * 16) - 8
    fixed = np.round(points).astype(np.int32)
    canvas = np.zeros(((y1 - y0) * scale, (x1 - x0) * scale, 4), np.uint8)
    shades = np.concatenate([colour[far_first], np.full((len(far_first), 1), 255.0)], 1).tolist()
    fill = cv2.fillConvexPoly
    for quad, shade in zip(fixed, shades, strict=True):
        fill(canvas, quad, shade, cv2.LINE_8, 4)
    small = cv2.resize(
        cv2.blur(canvas, (3, 3)), (x1 - x0, y1 - y0), interpolation=cv2.INTER_AREA
    )
    part = picture[y0:y1, x0:x1].astype(np.uint16)
    keep = 255 - small[..., 3:].astype(np.uint16)
    picture[y0:y1, x0:x1] = np.minimum(small[..., :3] + (part * keep + 127) // 255, 255)


def shadow(
    picture: Pixels, skin: Skin, vertices: Floats, project: Callable[[Floats], Seen]
) -> None:
    """Darken the ground where the figure stands in the sun's way."""
    drop = vertices[:, 2:] / SUN[2]
    flat = vertices - drop * SUN
    flat[:, 2] = 0.0
    seen = project(flat)
    box = seen.box()
    height, width = picture.shape[:2]
    if box is None:
        return
    x0, y0 = int(max(box[0] - 3, 0)), int(max(box[1] - 3, 0))
    x1, y1 = int(min(box[2] + 4, width)), int(min(box[3] + 4, height))
    if x1 - x0 < 2 or y1 - y0 < 2:
        return
    corner = vertices[skin.faces]
    normal = np.cross(corner[:, 2] - corner[:, 0], corner[:, 3] - corner[:, 1])
    lit = skin.sheet | ((normal @ SUN) > 0)
    quads = np.round((seen.xy[skin.faces[lit]] - (x0, y0)) * 16).astype(np.int32)
    mask = np.zeros((y1 - y0, x1 - x0), np.uint8)
    fill = cv2.fillConvexPoly
    for quad in quads:
        fill(mask, quad, 255, cv2.LINE_8, 4)
    part = picture[y0:y1, x0:x1]
    dark = np.array([0.54, 0.46, 0.42])
    keep = 1.0 - (cv2.blur(mask, (3, 3))[..., None] / 255.0) * (1 - dark)
    picture[y0:y1, x0:x1] = (part * keep).astype(np.uint8)
