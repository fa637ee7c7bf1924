"""Evidence as buttons: each is a moment of a session, and plays there when it is pressed.

They stand beside each other in as many lines as that takes, at any text size.
"""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QLabel, QPushButton, QWidget

from annotate.programme.work import Evidence
from app.counted import Counted
from app.flowing_left import FlowingLeft

# So few moments have room for their words beside them.
_FEW = 2


class EvidenceButtons(QWidget):
    """`pressed(Evidence)`. Shows the first `most` moments and says how many more there are.

    `with_words`: says beside each what is there, where they are few.
    """

    pressed = Signal(object)

    def __init__(self, most: int = 10, *, with_words: bool = True) -> None:
        super().__init__()
        self._most, self._with_words = most, with_words
        self._moments: tuple[Evidence, ...] = ()
        self._shown: list[QWidget] = []
        self._row = FlowingLeft(self)

    def show_moments(self, moments: Sequence[Evidence]) -> None:
        """Shows these in place of those that were there."""
        if tuple(moments) == self._moments:
            return
        self._moments = tuple(moments)
        for widget in self._shown:
            self._row.removeWidget(widget)
            widget.hide()
            widget.deleteLater()
        few = self._with_words and len(self._moments) <= _FEW
        self._shown = []
        for moment in self._moments[: self._most]:
            self._shown.append(self._button(moment))
            if few:
                words = QLabel(moment.words)
                words.setProperty("quiet", True)
                self._shown.append(words)
        if len(self._moments) > self._most:
            self._shown.append(QLabel(Counted.tr("and {count} more", "moments", len(self._moments) - self._most)))
        for widget in self._shown:
            self._row.addWidget(widget)
        self.setVisible(bool(self._shown))

    def _button(self, moment: Evidence) -> QPushButton:
        button = QPushButton(moment.place)
        button.setProperty("cap", True)
        button.setToolTip(moment.words)
        button.setAccessibleName(self.tr("Play {what}, {place}").format(what=moment.words, place=moment.place))
        button.clicked.connect(lambda: self.pressed.emit(moment))
        return button
