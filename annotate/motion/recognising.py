"""Recognises horses in single pictures by their look, moving or not.

A trained network for everyday things does it (`nanodet_g.onnx`, see nanodet_g.md: NanoDet-g, trained on COCO 2017).
It knows no gaits and no riders; it tells where in a picture there is something that looks like a horse. A horse seen
from behind or half hidden is often taken for another animal of its size, so those count, a little less.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Final

import cv2
import numpy as np
import onnxruntime
from numpy.typing import NDArray

from annotate.motion.found import Found, Sight

Colours = NDArray[np.uint8]
Doubles = NDArray[np.float64]
Floats = NDArray[np.float32]

LONG_SIDE: Final = 768
_USUAL_SIDE: Final = 320
_LARGE_SIDE: Final = 512
_CLOSE_SIDE: Final = 192
# A close look is so many times as wide as the horse, and after so many comes one at the whole picture.
_ROOM: Final = 2.4
_CLOSELY: Final = 4
_RIM: Final = 0.01
_THINNEST: Final = 0.008
_WHOLE: Final = np.array([0.0, 0.0, 1.0, 1.0])
_UNIT: Final = 32
_STEPS: Final = 11
_STRIDES: Final = (8, 16, 32)
# Places of horse, sheep, cow, dog, zebra, bear, elephant, cat and giraffe among COCO's eighty, and what they count.
_ANIMALS: Final = np.array([17, 18, 19, 16, 22, 21, 20, 15, 23])
_COUNTS: Final = np.array([1.0, 0.9, 0.9, 0.8, 0.9, 0.8, 0.8, 0.6, 0.8], np.float32)
_PERSON: Final = 0
_LEAST: Final = 0.12
_CLEAR: Final = 0.25
_LIKELY: Final = 0.2
_SAME: Final = 0.5
_PART: Final = 0.8
# As the network was trained: blue, green, red.
_MEAN: Final = np.array([103.53, 116.28, 123.675], np.float32)
_SPREAD: Final = np.array([57.375, 57.12, 58.395], np.float32)
_REST: Final = (104, 116, 124)


class Recogniser:
    """The network, loaded once; for the pictures of one clip, in order.

    Where a horse was a moment ago it looks closely, which is quick and finds far horses; now and then, and whenever
    nothing is found there, at the whole picture.
    """

    def __init__(self) -> None:
        # Nothing about a trainer's work leaves the machine.
        onnxruntime.disable_telemetry_events()
        options = onnxruntime.SessionOptions()
        # Other threads decode and follow meanwhile.
        options.intra_op_num_threads = 1
        path = Path(__file__).with_name("nanodet_g.onnx")
        self._network = onnxruntime.InferenceSession(str(path), options, providers=["CPUExecutionProvider"])
        self._last: Doubles | None = None
        self._closely = 0
        self._names = [output.name for output in self._network.get_outputs()]

    def look(self, colours: Colours) -> Sight:
        """What looks like a horse, the likeliest first, then people.

        `colours`: (rows, columns, 3: blue, green, red).
        """
        if self._last is not None and self._closely < _CLOSELY:
            sight = self._close(colours, self._last)
            best = _best(sight)
            if best is not None and best.likeness >= _CLEAR and not _cut_off(best, sight.part):
                self._closely += 1
                self._last = best.extent
                return sight
        self._closely = 0
        sight = Sight(self._whole(colours), _WHOLE)
        best = _best(sight)
        self._last = best.extent if best is not None and best.likeness >= _LIKELY else None
        return sight

    def _whole(self, colours: Colours) -> tuple[Found, ...]:
        found = self._at(colours, _USUAL_SIDE)
        # A far horse is too small at the usual size.
        if _clearest(found) < _CLEAR and max(colours.shape[:2]) > _USUAL_SIDE:
            closer = self._at(colours, _LARGE_SIDE)
            if _clearest(closer) > _clearest(found):
                return closer
        return found

    def _close(self, colours: Colours, extent: Doubles) -> Sight:
        """A square around where a horse was."""
        sides = np.array([colours.shape[1], colours.shape[0]], dtype=np.float64)
        reach = _ROOM * float((extent[2:] * sides).max()) / 2
        low = np.floor(np.maximum(extent[:2] * sides - reach, 0)).astype(int)
        high = np.ceil(np.minimum(extent[:2] * sides + reach, sides)).astype(int)
        part = np.concatenate([low / sides, high / sides])
        found = self._at(colours[low[1] : high[1], low[0] : high[0]], _CLOSE_SIDE)
        return Sight(tuple(_placed(one, part) for one in found), part)

    def _at(self, colours: Colours, long_side: int) -> tuple[Found, ...]:
        height, width = colours.shape[:2]
        scale = min(long_side / max(height, width), 1.0)
        wide, tall = round(width * scale), round(height * scale)
        shape = (-(-tall // _UNIT) * _UNIT, -(-wide // _UNIT) * _UNIT, 3)
        picture = np.full(shape, _REST, np.uint8)
        picture[:tall, :wide] = cv2.resize(colours, (wide, tall), interpolation=cv2.INTER_AREA)
        rows = ((picture - _MEAN) / _SPREAD).transpose(2, 0, 1)[None]
        told = self._network.run(self._names, {"picture": np.ascontiguousarray(rows)})
        answers = dict(zip(self._names, (np.asarray(one)[0] for one in told), strict=True))
        out: list[Found] = []
        horses: list[Doubles] = []
        for person in (False, True):
            corners, likeness = _likely(answers, person, shape[1])
            for k in _apart(corners, likeness):
                extent = _extent(corners[k], wide, tall)
                if float(extent[2:].min()) < _THINNEST:
                    continue
                # A horse seen from behind looks a little like a person.
                if not (person and any(shared(corners[k], horse) > _SAME for horse in horses)):
                    out.append(Found(extent, float(likeness[k]), person))
                    horses += [] if person else [corners[k]]
        return tuple(out)


def _best(sight: Sight) -> Found | None:
    """The horse that is looked at most likely: clear, and large."""
    horses = [one for one in sight.found if not one.person]
    return max(horses, key=lambda one: one.likeness * float(one.extent[2:].prod()) ** 0.5, default=None)


def _cut_off(found: Found, part: Doubles) -> bool:
    """Whether it goes on beyond the part that was looked at."""
    low, high = found.extent[:2] - found.extent[2:] / 2, found.extent[:2] + found.extent[2:] / 2
    room = _RIM * (part[2:] - part[:2])
    left = (low < part[:2] + room) & (part[:2] > 0)
    right = (high > part[2:] - room) & (part[2:] < 1)
    return bool(left.any() or right.any())


def _placed(found: Found, part: Doubles) -> Found:
    """The same in shares of the whole picture."""
    size = part[2:] - part[:2]
    extent = np.concatenate([part[:2] + found.extent[:2] * size, found.extent[2:] * size])
    return replace(found, extent=extent)


def _clearest(found: tuple[Found, ...]) -> float:
    return max((one.likeness for one in found if not one.person), default=0.0)


def _likely(answers: dict[str, Floats], person: bool, width: int) -> tuple[Doubles, Doubles]:
    """Boxes and likeness of all cells that may be the middle of an animal, or of a person."""
    boxes, likeness = [np.zeros((0, 4))], [np.zeros(0)]
    for stride in _STRIDES:
        classes = answers[f"classes_{stride}"]
        share = classes[:, _PERSON] if person else (classes[:, _ANIMALS] * _COUNTS).max(axis=1)
        cells = np.flatnonzero(share > (_CLEAR if person else _LEAST))
        boxes.append(_boxes(answers[f"sides_{stride}"][cells], cells, stride, width // stride))
        likeness.append(share[cells].astype(np.float64))
    return np.concatenate(boxes), np.concatenate(likeness)


def _boxes(sides: Floats, cells: NDArray[np.int64], stride: int, columns: int) -> Doubles:
    """x0, y0, x1, y1. Each side is a distribution over its distance from the cell's middle, in strides.

    After Li et al. 2020, "Generalized focal loss", NeurIPS.
    """
    weights = np.exp(sides.reshape(-1, 4, _STEPS).astype(np.float64))
    away = (weights @ np.arange(_STEPS)) / weights.sum(axis=2) * stride
    rows, places = np.divmod(cells, columns)
    x, y = (places + 0.5) * stride, (rows + 0.5) * stride
    return np.stack([x - away[:, 0], y - away[:, 1], x + away[:, 2], y + away[:, 3]], axis=1)


def _apart(boxes: Doubles, likeness: Doubles) -> list[int]:
    """The likeliest of those that share most of their area or are parts of one, in order."""
    kept: list[int] = []
    for k in np.argsort(-likeness).tolist():
        if all(shared(boxes[k], boxes[other]) < _SAME and _inside(boxes[k], boxes[other]) < _PART for other in kept):
            kept.append(k)
    return kept


def shared(one: Doubles, other: Doubles) -> float:
    """The area that two boxes (x0, y0, x1, y1) share, of what they cover together."""
    inside = _common(one, other)
    return inside / (_area(one) + _area(other) - inside + 1e-9)


def _inside(one: Doubles, other: Doubles) -> float:
    """The area that two boxes share, of the smaller one's."""
    return _common(one, other) / (min(_area(one), _area(other)) + 1e-9)


def _common(one: Doubles, other: Doubles) -> float:
    reach = np.minimum(one[2:], other[2:]) - np.maximum(one[:2], other[:2])
    return float(np.maximum(reach, 0).prod())


def _area(box: Doubles) -> float:
    return float((box[2:] - box[:2]).prod())


def _extent(box: Doubles, wide: int, tall: int) -> Doubles:
    sides = np.array([wide, tall], dtype=np.float64)
    low, high = np.clip(box[:2] / sides, 0, 1), np.clip(box[2:] / sides, 0, 1)
    return np.concatenate([(low + high) / 2, high - low])
