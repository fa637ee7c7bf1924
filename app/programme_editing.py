"""What is shown while the programme is edited: its steps, the words of one of them, and the numbers of its tables."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QCheckBox,
    QFormLayout,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from annotate.programme.reading import BOUNDS
from annotate.programme.steps import Limits, Programme, Step
from annotate.programme.wording import SETTINGS, Field
from annotate.programme.writing import NEW_CRITERIA
from app.choice_box import ChoiceBox
from app.criterion_row import NumberField
from app.emptying import empty


class StepsBar(QWidget):
    """Under the ladder: `step_asked(title)` for a new one; `moved(by)` and `taken_out` for the one in hand."""

    step_asked = Signal(str)
    moved = Signal(int)
    taken_out = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.title = QLineEdit()
        self.title.setPlaceholderText(self.tr("New step"))
        self.title.setAccessibleName(self.tr("New step"))
        self.title.setMaxLength(60)
        self.title.returnPressed.connect(self._ask)
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.addWidget(self.title, 0, 0, 1, 2)
        for place, (words, does) in enumerate(
            (
                (self.tr("Add"), self._ask),
                (self.tr("Earlier"), lambda: self.moved.emit(-1)),
                (self.tr("Later"), lambda: self.moved.emit(1)),
                (self.tr("Take out step"), self.taken_out.emit),
            )
        ):
            button = QPushButton(words)
            button.clicked.connect(lambda _, does=does: does())
            grid.addWidget(button, *((0, 2), (1, 0), (1, 1), (1, 2))[place])

    def _ask(self) -> None:
        title = " ".join(self.title.text().split())
        if title:
            self.title.clear()
            self.step_asked.emit(title)
        else:
            self.title.setFocus()


class StepWords(QWidget):
    """The words of a step: `altered(word, value)` when one is written; `criterion_asked(need)` for a new one."""

    altered = Signal(str, object)
    criterion_asked = Signal(str)

    def __init__(self) -> None:
        super().__init__()
        self._step: Step | None = None
        self.texts: dict[str, QLineEdit] = {}
        form = QFormLayout(self)
        form.setContentsMargins(0, 0, 0, 0)
        for word, words, most in (
            ("title", self.tr("Title"), 60),
            ("do", self.tr("What to do"), 300),
            ("caution", self.tr("Caution"), 200),
        ):
            field = QLineEdit()
            field.setAccessibleName(words)
            field.setMaxLength(most)
            field.editingFinished.connect(lambda word=word: self._write(word))
            self.texts[word] = field
            form.addRow(words, field)
        self.risky = QCheckBox(self.tr("Risky: the caution is shown, and what always holds"))
        self.risky.clicked.connect(lambda checked: self.altered.emit("risky", checked))
        form.addRow("", self.risky)
        self.need = ChoiceBox()
        self.need.setAccessibleName(self.tr("Kind of criterion"))
        for need, (words, _) in NEW_CRITERIA.items():
            self.need.addItem(words, need)
        add = QPushButton(self.tr("Add"))
        add.setAccessibleName(self.tr("Add criterion"))
        add.clicked.connect(lambda: self.criterion_asked.emit(self.need.currentData()))
        row = QHBoxLayout()
        row.addWidget(self.need)
        row.addWidget(add)
        row.addStretch(1)
        form.addRow(self.tr("New criterion"), row)

    def show_step(self, step: Step) -> None:
        """Shows the words of a step."""
        self._step = step
        for word, field in self.texts.items():
            field.setText(getattr(step, word))
        self.risky.setChecked(step.risky)

    def _write(self, word: str) -> None:
        text = " ".join(self.texts[word].text().split())
        if self._step is not None and text != getattr(self._step, word):
            self.altered.emit(word, text)


class SettingsForm(QWidget):
    """The numbers of the programme's tables: `altered(table, word, value)` when one is written."""

    altered = Signal(str, str, object)

    def __init__(self) -> None:
        super().__init__()
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 8, 0, 0)
        self.fields: dict[str, NumberField] = {}
        self._wrong = QLabel()
        self._wrong.setProperty("warning", True)

    def forget(self) -> None:
        """Makes the numbers anew when they are next shown."""
        empty(self._column, keep=self._wrong)
        self.fields = {}

    def show_programme(self, programme: Programme) -> None:
        """Shows the numbers as they are; those that are there already stay, so that one in hand is not lost."""
        values: Mapping[tuple[str, str], int] = {
            **{("limits", one.name): getattr(programme.limits, one.name) for one in fields(Limits)},
            ("saddling", "first"): programme.saddling.first,
        }
        if self.fields:
            return
        head = QLabel(self.tr("When something is worth a look, and saddling"))
        head.setProperty("quiet", True)
        self._column.addWidget(head)
        self._column.addWidget(self._wrong)
        self._wrong.hide()
        for (table, word), value in values.items():
            field = NumberField(Field(word, value, *BOUNDS[word]))
            field.setAccessibleName(f"{table} {word}")
            field.written.connect(lambda value, table=table, word=word: self._write(table, word, value))
            field.refused.connect(self._say_wrong)
            self.fields[word] = field
            line = QWidget()
            row = QHBoxLayout(line)
            row.setContentsMargins(0, 0, 0, 0)
            words = QLabel(SETTINGS[table, word])
            words.setWordWrap(True)
            row.addWidget(field, 0, Qt.AlignmentFlag.AlignLeft)
            row.addWidget(words, 1)
            self._column.addWidget(line)

    def _write(self, table: str, word: str, value: object) -> None:
        self._wrong.hide()
        self.altered.emit(table, word, value)

    def _say_wrong(self, words: str) -> None:
        self._wrong.setText(words)
        self._wrong.setVisible(bool(words))
