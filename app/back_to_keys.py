"""Escape, and Return, in a field of the desk: what was written is taken in, and the keys are the desk's again."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QAbstractItemView, QWidget

_ENTER = (Qt.Key.Key_Return, Qt.Key.Key_Enter)


class BackToKeys(QObject):
    """Watches fields, and lists that know what to do with Return themselves."""

    def __init__(self, desk: QWidget, fields: tuple[QWidget, ...], lists: tuple[QWidget, ...]) -> None:
        super().__init__(desk)
        self._desk, self._lists = desk, lists
        for field in (*fields, *lists):
            field.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.KeyPress and isinstance(event, QKeyEvent):
            done = event.key() == Qt.Key.Key_Escape or (event.key() in _ENTER and watched not in self._lists)
            editing = isinstance(watched, QAbstractItemView) and watched.state() != watched.State.NoState
            if done and not editing:
                self._desk.setFocus()
                return True
        return super().eventFilter(watched, event)
