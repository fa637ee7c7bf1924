"""What lies under the pointer on a work line: a tag, a passage, or an edge that can be dragged.

An edge can be grabbed within a few pixels, but only where its stretch is wide enough to leave room for a
plain click beside it, or is the chosen one. An instant can be dragged once it is chosen.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from annotate.behaviours import GAIT, REIN, SIGHT, Sheet
from annotate.passages import Passage, levels_of
from annotate.tags import Tag
from annotate.workline import Mark, Spike, Step, WorkLine
from app.time_scale import TimeScale
from app.work_line_layout import Layout

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
    """Stretches that do not overlap."""

    def __init__(self, stretches: Iterable[Stretch]) -> None:
        self._stretches = sorted(stretches, key=lambda stretch: stretch.start_ns)
        self._starts = [stretch.start_ns for stretch in self._stretches]

    def holding(self, scale: TimeScale, x: int) -> Stretch | None:
        """The stretch on a pixel."""
        i = bisect_left(self._starts, scale.ns_at(x + 1)) - 1
        if i >= 0 and scale.ns_at(x) < self._stretches[i].end_ns:
            return self._stretches[i]
        return None

    def near(self, scale: TimeScale, x: int) -> Sequence[Stretch]:
        """The stretches whose edges may be within reach of a pixel."""
        i = bisect_right(self._starts, scale.ns_at(x))
        return self._stretches[max(0, i - 2) : i + 1]


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
    """Finds what is under the pointer on one work line. Built at the first question, not before."""

    def __init__(
        self, line: WorkLine, tags: Sequence[Tag], passages: Sequence[Passage], sheet: Sheet
    ) -> None:
        self._line, self._tags, self._passages, self._sheet = line, tags, passages, sheet

    @cached_property
    def _by_id(self) -> dict[int, Tag]:
        return {tag.id: tag for tag in self._tags}

    @cached_property
    def _steps(self) -> dict[int, list[Step]]:
        pieces: dict[int, list[Step]] = {}
        for step in self._line.steps:
            pieces.setdefault(step.tag_id, []).append(step)
        return pieces

    @cached_property
    def _instants(self) -> list[Spike | Mark]:
        line = self._line
        instants: list[Spike | Mark] = [*line.spikes]
        instants += [*line.calms, *line.turns, *line.asks, *line.signs]
        return sorted(instants, key=lambda instant: instant.at_ns)

    @cached_property
    def _instant_times(self) -> list[int]:
        return [instant.at_ns for instant in self._instants]

    @cached_property
    def _instants_by_id(self) -> dict[int, Spike | Mark]:
        return {instant.tag_id: instant for instant in self._instants}

    @cached_property
    def _rows(self) -> dict[str, _Row]:
        states: dict[str, list[Stretch]] = {GAIT: [], REIN: [], SIGHT: []}
        names = {name: group for group in states for name in self._sheet.names(group)}
        for tag in self._tags:
            group = names.get(tag.what)
            if group is not None and tag.end_ns is not None:
                states[group].append(Stretch(tag.start_ns, tag.end_ns, tag.id, tag.running))
        return {group: _Row(stretches) for group, stretches in states.items()}

    @cached_property
    def _lane_rows(self) -> dict[tuple[str, int], _Row]:
        stretches: dict[tuple[str, int], list[Stretch]] = {}
        for lane in self._line.lanes:
            for bar in lane.bars:
                stretches.setdefault((lane.group, bar.row), []).append(
                    Stretch(bar.start_ns, bar.end_ns, bar.tag_id, bar.running)
                )
        return {row: _Row(bars) for row, bars in stretches.items()}

    @cached_property
    def _lane_places(self) -> dict[int, tuple[str, int]]:
        return {bar.tag_id: (lane.group, bar.row) for lane in self._line.lanes for bar in lane.bars}

    def tag(self, tag_id: int) -> Tag | None:
        """The tag of that id."""
        return self._by_id.get(tag_id)

    def passage(self, passage_id: int) -> Passage | None:
        """The passage of that id."""
        return next((passage for passage in self._passages if passage.id == passage_id), None)

    def reach(self, tag_id: int, layout: Layout) -> tuple[int, int] | None:
        """Top and bottom of a tag's picture."""
        if tag_id in self._instants_by_id:
            return self._instant_reach(self._instants_by_id[tag_id], layout)
        if tag_id in self._lane_places:
            group, row = self._lane_places[tag_id]
            band = next((band for band in layout.lanes if band.lane.group == group), None)
            if band is None:
                return None
            top, height = band.row(row)
            return top, top + height
        if tag_id in self._steps:
            return self._step_reach(tag_id, layout)
        tag = self._by_id.get(tag_id)
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
            holding = self._rows[group].holding(scale, x)
            if holding is not None and self._reaches(holding.id, y, layout):
                return Hit(tag_id=holding.id)
        return NOTHING

    def _reaches(self, tag_id: int, y: int, layout: Layout) -> bool:
        reach = self.reach(tag_id, layout)
        return reach is not None and reach[0] - GRAB_PX <= y <= reach[1] + GRAB_PX

    def _instant_at(self, x: int, y: int, layout: Layout, scale: TimeScale) -> Spike | Mark | None:
        first = bisect_left(self._instant_times, scale.ns_at(x - _EVENT_PX))
        end = bisect_left(self._instant_times, scale.ns_at(x + _EVENT_PX + 1))
        near: list[tuple[int, int, Spike | Mark]] = []
        for i in range(first, end):
            instant = self._instants[i]
            top, bottom = self._instant_reach(instant, layout)
            if top - 2 <= y <= bottom + 2:
                near.append((abs(scale.x(instant.at_ns) - x), i, instant))
        return min(near)[2] if near else None

    def _instant_reach(self, instant: Spike | Mark, layout: Layout) -> tuple[int, int]:
        if isinstance(instant, Spike):
            foot, tip = layout.spike_y(instant)
            return min(foot, tip), max(foot, tip)
        group = self._sheet[instant.what].group
        return layout.mark_y(group, instant)

    def _step_reach(self, tag_id: int, layout: Layout) -> tuple[int, int]:
        top = bottom = layout.axis
        for step in self._steps[tag_id]:
            rise = layout.rise(step.level)
            if step.side != "below":
                top = min(top, layout.axis - rise)
            if step.side != "above":
                bottom = max(bottom, layout.axis + rise)
        return top, bottom
