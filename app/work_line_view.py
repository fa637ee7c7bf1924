"""Shows the work line of one session: what is in view, what is chosen, where the place is.

What the mouse does is `app.work_line`'s. All times are nanoseconds on the session's clock.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

from PySide6.QtCore import QCoreApplication, QEvent, QRect, QSize, Qt, Signal
from PySide6.QtGui import QPainter, QPaintEvent, QPixmap, QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from annotate.behaviours import Sheet
from annotate.clock import NS_PER_S, Span, clock_text
from annotate.passages import Passage
from annotate.sessions import Session
from annotate.tags import Tag
from annotate.workline import work_line
from app.counted import Counted
from app.look import scaled
from app.palette import Palette, worn
from app.time_scale import TimeScale
from app.work_line_columns import LineColumns
from app.work_line_hollow import Hollow, HollowPicture, outline_of
from app.work_line_layout import PASSAGES_PX, Layout
from app.work_line_mending import mended
from app.work_line_over import OverPainter
from app.work_line_paint import FieldPainter
from app.work_line_pick import Picker
from app.work_line_tags import TagTable
from app.work_line_tiles import Tiles

_CLOSEST_FRAMES = 40
_FRAME_NS = NS_PER_S // 25
_EMPTY_NS = 60 * NS_PER_S  # what the ruler spans where there is no session yet
_KEY_ZOOM = 1.6
_BESIDE_PX = 16  # how far beside a stretch of time a change in it can be seen
_RETURNS_AT = 5  # the place comes back into view a fifth from the left


@dataclass(frozen=True)
class Work:
    """What is shown, and what is made of it once.

    `looks_ns`: the stretches in which the line may look otherwise than the one before it; None where all of it may.
    """

    session: Session
    tags: TagTable
    passages: tuple[Passage, ...]
    sheet: Sheet
    columns: LineColumns
    looks_ns: tuple[tuple[int, int], ...] | None = None

    @classmethod
    def of(cls, session: Session, tags: Sequence[Tag], passages: Sequence[Passage], sheet: Sheet) -> Work:
        """The work of a session, made of all its tags."""
        columns = LineColumns.of(work_line(session, tags, sheet))
        return cls(session, TagTable(tags, sheet), tuple(passages), sheet, columns)

    def followed_by(
        self, session: Session, tags: Sequence[Tag], passages: Sequence[Passage], sheet: Sheet
    ) -> Work:
        """The work of a session as it now is; of the same one, what its changed tags leave alone is kept."""
        if session != self.session or sheet != self.sheet:
            return Work.of(session, tags, passages, sheet)
        table, altered = self.tags.followed_by(tags)
        kept = mended(self.columns, session, self.tags, table, altered, sheet)
        if kept is None:
            return Work.of(session, tags, passages, sheet)
        return Work(session, table, tuple(passages), sheet, kept.columns, kept.looks_ns)

    @property
    def levels(self) -> int:
        """How many passages lie inside each other at most, itself counted; 1 where there is none."""
        return max(self.picker.passage_levels, default=0) + 1

    @cached_property
    def picker(self) -> Picker:
        return Picker(self.columns, self.tags, self.passages, self.sheet)


@dataclass(frozen=True)
class _Brushes:
    """What paints the work at one size."""

    field: FieldPainter
    over: OverPainter

    def take(self, columns: LineColumns) -> None:
        """Goes on with other columns of the same session."""
        self.field.take(columns)
        self.over.take(columns)


class WorkLineView(QWidget):
    """The picture. `small`: the field alone, as one of many. `scale_changed`: another part is in view."""

    scale_changed = Signal()

    def __init__(
        self, parent: QWidget | None = None, *, small: bool = False, palette: Palette | None = None
    ) -> None:
        super().__init__(parent)
        self._small, self._own_palette = small, palette
        self._work: Work | None = None
        self._shown_ns = _EMPTY_NS
        self._fitted = True
        self._wanted_ns: tuple[int, int] | None = None
        self._stretch: Span | None = None
        self._frame_ns = _FRAME_NS
        self._place_ns: int | None = None
        self._watched_ns = 0
        self._chosen: int | None = None
        self._besides: frozenset[int] = frozenset()
        self._chosen_passage: int | None = None
        self._dragged_ns: int | None = None
        self._hollow: tuple[Hollow, ...] = ()
        self._hollow_chosen: int | None = None
        self._hollow_picture = HollowPicture()
        self._brushes: _Brushes | None = None
        self._tiles: Tiles | None = None
        self._kept: tuple[object, QPixmap] | None = None
        self._layout = Layout.of(self.width(), self.height(), small=small)
        self._scale = TimeScale.fitting(0, _EMPTY_NS, self._layout.right - self._layout.left)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
        self.setMinimumHeight(36 if small else 130)
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self.setAccessibleName(self.tr("Work line"))
        self.setAccessibleDescription(self.tr("No session is shown."))

    @property
    def _palette(self) -> Palette:
        return self._own_palette or worn()

    def sizeHint(self) -> QSize:
        return QSize(320, 60) if self._small else QSize(1280, 172)

    @property
    def more_px(self) -> int:
        """How much higher than usual it should be, so that passages inside each other take nothing off the field."""
        return (self._layout.levels - 1) * scaled(PASSAGES_PX)

    @property
    def scale(self) -> TimeScale:
        """What of the session is in view; its pixel 0 is `bands.left` on the widget."""
        return self._scale

    @property
    def bands(self) -> Layout:
        """Where the parts lie."""
        return self._layout

    def set_work(
        self, session: Session, tags: Sequence[Tag], passages: Sequence[Passage], sheet: Sheet
    ) -> None:
        """Shows a session as it now is. The view stays where it was if it is the same session.

        What runs is drawn as far as its tags say, until `set_watched` says more.
        """
        same = self._work is not None and self._work.session.id == session.id
        before = self._work
        self._work = (before.followed_by if before is not None and same else Work.of)(
            session, tags, passages, sheet
        )
        if not same:
            self._chosen = self._chosen_passage = self._place_ns = None
            self._hollow, self._hollow_chosen = (), None
        self._watched_ns = 0
        self._shown_ns = max(1, session.end_ns)
        self._lay_out(self._work.looks_ns)
        if not same:
            self._stretch = None
        if not same or self._fitted:
            self._fit()
        self.setAccessibleDescription(_described(self._work))

    def set_place(self, ns: int) -> None:
        """Moves the place line."""
        self._place_ns = ns
        self.update()

    def set_watched(self, ns: int) -> None:
        """How far the states that run are drawn; spares a new `set_work` at each frame of playing."""
        self._watched_ns = ns
        self.update()

    def set_frame_length(self, ns: int) -> None:
        """How long a frame is; the closest view shows about forty."""
        self._frame_ns = max(1, ns)

    def choose_tag(self, tag_id: int | None) -> None:
        """Outlines a tag, or none."""
        self._chosen = tag_id
        self.update()

    def choose_besides(self, tag_ids: Iterable[int]) -> None:
        """Outlines more tags beside the chosen one."""
        self._besides = frozenset(tag_ids)
        self.update()

    def set_hollow(self, hollow: Iterable[Hollow]) -> None:
        """Shows shapes that are no tags over the line."""
        self._hollow = tuple(hollow)
        self.update()

    def choose_hollow(self, shape_id: int | None) -> None:
        """Outlines one of them, or none."""
        self._hollow_chosen = shape_id
        self.update()

    def choose_passage(self, passage_id: int | None) -> None:
        """Marks a passage, or none."""
        self._chosen_passage = passage_id
        self.update()

    def show_all(self, length_ns: int | None = None) -> None:
        """The whole session; or, for sessions side by side, the same length in each."""
        if length_ns is not None:
            self._shown_ns = max(1, length_ns)
        self._stretch = None
        self._fit()

    def show_stretch(self, stretch: Span) -> None:
        """A stretch of the session and nothing else, until `show_all`."""
        self._stretch = stretch
        self._fit()

    @property
    def view_ns(self) -> tuple[int, int] | None:
        """What is in view; None where it is everything there is."""
        return None if self._fitted else (self._scale.start_ns, self._scale.end_ns)

    def show_span(self, start_ns: int, end_ns: int) -> None:
        """A view that was left: as close as it was, as far as the session reaches.

        Where the line has not been painted yet, it is not known how wide it will be: then this goes on until it is.
        """
        self._fitted = False
        self._see(TimeScale.fitting(start_ns, end_ns, self._scale.width_px))
        self._wanted_ns = (start_ns, end_ns)

    def zoom_in(self) -> None:
        """Closer, around the place if it is in view, else around the middle."""
        self.zoom_by(_KEY_ZOOM, self._pivot())

    def zoom_out(self) -> None:
        """Wider, around the same."""
        self.zoom_by(1 / _KEY_ZOOM, self._pivot())

    def zoom_by(self, factor: float, x: int) -> None:
        """Closer by a factor, the instant at pixel `x` of the time axis kept where it is."""
        widest = self._widest().ns_per_px
        closest = min(widest, max(1, _CLOSEST_FRAMES * self._frame_ns // self._scale.width_px))
        ns_per_px = min(widest, max(closest, round(self._scale.ns_per_px / factor)))
        self._fitted = ns_per_px == widest
        self._see(self._scale.zoomed(ns_per_px, x))

    def pan_by(self, px: int) -> None:
        """Moves the view later by pixels."""
        self._see(self._scale.panned(px))

    def keep_in_view(self, ns: int) -> None:
        """Turns the view on, as one turns a page, when an instant has left it."""
        if not self._scale.shows(ns):
            self._see(self._scale.with_left(ns).panned(-self._scale.width_px // _RETURNS_AT))

    def _pivot(self) -> int:
        if self._place_ns is not None and self._scale.shows(self._place_ns):
            return self._scale.x(self._place_ns)
        return self._scale.width_px // 2

    def _fit(self) -> None:
        self._fitted = True
        self._see(self._widest())

    @property
    def _seeable(self) -> tuple[int, int]:
        stretch = self._stretch
        return (0, self._shown_ns) if stretch is None else (stretch.start_ns, stretch.end_ns)

    def _widest(self) -> TimeScale:
        return TimeScale.fitting(*self._seeable, self._layout.right - self._layout.left)

    def _see(self, scale: TimeScale) -> None:
        """Takes a view, kept within the session, or within the stretch that is shown of it."""
        start_ns, end_ns = self._seeable
        self._wanted_ns = None
        widest = self._widest()
        if scale.ns_per_px >= widest.ns_per_px:
            self._fitted, scale = True, widest
        last_left = end_ns // scale.ns_per_px + 1 - scale.width_px
        left = max(start_ns // scale.ns_per_px, min(scale.left_px, last_left))
        self._scale = TimeScale(scale.ns_per_px, left, scale.width_px)
        self.scale_changed.emit()
        self.update()

    def _lay_out(self, looks_ns: Iterable[tuple[int, int]] | None = None) -> None:
        """Finds out where the parts lie. What is painted is kept where only some stretches look otherwise."""
        work, before = self._work, self._layout
        lanes = [lane.lane for lane in work.columns.lanes] if work is not None else ()
        levels = work.levels if work is not None else 1
        self._layout = Layout.of(self.width(), self.height(), lanes, levels=levels, small=self._small)
        width = self._layout.right - self._layout.left
        self._scale = TimeScale(self._scale.ns_per_px, self._scale.left_px, width)
        if work is not None and looks_ns is not None and self._brushes is not None and self._layout == before:
            self._brushes.take(work.columns)
            self._forget(looks_ns)
        else:
            self._brushes = self._tiles = None
        self.update()

    def _forget(self, stretches_ns: Iterable[tuple[int, int]]) -> None:
        """What is painted of these stretches is painted anew."""
        self._kept = None
        if self._tiles is not None:
            ns_per_px = self._tiles.ns_per_px
            for start_ns, end_ns in stretches_ns:
                self._tiles.forget(start_ns // ns_per_px - _BESIDE_PX, end_ns // ns_per_px + _BESIDE_PX)

    def resizeEvent(self, event: QResizeEvent) -> None:
        self._lay_out()
        if self._fitted:
            self._fit()
        elif self._wanted_ns is not None:
            self.show_span(*self._wanted_ns)
        else:
            self._see(self._scale)

    def changeEvent(self, event: QEvent) -> None:
        if event.type() in (QEvent.Type.FontChange, QEvent.Type.StyleChange):
            self._lay_out()
            self._see(self._widest() if self._fitted else self._scale)
        super().changeEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        self._wanted_ns = None
        if self._work is None:
            painter.fillRect(self.rect(), self._palette.room)
            return
        layout, scale = self._layout, self._scale
        painter.drawPixmap(0, 0, self._still(self._work))
        over = self._brushes_for(self._work).over
        if self._place_ns is not None and scale.shows(self._place_ns):
            over.paint_place(painter, layout.left + scale.x(self._place_ns), self._place_ns)
        if self._dragged_ns is not None:
            over.paint_dragged(painter, layout.left + scale.x(self._dragged_ns), self._dragged_ns)

    def _still(self, work: Work) -> QPixmap:
        """All but the place, which moves at each frame that is played: kept until something else changes."""
        brushes, ratio = self._brushes_for(work), self.devicePixelRatioF()
        watched = self._scale.x(self._watched_ns) if work.columns.runs else 0
        chosen = (self._chosen, self._besides, self._chosen_passage, self._hollow, self._hollow_chosen)
        now = (brushes, self._scale, self.size(), ratio, watched, chosen)
        if self._kept is None or self._kept[0] != now:
            picture = QPixmap(self.size() * ratio)
            picture.setDevicePixelRatio(ratio)
            painter = QPainter(picture)
            self._paint_still(work, brushes, painter)
            painter.end()
            self._kept = (now, picture)
        return self._kept[1]

    def _paint_still(self, work: Work, brushes: _Brushes, painter: QPainter) -> None:
        layout, scale, over = self._layout, self._scale, brushes.over
        self._paint_tiles(brushes, painter)
        axis = QRect(layout.left, 0, scale.width_px, layout.height)
        painter.setClipRect(axis)
        over.paint_running(painter, scale, self._watched_ns)
        over.paint_end(painter, scale, work.session.end_ns)
        if not self._small:
            over.paint_names(painter, scale)
        self._paint_hollow(over, painter)
        self._paint_chosen(work, over, painter)
        painter.setClipping(False)
        if not self._small:
            over.paint_gutter(painter)
            over.paint_ruler(painter, scale, work.session.end_ns)
            painter.setClipRect(axis)
            over.paint_passages(painter, scale, work.passages, work.picker.passage_levels, self._chosen_passage)
            painter.setClipping(False)

    def _brushes_for(self, work: Work) -> _Brushes:
        if self._brushes is None:
            field = FieldPainter(work.columns, self._layout, self._palette)
            over = OverPainter(work.columns, field, work.sheet, self._layout, self._palette, self.font())
            self._brushes, self._tiles = _Brushes(field, over), None
        return self._brushes

    def _paint_tiles(self, brushes: _Brushes, painter: QPainter) -> None:
        layout, scale, ratio = self._layout, self._scale, self.devicePixelRatioF()
        if self._tiles is None or self._tiles.ns_per_px != scale.ns_per_px or self._tiles.ratio != ratio:
            self._tiles = Tiles(brushes.field, layout.height, scale.ns_per_px, ratio)
        self._tiles.draw(painter, layout.left, scale.left_px, scale.left_px + scale.width_px)

    def _paint_hollow(self, over: OverPainter, painter: QPainter) -> None:
        if self._hollow:
            ratio, view = self.devicePixelRatioF(), (self._layout, self._scale, self._palette)
            painter.drawPixmap(0, 0, self._hollow_picture.of(self._hollow, *view, ratio))
        chosen = self._hollow_chosen
        for hollow in self._hollow:
            rect = outline_of(hollow, chosen, self._layout, self._scale) if chosen is not None else None
            if rect is not None:
                over.paint_chosen(painter, rect)

    def _paint_chosen(self, work: Work, over: OverPainter, painter: QPainter) -> None:
        for tag_id in self._besides | ({self._chosen} if self._chosen is not None else set()):
            self._outline(tag_id, work, over, painter)

    def _outline(self, tag_id: int, work: Work, over: OverPainter, painter: QPainter) -> None:
        width = self._scale.width_px
        tag = work.picker.tag(tag_id)
        if tag is None or tag.start_ns >= self._scale.end_ns:
            return
        if not tag.running and (tag.end_ns or tag.start_ns) < self._scale.start_ns:
            return
        reach = work.picker.reach(tag_id, self._layout)
        if reach is None:
            return
        start = min(max(self._scale.x(tag.start_ns), -9), width + 9)
        end_ns = max(tag.end_ns or 0, self._watched_ns if tag.running else 0)
        end = min(max(self._scale.x(end_ns), start + 1), width + 9) if tag.is_state else start + 5
        first = start if tag.is_state else start - 5
        left = self._layout.left + first
        over.paint_chosen(painter, QRect(left, reach[0] - 2, end - first, reach[1] - reach[0] + 4))


def _described(work: Work) -> str:
    """The picture in a sentence, for who cannot see it."""
    columns = work.columns
    length = clock_text(work.session.end_ns, decimals=0)
    parts = (
        Counted.tr("{count} tag|{count} tags", "", len(work.tags.tags)),
        Counted.tr("{count} reaction|{count} reactions", "", len(columns.spikes)),
        Counted.tr("{count} of them settled|{count} of them settled", "", columns.settled),
        Counted.tr("out of sight once|out of sight {count} times", "", len(columns.breaks)),
        Counted.tr("{count} passage|{count} passages", "", len(work.passages)),
    )
    words = QCoreApplication.translate("work line", "{session}, {length} long: {parts}.")
    return words.format(session=work.session.called, length=length, parts=", ".join(parts))
