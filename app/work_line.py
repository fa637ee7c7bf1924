"""The work line under the hand: click and drag for the place, edges to correct, wheel to zoom.

Signals carry times in nanoseconds on the session's clock and ids of tags, as Python objects: Qt's own int
has 32 bits. The widget snaps nothing to frames and changes no tag; it tells what was asked of it.
"""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QEvent, QPoint, Qt, Signal
from PySide6.QtGui import QHelpEvent, QMouseEvent, QWheelEvent
from PySide6.QtWidgets import QToolTip, QWidget

from annotate.behaviours import REIN, Sheet
from app.palette import Palette
from app.work_line_pick import NOTHING, Hit
from app.work_line_view import WorkLineView
from app.work_line_words import passage_words, tag_words

_STILL_PX = 3  # a press that moves no further is a click
_NOTCH = 120  # what Qt gives for one notch of a wheel
_NOTCH_ZOOM, _NOTCH_PAN_PX = 1.25, 80


@dataclass
class _Grip:
    """A mouse button that is down: where, on what, and what came of it."""

    button: Qt.MouseButton
    pressed: QPoint
    last_x: int
    hit: Hit
    pans: bool
    moved: bool = False


class WorkLineWidget(WorkLineView):
    """The work line of one session, to navigate by and to correct."""

    place_asked = Signal(object)
    """The session time that was clicked or dragged to."""
    tag_chosen = Signal(object)
    """The id of the tag that was clicked; None for a click on none."""
    hollow_chosen = Signal(object)
    """The id of the hollow shape that was clicked."""
    passage_chosen = Signal(object)
    """The id of the passage that was clicked."""
    edge_dragged = Signal(object, str, object)
    """A tag's id, "start" or "end", and the time its edge is held over; the tag is not changed yet."""
    edge_dropped = Signal(object, str, object)
    """A tag's id, "start" or "end", and the time its edge was let go at. An event has only a start."""
    passage_edge_dragged = Signal(object, str, object)
    """The same for a passage."""
    passage_edge_dropped = Signal(object, str, object)
    """The same for a passage."""

    def __init__(
        self, parent: QWidget | None = None, *, small: bool = False, palette: Palette | None = None
    ) -> None:
        super().__init__(parent, small=small, palette=palette)
        self._grip: _Grip | None = None
        self.setMouseTracking(True)

    def give_up_drag(self) -> bool:
        """Lets go of an edge without moving it, as for Escape; whether there was one."""
        if self._grip is None or self._dragged_ns is None:
            return False
        self._grip = self._dragged_ns = None
        self.update()
        return True

    def hit_at(self, point: QPoint) -> Hit:
        """What lies under a point of the widget."""
        x = point.x() - self._layout.left
        if self._work is None or not 0 <= x < self._scale.width_px:
            return NOTHING
        chosen = self._chosen_passage if point.y() < self._layout.field_top else self._chosen
        return self._work.picker.at(x, point.y(), self._layout, self._scale, chosen)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if self._work is None or self._grip is not None:
            return
        point, button = event.position().toPoint(), event.button()
        plain = button == Qt.MouseButton.LeftButton
        pans = not plain or bool(event.modifiers() & Qt.KeyboardModifier.AltModifier)
        hit = NOTHING if pans else self.hit_at(point)
        self._grip = _Grip(button, point, point.x(), hit, pans)
        if pans:
            self.setCursor(Qt.CursorShape.ClosedHandCursor)
        elif hit.edge is None:
            self.place_asked.emit(hit.at_ns if hit.at_ns is not None else self._ns_under(point.x()))

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        point, grip = event.position().toPoint(), self._grip
        if grip is None:
            edge = self.hit_at(point).edge
            self.setCursor(Qt.CursorShape.ArrowCursor if edge is None else Qt.CursorShape.SizeHorCursor)
            return
        grip.moved = grip.moved or abs(point.x() - grip.pressed.x()) > _STILL_PX
        if not grip.moved:
            return
        if grip.pans:
            self.pan_by(grip.last_x - point.x())
            grip.last_x = point.x()
        elif grip.hit.edge is not None:
            self._dragged_ns = self._ns_under(point.x())
            self._tell_edge(grip.hit, self._dragged_ns, dropped=False)
            self.update()
        else:
            self.place_asked.emit(self._ns_under(point.x()))

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        grip = self._grip
        if grip is None or event.button() != grip.button:
            return
        self._grip = self._dragged_ns = None
        self.setCursor(Qt.CursorShape.ArrowCursor)
        self.update()
        if grip.pans:
            return
        if grip.moved:
            if grip.hit.edge is not None:
                ns = self._ns_under(event.position().toPoint().x())
                self._tell_edge(grip.hit, ns, dropped=True)
            return
        if grip.hit.edge is not None:
            at_ns = grip.hit.at_ns
            self.place_asked.emit(self._ns_under(grip.pressed.x()) if at_ns is None else at_ns)
        if grip.hit.passage_id is not None:
            self.passage_chosen.emit(grip.hit.passage_id)
        elif (hollow := self._hollow_at(grip.pressed, grip.hit)) is not None:
            self.hollow_chosen.emit(hollow)
        elif self._on_tags(grip.pressed):
            self.tag_chosen.emit(grip.hit.tag_id)

    def wheelEvent(self, event: QWheelEvent) -> None:
        turned, sideways = event.angleDelta().y(), event.angleDelta().x()
        x = round(event.position().x()) - self._layout.left
        if event.modifiers() & Qt.KeyboardModifier.ShiftModifier or not turned:
            self.pan_by(-round((turned + sideways) / _NOTCH * _NOTCH_PAN_PX))
        else:
            self.zoom_by(_NOTCH_ZOOM ** (turned / _NOTCH), min(max(x, 0), self._scale.width_px - 1))
        event.accept()

    def event(self, event: QEvent) -> bool:
        if isinstance(event, QHelpEvent) and event.type() == QEvent.Type.ToolTip:
            QToolTip.showText(event.globalPos(), self.words_at(event.pos()), self)
            return True
        return super().event(event)

    def words_at(self, point: QPoint) -> str:
        """What is said of the thing under a point; empty over nothing."""
        hit, work = self.hit_at(point), self._work
        if work is None:
            return ""
        if hit.passage_id is not None:
            passage = work.picker.passage(hit.passage_id)
            return passage_words(passage) if passage is not None else ""
        shape_id = self._hollow_at(point, hit)
        if shape_id is not None:
            return self._hollow_words(shape_id, work.sheet)
        tag = work.picker.tag(hit.tag_id) if hit.tag_id is not None else None
        return tag_words(tag, work.sheet) if tag is not None else ""

    def _hollow_at(self, point: QPoint, hit: Hit) -> int | None:
        """The hollow shape under a point that lies on no tag, or only on a rein's; an instant also before a state."""
        if self._work is None or hit.at_ns is not None or hit.edge is not None:
            return None
        x = point.x() - self._layout.left
        tag = self._work.picker.tag(hit.tag_id) if hit.tag_id is not None else None
        reach = self._work.picker.reach(tag.id, self._layout) if tag is not None else None
        is_near_only = reach is not None and not reach[0] <= point.y() <= reach[1]
        is_free = tag is None or is_near_only or tag.what in self._work.sheet.names(REIN)
        for hollow in self._hollow:
            found = hollow.at(x, point.y(), self._layout, self._scale)
            if found.tag_id is not None and (is_free or found.at_ns is not None):
                return found.tag_id
        return None

    def _hollow_words(self, shape_id: int, sheet: Sheet) -> str:
        found = ((one.kind, one.picker.tag(shape_id)) for one in self._hollow)
        told = next(((kind, tag) for kind, tag in found if tag is not None), None)
        return f"{tag_words(told[1], sheet)} ({told[0]})" if told is not None else ""

    def _on_tags(self, point: QPoint) -> bool:
        return self._layout.field_top <= point.y() < self._layout.ruler_top

    def _ns_under(self, x: int) -> int:
        """The instant under an x of the widget, kept within the view and the session."""
        within = min(max(x - self._layout.left, 0), self._scale.width_px - 1)
        end_ns = self._work.session.end_ns if self._work is not None else 0
        return max(0, min(self._scale.ns_at(within), end_ns))

    def _tell_edge(self, hit: Hit, ns: int, *, dropped: bool) -> None:
        if hit.passage_id is not None:
            told = self.passage_edge_dropped if dropped else self.passage_edge_dragged
            told.emit(hit.passage_id, hit.edge, ns)
        else:
            told = self.edge_dropped if dropped else self.edge_dragged
            told.emit(hit.tag_id, hit.edge, ns)
