"""The form for a new session, in place on the barn page: for clips that were looked at, or for none."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from PySide6.QtCore import QDate, QLocale, Signal
from PySide6.QtWidgets import (
    QComboBox,
    QDateEdit,
    QFrame,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPushButton,
)

from annotate.clock import clock_text
from annotate.days import to_come
from annotate.errors import Trouble
from annotate.sessions import clean_name, parse_capture_speed, parse_length
from app.counted import Counted
from app.labels import plain_label


@dataclass(frozen=True, slots=True)
class NewSession:
    """What the form says. `length_ns` is 0 where clips give the length."""

    horse: str
    day: date
    capture_speed: Fraction
    length_ns: int


class NewSessionForm(QFrame):
    """`accepted(NewSession)` once what is written makes sense; `dismissed` otherwise."""

    accepted = Signal(object)
    dismissed = Signal()

    def __init__(self) -> None:
        super().__init__()
        self._with_clips = False
        self._doubted = ""
        self._head = QLabel()
        self.horse = QComboBox()
        self.horse.setEditable(True)
        self.horse.setAccessibleName(self.tr("Horse"))
        self.horse.setMinimumWidth(200)
        self.day = QDateEdit()
        self.day.setLocale(QLocale("en_GB"))
        self.day.setCalendarPopup(True)
        self.day.setDisplayFormat("d MMMM yyyy")
        self.day.setAccessibleName(self.tr("Day"))
        self.speed = QLineEdit("1")
        self.speed.setAccessibleName(self.tr("Capture speed"))
        self.speed.setToolTip(self.tr("Slow motion: 8, or 240/30, for a clip recorded at 240 and played at 30."))
        self.length = QLineEdit()
        self.length.setAccessibleName(self.tr("Length in seconds"))
        self._speed_label = QLabel(self.tr("Capture speed"))
        self._length_label = QLabel(self.tr("Length in seconds"))
        self._wrong = plain_label(warning=True)
        self.add = QPushButton(self.tr("Add session"))
        self.add.setProperty("main", True)
        self.add.clicked.connect(self._on_add)
        for line in (self.horse.lineEdit(), self.speed, self.length):
            if line is not None:
                line.returnPressed.connect(self._on_add)
        self.drop = QPushButton(self.tr("Not now"))
        self.drop.clicked.connect(self.dismissed)
        grid = QGridLayout(self)
        grid.addWidget(self._head, 0, 0, 1, 8)
        for column, (label, field) in enumerate(
            (
                (QLabel(self.tr("Horse")), self.horse),
                (QLabel(self.tr("Day")), self.day),
                (self._speed_label, self.speed),
                (self._length_label, self.length),
            )
        ):
            grid.addWidget(label, 1, 2 * column)
            grid.addWidget(field, 1, 2 * column + 1)
        buttons = QHBoxLayout()
        buttons.addWidget(self._wrong, 1)
        buttons.addWidget(self.drop)
        buttons.addWidget(self.add)
        grid.addLayout(buttons, 2, 0, 1, 8)

    def ask(self, horses: Sequence[str], horse: str, clips: Sequence[str], length_ns: int, day: date) -> None:
        """Asks for what a new session needs; `clips` are names, or none for a session without clips."""
        self._with_clips = bool(clips)
        if clips:
            names = ", ".join(clips[:3])
            if len(clips) > 3:
                more = Counted.tr("{names} and {count} more", "clips", len(clips) - 3)
                names = more.format(names=names)
            words = self.tr("New session from {clips}, {length} in all")
            self._head.setText(words.format(clips=names, length=clock_text(length_ns)))
        else:
            self._head.setText(self.tr("New session without clips"))
        self.horse.clear()
        self.horse.addItems(list(horses))
        self.horse.setCurrentText(horse)
        self.day.setDate(QDate(day.year, day.month, day.day))
        self.speed.setText("1")
        self.length.clear()
        for widget in (self._speed_label, self.speed):
            widget.setVisible(bool(clips))
        for widget in (self._length_label, self.length):
            widget.setVisible(not clips)
        self._wrong.clear()
        self._doubted = ""
        self.show()
        self.horse.setFocus()

    def _on_add(self) -> None:
        try:
            chosen = self.day.date()
            session = NewSession(
                clean_name(self.horse.currentText(), self.tr("The horse")),
                date(chosen.year(), chosen.month(), chosen.day()),
                parse_capture_speed(self.speed.text()) if self._with_clips else Fraction(1),
                0 if self._with_clips else parse_length(self.length.text()),
            )
        except Trouble as trouble:
            self.say_wrong(str(trouble))
            return
        doubt = to_come(session.day, date.today())
        if doubt and doubt != self._doubted:
            self._doubted = doubt
            again = self.tr("Press {button} again if that is right.").format(button=self.add.text())
            self.say_wrong(f"{doubt} {again}")
            return
        self.accepted.emit(session)

    def say_wrong(self, words: str) -> None:
        """Says what must be corrected."""
        self._wrong.setText(words)
