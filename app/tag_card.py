"""The tag in hand: what it is, and everything about it that can be corrected."""

from __future__ import annotations

from string import ascii_lowercase, digits
from typing import Any

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QButtonGroup,
    QComboBox,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QMenu,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from annotate.behaviours import REACTION
from annotate.clock import clock_text
from annotate.rivals import group_of, title_of
from annotate.tags import Tag
from app.review import Review

_MENU_KEYS = digits + ascii_lowercase


class TagCard(QWidget):
    """`altered(fields)` asks for a change of the tag in hand; `deletion_asked` for its end."""

    altered = Signal(dict)
    deletion_asked = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._tag: Tag | None = None
        self._title = QLabel()
        self._title.setProperty("large", True)
        self._times = QLabel()
        self._times.setProperty("quiet", True)
        self._severity = self._choice([("0", None), ("1", 1), ("2", 2), ("3", 3), ("4", 4)], "severity")
        self._side = self._choice([("–", ""), ("left", "left"), ("right", "right")], "side")
        self.stimulus = QComboBox()
        self.stimulus.setAccessibleName(self.tr("Stimulus"))
        self.stimulus.activated.connect(self._on_stimulus)
        self.note = QLineEdit()
        self.note.setAccessibleName(self.tr("Note"))
        self.note.setMaxLength(2000)
        self.note.setPlaceholderText(self.tr("a note"))
        self.note.editingFinished.connect(self._on_note)
        self._delete = QPushButton(self.tr("Delete"))
        self._delete.clicked.connect(self.deletion_asked)
        self._severity_row = self._row(self.tr("Severity"), self._severity)
        side_row = QHBoxLayout()
        side_row.setContentsMargins(0, 0, 0, 0)
        side_row.addWidget(self._row(self.tr("Side"), self._side))
        side_row.addWidget(self.stimulus, 1)
        fields = QVBoxLayout()
        fields.setContentsMargins(0, 0, 0, 0)
        fields.setSpacing(4)
        fields.addWidget(self._severity_row)
        fields.addLayout(side_row)
        fields.addWidget(self.note)
        self._fields = QWidget()
        self._fields.setLayout(fields)
        head = QHBoxLayout()
        head.addWidget(self._title)
        head.addWidget(self._times, 1)
        head.addWidget(self._delete)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 4)
        column.setSpacing(4)
        column.addLayout(head)
        column.addWidget(self._fields)

    def show_tag(self, tag: Tag | None, review: Review) -> None:
        """Shows a tag, or what to do where none is in hand."""
        self._tag = tag
        self._fields.setVisible(tag is not None)
        self._delete.setVisible(tag is not None)
        if tag is None:
            self._title.setText("")
            self._times.setText(self.tr("No tag in hand: press a key, or click a tag."))
            return
        self._title.setText(title_of(review.sheet, tag))
        times = clock_text(tag.start_ns, decimals=2)
        if tag.end_ns is not None:
            end = "…" if tag.running else clock_text(tag.end_ns, decimals=2)
            times = self.tr("{start} to {end}").format(start=times, end=end)
        self._times.setText(times)
        is_reaction = group_of(review.sheet, tag) == REACTION
        self._severity_row.setVisible(is_reaction)
        self._check(self._severity, tag.severity)
        self._check(self._side, tag.side)
        self.stimulus.clear()
        self.stimulus.addItem(self.tr("no stimulus"), "")
        for word, title in review.stimuli():
            self.stimulus.addItem(title, word)
        self.stimulus.setCurrentIndex(max(self.stimulus.findData(tag.stimulus), 0))
        if self.note.text() != tag.note and not self.note.hasFocus():
            self.note.setText(tag.note)

    def offer_stimuli(self, review: Review) -> None:
        """Asks, in a menu with a key each, for the stimulus of the tag in hand."""
        menu = QMenu(self)
        for i, (word, title) in enumerate((("", self.tr("none")), *review.stimuli())):
            action = menu.addAction(f"&{_MENU_KEYS[i]}  {title}" if i < len(_MENU_KEYS) else title)
            action.triggered.connect(lambda _=False, word=word: self.altered.emit({"stimulus": word}))
        menu.aboutToHide.connect(menu.deleteLater)
        menu.popup(self.stimulus.mapToGlobal(self.stimulus.rect().bottomLeft()))

    def keep_note(self) -> None:
        """Takes in a note that is still being written, before another tag comes into hand."""
        if self.note.hasFocus():
            self.note.clearFocus()

    def _choice(self, options: list[tuple[str, Any]], field: str) -> QButtonGroup:
        group = QButtonGroup(self)
        for i, (words, value) in enumerate(options):
            button = QPushButton(words)
            button.setCheckable(True)
            button.setProperty("cap", True)
            button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
            button.setAccessibleName(f"{field} {words}")
            button.setProperty("value", value)
            button.clicked.connect(self._on_choice)
            button.setProperty("field", field)
            group.addButton(button, i)
        return group

    def _row(self, words: str, group: QButtonGroup) -> QWidget:
        row = QHBoxLayout()
        row.setSpacing(3)
        row.setContentsMargins(0, 0, 0, 0)
        label = QLabel(words)
        label.setFixedWidth(60)
        row.addWidget(label)
        for button in group.buttons():
            row.addWidget(button)
        row.addStretch(1)
        box = QWidget()
        box.setLayout(row)
        return box

    def _check(self, group: QButtonGroup, value: object) -> None:
        for button in group.buttons():
            button.setChecked(button.property("value") == value)

    def _on_choice(self) -> None:
        button = self.sender()
        if button is not None:
            self.altered.emit({button.property("field"): button.property("value")})

    def _on_stimulus(self) -> None:
        self.altered.emit({"stimulus": self.stimulus.currentData()})

    def _on_note(self) -> None:
        if self._tag is not None and self.note.text() != self._tag.note:
            self.altered.emit({"note": self.note.text()})
