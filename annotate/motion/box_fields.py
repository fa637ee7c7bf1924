"""Close looks, brought into the horse's own frame: the flow in its box at even times.

The box that is followed from look to look is coarse and jumps. Each field is therefore drawn up a little late, when
the box's path can be smoothed in both directions along the horse's own way.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from annotate.motion.close_look import CELLS, CloseLook, cut_out
from annotate.motion.horse_place import Place
from annotate.motion.jolts import Jolt, jolt_of
from annotate.motion.rhythm import Field

Floats = NDArray[np.float32]
Doubles = NDArray[np.float64]

SIDE: Final = 12
ROOM: Final = 1.4
_LATE_S: Final = 0.7
_MOST: Final = 3.0
_RECOGNISED: Final = 6.0
_LONGEST_S: Final = 0.4


@dataclass(slots=True)
class _Glance:
    at_s: float
    middle: Doubles
    along: Doubles
    gone: Doubles
    sure: float
    look: CloseLook


class BoxFields:
    """Takes glances in order and gives fields that are `hop_s` apart."""

    def __init__(self, hop_s: float) -> None:
        self._hop_s = hop_s
        self._glances: deque[_Glance] = deque()
        self._next = 0
        self._along = np.zeros(2)
        self._gone = np.zeros(2)
        self._last: Field | None = None
        self._due_s = 0.0
        self.jolts: dict[float, Jolt] = {}

    def take(self, at_s: float, place: Place, look: CloseLook) -> Iterator[Field]:
        """One more glance; gives the fields that can be drawn up now."""
        assert place.box is not None
        x0, y0, x1, y1 = place.box
        if self._glances:
            passed_s = at_s - self._glances[-1].at_s
            self._along = self._along + passed_s * np.array([place.u + place.ground_u, place.v + place.ground_v])
            self._gone = self._gone + passed_s * np.array([place.u, place.v])
        middle = np.array([(x0 + x1) / 2, (y0 + y1) / 2, np.log(x1 - x0), np.log(y1 - y0)])
        sure = _RECOGNISED if place.recognised else 1.0
        self._glances.append(_Glance(at_s, middle, self._along, self._gone, sure, look))
        while self._next < len(self._glances) and at_s - self._glances[self._next].at_s >= _LATE_S:
            yield from self._drawn_up()

    def end(self) -> Iterator[Field]:
        """Gives what is left; nothing can be taken afterwards."""
        while self._next < len(self._glances):
            yield from self._drawn_up()

    # -- within

    def _drawn_up(self) -> Iterator[Field]:
        glances = self._glances
        here = glances[self._next]
        self._next += 1
        while here.at_s - glances[0].at_s > _LATE_S:
            glances.popleft()
            self._next -= 1
        times = np.array([glance.at_s for glance in glances])
        weights = np.maximum(1 - np.abs(times - here.at_s) / (1.1 * _LATE_S), 0)
        weights *= np.array([glance.sure for glance in glances])
        weights /= weights.sum()
        box = weights @ np.array([glance.middle for glance in glances])
        box[:2] += here.along - weights @ np.array([glance.along for glance in glances])
        (x, y), (width, tall) = box[:2].tolist(), np.exp(box[2:]).tolist()
        self.jolts[here.at_s] = jolt_of(here.look, x, y, width, tall)
        yield from self._at_even_times(_field(here, x, y, width, tall))

    def _at_even_times(self, field: Field) -> Iterator[Field]:
        last, self._last = self._last, field
        if last is None or field.at_s - last.at_s > _LONGEST_S:
            self._due_s = field.at_s + self._hop_s
            yield field
            return
        # Frames come at nearly even times in most clips; then nothing has to be blended.
        while self._due_s <= field.at_s + 0.1 * self._hop_s:
            share = (self._due_s - last.at_s) / (field.at_s - last.at_s)
            yield _between(last, field, share, self._due_s) if share < 0.9 else _moved(field, self._due_s)
            self._due_s += self._hop_s


def _field(glance: _Glance, x: float, y: float, width: float, tall: float) -> Field:
    look = glance.look
    step = look.side / CELLS
    flow = cut_out(
        look.own,
        (x - look.x) / step + CELLS / 2,
        (y - look.y) / step + CELLS / 2,
        width * ROOM / step,
        tall * ROOM / step,
        SIDE,
        SIDE,
    ) * np.float32(1 / tall)
    flow -= flow.reshape(-1, 2).mean(axis=0)
    np.clip(flow, -_MOST, _MOST, out=flow)
    gone_x, gone_y = glance.gone.tolist()
    return Field(glance.at_s, flow, (gone_x, gone_y), tall, width / tall)


def _between(one: Field, other: Field, share: float, at_s: float) -> Field:
    part = np.float32(share)
    flow = one.flow * (1 - part) + other.flow * part
    gone = tuple(a + share * (b - a) for a, b in zip(one.gone, other.gone, strict=True))
    return Field(at_s, flow, (gone[0], gone[1]), other.tall, other.shape)


def _moved(field: Field, at_s: float) -> Field:
    return Field(at_s, field.flow, field.gone, field.tall, field.shape)
