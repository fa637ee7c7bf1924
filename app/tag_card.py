"""The tag in hand: what it is, and everything about it that can be corrected."""

from __future__ import annotations

from itertools import pairwise
from string import ascii_lowercase, digits
from typing import Any

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QGridLayout,
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
from app.elided import ElidedLabel
from app.look import scaled
from app.review import Review
from app.stimulus_choice import StimulusChoice

_MENU_KEYS = digits + ascii_lowercase
_LABEL_PX = 60  # at least: then the buttons of two rows stand below each other
_HEAD_PX = 170  # the room that a title and an instant are given where the severity stands beside them


class TagCard(QWidget):
    """`altered(fields)` asks for a change of the tag in hand; `deletion_asked` for its end."""

    altered = Signal(dict)
    deletion_asked = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._tag: Tag | None = None
        self._title = ElidedLabel()
        self._title.setProperty("large", True)
        self._times = QLabel()
        self._times.setProperty("quiet", True)
        degrees = [("0", None), ("1", 1), ("2", 2), ("3", 3), ("4", 4)]
        self._severity = self._choice(degrees, "severity", self.tr("severity"))
        self._side = self._choice(
            [("–", ""), (self.tr("left"), "left"), (self.tr("right"), "right")], "side", self.tr("side")
        )
        self.stimulus = StimulusChoice()
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
        self._side_row = self._row(self.tr("Side"), self._side)
        self._column = column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 4)
        column.setSpacing(4)
        self._head, self._beside = QHBoxLayout(), QHBoxLayout()
        column.addLayout(self._head)
        self._head.addWidget(self._title)
        self._head.addWidget(self._times, 1)
        self._head.addWidget(self._delete)
        column.addWidget(self._severity_row)
        column.addLayout(self._beside)
        self._beside.addWidget(self._side_row)
        self._beside.addWidget(self.stimulus, 1)
        column.addWidget(self.note)
        keys = (*self._severity, *self._side, self.stimulus, self.note, self._delete)
        for one, following in pairwise(keys):
            QWidget.setTabOrder(one, following)
        self._is_wide = False

    def fit_width(self, width: int) -> None:
        """Takes two rows instead of four where it is given a width in pixels that has room for that."""
        parts = (self._severity_row, self._delete)
        is_wide = sum(part.sizeHint().width() for part in parts) + scaled(_HEAD_PX) <= width
        if is_wide == self._is_wide:
            return
        self._is_wide = is_wide
        for part in (self._severity_row, self.note):
            for row in (self._column, self._head, self._beside):
                row.removeWidget(part)
        if is_wide:
            self._head.insertWidget(self._head.indexOf(self._delete), self._severity_row, 1)
            self._beside.addWidget(self.note, 2)
        else:
            self._column.insertWidget(self._column.indexOf(self._beside), self._severity_row)
            self._column.addWidget(self.note)

    def show_tag(self, tag: Tag | None, review: Review) -> None:
        """Shows a tag, or what to do where none is in hand."""
        self._tag = tag
        for part in (self._title, self._delete, self._side_row, self.stimulus, self.note):
            part.setVisible(tag is not None)
        if tag is None:
            self._severity_row.hide()
            self._times.setText(self.tr("No tag in hand: press a key, or click a tag."))
            return
        self._title.setText(title_of(review.sheet, tag))
        self._title.setToolTip(self._title.text())
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

    def _choice(self, options: list[tuple[str, Any]], field: str, title: str) -> list[QPushButton]:
        # Not a QButtonGroup: its arrows would change the tag at once, and Tab reaches only one of its buttons.
        group: list[QPushButton] = []
        for words, value in options:
            button = QPushButton(words)
            button.setCheckable(True)
            button.setProperty("cap", True)
            button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
            button.setAccessibleName(f"{title} {words}")
            button.setProperty("value", value)
            button.clicked.connect(self._on_choice)
            button.setProperty("field", field)
            group.append(button)
        return group

    def _row(self, words: str, group: list[QPushButton]) -> QWidget:
        row = QGridLayout()
        row.setSpacing(3)
        row.setContentsMargins(0, 0, 0, 0)
        row.setColumnMinimumWidth(0, _LABEL_PX)
        row.addWidget(QLabel(words), 0, 0)
        for place, button in enumerate(group, 1):
            row.addWidget(button, 0, place)
        row.setColumnStretch(len(group) + 1, 1)
        box = QWidget()
        box.setLayout(row)
        return box

    def _check(self, group: list[QPushButton], value: object) -> None:
        for button in group:
            button.setChecked(button.property("value") == value)

    def _on_choice(self) -> None:
        button = self.sender()
        if button is not None:
            self.altered.emit({button.property("field"): button.property("value")})

    def _on_stimulus(self) -> None:
        self.altered.emit({"stimulus": self.stimulus.currentData()})

    def _on_note(self) -> None:
        if self._tag is None or self.note.text() == self._tag.note:
            return
        note = self.note.text().strip()
        self.note.setText(note)
        if note != self._tag.note:
            self.altered.emit({"note": note})
