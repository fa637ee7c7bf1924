"""The key strip: what each key does now. Every cap can be clicked, too.

It shows the behaviours whose keys answer to the modifiers that are held: none, Shift or Alt, and others where the
sheet has keys with them. A state that is on is filled and says that its key ends it.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from PySide6.QtCore import QEvent, QPoint, QRect, QSize, Qt, Signal
from PySide6.QtGui import QColor, QFontMetrics, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen, QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QToolTip, QWidget

from annotate.behaviours import Behaviour, Sheet
from app.look import scaled
from app.palette import worn

_ROW_SPARE, _LEAST_SPARE = 10, 2
_GAP = 8
_CAP_PAD = 6
_LAYERS = ("", "Shift+", "Alt+")
_HELD = (
    (Qt.KeyboardModifier.ControlModifier, "Ctrl+"),
    (Qt.KeyboardModifier.AltModifier, "Alt+"),
    (Qt.KeyboardModifier.ShiftModifier, "Shift+"),
)
_MODIFIERS = {
    int(Qt.Key.Key_Control): Qt.KeyboardModifier.ControlModifier,
    int(Qt.Key.Key_Shift): Qt.KeyboardModifier.ShiftModifier,
    int(Qt.Key.Key_Alt): Qt.KeyboardModifier.AltModifier,
}


@dataclass(frozen=True, slots=True)
class _Layer:
    """Where the caps and the names of the groups of a layer stand, and how high that is."""

    caps: list[tuple[QRect, Behaviour]]
    heads: list[tuple[QPoint, str]]
    height: int


class KeyStrip(QWidget):
    """`pressed(behaviour name)` when a cap is clicked."""

    pressed = Signal(str)
    _sheet: Sheet | None = None

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(self.tr("Keys"))
        self.setMouseTracking(True)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self._layer = ""
        self._on: frozenset[str] = frozenset()
        self._layers = dict.fromkeys(_LAYERS, _Layer([], [], 0))
        self._height = 2 * self._row

    @property
    def _row(self) -> int:
        return QFontMetrics(self.font()).height() + _ROW_SPARE

    def changeEvent(self, event: QEvent) -> None:
        if event.type() == QEvent.Type.FontChange and self._sheet is not None:
            self._lay_out()
        super().changeEvent(event)

    @property
    def layer(self) -> str:
        """The modifiers whose keys are shown: '', 'Shift+', 'Alt+', or others of the sheet's as 'Ctrl+Alt+'."""
        return self._layer

    def set_sheet(self, sheet: Sheet) -> None:
        """Shows the keys of a sheet."""
        if sheet != self._sheet:
            self._sheet = sheet
            self._lay_out()

    def follow(self, event: QKeyEvent) -> None:
        """Follows a key that is pressed or let go. The event's own modifiers lag behind by that key."""
        modifier = _MODIFIERS.get(event.key(), Qt.KeyboardModifier.NoModifier)
        is_down = event.type() != QEvent.Type.KeyRelease
        self.set_layer(event.modifiers() | modifier if is_down else event.modifiers() & ~modifier)

    def set_layer(self, modifiers: Qt.KeyboardModifier) -> None:
        """Shows the keys that answer to these modifiers."""
        layer = "".join(words for modifier, words in _HELD if modifiers & modifier)
        if layer not in self._layers:
            layer = next((one for one in ("Alt+", "Shift+") if one in layer), "")
        if layer != self._layer:
            self._layer = layer
            self._show_layer()

    def set_on(self, names: Iterable[str]) -> None:
        """Which states hold now."""
        on = frozenset(names)
        if on != self._on:
            self._on = on
            self._describe()
            self.update()

    def cap_rect(self, name: str) -> QRect:
        """Where a behaviour's cap stands; empty if it is not shown in this layer."""
        return next((rect for rect, behaviour in self._caps if behaviour.name == name), QRect())

    def words_of(self, name: str) -> str:
        """What the key of a behaviour does now: its title, or that it ends the state."""
        return self._words(next(behaviour for _, behaviour in self._caps if behaviour.name == name))

    def _words(self, behaviour: Behaviour) -> str:
        return self._titles(behaviour)[-1 if behaviour.name in self._on else 0]

    def _titles(self, behaviour: Behaviour) -> tuple[str, ...]:
        if not behaviour.is_state:
            return (behaviour.title,)
        return behaviour.title, self.tr("end {what}").format(what=behaviour.title)

    def _describe(self) -> None:
        """The keys in words, for who cannot see them."""
        keys = [f"{behaviour.key}: {self._words(behaviour)}" for _, behaviour in self._caps]
        self.setAccessibleDescription("; ".join(keys))

    def sizeHint(self) -> QSize:
        return QSize(640, self._height)

    def minimumSizeHint(self) -> QSize:
        return QSize(200, self._height)

    def _shown(self, layer: str) -> list[Behaviour]:
        if self._sheet is None:
            return []
        return [b for b in self._sheet.behaviours if b.key and _layer_of(b.key) == layer]

    def _lay_out(self) -> None:
        keys = [behaviour.key for behaviour in self._sheet.behaviours] if self._sheet is not None else []
        layers = dict.fromkeys((*_LAYERS, *(_layer_of(key) for key in keys)))
        self._layers = {layer: self._placed(layer, self._row) for layer in layers}
        if scaled(_ROW_SPARE) > _ROW_SPARE:
            self._lay_closer()
        if self._layer not in self._layers:
            self._layer = ""
        # As high as the highest layer, so that nothing moves while a modifier is held.
        height = max(layer.height for layer in self._layers.values())
        if height != self._height:
            self._height = height
            self.setFixedHeight(height)
        self._show_layer()

    def _lay_closer(self) -> None:
        """Rows that only a held modifier shows lie closer together, where large text would leave a gap for them."""
        room = self._layers[""].height
        for layer, placed in self._layers.items():
            if placed.height > room:
                row = max(room * self._row // placed.height, QFontMetrics(self.font()).height() + _LEAST_SPARE)
                self._layers[layer] = self._placed(layer, row)

    def _show_layer(self) -> None:
        self._describe()
        self.update()

    @property
    def _caps(self) -> list[tuple[QRect, Behaviour]]:
        return self._layers[self._layer].caps

    def _placed(self, layer: str, row: int) -> _Layer:
        metrics = QFontMetrics(self.font())
        apart = min(4, row - metrics.height())
        caps: list[tuple[QRect, Behaviour]] = []
        heads: list[tuple[QPoint, str]] = []
        x, y, group = 0, 0, ""
        for behaviour in self._shown(layer):
            head = ""
            if behaviour.group != group and self._sheet is not None:
                group = behaviour.group
                head = self._sheet.group(group).title
            head_width = metrics.horizontalAdvance(head) + _GAP if head else 0
            before = _GAP if head and x else 0
            widest = max(metrics.horizontalAdvance(words) for words in self._titles(behaviour))
            width = _key_width(metrics, behaviour) + widest + 3 * _CAP_PAD
            if x and x + before + head_width + width > self.width():
                x, y, before = 0, y + row, 0
            x += before
            if head:
                heads.append((QPoint(x, y + row // 2 + metrics.ascent() // 2 - 2), head))
                x += head_width
            caps.append((QRect(x, y + apart // 2, width, row - apart), behaviour))
            x += width + 3
        return _Layer(caps, heads, y + row)

    def resizeEvent(self, event: QResizeEvent) -> None:
        self._lay_out()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        metrics = QFontMetrics(self.font())
        painter.setPen(QColor(worn().quiet))
        for point, head in self._layers[self._layer].heads:
            painter.drawText(point, head)
        for rect, behaviour in self._caps:
            on = behaviour.name in self._on
            painter.setPen(QPen(QColor(worn().passage if on else worn().axis), 1))
            painter.setBrush(QColor(worn().passage if on else worn().field))
            painter.drawRoundedRect(rect, 4, 4)
            key_width = _key_width(metrics, behaviour)
            key_box = QRect(rect.left() + _CAP_PAD, rect.top(), key_width, rect.height())
            font = painter.font()
            font.setBold(True)
            painter.setFont(font)
            painter.setPen(QColor(worn().room if on else worn().passage))
            painter.drawText(key_box, Qt.AlignmentFlag.AlignVCenter, _key_words(behaviour))
            font.setBold(False)
            painter.setFont(font)
            painter.setPen(QColor(worn().room if on else worn().text))
            title_box = rect.adjusted(key_width + 2 * _CAP_PAD, 0, 0, 0)
            painter.drawText(title_box, Qt.AlignmentFlag.AlignVCenter, self._words(behaviour))
        painter.end()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() != Qt.MouseButton.LeftButton:
            return
        for rect, behaviour in self._caps:
            if rect.contains(event.position().toPoint()):
                self.pressed.emit(behaviour.name)
                return

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        for rect, behaviour in self._caps:
            if rect.contains(event.position().toPoint()) and behaviour.rule:
                QToolTip.showText(event.globalPosition().toPoint(), behaviour.rule, self, rect)
                return


def _layer_of(key: str) -> str:
    return key[: key.rfind("+") + 1] if len(key) > 1 and "+" in key[:-1] else ""


def _key_words(behaviour: Behaviour) -> str:
    return behaviour.key[len(_layer_of(behaviour.key)) :]


def _key_width(metrics: QFontMetrics, behaviour: Behaviour) -> int:
    return metrics.horizontalAdvance(_key_words(behaviour)) + 3
