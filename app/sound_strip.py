"""The sound under the work line: the same time from left to right, the same place.

It is drawn from peaks, so that an hour costs no more than a second. Loudness stands as a square root, or one
bang would press the rest flat; the loudest of the session fills the strip.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from PySide6.QtCore import QEvent, QLine, Qt, Signal
from PySide6.QtGui import QColor, QMouseEvent, QPainter, QPaintEvent, QPixmap, QWheelEvent
from PySide6.QtWidgets import QApplication, QSizePolicy, QWidget

from annotate.heard import heard
from annotate.media.sound_peaks import SoundPeaks
from annotate.sessions import Session
from app.look import scaled
from app.palette import Palette, shade_of, worn
from app.time_scale import TimeScale
from app.work_line_view import WorkLineView

HEIGHT_PX, _NAME_PX = 28, 12
_LEAST_LOUD = 32  # below this nothing is made to look loud


class SoundStrip(QWidget):
    """Follows a work line. `place_asked(session time in ns)` when it is clicked or dragged over."""

    place_asked = Signal(object)

    def __init__(
        self, work_line: WorkLineView, parent: QWidget | None = None, *, palette: Palette | None = None
    ) -> None:
        super().__init__(parent)
        self._work_line, self._own_palette = work_line, palette
        self._session: Session | None = None
        self._peaks: Mapping[int, SoundPeaks] = {}
        self._loudest = _LEAST_LOUD
        self._words = ""
        self._place_ns: int | None = None
        self._drawn: QPixmap | None = None
        self._drawn_for: tuple[TimeScale, Palette] | None = None
        self.setFixedHeight(HEIGHT_PX)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self.setAccessibleName(self.tr("Sound"))
        work_line.scale_changed.connect(self.update)

    @property
    def _palette(self) -> Palette:
        return self._own_palette or worn()

    def changeEvent(self, event: QEvent) -> None:
        if event.type() == QEvent.Type.StyleChange:
            self._drawn = None
        super().changeEvent(event)

    def set_sound(self, session: Session, peaks: Mapping[int, SoundPeaks], words: str = "") -> None:
        """Shows the sound of a session's clips; `words` where there is none yet."""
        self._session, self._peaks, self._words = session, dict(peaks), words
        self._loudest = max([_LEAST_LOUD, *(one.loudest for one in peaks.values())])
        self._drawn = None
        heard = self.tr("{count} of {all} clips have sound.").format(count=len(peaks), all=len(session.clips))
        self.setAccessibleDescription(words or heard)
        self.update()

    def set_place(self, ns: int) -> None:
        """Moves the place line."""
        self._place_ns = ns
        self.update()

    @property
    def scale(self) -> TimeScale:
        """What is in view: the work line's own."""
        return self._work_line.scale

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        scale, left = self.scale, self._work_line.bands.left
        painter.drawPixmap(0, 0, self._picture(scale, left))
        if self._words and self._session is not None:
            painter.setPen(QColor(self._palette.faint))
            room = self.rect().adjusted(left + 8, 0, 0, 0)
            painter.drawText(room, Qt.AlignmentFlag.AlignVCenter, self._words)
        if self._place_ns is not None and scale.shows(self._place_ns):
            x = left + scale.x(self._place_ns)
            painter.fillRect(x - 1, 0, 3, self.height(), shade_of(self._palette.room, 150))
            painter.fillRect(x, 0, 1, self.height(), QColor(self._palette.place))
        painter.end()

    def _picture(self, scale: TimeScale, left: int) -> QPixmap:
        """All but the place line, which alone moves while it plays."""
        ratio = self.devicePixelRatioF()
        size = self.size() * ratio
        wanted = (scale, self._palette)
        if self._drawn is not None and self._drawn_for == wanted and self._drawn.size() == size:
            return self._drawn
        picture = QPixmap(size)
        picture.setDevicePixelRatio(ratio)
        picture.fill(QColor(self._palette.room))
        painter = QPainter(picture)
        painter.fillRect(left, 0, scale.width_px, self.height(), QColor(self._palette.field))
        painter.setPen(QColor(self._palette.faint))
        font = self.font()
        font.setPixelSize(scaled(_NAME_PX))
        painter.setFont(font)
        painter.drawText(0, 0, left - 8, self.height(), Qt.AlignmentFlag.AlignVCenter, self.tr("sound"))
        if self._session is not None and self._peaks:
            painter.setPen(QColor(self._palette.sign))
            painter.drawLines(self._lines(self._session, scale, left))
        painter.end()
        self._drawn, self._drawn_for = picture, wanted
        return picture

    def _lines(self, session: Session, scale: TimeScale, left: int) -> list[QLine]:
        edges = (scale.left_px + np.arange(scale.width_px + 1, dtype=np.int64)) * scale.ns_per_px
        sound = heard(session, self._peaks, edges)
        half = (self.height() - 2) // 2
        tops = half - (sound.highs.astype(np.int64) * half) // self._loudest
        bottoms = half - (sound.lows.astype(np.int64) * half) // self._loudest
        at = np.flatnonzero(sound.is_sound)
        ends = zip((left + at).tolist(), tops[at].tolist(), bottoms[at].tolist(), strict=True)
        return [QLine(x, top, x, bottom) for x, top, bottom in ends]

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton:
            self._ask_place(event)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if event.buttons() & Qt.MouseButton.LeftButton:
            self._ask_place(event)

    def wheelEvent(self, event: QWheelEvent) -> None:
        QApplication.sendEvent(self._work_line, event)

    def _ask_place(self, event: QMouseEvent) -> None:
        if self._session is not None:
            x = event.position().toPoint().x() - self._work_line.bands.left
            within = min(max(x, 0), self.scale.width_px - 1)
            self.place_asked.emit(max(0, min(self.scale.ns_at(within), self._session.end_ns)))
