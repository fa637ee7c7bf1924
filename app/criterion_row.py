"""One criterion on the programme page: its state by shape and word, its sentence with the numbers to edit,
what is missing, and the moments it rests on."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QFocusEvent, QIntValidator
from PySide6.QtWidgets import QFrame, QGridLayout, QHBoxLayout, QLabel, QLineEdit, QWidget

from annotate.behaviours import Sheet
from annotate.programme.finding import Finding
from annotate.programme.in_words import STATE_WORDS
from annotate.programme.wording import Field, parts
from app.evidence_buttons import EvidenceButtons
from app.state_marks import StateMarks


class CriterionRow(QFrame):
    """`altered(criterion, word, value)` when a number is written; `moment_asked(Evidence)`."""

    altered = Signal(str, str, int)
    moment_asked = Signal(object)

    def __init__(self, finding: Finding, sheet: Sheet) -> None:
        super().__init__()
        self.key = finding.criterion.key
        self.fields: dict[str, NumberField] = {}
        self._mark = StateMarks()
        self._state = QLabel()
        self._state.setFixedWidth(64)
        self._missing = QLabel()
        self._missing.setTextFormat(Qt.TextFormat.PlainText)
        self._missing.setWordWrap(True)
        self._evidence = EvidenceButtons()
        self._evidence.pressed.connect(self.moment_asked)
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 4, 0, 6)
        grid.setVerticalSpacing(3)
        grid.setColumnStretch(2, 1)
        grid.addWidget(self._mark, 0, 0)
        grid.addWidget(self._state, 0, 1)
        grid.addLayout(self._sentence(finding, sheet), 0, 2)
        grid.addWidget(self._missing, 1, 2)
        grid.addWidget(self._evidence, 2, 2)
        self.show_finding(finding)

    def show_finding(self, finding: Finding) -> None:
        """Shows what became of the criterion now."""
        self._mark.show_states([finding.state])
        self._state.setText(STATE_WORDS[finding.state])
        self._missing.setText(finding.missing)
        self._missing.setVisible(bool(finding.missing))
        self._evidence.show_moments(finding.evidence)

    def _sentence(self, finding: Finding, sheet: Sheet) -> QHBoxLayout:
        row = QHBoxLayout()
        row.setSpacing(5)
        for piece in parts(finding.criterion, sheet):
            row.addWidget(self._field(piece) if isinstance(piece, Field) else QLabel(piece.lstrip(", ")))
        row.addStretch(1)
        return row

    def _field(self, field: Field) -> QWidget:
        box = NumberField(field)
        box.setAccessibleName(f"{self.key} {field.word}")
        box.written.connect(lambda value: self.altered.emit(self.key, field.word, value))
        self.fields[field.word] = box
        return box


class NumberField(QLineEdit):
    """`written(value)` when another whole number within the bounds is entered; anything else is put back."""

    written = Signal(int)

    def __init__(self, field: Field) -> None:
        super().__init__(str(field.value))
        self._value = field.value
        self.setValidator(QIntValidator(field.low, field.high, self))
        self.setFixedWidth(44)
        self.setAlignment(Qt.AlignmentFlag.AlignRight)
        self.setToolTip(f"{field.low} to {field.high}; Return writes it to the programme")
        self.editingFinished.connect(self._on_finished)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        if not self.hasAcceptableInput():
            self.setText(str(self._value))

    def _on_finished(self) -> None:
        value = int(self.text())
        if value != self._value:
            self._value = value
            self.written.emit(value)
