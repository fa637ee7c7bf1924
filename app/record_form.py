"""A horse's or a session's record, edited in place on the barn page."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QFrame, QGridLayout, QHBoxLayout, QLabel, QLineEdit, QPushButton

from annotate.errors import Trouble
from annotate.horses import Horse
from annotate.measures import born_field, height_field, parse_born, parse_height, parse_weight
from annotate.sessions import RECORD_WORDS, Session

_COLUMNS = 3


@dataclass(frozen=True, slots=True)
class Field:
    """One line of a form."""

    name: str
    title: str
    text: str
    hint: str = ""


Keep = Callable[[Mapping[str, str]], None]
Action = tuple[str, Callable[[], None]]


class RecordForm(QFrame):
    """Asks for texts; `closed` when it is done or the person thinks better of it."""

    closed = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.fields: dict[str, QLineEdit] = {}
        self._keep: Keep = lambda texts: None
        self._head = QLabel()
        self._grid = QGridLayout()
        self._wrong = QLabel()
        self._wrong.setProperty("warning", True)
        self._wrong.setWordWrap(True)
        self.keep = QPushButton("Keep")
        self.keep.setProperty("main", True)
        self.keep.clicked.connect(self._on_keep)
        self.drop = QPushButton("Not now")
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

    def ask(self, head: str, fields: Sequence[Field], keep: Keep, actions: Sequence[Action] = ()) -> None:
        """Shows a record. `keep(texts by name)` may raise `Trouble`, which is said in the form."""
        self._clear()
        self._keep = keep
        self._head.setText(head)
        for number, field in enumerate(fields):
            row, column = divmod(number, _COLUMNS)
            label = QLabel(field.title)
            label.setProperty("quiet", True)
            line = QLineEdit(field.text)
            line.setAccessibleName(field.title)
            line.setPlaceholderText(field.hint)
            line.returnPressed.connect(self._on_keep)
            self._grid.addWidget(label, row, 2 * column)
            self._grid.addWidget(line, row, 2 * column + 1)
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
            while (item := layout.takeAt(0)) is not None:
                if widget := item.widget():
                    widget.hide()
                    widget.deleteLater()


def horse_fields(horse: Horse) -> tuple[Field, ...]:
    """The lines of a horse's record."""
    return (
        Field("name", "Name", horse.name),
        Field("owner", "Owner", horse.owner),
        Field("sex", "Sex", horse.sex, "mare, filly, gelding, colt, stallion"),
        Field("colour", "Colour", horse.colour),
        Field("born", "Born", born_field(horse), "2023-04-01, 2023, or 3 years"),
        Field("height", "Height", height_field(horse.height_cm), "15.2, or 157 cm"),
        Field("hip_height", "Hip height", height_field(horse.hip_height_cm), "120 cm"),
        Field("weight", "Weight", f"{horse.weight_kg} kg" if horse.weight_kg else "", "420 kg, or 925 lb"),
        Field("note", "Note", horse.note),
    )


def changed_horse(horse: Horse, texts: Mapping[str, str], today: date) -> Horse:
    """The horse as the form has it. Raises `Trouble` for what no horse has."""
    born, year_only = parse_born(texts["born"], today)
    return replace(
        horse,
        name=texts["name"],
        owner=texts["owner"],
        sex=texts["sex"],
        colour=texts["colour"],
        born=born,
        year_only=year_only,
        height_cm=parse_height(texts["height"]),
        hip_height_cm=parse_height(texts["hip_height"]),
        weight_kg=parse_weight(texts["weight"]),
        note=texts["note"],
    )


def session_fields(session: Session) -> tuple[Field, ...]:
    """The lines of a session's record."""
    hints = {"pen": "round pen, 18 m", "footing": "sand, deep", "weather": "wind from the north"}
    words = [
        Field(name, title, session.details.get(name, ""), hints.get(name, ""))
        for name, title in RECORD_WORDS.items()
    ]
    return (Field("day", "Day", session.day.isoformat()), *words)
