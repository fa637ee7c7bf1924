"""How much the work line costs beside a bare QPainter, 1600 x 200, a session of 20,000 tags.

Bare means one loop of plain rectangles, as many as there are tags in view, already measured in pixels and in
their colours: no searching, no shapes, no text.
"""

from __future__ import annotations

import itertools
import random
from datetime import date

from PySide6.QtGui import QColor, QImage, QPainter
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


def rows() -> list[Row]:
    """The table, measured now."""
    app = QApplication.instance() or QApplication([])
    measured = [panning(), painting_anew()]
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
    end_ns = max(tag.end_ns or tag.start_ns for tag in tags)
    widget.set_work(Session(1, "Biscuit", date(2026, 5, 1), length_ns=end_ns), tags, (), default_sheet())
    return widget


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
    """The whole session with nothing kept, as after a zoom, against as many shapes; without an aim."""
    tags, image = many_tags(), sheet_of_paper()
    widget = line_of(tags)

    def ours() -> None:
        widget.resize(WIDTH, HEIGHT - 1 if widget.height() == HEIGHT else HEIGHT)
        widget.render(image)

    name = f"work line, {len(tags):,} tags, painted anew"
    return in_turns(name, None, ours, lambda: plain_shapes(image, len(tags)), block=1, blocks=15)
