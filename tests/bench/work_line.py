"""How much the work line costs beside a bare QPainter, 1600 x 200, a session of 20,000 tags.

Bare means one loop of plain rectangles, as many as there are tags in view, already measured in pixels and in
their colours: no searching, no shapes, no text. Close by, where a few tags are in view, what is measured is the
ruler, the gutter and the names.
"""

from __future__ import annotations

import itertools
import random
import statistics
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import date

from PySide6.QtCore import QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QColor, QImage, QMouseEvent, QPainter
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from annotate.behaviours import default_sheet
from annotate.clock import NS_PER_S
from annotate.sessions import Session
from annotate.tags import Tag
from app.work_line import WorkLineWidget
from tests.bench.media import in_turns
from tests.bench.row import Row

WIDTH, HEIGHT, TAGS = 1600, 200, 20_000
_PAN_PX, _ZOOM, _PANS = 40, 4.0, 100
_EACH_NS = NS_PER_S // 2
_FRAME_NS = NS_PER_S // 25
_TIMES = 7
_AIM = 1.5
_MS = 1000
_PRESSED_AMONG = (200, 2_000, TAGS)


def rows() -> list[Row]:
    """The table, measured now."""
    app = QApplication.instance() or QApplication([])
    measured = [panning(), painting_anew(), *zooming(), dragging(), *(pressing(n) for n in _PRESSED_AMONG)]
    app.processEvents()
    return measured


def many_tags() -> list[Tag]:
    """Gaits, reins, stimuli and pressure without a hole, with reactions, calm, asks and turns between."""
    chance = random.Random(11)
    sheet = default_sheet()
    gaits = ("stand", "walk", "trot", "lope", "gallop", "back")
    others = ("left_rein", "right_rein", "flag_on", "bag_on", "pressure_light", "pressure_firm")
    instants = ("spook", "calm", "cluck", "turn_in", "turn_out", "buck", "snort", "kiss")
    tags: list[Tag] = []
    for number in itertools.count():
        at_ns = number * 4 * _EACH_NS
        tags.append(Tag(chance.choice(gaits), at_ns, at_ns + 4 * _EACH_NS))
        other = others[number % len(others)]
        tags.append(Tag(other, at_ns, at_ns + 4 * _EACH_NS))
        for part in range(2):
            what = chance.choice(instants)
            severity = chance.randint(1, 4) if sheet[what].group == "reaction" else None
            tags.append(Tag(what, at_ns + part * 2 * _EACH_NS, severity=severity))
        if len(tags) >= TAGS:
            return tags
    raise AssertionError("unreachable")


def line_of(tags: list[Tag]) -> WorkLineWidget:
    """A work line that shows them."""
    widget = WorkLineWidget()
    widget.resize(WIDTH, HEIGHT)
    widget.set_work(_session_of(tags), tags, (), default_sheet())
    widget.set_frame_length(_FRAME_NS)
    return widget


def _session_of(tags: list[Tag], number: int = 1) -> Session:
    end_ns = max(tag.end_ns or tag.start_ns for tag in tags)
    return Session(number, "Biscuit", date(2026, 5, 1), length_ns=end_ns)


def sheet_of_paper() -> QImage:
    """What both paint on."""
    return QImage(WIDTH, HEIGHT, QImage.Format.Format_ARGB32_Premultiplied)


def plain_shapes(image: QImage, count: int) -> None:
    """The bare loop."""
    colours = [QColor("#1f4a66"), QColor("#7cc4e0"), QColor("#ff9142")]
    painter = QPainter(image)
    painter.fillRect(0, 0, WIDTH, HEIGHT, colours[0])
    for i in range(count):
        painter.fillRect(i * WIDTH // count, 20 + i % 90, 3, 60, colours[i % 3])
    painter.end()


def panning() -> Row:
    """One frame of a pan, a quarter of the session in view, against the shapes in view."""
    tags, image = many_tags(), sheet_of_paper()
    widget = line_of(tags)
    widget.zoom_by(_ZOOM, 0)
    way = itertools.cycle([_PAN_PX] * _PANS + [-_PAN_PX] * _PANS)

    def ours() -> None:
        widget.pan_by(next(way))
        widget.render(image)

    in_view = round(len(tags) / _ZOOM)
    name = f"work line, {in_view:,} of {len(tags):,} tags in view, one pan"
    return in_turns(name, 1.0, ours, lambda: plain_shapes(image, in_view), block=10, blocks=20)


def painting_anew() -> Row:
    """The whole session with nothing kept, as after the window's size changed, against as many shapes."""
    tags, image = many_tags(), sheet_of_paper()
    widget = line_of(tags)

    def ours() -> None:
        widget.resize(WIDTH, HEIGHT - 1 if widget.height() == HEIGHT else HEIGHT)
        widget.render(image)

    name = f"work line, {len(tags):,} tags, painted anew"
    return in_turns(name, _AIM, ours, lambda: plain_shapes(image, len(tags)), block=1, blocks=15)


def zooming() -> list[Row]:
    """From the whole session to single frames and back by the keys' steps: the slowest step, and the usual one.

    Each step is painted, and beside it as many plain shapes as it has tags in view.
    """
    tags, image = many_tags(), sheet_of_paper()
    widget = line_of(tags)
    widget.set_place(tags[len(tags) // 3].start_ns)
    took: list[list[tuple[float, float]]] = []
    for _ in range(_TIMES):
        for number, step in enumerate(_way_in_and_back(widget)):
            ours = _timed(lambda step=step: (step(), widget.render(image)))
            in_view = sum(
                tag.start_ns < widget.scale.end_ns and (tag.end_ns or tag.start_ns) >= widget.scale.start_ns
                for tag in tags
            )
            bare = _timed(lambda in_view=in_view: plain_shapes(image, in_view))
            took += [[]] if number == len(took) else []
            took[number].append((ours, bare))
    steps = [tuple(map(statistics.median, zip(*times, strict=True))) for times in took]
    slowest = max(steps)
    usual = tuple(map(statistics.median, zip(*steps, strict=True)))
    name = f"work line, {len(tags):,} tags, zoomed to frames and back"
    return [
        Row(f"{name}, slowest step", slowest[0], slowest[1], _AIM, "ms"),
        Row(f"{name}, usual step", usual[0], usual[1], _AIM, "ms"),
    ]


def _way_in_and_back(widget: WorkLineWidget) -> Iterator[Callable[[], None]]:
    """The steps of the keys, as long as each brings another view."""
    for step in (widget.zoom_in, widget.zoom_out):
        ends = {widget.scale.ns_per_px}
        while True:
            yield step
            if widget.scale.ns_per_px in ends:
                break
            ends.add(widget.scale.ns_per_px)


def _timed(act: Callable[[], object]) -> float:
    begun = time.perf_counter()
    act()
    return (time.perf_counter() - begun) * _MS


def dragging() -> Row:
    """One move of an edge under the mouse, a quarter of the session in view, against the shapes in view."""
    tags, image = many_tags(), sheet_of_paper()
    widget = line_of(tags)
    widget.zoom_by(_ZOOM, 0)
    edge = _edge_in_view(widget, tags)
    dragged: list[object] = []
    widget.edge_dragged.connect(lambda *told: dragged.append(told))
    QTest.mousePress(widget, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier, edge)
    ways = itertools.cycle(range(100, 900, 7))

    def ours() -> None:
        _move(widget, edge + QPoint(next(ways), 0))
        widget.render(image)

    in_view = round(len(tags) / _ZOOM)
    name = f"work line, {in_view:,} of {len(tags):,} tags in view, an edge dragged"
    row = in_turns(name, 1.0, ours, lambda: plain_shapes(image, in_view), block=10, blocks=20)
    assert dragged, "nothing was dragged"
    return row


def _edge_in_view(widget: WorkLineWidget, tags: list[Tag]) -> QPoint:
    """Where the edge of a gait lies free of everything else; its tag is chosen, for it is narrow."""
    for tag in tags:
        if tag.what == "walk" and widget.scale.shows(tag.end_ns or 0):
            widget.choose_tag(tag.id)
            x = widget.bands.left + widget.scale.x(tag.end_ns or 0)
            for y in range(widget.bands.field_top, widget.bands.field_bottom):
                if widget.hit_at(QPoint(x, y)).edge == "end":
                    return QPoint(x, y)
    raise AssertionError("no edge can be dragged")


def _move(widget: WorkLineWidget, to: QPoint) -> None:
    event = QMouseEvent(
        QEvent.Type.MouseMove,
        QPointF(to),
        QPointF(widget.mapToGlobal(to)),
        Qt.MouseButton.NoButton,
        Qt.MouseButton.LeftButton,
        Qt.KeyboardModifier.NoModifier,
    )
    QApplication.sendEvent(widget, event)


def pressing(among: int) -> Row:
    """One more tag while a gait and a rein run on, set and painted; against a line that is made of all the tags."""
    tags, image, sheet = many_tags()[:among], sheet_of_paper(), default_sheet()
    end_ns = _session_of(tags).end_ns
    session = replace(_session_of(tags), length_ns=end_ns + 600 * NS_PER_S)
    running = [Tag(what, end_ns, end_ns + 1, running=True) for what in ("walk", "left_rein")]
    widget, other = line_of(tags), line_of(tags)
    seconds = itertools.count(1)
    fresh = itertools.count(2)

    def press() -> Tag:
        at_ns = end_ns + next(seconds) * NS_PER_S
        running[:] = [replace(tag, end_ns=at_ns) for tag in running]
        tags.append(Tag("cluck", at_ns))
        return tags[-1]

    def show(line: WorkLineWidget, of: Session, tag: Tag) -> None:
        line.set_work(of, (*tags, *running), (), sheet)
        line.choose_tag(tag.id)
        line.render(image)

    widget.set_work(session, (*tags, *running), (), sheet)
    name = f"work line, one more tag among {among:,}, set and painted"
    return in_turns(
        name,
        None,
        lambda: show(widget, session, press()),
        lambda: show(other, replace(session, id=next(fresh)), tags[-1]),
        block=1,
        blocks=15,
    )
