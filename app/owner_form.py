"""What the trainer sets for an owner's page: passages, parts, words. It holds no barn and writes nothing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QListWidget,
    QListWidgetItem,
    QPlainTextEdit,
    QPushButton,
    QSpinBox,
    QVBoxLayout,
    QWidget,
)

from annotate.clock import NS_PER_S, clock_text
from annotate.deliver.page.choice import PARTS, Arrangement, Choice
from annotate.passages import Passage

_ID = Qt.ItemDataRole.UserRole


class OwnerForm(QWidget):
    """`changed` when anything but the passages is set; `passages_changed(list, words)` for those."""

    changed = Signal()
    passages_changed = Signal(list, str)
    story_asked = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._filling = False
        self._story = ""
        self._passages: dict[int, Passage] = {}
        self._left_out: set[int] = set()
        self.passages = QListWidget()
        self.passages.setAccessibleName("Passages for the owner")
        self.passages.setWordWrap(True)
        self.passages.setMinimumHeight(120)
        self.passages.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.passages.itemChanged.connect(self._on_item)
        self.lead_in = _seconds("Lead-in", 30)
        self.lead_out = _seconds("Lead-out", 30)
        self.fit = _seconds("All together at most", 3600)
        self.fit.setToolTip("What does not fit is left out, from the end of the list")
        self.fit.setSpecialValueText("any length")
        self.compare = QComboBox()
        self.compare.setAccessibleName("Compare with")
        self.parts = {part: QCheckBox(title) for part, title in PARTS.items()}
        self.heading = _line("Heading")
        self.words = _paragraphs("What was done, in plain words", 96)
        self.next_words = _paragraphs("What comes next", 48)
        self.signed = _line("Signed")
        self.length = QLabel()
        self.length.setProperty("quiet", True)
        self._lay_out()
        self._connect()

    # -- filling and reading

    def fill(self, arrangement: Arrangement, story: str, earlier: Sequence[tuple[int, str]]) -> None:
        """Shows an arrangement. `story`: the words that the tags make; `earlier`: what can be compared."""
        self._filling = True
        choice = arrangement.choice
        self.compare.clear()
        self.compare.addItem("no other session", None)
        for number, title in earlier:
            self.compare.addItem(title, number)
        self.compare.setCurrentIndex(max(0, self.compare.findData(arrangement.compared_with)))
        for part, box in self.parts.items():
            box.setChecked(choice.shows(part))
        for spin, ns in (
            (self.lead_in, arrangement.lead_in_ns),
            (self.lead_out, arrangement.lead_out_ns),
            (self.fit, arrangement.fit_ns or 0),
        ):
            spin.setValue(ns // NS_PER_S)
        self.heading.setText(choice.heading)
        self.next_words.setPlainText(choice.next_words)
        self.signed.setText(choice.signed)
        self._story = story
        self.words.setPlainText(story if choice.words is None else choice.words)
        self._left_out = set(arrangement.left_out)
        self._filling = False

    def show_passages(self, passages: Sequence[Passage]) -> None:
        """Shows the highlight list; what was left out stays unticked."""
        row = self.passages.currentRow()
        self._filling = True
        self._passages = {passage.id: passage for passage in passages}
        while self.passages.count() > len(passages):
            self.passages.takeItem(len(passages))
        while self.passages.count() < len(passages):
            self.passages.addItem(_passage_item())
        for place, passage in enumerate(passages):
            item = self.passages.item(place)
            item.setText(passage.caption or f"Passage {place + 1}")
            item.setToolTip(f"{clock_text(passage.start_ns)} to {clock_text(passage.end_ns)}")
            item.setData(_ID, passage.id)
            is_in = passage.id not in self._left_out
            item.setCheckState(Qt.CheckState.Checked if is_in else Qt.CheckState.Unchecked)
        self.passages.setCurrentRow(min(row, len(passages) - 1))
        self._filling = False

    def show_story(self, story: str) -> None:
        """Other tags or another session to compare with: words nobody changed follow."""
        if self.words.toPlainText() == self._story:
            self._filling = True
            self.words.setPlainText(story)
            self._filling = False
        self._story = story

    def arrangement(self) -> Arrangement:
        """What is set now."""
        words = self.words.toPlainText()
        fit = self.fit.value()
        return Arrangement(
            choice=Choice(
                parts=frozenset(part for part, box in self.parts.items() if box.isChecked()),
                heading=self.heading.text(),
                words=None if words == self._story else words,
                next_words=self.next_words.toPlainText(),
                signed=self.signed.text(),
            ),
            left_out=frozenset(self._left_out),
            lead_in_ns=self.lead_in.value() * NS_PER_S,
            lead_out_ns=self.lead_out.value() * NS_PER_S,
            fit_ns=fit * NS_PER_S if fit else None,
            compared_with=self.compare.currentData(),
        )

    # -- laying out

    def _lay_out(self) -> None:
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 6, 0)
        column.setSpacing(5)
        against = QHBoxLayout()
        against.addWidget(QLabel("Compare with"))
        against.addWidget(self.compare, 1)
        column.addLayout(against)
        grid = QGridLayout()
        grid.setVerticalSpacing(2)
        for place, box in enumerate(self.parts.values()):
            grid.addWidget(box, place // 2, place % 2)
        column.addLayout(grid)
        column.addWidget(self.passages, 1)
        row = QHBoxLayout()
        for words, by in (("Up", -1), ("Down", 1)):
            button = QPushButton(words)
            button.clicked.connect(lambda _=False, by=by: self._move(by))
            row.addWidget(button)
        row.addStretch(1)
        row.addWidget(self.length)
        column.addLayout(row)
        row = QHBoxLayout()
        for label, spin in (("Lead-in", self.lead_in), ("out", self.lead_out), ("in all", self.fit)):
            row.addWidget(QLabel(label))
            row.addWidget(spin, 1)
        column.addLayout(row)
        column.addWidget(self.heading)
        head = QHBoxLayout()
        head.addWidget(QLabel("In plain words"))
        head.addStretch(1)
        again = QPushButton("From the tags")
        again.setToolTip("Puts the words made from the tags in place of these")
        again.clicked.connect(self._on_again)
        head.addWidget(again)
        column.addLayout(head)
        column.addWidget(self.words, 1)
        column.addWidget(self.next_words)
        column.addWidget(self.signed)

    def _connect(self) -> None:
        for field in (self.heading, self.signed):
            field.textChanged.connect(self._on_changed)
        for text in (self.words, self.next_words):
            text.textChanged.connect(self._on_changed)
        for spin in (self.lead_in, self.lead_out, self.fit):
            spin.valueChanged.connect(self._on_changed)
        for box in self.parts.values():
            box.toggled.connect(self._on_changed)
        self.compare.currentIndexChanged.connect(self._on_changed)

    # -- what the hand does

    def _on_changed(self) -> None:
        if not self._filling:
            self.changed.emit()

    def _on_again(self) -> None:
        self.words.setPlainText(self._story)

    def _on_item(self, item: QListWidgetItem) -> None:
        passage = self._passages.get(item.data(_ID))
        if self._filling or passage is None:
            return
        is_in = item.checkState() == Qt.CheckState.Checked
        if is_in == (passage.id in self._left_out):
            self._left_out ^= {passage.id}
            self.changed.emit()
        caption = item.text().strip()
        if caption != passage.caption and (passage.caption or not _is_made_up(caption)):
            changed = [
                replace(one, caption=caption) if one.id == passage.id else one for one in self._ordered()
            ]
            self.passages_changed.emit(changed, "caption changed")

    def _move(self, by: int) -> None:
        row = self.passages.currentRow()
        ordered = self._ordered()
        if row < 0 or not 0 <= row + by < len(ordered):
            return
        ordered[row], ordered[row + by] = ordered[row + by], ordered[row]
        self.passages.setCurrentRow(row + by)
        self.passages_changed.emit(ordered, "passage moved")

    def _ordered(self) -> list[Passage]:
        return [self._passages[self.passages.item(i).data(_ID)] for i in range(self.passages.count())]


def _is_made_up(caption: str) -> bool:
    """Whether it is only what stands for an empty caption."""
    return caption.startswith("Passage ") and caption.removeprefix("Passage ").isdigit()


def _passage_item() -> QListWidgetItem:
    item = QListWidgetItem()
    item.setFlags(item.flags() | Qt.ItemFlag.ItemIsEditable | Qt.ItemFlag.ItemIsUserCheckable)
    return item


def _seconds(name: str, most: int) -> QSpinBox:
    box = QSpinBox()
    box.setRange(0, most)
    box.setSuffix(" s")
    box.setAccessibleName(name)
    box.setMinimumWidth(72)
    return box


def _line(name: str) -> QLineEdit:
    field = QLineEdit()
    field.setAccessibleName(name)
    field.setPlaceholderText(name)
    return field


def _paragraphs(name: str, height: int) -> QPlainTextEdit:
    field = QPlainTextEdit()
    field.setAccessibleName(name)
    field.setPlaceholderText(name)
    field.setTabChangesFocus(True)
    field.setMinimumHeight(height)
    if height < 60:
        field.setMaximumHeight(height)
    return field
