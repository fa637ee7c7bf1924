"""The far view and the ground as one shot sees them."""

from __future__ import annotations

import math

import cv2
import numpy as np
from numpy.typing import NDArray

from .camera import Shot
from .landscape import (
    BOTTOM_RAD,
    FAR_PX_PER_M,
    FAR_SPAN_M,
    NEAR_PX_PER_M,
    NEAR_SPAN_M,
    PX_PER_RAD,
    TOP_RAD,
    Landscape,
)

Pixels = NDArray[np.uint8]
GRID = 24


def _rays(shot: Shot) -> NDArray[np.float64]:
    columns = np.linspace(0, shot.width - 1, shot.width // GRID + 2)
    rows = np.linspace(0, shot.height - 1, shot.height // GRID + 2)
    x, y = np.meshgrid(
        (columns - (shot.width - 1) / 2) / shot.focal, (rows - (shot.height - 1) / 2) / shot.focal
    )
    result: NDArray[np.float64] = np.stack([x, y, np.ones_like(x)], -1) @ shot.axes
    return result


def _stretch(values: NDArray[np.float64], shot: Shot) -> NDArray[np.float32]:
    """A coarse grid with its corners on the picture's corner pixels, made as large as it."""
    rows, columns = values.shape
    sx, sy = (columns - 1) / (shot.width - 1), (rows - 1) / (shot.height - 1)
    back = np.array([[1 / sx, 0, 0], [0, 1 / sy, 0]])
    large = cv2.warpAffine(values.astype(np.float32), back, (shot.width, shot.height))
    return np.asarray(large, np.float32)


def horizon_rows(shot: Shot) -> tuple[float, float]:
    """Rows of the horizon at the left and right edge of the picture."""
    axes = shot.axes
    down, forward, right = axes[1, 2], axes[2, 2], axes[0, 2]

    def row(column: float) -> float:
        x = (column - (shot.width - 1) / 2) / shot.focal
        return float(-(right * x + forward) / down * shot.focal + (shot.height - 1) / 2)

    return row(0.0), row(shot.width - 1.0)


def paint_ground(land: Landscape, shot: Shot) -> Pixels:
    """A fresh picture with sky, hills, fields and the pen's ground."""
    rays = _rays(shot)
    azimuth = np.unwrap(np.arctan2(rays[..., 1], rays[..., 0]), axis=1)
    azimuth = azimuth - 2 * math.pi * math.floor(float(azimuth[0, 0]) / (2 * math.pi))
    elevation = np.arctan2(rays[..., 2], np.hypot(rays[..., 0], rays[..., 1]))
    span = land.round_view.shape[1]
    map_x = _stretch((2 * math.pi - azimuth) * PX_PER_RAD, shot) % span
    map_y = _stretch((TOP_RAD - np.clip(elevation, BOTTOM_RAD, TOP_RAD)) * PX_PER_RAD, shot)
    left, right = horizon_rows(shot)
    last = int(min(shot.height, max(left, right, 0) + 30))
    picture = np.empty((shot.height, shot.width, 3), np.uint8)
    if last > 0:
        picture[:last] = cv2.remap(
            land.round_view, map_x[:last], map_y[:last], cv2.INTER_LINEAR, None, cv2.BORDER_REPLICATE
        )
    _lay_ground(land, shot, picture, min(left, right), (left, right))
    return picture


def _lay_ground(
    land: Landscape, shot: Shot, picture: Pixels, top: float, line: tuple[float, float]
) -> None:
    """Three textures by distance, blended over a few rows, so that far ground does not crawl."""
    to_picture = shot.ground_to_picture()
    first = int(max(0, math.floor(top)))
    if first >= shot.height:
        return
    # Rows at which the ground in the middle column is so many metres off.
    middle = (line[0] + line[1]) / 2

    def row_at(metres: float) -> int:
        return int(middle + shot.focal * math.tan(math.atan2(shot.eye[2], metres)))

    bands = (
        (land.far, FAR_SPAN_M, FAR_PX_PER_M, first, row_at(13.0)),
        (land.middle, NEAR_SPAN_M, NEAR_PX_PER_M / 4, row_at(18.0), row_at(7.0)),
        (land.near, NEAR_SPAN_M, NEAR_PX_PER_M, row_at(8.5), shot.height),
    )
    for n, (texture, span, px_per_m, begin, end) in enumerate(bands):
        begin, end = max(begin, first), min(end, shot.height)
        if end - begin < 1:
            continue
        to_ground = np.array(
            [
                [1 / px_per_m, 0, -span / 2 + 0.5 / px_per_m],
                [0, 1 / px_per_m, -span / 2 + 0.5 / px_per_m],
                [0, 0, 1],
            ]
        )
        shift = np.array([[1, 0, 0], [0, 1, -begin], [0, 0, 1.0]])
        strip = cv2.warpPerspective(
            texture,
            shift @ to_picture @ to_ground,
            (shot.width, end - begin),
            flags=cv2.INTER_LINEAR,
            borderMode=cv2.BORDER_REPLICATE,
        )
        place = picture[begin:end]
        if n == 0:
            columns = np.arange(shot.width) / (shot.width - 1)
            edge = line[0] + (line[1] - line[0]) * columns
            depth = np.clip((np.arange(begin, end)[:, None] - edge[None]) / 3.0, 0, 1)
            weight = (depth * 255).astype(np.uint8)
            few = min(end - begin, int(abs(line[0] - line[1])) + 6)
            place[few:] = strip[few:]
            w = weight[:few, :, None].astype(np.uint16)
            old = place[:few].astype(np.uint16)
            place[:few] = (strip[:few] * w + old * (255 - w)) // 255
            continue
        previous_end = min(bands[n - 1][4], shot.height)
        few = max(0, min(end - begin, previous_end - begin))
        if few:
            w = np.linspace(0, 256, few).astype(np.uint16)[:, None, None]
            old = place[:few].astype(np.uint16)
            place[:few] = (strip[:few] * w + old * (256 - w)) >> 8
        place[few:] = strip[few:]
