"""One line over the keys: the suggestion in hand in words, what was decided so far, and what the machine goes by.

It also asks, in place, where the camera stands. Its keys are told by the line of keys and answered by the desk.
"""

from __future__ import annotations

from typing import Literal

from PySide6.QtCore import QCoreApplication, Qt, Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QPushButton, QSizePolicy, QWidget

from annotate.motion.reins import INSIDE, OUTSIDE, Camera
from app.keys import CAMERA, COMMANDS, shown_key
from app.marked import QT_TRANSLATE_NOOP

Sensitivity = Literal["few", "some", "many"]
SENSITIVITIES: tuple[Sensitivity, ...] = ("few", "some", "many")
_SENSITIVITY_WORDS = {
    "few": QT_TRANSLATE_NOOP("suggestions", "few"),
    "some": QT_TRANSLATE_NOOP("suggestions", "some"),
    "many": QT_TRANSLATE_NOOP("suggestions", "many"),
}

_KEYS = {command.name: command.key for command in (*COMMANDS, *CAMERA)}


class SuggestionLine(QFrame):
    """`camera_told(outside or inside)` answers the question; the others are asked for by their buttons."""

    camera_told = Signal(str)
    sensitivity_asked = Signal()
    camera_asked = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("guide", True)
        self.setAccessibleName(self.tr("Suggestions"))
        self._words = QLabel()
        self._words.setTextFormat(Qt.TextFormat.PlainText)
        self._words.setAccessibleName(self.tr("The suggestion in hand"))
        self._words.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self._shares = QLabel()
        self._shares.setProperty("quiet", True)
        self._shares.setAccessibleName(self.tr("Decided so far"))
        self._sensitivity = self._button(self.sensitivity_asked.emit)
        self._camera = self._button(self.camera_asked.emit)
        self._answers = {
            OUTSIDE: self._button(lambda: self.camera_told.emit(OUTSIDE)),
            INSIDE: self._button(lambda: self.camera_told.emit(INSIDE)),
        }
        outside, inside = shown_key(_KEYS["camera_outside"]), shown_key(_KEYS["camera_inside"])
        self._answers[OUTSIDE].setText(self.tr("{key}  Outside the ring").format(key=outside))
        self._answers[INSIDE].setText(self.tr("{key}  Inside the ring").format(key=inside))
        row = QHBoxLayout(self)
        row.setContentsMargins(10, 2, 4, 2)
        row.addWidget(self._words, 1)
        for widget in (self._shares, *self._answers.values(), self._sensitivity, self._camera):
            row.addWidget(widget)
        self._asks = False
        self._show_parts()
        self.hide()

    def _button(self, does: object) -> QPushButton:
        button = QPushButton()
        button.setProperty("cap", True)
        button.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        button.clicked.connect(does)
        return button

    @property
    def asks(self) -> bool:
        """Whether it waits to be told where the camera stands."""
        return self._asks

    @property
    def words(self) -> str:
        """What it says."""
        return self._words.text()

    @property
    def decided(self) -> str:
        """What it says was decided."""
        return self._shares.text()

    def ask_camera(self) -> None:
        """Asks where the camera stands."""
        self._asks = True
        self._say(self.tr("Where does the camera stand? The rein is told from that. Esc: not now."))
        self._show_parts()
        self.show()

    def stop_asking(self) -> bool:
        """Asks no more; whether it did."""
        asked, self._asks = self._asks, False
        self._show_parts()
        return asked

    def tell(self, words: str, decided: str, sensitivity: Sensitivity, camera: Camera | None) -> None:
        """Says what is in hand and what the machine goes by."""
        if self._asks:
            return
        self._say(words)
        self._shares.setText(decided)
        self._sensitivity.setText(self.tr("Sudden moments: {many}").format(many=sensitivity_words(sensitivity)))
        self._sensitivity.setToolTip(_with_key(self.tr("Few, some or many"), "sudden_moments"))
        where = self.tr("inside") if camera == INSIDE else self.tr("outside")
        self._camera.setText(self.tr("Camera: {where}").format(where=where))
        self._camera.setToolTip(_with_key(self.tr("Outside or inside the ring"), "camera_stands"))
        self.show()

    def _say(self, words: str) -> None:
        self._words.setText(words)
        self._words.setToolTip(words)

    def _show_parts(self) -> None:
        for button in self._answers.values():
            button.setVisible(self._asks)
        for widget in (self._shares, self._sensitivity, self._camera):
            widget.setVisible(not self._asks)


def sensitivity_words(sensitivity: Sensitivity) -> str:
    """How many sudden moments are suggested, in the language of the window."""
    return QCoreApplication.translate("suggestions", _SENSITIVITY_WORDS[sensitivity])


def _with_key(words: str, name: str) -> str:
    return f"{words} ({shown_key(_KEYS[name])})"
