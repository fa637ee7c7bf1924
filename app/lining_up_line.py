"""The line under two cameras' pictures by which they are lined up by hand, on a moment that both show."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QPushButton

from annotate.tags import FrameMark
from app.picture_side import PictureSide


class LiningUpLine(QFrame):
    """`asked` when both sides show the same moment. It is seen where they show two cameras of one session."""

    asked = Signal()

    def __init__(self) -> None:
        super().__init__()
        words = QLabel(
            self.tr(
                "Two cameras of one session. Press T, step each side alone until both show the same moment, "
                "such as a foot that lands, then:"
            )
        )
        words.setProperty("quiet", True)
        words.setWordWrap(True)
        self.button = QPushButton(self.tr("Both show the same moment"))
        self.button.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.button.setToolTip(self.tr("The second camera's clips are placed so that it is true (M)"))
        self.button.clicked.connect(self.asked)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.addWidget(words, 1)
        row.addWidget(self.button)
        self.hide()

    def look(self, first: PictureSide, second: PictureSide) -> None:
        """Shows itself where it is of use."""
        self.setVisible(frames_to_line_up(first, second) is not None)


def frames_to_line_up(first: PictureSide, second: PictureSide) -> tuple[FrameMark, FrameMark] | None:
    """The frames that are shown, of the camera that stays and of the one that moves; None where it is none of that."""
    if not (first.is_open and second.is_open) or first.session_id != second.session_id:
        return None
    one, two = first.showing.shown, second.showing.shown
    if one.clip is None or two.clip is None or one.clip.view == two.clip.view:
        return None
    stays, moves = sorted((one, two), key=lambda shown: shown.clip.view if shown.clip is not None else 0)
    marks = stays.moment.frame, moves.moment.frame
    return (marks[0], marks[1]) if marks[0] is not None and marks[1] is not None else None
