"""Evidence as buttons: each is a moment of a session, and plays there when it is pressed."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QGridLayout, QLabel, QPushButton, QWidget

from annotate.programme.work import Evidence

# So few moments have room for their words beside them.
_FEW = 2


class EvidenceButtons(QWidget):
    """`pressed(Evidence)`. Shows the first `most` moments and says how many more there are.

    `with_words`: says beside each what is there, where they are few.
    """

    pressed = Signal(object)

    def __init__(self, columns: int = 5, most: int = 10, *, with_words: bool = True) -> None:
        super().__init__()
        self._columns, self._most, self._with_words = columns, most, with_words
        self._moments: tuple[Evidence, ...] = ()
        self._shown: list[QWidget] = []
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setSpacing(4)
        self._grid.setColumnStretch(columns, 1)

    def show_moments(self, moments: Sequence[Evidence]) -> None:
        """Shows these in place of those that were there."""
        if tuple(moments) == self._moments:
            return
        self._moments = tuple(moments)
        for widget in self._shown:
            self._grid.removeWidget(widget)
            widget.hide()
            widget.deleteLater()
        self._shown = [self._button(moment) for moment in self._moments[: self._most]]
        if self._with_words and len(self._moments) <= _FEW:
            for row, moment in enumerate(self._moments):
                self._grid.addWidget(self._shown[row], row, 0)
                words = QLabel(moment.words)
                words.setProperty("quiet", True)
                self._grid.addWidget(words, row, 1, 1, self._columns)
                self._shown.append(words)
        else:
            if len(self._moments) > self._most:
                self._shown.append(QLabel(self.tr("and {count} more").format(count=len(self._moments) - self._most)))
            for place, widget in enumerate(self._shown):
                self._grid.addWidget(widget, *divmod(place, self._columns))
        self.setVisible(bool(self._shown))

    def _button(self, moment: Evidence) -> QPushButton:
        button = QPushButton(moment.place)
        button.setProperty("cap", True)
        button.setToolTip(moment.words)
        button.setAccessibleName(self.tr("Play {what}, {place}").format(what=moment.words, place=moment.place))
        button.clicked.connect(lambda: self.pressed.emit(moment))
        return button
