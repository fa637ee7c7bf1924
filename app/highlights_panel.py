"""The highlight list: passages in the order in which the owner will see them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import (
    QHBoxLayout,
    QLabel,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from annotate.clock import clock_text
from annotate.passages import Passage
from app.look import scaled
from app.marked import QT_TRANSLATE_NOOP

_ID = Qt.ItemDataRole.UserRole
_CLOSE_PX = 4  # between buttons, where all stand in one row
_LOW_PX = 205  # lower than this, the list needs the room of the hint
_HINT = QT_TRANSLATE_NOOP(
    "HighlightsPanel", "F2 marks where a passage begins, F3 where it ends. Edit a caption by a double click."
)
_NONE_CHOSEN = QT_TRANSLATE_NOOP("HighlightsPanel", "No passage is chosen. Click one in the list first.")
_NONE_THERE = QT_TRANSLATE_NOOP(
    "HighlightsPanel", "There is no passage yet: F2 marks where one begins, F3 where it ends."
)


class HighlightsPanel(QWidget):
    """Shows passages and asks for changes; it keeps nothing itself."""

    passage_chosen = Signal(object)
    play_asked = Signal(object)
    order_asked = Signal(list, str)
    rule_asked = Signal()
    owner_asked = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._passages: dict[int, Passage] = {}
        self._filling = False
        self.list = QListWidget()
        self.list.setAccessibleName(self.tr("Highlight list"))
        self.list.setWordWrap(True)
        self.list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.list.setResizeMode(QListWidget.ResizeMode.Adjust)
        self.list.itemChanged.connect(self._on_caption)
        self.list.itemClicked.connect(self._on_chosen)
        self._hint = QLabel(self.tr(_HINT))
        self._hint.setProperty("quiet", True)
        self._hint.setWordWrap(True)
        self._column = column = QVBoxLayout(self)
        column.addWidget(self._hint)
        column.addWidget(self.list, 1)
        for_one = (
            (self.tr("Play"), self._on_play),
            (self.tr("Up"), self._on_up),
            (self.tr("Down"), self._on_down),
            (self.tr("Remove"), self._on_remove),
        )
        for_all = (
            (self.tr("Choose by rule"), self.rule_asked.emit),
            (self.tr("For the owner…"), self.owner_asked.emit),
        )
        self._for_one, self._for_all = ([self._button(*one) for one in some] for some in (for_one, for_all))
        self._upper, self._lower = QHBoxLayout(), QHBoxLayout()
        for row, buttons in ((self._upper, self._for_one), (self._lower, self._for_all)):
            column.addLayout(row)
            for button in buttons:
                row.addWidget(button)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()

    def _fit(self) -> None:
        """Leaves the list as much as can be: all buttons beside each other, no hint where it is low."""
        buttons = [*self._for_one, *self._for_all]
        wanted = sum(button.sizeHint().width() + _CLOSE_PX for button in buttons) - _CLOSE_PX
        row, other = self._upper, self._lower
        if wanted > self._column.contentsRect().width():
            row, other = other, row
        if row.indexOf(self._for_all[0]) < 0:
            self._upper.setSpacing(_CLOSE_PX if row is self._upper else -1)
            for button in self._for_all:
                other.removeWidget(button)
                row.addWidget(button)
        is_low = self.height() < scaled(_LOW_PX)
        self._hint.setVisible(not is_low or self._hint.text() != self.tr(_HINT))

    def show_passages(self, passages: Sequence[Passage]) -> None:
        """Shows the highlight list."""
        chosen = self.current()
        self._filling = True
        self._passages = {passage.id: passage for passage in passages}
        # Rows stay where they are: a caption's editor may still be open when its words come back here.
        while self.list.count() > len(passages):
            self.list.takeItem(len(passages))
        while self.list.count() < len(passages):
            self.list.addItem(_editable_item())
        rows = {passage.id: row for row, passage in enumerate(passages)}
        for row, passage in enumerate(passages):
            item = self.list.item(row)
            item.setText(passage.caption or self.tr("Passage {number}").format(number=row + 1))
            start, end = clock_text(passage.start_ns), clock_text(passage.end_ns)
            item.setToolTip(self.tr("{start} to {end}").format(start=start, end=end))
            item.setData(_ID, passage.id)
        self.list.setCurrentRow(rows.get(chosen.id, -1) if chosen is not None else -1)
        self._filling = False

    def current(self) -> Passage | None:
        """The passage in hand."""
        item = self.list.currentItem()
        return self._passages.get(item.data(_ID)) if item is not None else None

    def choose(self, passage_id: int) -> None:
        """Takes a passage in hand."""
        for row in range(self.list.count()):
            if self.list.item(row).data(_ID) == passage_id:
                self.list.setCurrentRow(row)

    def _button(self, words: str, does: object) -> QPushButton:
        button = QPushButton(words)
        button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        button.clicked.connect(does)
        return button

    def _ordered(self) -> list[Passage]:
        return [self._passages[self.list.item(i).data(_ID)] for i in range(self.list.count())]

    def _on_chosen(self) -> None:
        self._say(_HINT)
        self.passage_chosen.emit(self.current())

    def _in_hand(self) -> Passage | None:
        """The passage in hand; where there is none, it is said what to do."""
        passage = self.current()
        without = _NONE_CHOSEN if self.list.count() else _NONE_THERE
        self._say(_HINT if passage is not None else without)
        return passage

    def _say(self, words: str) -> None:
        self._hint.setText(self.tr(words))
        self._fit()

    def _on_play(self) -> None:
        passage = self._in_hand()
        if passage is not None:
            self.play_asked.emit(passage)

    def _on_up(self) -> None:
        self._move(-1)

    def _on_down(self) -> None:
        self._move(1)

    def _move(self, by: int) -> None:
        if self._in_hand() is None:
            return
        row = self.list.currentRow()
        ordered = self._ordered()
        if row < 0 or not 0 <= row + by < len(ordered):
            return
        ordered[row], ordered[row + by] = ordered[row + by], ordered[row]
        self.order_asked.emit(ordered, self.tr("passage moved"))

    def _on_remove(self) -> None:
        doomed = self._in_hand()
        if doomed is not None:
            self.order_asked.emit([p for p in self._ordered() if p.id != doomed.id], self.tr("passage removed"))

    def _on_caption(self, item: QListWidgetItem) -> None:
        passage = self._passages.get(item.data(_ID))
        caption = item.text().strip()
        if self._filling or passage is None or caption == passage.caption:
            return
        changed = [replace(p, caption=caption) if p.id == passage.id else p for p in self._ordered()]
        self.order_asked.emit(changed, self.tr("caption changed"))


def _editable_item() -> QListWidgetItem:
    item = QListWidgetItem()
    item.setFlags(item.flags() | Qt.ItemFlag.ItemIsEditable)
    return item
