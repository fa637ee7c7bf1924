"""The line under the picture: where it stands, how fast it plays, what holds there, and what has no gait yet."""

from __future__ import annotations

from collections.abc import Iterable

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QWidget

from annotate.behaviours import GAIT, REIN, SIGHT, Sheet
from annotate.clock import Spans, clock_text, seconds
from annotate.footage import Shown
from annotate.rivals import group_of, title_of
from annotate.tagging import Moment
from annotate.tags import Tag
from app.keys import COMMANDS, shown_key

_PLACE_PX, _APART_PX = 150, 12
_NEXT_KEY = next(command.key for command in COMMANDS if command.name == "next_untagged")


class UnderPicture(QWidget):
    """`play_asked`: play, or stand still."""

    play_asked = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._play = QPushButton(self.tr("Play"))
        self._play.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._play.clicked.connect(self.play_asked)
        self._place, self._speed, self._states, self._watched = (QLabel() for _ in range(4))
        self._place.setMinimumWidth(_PLACE_PX)
        self._untagged, self.frame = QLabel(), QLabel()
        self._untagged.setAccessibleName(self.tr("Untagged"))
        self._line = QHBoxLayout(self)
        self._line.setContentsMargins(0, 0, 0, 0)
        for part in (self._play, self._place, self._speed, self._states):
            self._line.addWidget(part)
        self._line.addStretch(1)
        self._line.addWidget(self._watched)
        for part in (self._untagged, self.frame):
            part.setProperty("quiet", True)
            self.add(part)

    def add(self, part: QWidget) -> None:
        """Puts something at the line's end."""
        self._line.addSpacing(_APART_PX)
        self._line.addWidget(part)

    def show_playing(self, playing: bool) -> None:
        """What the button does now."""
        self._play.setText(self.tr("Pause") if playing else self.tr("Play"))

    def show_place(self, shown: Shown, speed: float, lag_ns: int, clip: str) -> None:
        """Where it stands, how fast it plays, and which frame of which clip that is."""
        self._place.setText(clock_text(shown.moment.ns, decimals=2))
        words = self.tr("{speed} x, key lag of {lag} s taken out") if lag_ns else self.tr("{speed} x")
        self._speed.setText(words.format(speed=f"{speed:g}", lag=f"{seconds(lag_ns):.2f}"))
        frame = self.tr("{clip}, frame {number}") if shown.clip is not None else self.tr("no clip")
        self.frame.setText(frame.format(clip=clip, number=shown.number))

    def show_states(self, on: Iterable[Tag], sheet: Sheet, begun_at: Moment | None) -> None:
        """Which states hold, and where a passage was begun."""
        groups = {tag: group_of(sheet, tag) for tag in on}
        named = (GAIT, REIN, SIGHT)
        shown = [title_of(sheet, tag) for tag, group in groups.items() if group in named]
        words = ", ".join(shown) if shown else self.tr("untagged")
        if shown and not {GAIT, SIGHT} & set(groups.values()):
            words += self.tr(", no gait")
        if begun_at is not None:
            words += "   " + self.tr("passage from {start}").format(start=clock_text(begun_at.ns))
        self._states.setText(words)

    def show_watched(self, words: str) -> None:
        """What is out of the usual about how it is watched."""
        self._watched.setText(words)

    def show_untagged(self, stretches: Spans) -> None:
        """How much has no gait yet."""
        if not len(stretches):
            self._untagged.setText(self.tr("every stretch has a gait"))
            return
        words = self.tr("untagged {time} in {count}")
        time = clock_text(stretches.length_ns, decimals=0)
        self._untagged.setText(words.format(time=time, count=len(stretches)))
        self._untagged.setToolTip(self.tr("The next one: {key}").format(key=shown_key(_NEXT_KEY)))
