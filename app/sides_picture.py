"""Left and right on one picture: a row for each figure, the left rein's bar to the left of the axis.

Work is filled; trouble (reactions, recovery, response time) is an outline, for more of it is not better. A
pale row rests on too few events. The number at the end is the balance.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from PySide6.QtCore import QCoreApplication, QEvent, QRect, QSize, Qt, Signal
from PySide6.QtGui import QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from annotate.numbers.sides import Pair
from annotate.numbers.wording import duration_text
from app.look import scaled
from app.marked import QT_TRANSLATE_NOOP
from app.palette import Palette, shade_of, worn

_TITLES = {
    "moving": QT_TRANSLATE_NOOP("SidesPicture", "moving"),
    "reactions": QT_TRANSLATE_NOOP("SidesPicture", "reactions"),
    "recovery": QT_TRANSLATE_NOOP("SidesPicture", "settling"),
    "response": QT_TRANSLATE_NOOP("SidesPicture", "answering"),
}
_PALE = 110


@dataclass(frozen=True, slots=True)
class _Px:
    """How high a row, the head and a bar are, and how wide the words; it grows with the text."""

    row: int
    head: int
    bar: int
    title: int
    balance: int
    text: int


class SidesPicture(QWidget):
    """Bars of every pair; `set_sides` before it shows anything. `asked(key, label)`: a row's side was clicked."""

    asked = Signal(str, str)

    def __init__(self, parent: QWidget | None = None, *, palette: Palette | None = None) -> None:
        super().__init__(parent)
        self._own_palette = palette
        self._pairs: dict[str, Pair] = {}
        self._titles: dict[str, str] = {}
        self.setAccessibleName(self.tr("Left and right"))
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    @property
    def _palette(self) -> Palette:
        return self._own_palette or worn()

    @property
    def _px(self) -> _Px:
        return _Px(*(scaled(px) for px in (20, 18, 11, 68, 42, 72)))

    def set_sides(self, pairs: Mapping[str, Pair], titles: Mapping[str, str] | None = None) -> None:
        """Shows these pairs; `titles` says what a gait is called."""
        self._pairs = {name: pair for name, pair in pairs.items() if pair.left or pair.right}
        self._titles = {**{name: self.tr(words) for name, words in _TITLES.items()}, **(titles or {})}
        self.setAccessibleDescription("; ".join(self.words()))
        self.setToolTip("\n".join(self.words()))
        self.updateGeometry()
        self.update()

    def words(self) -> list[str]:
        """Each row as a person would read it out."""
        balance = self.tr(", balance {balance}")
        return [
            self.tr("{what}: left {left}, right {right}").format(
                what=self._title(name), left=_text(pair.left, pair.unit), right=_text(pair.right, pair.unit)
            )
            + (balance.format(balance=f"{float(pair.balance):+.2f}") if pair.balance is not None else "")
            + (self.tr(", too few to say more") if pair.few else "")
            for name, pair in self._pairs.items()
        ]

    def changeEvent(self, event: QEvent) -> None:
        if event.type() == QEvent.Type.FontChange:
            self.updateGeometry()
        super().changeEvent(event)

    def sizeHint(self) -> QSize:
        return QSize(scaled(330), self._px.head + self._px.row * len(self._pairs) + 4 if self._pairs else 0)

    def minimumSizeHint(self) -> QSize:
        return QSize(300, self.sizeHint().height())

    def mousePressEvent(self, event: QMouseEvent) -> None:
        row = (round(event.position().y()) - self._px.head) // self._px.row
        if event.button() != Qt.MouseButton.LeftButton or not 0 <= row < len(self._pairs):
            super().mousePressEvent(event)
            return
        name = list(self._pairs)[row]
        side = "left" if event.position().x() < self._axis() else "right"
        label = self.tr("{what}, left rein") if side == "left" else self.tr("{what}, right rein")
        self.asked.emit(f"sides.{name}.{side}", label.format(what=self._title(name)).capitalize())

    def _axis(self) -> int:
        """Where the two sides meet."""
        return self._px.title + (self.width() - self._px.title - self._px.balance) // 2

    def paintEvent(self, event: QPaintEvent) -> None:
        if not self._pairs:
            return
        painter = QPainter(self)
        px, axis = self._px, self._axis()
        reach = axis - px.title - px.text
        painter.setPen(shade_of(self._palette.faint, 255))
        right = Qt.AlignmentFlag.AlignRight
        painter.drawText(QRect(0, 0, axis - 8, px.head), right, self.tr("left"))
        painter.drawText(QRect(axis + 8, 0, self.width(), px.head), Qt.AlignmentFlag.AlignLeft, self.tr("right"))
        painter.drawText(QRect(0, 0, self.width(), px.head), right, self.tr("balance"))
        for row, (name, pair) in enumerate(self._pairs.items()):
            self._row(painter, px.head + row * px.row, axis, reach, name, pair)
        painter.setPen(shade_of(self._palette.axis, 255))
        painter.drawLine(axis, px.head, axis, px.head + px.row * len(self._pairs))
        painter.end()

    def _row(self, painter: QPainter, y: int, axis: int, reach: int, name: str, pair: Pair) -> None:
        px = self._px
        longest = max(pair.left or 0, pair.right or 0)
        alpha = _PALE if pair.few else 255
        text = shade_of(self._palette.text, 170 if pair.few else 255)
        painter.setPen(text)
        middle = Qt.AlignmentFlag.AlignVCenter
        painter.drawText(QRect(0, y, px.title, px.row), middle, self._title(name))
        balance = "" if pair.balance is None else f"{float(pair.balance):+.2f}"
        right = middle | Qt.AlignmentFlag.AlignRight
        painter.drawText(QRect(0, y, self.width(), px.row), right, balance)
        trouble = name in ("reactions", "recovery", "response")
        for value, is_left in ((pair.left, True), (pair.right, False)):
            width = 0 if value is None else round(Fraction(value) / longest * reach)
            x = axis - width if is_left else axis
            bar = QRect(x, y + (px.row - px.bar) // 2, width, px.bar)
            colour = self._palette.reaction if trouble else self._palette.work_high
            if trouble and width:
                painter.setPen(QPen(shade_of(colour, alpha), 1.5))
                painter.setBrush(Qt.BrushStyle.NoBrush)
                painter.drawRect(bar.adjusted(0, 0, -1, -1))
            elif width:
                painter.fillRect(bar, shade_of(colour, alpha))
            painter.setPen(text)
            words = _text(value, pair.unit)
            if is_left:
                painter.drawText(QRect(x - px.text - 4, y, px.text, px.row), right, words)
            else:
                painter.drawText(QRect(x + width + 4, y, px.text, px.row), middle, words)

    def _title(self, name: str) -> str:
        return self._titles.get(name, name.replace("_", " "))


def _text(value: Fraction | int | None, unit: str) -> str:
    if value is None:
        return QCoreApplication.translate("sides", "not known")
    if unit == "per_min":
        return QCoreApplication.translate("sides", "{rate}/min").format(rate=f"{float(value):.2f}")
    return duration_text(value).replace(" h", "h").replace(" min", "m").replace(" s", "s")
