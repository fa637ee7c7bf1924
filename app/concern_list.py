"""What to look at first: each concern with what was seen, every moment that it rests on, and the caution."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from annotate.programme.cautions import PAIN
from annotate.programme.concerns import Concern
from app.emptying import empty
from app.evidence_buttons import EvidenceButtons
from app.labels import plain_label
from app.state_marks import WarningMark


class ConcernList(QWidget):
    """`moment_asked(Evidence)`. Shows at most `most` moments of each."""

    moment_asked = Signal(object)

    def __init__(self, most: int = 10) -> None:
        super().__init__()
        self._most = most
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(4)

    def show_concerns(self, concerns: Sequence[Concern], left_out: Sequence[str] = ()) -> None:
        """Shows these in place of what was there; `left_out` are sentences on sessions that cannot be read."""
        empty(self._column)
        if any(concern.pain for concern in concerns):
            self._column.addWidget(plain_label(PAIN, warning=True))
        for concern in concerns:
            self._column.addWidget(self._concern(concern))
        for words in left_out:
            self._column.addWidget(plain_label(words, warning=True))
        self.setVisible(bool(concerns or left_out))

    def _concern(self, concern: Concern) -> QWidget:
        head = QHBoxLayout()
        head.setSpacing(6)
        if concern.pain:
            head.addWidget(WarningMark(), 0, Qt.AlignmentFlag.AlignTop)
        words = plain_label(f"{concern.title}: {concern.words}")
        head.addWidget(words, 1)
        moments = EvidenceButtons(self._most, with_words=False)
        moments.show_moments(concern.evidence)
        moments.pressed.connect(self.moment_asked)
        box = QWidget()
        column = QVBoxLayout(box)
        column.setContentsMargins(0, 0, 0, 4)
        column.setSpacing(3)
        column.addLayout(head)
        column.addWidget(moments)
        return box
