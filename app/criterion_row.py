"""One criterion on the programme page: its state by shape and word, its sentence with the numbers to edit,
what is missing, and the moments it rests on. While the programme is edited its words can be chosen, too.
"""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent, QKeySequence
from PySide6.QtWidgets import (
    QCheckBox,
    QFrame,
    QGridLayout,
    QLabel,
    QLineEdit,
    QPushButton,
    QWidget,
)

from annotate.behaviours import Sheet
from annotate.programme.finding import Finding
from annotate.programme.in_words import STATE_WORDS
from annotate.programme.wording import Choice, Clause, Field, Flag, parts
from app.choice_box import ChoiceBox
from app.evidence_buttons import EvidenceButtons
from app.flowing_left import FlowingLeft
from app.labels import plain_label
from app.look import scaled
from app.marked import QT_TRANSLATE_NOOP
from app.state_marks import StateMarks

_EITHER = {
    "rein": QT_TRANSLATE_NOOP("CriterionRow", "on either rein"),
    "side": QT_TRANSLATE_NOOP("CriterionRow", "on either side"),
    "tack": QT_TRANSLATE_NOOP("CriterionRow", "whatever it wears"),
}


class CriterionRow(QFrame):
    """`altered(criterion, word, value)` when a number or a word is written, None to leave it out;
    `taken_out(criterion)`; `moment_asked(Evidence)`.
    """

    altered = Signal(str, str, object)
    taken_out = Signal(str)
    moment_asked = Signal(object)

    def __init__(self, finding: Finding, sheet: Sheet, *, editing: bool = False) -> None:
        super().__init__()
        self.key = finding.criterion.key
        self.fields: dict[str, NumberField] = {}
        self.choices: dict[str, ChoiceBox] = {}
        self.flags: dict[str, QCheckBox] = {}
        self._mark = StateMarks()
        self._state = QLabel()
        self._state.setFixedWidth(scaled(64))
        self.wrong = plain_label()
        self.wrong.setProperty("warning", True)
        self.wrong.hide()
        self._missing = plain_label()
        self._evidence = EvidenceButtons()
        self._evidence.pressed.connect(self.moment_asked)
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 4, 0, 6)
        grid.setVerticalSpacing(3)
        grid.setColumnStretch(2, 1)
        grid.addWidget(self._mark, 0, 0)
        grid.addWidget(self._state, 0, 1)
        grid.addWidget(self._sentence(finding, sheet, editing), 0, 2)
        if editing:
            out = QPushButton(self.tr("Take out"))
            out.setAccessibleName(self.tr("Take out {criterion}").format(criterion=self.key))
            out.clicked.connect(lambda: self.taken_out.emit(self.key))
            grid.addWidget(out, 0, 3)
        for row, part in enumerate((self.wrong, self._missing, self._evidence), 1):
            grid.addWidget(part, row, 2)
        self.show_finding(finding)

    def show_finding(self, finding: Finding) -> None:
        """Shows what became of the criterion now."""
        self._mark.show_states([finding.state])
        self._state.setText(STATE_WORDS[finding.state])
        self._missing.setText(finding.missing)
        self._missing.setVisible(bool(finding.missing))
        self._evidence.show_moments(finding.evidence)

    def _sentence(self, finding: Finding, sheet: Sheet, editing: bool) -> QWidget:
        box = QWidget()
        row = FlowingLeft(box)
        pieces: list[str | Field | Choice | Flag] = []
        for piece in parts(finding.criterion, sheet):
            if isinstance(piece, Clause):
                pieces += piece.pieces if piece.said or editing else ()
            else:
                pieces.append(piece)
        for piece in pieces:
            widget = self._widget(piece, editing, is_first=row.count() == 0)
            if widget is not None:
                row.addWidget(widget)
        return box

    def _widget(self, piece: str | Field | Choice | Flag, editing: bool, *, is_first: bool) -> QWidget | None:
        if isinstance(piece, Field):
            return self._field(piece)
        if editing and isinstance(piece, Choice):
            return self._choice(piece)
        if editing and isinstance(piece, Flag):
            return self._flag(piece)
        words = piece if isinstance(piece, str) else piece.title
        if isinstance(piece, Flag) and not piece.value:
            words = ""
        words = words.strip(",;: ")
        return QLabel(words[:1].upper() + words[1:] if is_first else words) if words else None

    def _field(self, field: Field) -> QWidget:
        box = NumberField(field)
        box.setAccessibleName(f"{self.key} {field.word}")
        box.written.connect(lambda value: self._write(field.word, value))
        box.refused.connect(self.say_wrong)
        self.fields[field.word] = box
        return box

    def _choice(self, choice: Choice) -> QWidget:
        box = ChoiceBox()
        box.setAccessibleName(f"{self.key} {choice.word}")
        for value, title in choice.options:
            box.addItem(title.strip(", ") or self.tr(_EITHER.get(choice.word, "")), value)
        box.setCurrentIndex(box.findData(choice.value))
        box.activated.connect(lambda _: self._write(choice.word, box.currentData() or None))
        self.choices[choice.word] = box
        return box

    def _flag(self, flag: Flag) -> QWidget:
        box = QCheckBox(flag.title.strip(",; "))
        box.setAccessibleName(f"{self.key} {flag.word}")
        box.setChecked(flag.value)
        box.clicked.connect(lambda checked: self._write(flag.word, checked or None))
        self.flags[flag.word] = box
        return box

    def _write(self, word: str, value: object) -> None:
        self.wrong.hide()
        self.altered.emit(self.key, word, value)

    def say_wrong(self, words: str) -> None:
        """Says below the sentence what cannot be written; nothing takes the words away."""
        self.wrong.setText(words)
        self.wrong.setVisible(bool(words))


class NumberField(QLineEdit):
    """`written(value)` when another whole number within the bounds is entered, None where none is wanted.

    Anything else stays as it was typed and is told: `refused(words)`. Escape brings the number back.
    """

    written = Signal(object)
    refused = Signal(str)

    def __init__(self, field: Field) -> None:
        super().__init__("" if field.value is None else str(field.value))
        self._field = field
        self._value = field.value
        self._told = self.text()
        self.setFixedWidth(scaled(44))
        self.setMaxLength(9)
        self.setAlignment(Qt.AlignmentFlag.AlignRight)
        words = self.tr("{least} to {most}")
        if field.may_be_left_out:
            self.setPlaceholderText(self.tr("any"))
            words = self.tr("{least} to {most}, or nothing")
        bounds = words.format(least=field.low, most=field.high)
        self.setToolTip(self.tr("{bounds}; Return writes it to the programme").format(bounds=bounds))
        self._bounds = bounds
        self.editingFinished.connect(self._on_finished)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        kept = "" if self._value is None else str(self._value)
        if event.key() == Qt.Key.Key_Escape and self.text() != kept:
            self.setText(kept)
            self._told = kept
            self.refused.emit("")
        elif event.matches(QKeySequence.StandardKey.Undo) and self.text() == self._told:
            # Nothing was typed since it was written: what can be undone is the programme's change.
            event.ignore()
        else:
            super().keyPressEvent(event)

    def _on_finished(self) -> None:
        text = self.text().strip()
        if text == self._told:
            return
        self._told = text
        if not text and self._field.may_be_left_out:
            self._take(None)
        elif text.isdecimal() and self._field.low <= int(text) <= self._field.high:
            self._take(int(text))
        else:
            words = self.tr("Not written: {text}. It is a whole number from {bounds}.")
            self.refused.emit(words.format(text=text or self.tr("nothing"), bounds=self._bounds))

    def _take(self, value: int | None) -> None:
        self._value = value
        self.written.emit(value)
