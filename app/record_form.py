"""A horse's or a session's record, edited in place on the barn page."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QComboBox, QFrame, QGridLayout, QHBoxLayout, QLabel, QLineEdit, QPushButton, QWidget

from annotate.errors import Trouble
from app.emptying import empty
from app.labels import plain_label

_COLUMNS = 3


@dataclass(frozen=True, slots=True)
class Field:
    """One line of a form. `choices` are offered beside what can be written."""

    name: str
    title: str
    text: str
    hint: str = ""
    choices: tuple[str, ...] = ()


Keep = Callable[[Mapping[str, str]], None]
Doubts = Callable[[Mapping[str, str]], str]
Action = tuple[str, Callable[[], None]]


class RecordForm(QFrame):
    """Asks for texts; `closed` when it is done or the person thinks better of it."""

    closed = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.fields: dict[str, QLineEdit] = {}
        self._keep: Keep = lambda texts: None
        self._doubts: Doubts = lambda texts: ""
        self._doubted = ""
        self._head = QLabel()
        self._grid = QGridLayout()
        self._wrong = plain_label(warning=True)
        self.keep = QPushButton(self.tr("Keep"))
        self.keep.setProperty("main", True)
        self.keep.clicked.connect(self._on_keep)
        self.drop = QPushButton(self.tr("Not now"))
        self.drop.clicked.connect(self._close)
        self._actions = QHBoxLayout()
        self._buttons: list[QPushButton] = []
        buttons = QHBoxLayout()
        buttons.addLayout(self._actions)
        buttons.addWidget(self._wrong, 1)
        buttons.addWidget(self.drop)
        buttons.addWidget(self.keep)
        whole = QGridLayout(self)
        whole.addWidget(self._head, 0, 0)
        whole.addLayout(self._grid, 1, 0)
        whole.addLayout(buttons, 2, 0)
        self.hide()

    def ask(
        self,
        head: str,
        fields: Sequence[Field],
        keep: Keep,
        actions: Sequence[Action] = (),
        doubts: Doubts = lambda texts: "",
    ) -> None:
        """Shows a record. `keep(texts by name)` may raise `Trouble`, which is said in the form.

        `doubts(texts)` is what makes one wonder, empty if nothing does: it is said once, and kept if asked again.
        """
        self._clear()
        self._keep, self._doubts, self._doubted = keep, doubts, ""
        self._head.setText(head)
        for number, field in enumerate(fields):
            row, column = divmod(number, _COLUMNS)
            label = QLabel(field.title)
            label.setProperty("quiet", True)
            widget, line = _line_for(field)
            line.returnPressed.connect(self._on_keep)
            self._grid.addWidget(label, row, 2 * column)
            self._grid.addWidget(widget, row, 2 * column + 1)
            self.fields[field.name] = line
        for words, act in actions:
            button = QPushButton(words)
            button.clicked.connect(lambda _=False, act=act: self._do(act))
            self._actions.addWidget(button)
            self._buttons.append(button)
        self.show()
        next(iter(self.fields.values())).setFocus()

    def _on_keep(self) -> None:
        texts = {name: line.text().strip() for name, line in self.fields.items()}
        doubt = self._doubts(texts)
        if doubt and doubt != self._doubted:
            self._doubted = doubt
            again = self.tr("Press Keep again if that is right.")
            self._wrong.setText(f"{doubt} {again}")
            return
        self._do(lambda: self._keep(texts))

    def _do(self, act: Callable[[], None]) -> None:
        try:
            act()
        except Trouble as trouble:
            self._wrong.setText(str(trouble))
            return
        self._close()

    def _close(self) -> None:
        self.hide()
        self.closed.emit()

    def _clear(self) -> None:
        self._wrong.clear()
        self.fields.clear()
        self._buttons.clear()
        for layout in (self._grid, self._actions):
            empty(layout)


def _line_for(field: Field) -> tuple[QWidget, QLineEdit]:
    """What is put into the form, and the line in it that is written to."""
    line = QLineEdit(field.text)
    widget: QWidget = line
    if field.choices:
        choice = QComboBox()
        choice.setEditable(True)
        choice.setLineEdit(line)
        choice.addItems(["", *field.choices])
        choice.setCurrentText(field.text)
        choice.setAccessibleName(field.title)
        widget = choice
    line.setAccessibleName(field.title)
    line.setPlaceholderText(field.hint)
    return widget, line
