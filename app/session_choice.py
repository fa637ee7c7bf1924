"""A list of sessions beside a picture: its keys choose in it, and every other key stays the page's."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QComboBox

from app.choice_box import ChoiceBox

_KEYS = Qt.Key
_CHOOSE = (_KEYS.Key_Up, _KEYS.Key_Down, _KEYS.Key_Home, _KEYS.Key_End, _KEYS.Key_PageUp, _KEYS.Key_PageDown)
_OPEN = (_KEYS.Key_Space,)
_LEAVE = (_KEYS.Key_Return, _KEYS.Key_Enter, _KEYS.Key_Escape)


class SessionChoice(ChoiceBox):
    """Tab comes to it. `left` by Return or Escape: the page has the keys again."""

    left = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToContents)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in _LEAVE:
            self.left.emit()
        elif event.key() in (*_CHOOSE, *_OPEN) and not event.modifiers():
            super().keyPressEvent(event)
        else:
            # A letter would look for a session that begins with it.
            event.ignore()
