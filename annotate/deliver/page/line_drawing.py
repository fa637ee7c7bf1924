"""The work line for paper: session time runs right, the height is the gait, the left rein is above the axis.

What the trainer needs for tagging (asks, signs, pressure) stays out; what was shown and worn lies under the
line, a row each, with its name before it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from annotate.behaviours import STIMULUS, TACK, TURN_IN, Sheet
from annotate.clock import NS_PER_S, Span
from annotate.deliver.page import print_colours as colour
from annotate.deliver.page.drawing import Box, Dot, Drawing, Path, Shape, Words, text_width
from annotate.numbers.wording import duration_text
from annotate.workline import BACK, Mark, Side, Spike, WorkLine

_LEAST_TOP = 3  # a session without a lope is drawn as low as it was
_SEVERITIES = 4
_TICKS_S = (5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 14400)
_SIGNS: dict[Side, tuple[int, ...]] = {"above": (-1,), "below": (1,), "unknown": (-1, 1)}


@dataclass(frozen=True, slots=True)
class Frame:
    """How a work line is fitted in. `until_ns` is where the time axis ends, the same for lines compared."""

    width: float
    until_ns: int
    step: float = 15
    thorn: float = 8
    size: float = 12
    gutter: float = 74
    row: float = 17
    small: bool = False


WIDE, NARROW = 960.0, 340.0


def wide(until_ns: int) -> Frame:
    """For a page as wide as a desk's screen or a sheet of paper."""
    return Frame(WIDE, until_ns)


def narrow(until_ns: int) -> Frame:
    """For a phone held upright."""
    return Frame(NARROW, until_ns, step=13, thorn=7, size=12.5, gutter=60, row=17)


def small(until_ns: int, width: float = WIDE) -> Frame:
    """One of many below each other."""
    return Frame(width, until_ns, step=9, thorn=6, gutter=60 if width < WIDE else 74, small=True)


def draw_line(
    line: WorkLine, sheet: Sheet, frame: Frame, title: str, passages: Sequence[tuple[int, Span]] = ()
) -> Drawing:
    """The work line of one session; `passages` are bracketed above it by their number."""
    pen = _Pen(line, sheet, frame, bool(passages))
    return Drawing(frame.width, pen.height, tuple(pen.shapes(passages)), title, described(line, sheet))


def described(line: WorkLine, sheet: Sheet) -> str:
    """What the drawing shows, in sentences, for somebody who hears the page."""
    parts = [f"Session time runs to the right, {duration_text(line.end_ns)} in all. The height is the gait."]
    for side, rein in (("above", "left"), ("below", "right")):
        times: dict[str, int] = {}
        for step in line.steps:
            if step.side == side:
                times[step.gait] = times.get(step.gait, 0) + step.end_ns - step.start_ns
        if times:
            gaits = ", ".join(f"{sheet[gait].title} {duration_text(ns)}" for gait, ns in times.items())
            parts.append(f"{side.capitalize()} the axis, on the {rein} rein: {gaits}.")
    shades = {shade.tag_id: shade for shade in line.shades}
    for spike in line.spikes:
        shade = shades.get(spike.tag_id)
        severity = f" of severity {spike.severity}" if spike.severity else ""
        ended = ""
        if shade is not None and shade.settled:
            ended = f", calm after {duration_text(shade.end_ns - shade.start_ns)}"
        elif shade is not None:
            ended = ", not seen to settle"
        parts.append(f"{sheet[spike.what].title.capitalize()}{severity} at {_clock(spike.at_ns)}{ended}.")
    return " ".join(parts)


class _Pen:
    """Draws one work line in one frame."""

    def __init__(self, line: WorkLine, sheet: Sheet, frame: Frame, numbered: bool) -> None:
        self._line, self._sheet, self._frame = line, sheet, frame
        self._left = frame.gutter
        self._right = frame.width - (10 if not frame.small else 6)
        self._top_level = max([_LEAST_TOP, *(step.level for step in line.steps)])
        worst = max([1, *(spike.height for spike in line.spikes)])
        # Above the highest step: the thorns, and the name of the rein at least.
        above = max(frame.thorn * min(worst, _SEVERITIES) + 6, frame.size * 1.5)
        self._half = frame.step * self._top_level + above
        self._top = frame.size + 10 if numbered else 2.0
        self._axis = self._top + self._half
        self._rows = [] if frame.small else self._named_rows()
        self._ruler = self._axis + self._half + (6 + frame.row * len(self._rows) if self._rows else 2)
        self.height = self._ruler + frame.size + 9

    def shapes(self, passages: Sequence[tuple[int, Span]]) -> Iterator[Shape]:
        yield from self._shades()
        yield from self._room()
        yield from self._steps()
        yield from self._untagged()
        yield from self._unseen()
        yield from self._turns()
        yield from self._marks()
        yield from self._lanes()
        yield from self._ticks()
        yield from self._brackets(passages)

    def _x(self, ns: int) -> float:
        return self._left + (self._right - self._left) * ns / max(1, self._frame.until_ns)

    def _y(self, level: int, sign: int) -> float:
        return self._axis + sign * self._frame.step * level

    def _room(self) -> Iterator[Shape]:
        """The axis, and before it what its heights mean."""
        frame, end = self._frame, self._x(self._line.end_ns)
        names = {0: "stand", 1: "walk", 2: "trot", 3: "lope", 4: "gallop"}
        for level in range(1, self._top_level + 1):
            for sign in (-1, 1):
                y = self._y(level, sign)
                yield Path(((self._left, y), (end, y)), stroke=colour.RULE, width=0.7)
        yield Path(((self._left, self._axis), (end, self._axis)), stroke=colour.AXIS, width=1)
        lower = frame.size * 0.35
        rein_y = frame.step * self._top_level + frame.size
        for sign, name in ((-1, "LEFT"), (1, "RIGHT")):
            y = self._axis + sign * rein_y + lower
            yield Words(self._left - 8, y, name, frame.size * 0.86, colour.INK, "end", bold=True)
        if not frame.small:
            for level in range(self._top_level + 1):
                for sign in (-1, 1) if level else (1,):
                    y = self._y(level, sign) + lower
                    yield Words(self._left - 8, y, names[level], frame.size * 0.92, colour.QUIET, "end")

    def _shades(self) -> Iterator[Shape]:
        for shade in self._line.shades:
            start, end = self._x(shade.start_ns), self._x(shade.end_ns)
            for sign in _SIGNS[shade.side]:
                top = self._axis - self._half if sign < 0 else self._axis
                yield Box(start, top, max(0.8, end - start), self._half, colour.SHADE)
                dash = 0 if shade.settled else 3
                yield Path(
                    ((end, top), (end, top + self._half)), stroke=colour.SHADE_EDGE, width=0.8, dash=dash
                )

    def _steps(self) -> Iterator[Shape]:
        line = self._line
        for step in line.steps:
            start, end = self._x(step.start_ns), self._x(step.end_ns)
            width = max(0.4, end - start)
            if step.level == 0:
                yield Path(((start, self._axis), (end, self._axis)), stroke=colour.LINE, width=2.4)
                if step.gait == BACK:
                    yield from self._backing(start, end)
                continue
            sure = step.side != "unknown"
            for sign in _SIGNS[step.side]:
                y = self._y(step.level, sign)
                fill = colour.GAITS[step.level] if sure else colour.UNSURE
                yield Box(start, min(y, self._axis), width, abs(y - self._axis), fill)
                yield Path(((start, y), (end, y)), stroke=colour.LINE, width=1.6, dash=0 if sure else 3)
        yield from self._risers()

    def _risers(self) -> Iterator[Shape]:
        """Where one gait follows another at once, the line goes up or down between them."""
        for before, after in zip(self._line.steps, self._line.steps[1:], strict=False):
            if before.end_ns != after.start_ns or "unknown" in (before.side, after.side):
                continue
            x = self._x(after.start_ns)
            ends = [self._y(step.level, _SIGNS[step.side][0]) for step in (before, after)]
            if ends[0] != ends[1]:
                yield Path(((x, ends[0]), (x, ends[1])), stroke=colour.LINE, width=1)

    def _backing(self, start: float, end: float) -> Iterator[Shape]:
        x = start + 2
        while x < max(start + 3, end - 3):
            chevron = ((x + 4, self._axis - 4), (x, self._axis), (x + 4, self._axis + 4))
            yield Path(chevron, stroke=colour.LINE)
            x += 6

    def _untagged(self) -> Iterator[Shape]:
        for span in self._line.untagged:
            ends = ((self._x(span.start_ns), self._axis), (self._x(span.end_ns), self._axis))
            yield Path(ends, stroke=colour.PAPER, width=2)
            yield Path(ends, stroke=colour.QUIET, width=1.2, dash=2)

    def _unseen(self) -> Iterator[Shape]:
        """Out of sight between torn edges; what was not filmed between plain ones. The words, if they fit."""
        torn = [(stretch.start_ns, stretch.end_ns, True) for stretch in self._line.breaks]
        for start_ns, end_ns, is_torn in [*torn, *((g.start_ns, g.end_ns, False) for g in self._line.gaps)]:
            start, end = self._x(start_ns), self._x(end_ns)
            yield Box(start, self._axis - self._half, end - start, 2 * self._half, colour.PAPER)
            lean = min(3.0, (end - start) / 4) if is_torn else 0.0
            for x, way in ((start, 1), (end, -1)):
                tops = ((0.0, -1.0), (way * lean, -0.3), (-way * lean, 0.3), (0.0, 1.0))
                points = tuple((x + dx, self._axis + dy * self._half * 0.62) for dx, dy in tops)
                yield Path(points, stroke=colour.AXIS, dash=0 if is_torn else 2)
            for words in ("out of sight", "unseen") if is_torn else ("not filmed",):
                size = self._frame.size * 0.86
                if text_width(words, size) < end - start - 6:
                    middle = (start + end) / 2
                    yield Words(middle, self._axis + size * 0.35, words, size, colour.QUIET, "middle")
                    break

    def _turns(self) -> Iterator[Shape]:
        """Two wedges on the axis: they point to the middle for a turn in, to the rail for a turn out."""
        reach, half = (4.5, 3.0) if self._frame.small else (7.0, 4.5)
        for turn in self._line.turns:
            x = self._x(turn.at_ns)
            for sign in (-1, 1):
                near, far = self._axis + 1.5 * sign, self._axis + (1.5 + reach) * sign
                point, base = (near, far) if turn.what == TURN_IN else (far, near)
                wedge = ((x - half, base), (x + half, base), (x, point))
                yield Path(wedge, fill=colour.TURN, stroke=colour.PAPER, width=0.7, closed=True)

    def _marks(self) -> Iterator[Shape]:
        for spike in self._line.spikes:
            for sign in _SIGNS[spike.side]:
                yield self._thorn(spike, sign)
        radius = 2.6 if self._frame.small else 4.0
        for calm in self._line.calms:
            yield Dot(self._x(calm.at_ns), self._calm_y(calm), radius, colour.CALM, colour.PAPER)

    def _thorn(self, spike: Spike, sign: int) -> Path:
        x, foot = self._x(spike.at_ns), self._y(spike.level, sign)
        half = (2.0 if self._frame.small else 3.0) + 0.4 * spike.height
        tip = foot + sign * (self._frame.thorn * min(spike.height, _SEVERITIES) + 3)
        fill = colour.REACTION if spike.severity else colour.PAPER
        points = ((x - half, foot), (x, tip), (x + half, foot))
        return Path(points, fill=fill, stroke=colour.REACTION, width=1, closed=True)

    def _calm_y(self, mark: Mark) -> float:
        return self._y(mark.level, 1 if mark.side == "below" else -1)

    def _named_rows(self) -> list[tuple[str, str, list[Span]]]:
        """(group, title, when) for each thing shown or worn, in the order of the sheet."""
        rows: list[tuple[str, str, list[Span]]] = []
        for lane in self._line.lanes:
            if lane.group not in (STIMULUS, TACK):
                continue
            for behaviour in self._sheet.of_group(lane.group):
                bars = [Span(bar.start_ns, bar.end_ns) for bar in lane.bars if bar.what == behaviour.name]
                if bars:
                    rows.append((lane.group, behaviour.title, bars))
        return rows

    def _lanes(self) -> Iterator[Shape]:
        frame, end = self._frame, self._x(self._line.end_ns)
        room = self._left - 10
        for place, (group, title, spans) in enumerate(self._rows):
            top = self._axis + self._half + 6 + frame.row * place
            middle = top + frame.row / 2
            yield Path(((self._left, middle), (end, middle)), stroke=colour.RULE, width=0.7)
            at = middle + frame.size * 0.35
            yield Words(self._left - 8, at, *_fitted(title, frame.size * 0.92, room), colour.QUIET, "end")
            tint = colour.SHOWN if group == STIMULUS else colour.WORN
            tall = 6.0 if group == STIMULUS else 3.0
            for span in spans:
                start, width = self._x(span.start_ns), self._x(span.end_ns) - self._x(span.start_ns)
                yield Box(start, middle - tall / 2, max(1.0, width), tall, tint)

    def _ticks(self) -> Iterator[Shape]:
        frame, end = self._frame, self._line.end_ns
        apart = self._x(NS_PER_S) - self._left
        wanted = frame.size * 4.6
        every = next((s for s in _TICKS_S if s * apart >= wanted), _TICKS_S[-1])
        for second in range(0, end // NS_PER_S + 1, every):
            x = self._x(second * NS_PER_S)
            yield Path(((x, self._ruler), (x, self._ruler + 4)), stroke=colour.AXIS, width=0.8)
            words = _clock(second * NS_PER_S)
            y = self._ruler + frame.size + 5
            yield Words(x, y, words, frame.size * 0.88, colour.QUIET, "middle" if second else "start")

    def _brackets(self, passages: Sequence[tuple[int, Span]]) -> Iterator[Shape]:
        """A bracket over each passage; a number that would lie on another one is left out."""
        size, y = self._frame.size, self._top - 4
        taken = 0.0
        for number, span in sorted(passages, key=lambda numbered: numbered[1]):
            start, end = self._x(span.start_ns), self._x(span.end_ns)
            yield Path(((start, y), (start, y - 4), (end, y - 4), (end, y)), stroke=colour.PASSAGE, width=1.3)
            middle, half = (start + end) / 2, text_width(str(number), size) / 2
            if middle - half >= taken:
                yield Words(middle, y - 7, str(number), size * 0.92, colour.PASSAGE, "middle", bold=True)
                taken = middle + half + 1


def _fitted(title: str, size: float, room: float) -> tuple[str, float]:
    """A title and its size: somewhat smaller where it is too long, cut where even that is too long."""
    smaller = max(size * 0.78, min(size, size * room / max(1.0, text_width(title, size))))
    most = int(room / text_width("x", smaller))
    return (title if len(title) <= most else title[: max(1, most - 1)] + "…"), smaller


def _clock(ns: int) -> str:
    minutes, secs = divmod(ns // NS_PER_S, 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours}:{minutes:02d}:{secs:02d}" if hours else f"{minutes}:{secs:02d}"
