"""Asks once more, in place, before something is done that one may not have meant."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QPushButton

from app.by_name import set_by_name


class AskedOnceMore(QFrame):
    """A line with words, a way out and a button that does it. It is hidden until it asks."""

    def __init__(self) -> None:
        super().__init__()
        self._does: Callable[[], None] = lambda: None
        self._words = QLabel()
        self._words.setWordWrap(True)
        set_by_name(self._words, textFormat="PlainText")
        self.no = QPushButton(self.tr("Keep it"))
        self.no.clicked.connect(self.hide)
        self.yes = QPushButton(self.tr("Do it"))
        self.yes.clicked.connect(self._on_yes)
        row = QHBoxLayout(self)
        row.addWidget(self._words, 1)
        row.addWidget(self.no)
        row.addWidget(self.yes)
        self.hide()

    def ask(self, words: str, yes: str, does: Callable[[], None], no: str = "") -> None:
        """Asks; `does` is called if the answer is yes. `no` is the way out, 'Keep it' if nothing else is said."""
        self._words.setText(words)
        self.yes.setText(yes)
        self.no.setText(no or self.tr("Keep it"))
        self._does = does
        self.show()
        self.no.setFocus()

    def _on_yes(self) -> None:
        self.hide()
        self._does()
