"""What lies under the pointer on a work line: a tag, a passage, or an edge that can be dragged.

An edge can be grabbed within a few pixels, but only where its stretch is wide enough to leave room for a
plain click beside it, or is the chosen one. An instant can be dragged once it is chosen.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np

from annotate.behaviours import GAIT, REIN, SIGHT, Sheet
from annotate.passages import Passage, levels_of
from annotate.tags import Tag
from annotate.workline import Mark, Side, Spike, Step
from app.time_scale import TimeScale
from app.work_line_columns import LineColumns
from app.work_line_facts import Pixels
from app.work_line_layout import Layout
from app.work_line_marks import painted_instants
from app.work_line_paint import LEAST_PX
from app.work_line_tags import TagTable

Edge = Literal["start", "end"]

GRAB_PX = 6
ROOMY_PX = 3 * GRAB_PX
_EVENT_PX, _AXIS_PX = 5, 5


@dataclass(frozen=True, slots=True)
class Stretch:
    """Something with two edges: a state's tag or a passage, by its id."""

    start_ns: int
    end_ns: int
    id: int
    running: bool = False


@dataclass(frozen=True, slots=True)
class Hit:
    """What is under the pointer. `at_ns` is the instant of an event; `edge` can be dragged."""

    tag_id: int | None = None
    passage_id: int | None = None
    edge: Edge | None = None
    at_ns: int | None = None


NOTHING = Hit()


class _Row:
    """Stretches that do not overlap, in order: an array of their starts, ends, ids and whether they run."""

    def __init__(self, stretches: Pixels) -> None:
        self._stretches, self._starts = stretches, stretches[0]

    def holding(self, scale: TimeScale, x: int) -> Stretch | None:
        """The stretch on a pixel."""
        i = int(np.searchsorted(self._starts, scale.ns_at(x + 1), "left")) - 1
        if i >= 0 and scale.ns_at(x) < self._stretches[1, i]:
            return self._stretch(i)
        return None

    def near(self, scale: TimeScale, x: int) -> Sequence[Stretch]:
        """The stretches whose edges may be within reach of a pixel."""
        i = int(np.searchsorted(self._starts, scale.ns_at(x), "right"))
        return [self._stretch(number) for number in range(max(0, i - 2), min(i + 1, len(self._starts)))]

    def _stretch(self, i: int) -> Stretch:
        start_ns, end_ns, tag_id, runs = self._stretches[:, i].tolist()
        return Stretch(start_ns, end_ns, tag_id, bool(runs))


def _grabbed(
    stretches: Iterable[Stretch], scale: TimeScale, x: int, chosen: int | None
) -> tuple[Stretch, Edge] | None:
    """The nearest edge within reach; of two that touch, the one on the pointer's side."""
    best: tuple[float, Stretch, Edge] | None = None
    for stretch in stretches:
        start, end = scale.x(stretch.start_ns), scale.x(stretch.end_ns)
        if end - start < ROOMY_PX and stretch.id != chosen:
            continue
        edges: list[tuple[int, Edge, bool]] = [(start, "start", x >= start)]
        if not stretch.running:
            edges.append((end, "end", x < end))
        for at, edge, inside in edges:
            distance = abs(x - at) + (0 if inside else 0.5)
            if abs(x - at) <= GRAB_PX and (best is None or distance < best[0]):
                best = distance, stretch, edge
    return (best[1], best[2]) if best is not None else None


class Picker:
    """Finds what is under the pointer on one work line, of what is painted there. What it needs it makes when asked."""

    def __init__(
        self, columns: LineColumns, tags: TagTable, passages: Sequence[Passage], sheet: Sheet
    ) -> None:
        self._columns, self._tags, self._passages, self._sheet = columns, tags, passages, sheet

    @cached_property
    def _rows(self) -> dict[str, _Row]:
        return {group: _Row(self._tags.states_of(group)) for group in (GAIT, REIN, SIGHT)}

    @cached_property
    def _lane_rows(self) -> dict[tuple[str, int], _Row]:
        return {
            (lane.lane.group, row): _Row(lane.bars.in_row(row))
            for lane in self._columns.lanes
            for row in range(lane.lane.rows)
        }

    def tag(self, tag_id: int) -> Tag | None:
        """The tag of that id."""
        return self._tags.tag(tag_id)

    def passage(self, passage_id: int) -> Passage | None:
        """The passage of that id."""
        return next((passage for passage in self._passages if passage.id == passage_id), None)

    def reach(self, tag_id: int, layout: Layout) -> tuple[int, int] | None:
        """Top and bottom of a tag's picture."""
        tag = self.tag(tag_id)
        for instants in self._columns.instants if tag is not None and not tag.is_state else ():
            for instant in instants.of_tag(tag_id):
                return self._instant_reach(instant, layout)
        for lane in self._columns.lanes:
            for bar in lane.bars.of_tag(tag_id):
                band = next((band for band in layout.lanes if band.lane.group == lane.lane.group), None)
                if band is None:
                    return None
                top, height = band.row(bar.row)
                return top, top + height
        steps = self._columns.steps.of_tag(tag_id)
        if steps:
            return _step_reach(steps, layout)
        if tag is None or tag.what not in self._sheet:
            return None
        group = self._sheet[tag.what].group
        far = _AXIS_PX if group in (REIN, GAIT) else layout.half
        return layout.axis - far, layout.axis + far

    def at(self, x: int, y: int, layout: Layout, scale: TimeScale, chosen: int | None = None) -> Hit:
        """What is under a pixel; `x` counts from the left end of the time axis."""
        if y < layout.field_top:
            return self._passage_at(x, layout.level_at(y), layout.levels, scale, chosen)
        if y < layout.field_bottom:
            return self._field_at(x, y, layout, scale, chosen)
        for band in layout.lanes:
            for row in range(band.lane.rows):
                top, height = band.row(row)
                if top <= y <= top + height:
                    bars = self._lane_rows.get((band.lane.group, row))
                    return self._row_hit(bars, x, scale, chosen) if bars is not None else NOTHING
        return NOTHING

    @cached_property
    def passage_levels(self) -> tuple[int, ...]:
        """The level of each passage."""
        return levels_of(self._passages)

    def _passage_at(self, x: int, level: int, levels: int, scale: TimeScale, chosen: int | None) -> Hit:
        """A passage of that level; where there is none, one of any other."""
        placed = [
            (Stretch(p.start_ns, p.end_ns, p.id), min(its, levels - 1) == level)
            for p, its in zip(self._passages, self.passage_levels, strict=True)
        ]
        here = self._passage_of([stretch for stretch, is_here in placed if is_here], x, scale, chosen)
        return here if here is not NOTHING else self._passage_of([one for one, _ in placed], x, scale, chosen)

    def _passage_of(self, stretches: Sequence[Stretch], x: int, scale: TimeScale, chosen: int | None) -> Hit:
        grabbed = _grabbed(stretches, scale, x, chosen)
        if grabbed is not None:
            return Hit(passage_id=grabbed[0].id, edge=grabbed[1])
        holding = [s for s in stretches if scale.x(s.start_ns) <= x <= scale.x(s.end_ns)]
        shortest = min(holding, key=lambda s: s.end_ns - s.start_ns, default=None)
        return Hit(passage_id=shortest.id) if shortest is not None else NOTHING

    def _row_hit(self, row: _Row, x: int, scale: TimeScale, chosen: int | None) -> Hit:
        grabbed = _grabbed(row.near(scale, x), scale, x, chosen)
        if grabbed is not None:
            return Hit(tag_id=grabbed[0].id, edge=grabbed[1])
        holding = row.holding(scale, x)
        return Hit(tag_id=holding.id) if holding is not None else NOTHING

    def _field_at(self, x: int, y: int, layout: Layout, scale: TimeScale, chosen: int | None) -> Hit:
        instant = self._instant_at(x, y, layout, scale)
        if instant is not None:
            edge: Edge | None = "start" if instant.tag_id == chosen else None
            return Hit(tag_id=instant.tag_id, edge=edge, at_ns=instant.at_ns)
        on_axis = abs(y - layout.axis) <= _AXIS_PX
        for group in (REIN, GAIT, SIGHT) if on_axis else (GAIT, SIGHT):
            near = [
                stretch
                for stretch in self._rows[group].near(scale, x)
                if self._reaches(stretch.id, y, layout)
            ]
            grabbed = _grabbed(near, scale, x, chosen)
            if grabbed is not None:
                return Hit(tag_id=grabbed[0].id, edge=grabbed[1])
        beside_axis = on_axis and abs(y - layout.axis) > 1
        for group in (REIN, GAIT, SIGHT) if beside_axis else (GAIT, SIGHT, REIN):
            tag_id = self._holding(group, x, y, layout, scale)
            if tag_id is not None and self._reaches(tag_id, y, layout):
                return Hit(tag_id=tag_id)
        return NOTHING

    def _holding(self, group: str, x: int, y: int, layout: Layout, scale: TimeScale) -> int | None:
        """The state of a group on a pixel; of several gaits on one pixel, the one that is seen there."""
        if group == GAIT:
            side: Side = "below" if y > layout.axis else "above"
            step = self._columns.steps.seen_at(scale.ns_per_px, scale.left_px + x, LEAST_PX, side)
            if step is not None:
                return step.tag_id
        holding = self._rows[group].holding(scale, x)
        return holding.id if holding is not None else None

    def _reaches(self, tag_id: int, y: int, layout: Layout) -> bool:
        reach = self.reach(tag_id, layout)
        return reach is not None and reach[0] - GRAB_PX <= y <= reach[1] + GRAB_PX

    def _instant_at(self, x: int, y: int, layout: Layout, scale: TimeScale) -> Spike | Mark | None:
        """The nearest of the instants that are painted and reach to the height; of two as near, the upper one."""
        at = scale.left_px + x
        best: tuple[int, Spike | Mark] | None = None
        for _, instants, apart_px in reversed(painted_instants(self._columns, layout)):
            for instant, px in instants.shown(scale.ns_per_px, at - _EVENT_PX, at + _EVENT_PX + 1, apart_px):
                if abs(px - at) > _EVENT_PX or (best is not None and abs(px - at) >= best[0]):
                    continue
                top, bottom = self._instant_reach(instant, layout)
                if top - 2 <= y <= bottom + 2:
                    best = abs(px - at), instant
        return best[1] if best is not None else None

    def _instant_reach(self, instant: Spike | Mark, layout: Layout) -> tuple[int, int]:
        if isinstance(instant, Spike):
            foot, tip = layout.spike_y(instant)
            return min(foot, tip), max(foot, tip)
        group = self._sheet[instant.what].group
        return layout.mark_y(group, instant)


def _step_reach(steps: Iterable[Step], layout: Layout) -> tuple[int, int]:
    top = bottom = layout.axis
    for step in steps:
        rise = layout.rise(step.level)
        if step.side != "below":
            top = min(top, layout.axis - rise)
        if step.side != "above":
            bottom = max(bottom, layout.axis + rise)
    return top, bottom

