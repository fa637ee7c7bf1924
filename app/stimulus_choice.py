"""The list of stimuli on the tag card. Only what is chosen in the open list counts; other keys are the desk's."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import QKeyEvent

from app.choice_box import ChoiceBox

_OPENING = (Qt.Key.Key_Space, Qt.Key.Key_Up, Qt.Key.Key_Down)


class StimulusChoice(ChoiceBox):
    """`activated` when one was chosen; `put_away` when the list is closed again, with or without a choice.

    Closed, it opens at Space, Up or Down and leaves every other key to who is around it.
    """

    put_away = Signal()

    def __init__(self) -> None:
        super().__init__()
        self._is_watched = False

    def showPopup(self) -> None:
        if not self._is_watched:
            # The list itself is made when it is first needed. It also closes without `hidePopup`: at a click elsewhere.
            self._is_watched = True
            self.view().installEventFilter(self)
        super().showPopup()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.Hide:
            self.put_away.emit()
        return super().eventFilter(watched, event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in _OPENING and not event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier:
            self.showPopup()
        else:
            event.ignore()

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        event.ignore()
