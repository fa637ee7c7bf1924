"""Another camera's clip for a session that is there: chosen, then lined up in one of three ways, asked in place."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QPushButton, QVBoxLayout

from annotate.clock import clock_text
from annotate.days import day_text
from app.asking import ask_for_clips
from app.jobs import Job, Jobs
from app.keys import COMMANDS, shown_key
from app.labels import plain_label

if TYPE_CHECKING:
    from store.barn import Barn



class CameraForm(QFrame):
    """`added(session)` once the clip is there; `by_hand(session)` if the two pictures are to be lined up now."""

    added = Signal(int)
    by_hand = Signal(int)
    said = Signal(str, bool)

    def __init__(self, barn: Callable[[], Barn], jobs: Jobs) -> None:
        super().__init__()
        self._barn, self._jobs = barn, jobs
        self._session_id = 0
        self._clip = Path()
        self._head = QLabel()
        self._head.setWordWrap(True)
        self.time_button = QPushButton(self.tr("By the time of day"))
        self.time_button.clicked.connect(lambda: self._add("time"))
        self.sound_button = QPushButton(self.tr("By sound"))
        self.sound_button.setProperty("main", True)
        self.sound_button.clicked.connect(lambda: self._add("sound"))
        self.hand_button = QPushButton(self.tr("By hand"))
        self.hand_button.clicked.connect(lambda: self._add("hand"))
        self.drop = QPushButton(self.tr("Not now"))
        self.drop.clicked.connect(self.hide)
        self._wrong = plain_label(warning=True)
        buttons = QHBoxLayout()
        buttons.addWidget(self._wrong, 1)
        for button in (self.drop, self.time_button, self.hand_button, self.sound_button):
            buttons.addWidget(button)
        column = QVBoxLayout(self)
        column.addWidget(self._head)
        ways = self.tr(
            "By the time of day in the files, which is seldom true to the second. By what both microphones heard, "
            "which is true to a frame or two. By hand, on a moment that both pictures show, such as a foot that "
            "lands: best of all, and it can be done after either of the others."
        )
        column.addWidget(plain_label(ways, quiet=True))
        column.addLayout(buttons)
        self.hide()

    def ask(self, session_id: int) -> None:
        """Asks for the clip, then how it is lined up."""
        chosen = ask_for_clips(self)
        if not chosen:
            return
        session = self._barn().session(session_id)
        self._session_id, self._clip = session_id, chosen[0]
        self._head.setText(
            self.tr(
                "{file} shows the session of {day} from another side. How is it lined up with what is there?"
            ).format(file=chosen[0].name, day=day_text(session.day))
        )
        self._wrong.clear()
        self._allow(True)
        self.show()
        self.sound_button.setFocus()

    def _allow(self, allowed: bool) -> None:
        for button in (self.time_button, self.sound_button, self.hand_button):
            button.setEnabled(allowed)

    def _add(self, way: str) -> None:
        place, session_id, clip = self._barn().place, self._session_id, self._clip

        def work(job: Job) -> tuple[int, int]:
            from app.another_view import CommonFrame, add_view_by_frame, add_view_by_sound, add_view_by_time
            from store.barn import Barn

            with Barn.open(place) as barn:
                if way == "time":
                    added = add_view_by_time(barn, session_id, clip)
                elif way == "sound":
                    added = add_view_by_sound(barn, session_id, clip)
                else:
                    added = add_view_by_frame(barn, session_id, clip, CommonFrame(0, 0))
                placed = barn.session(session_id).clip(added)
                return placed.view, placed.starts_ns

        self._allow(False)
        self._wrong.clear()
        self._jobs.start(
            self.tr("Lining up another camera"),
            work,
            lambda told: self._on_added(session_id, way, *told),
            self._on_trouble,
        )

    def _on_added(self, session_id: int, way: str, view: int, starts_ns: int) -> None:
        self.hide()
        key = next(command.key for command in COMMANDS if command.name == "other_camera")
        begins = clock_text(starts_ns, decimals=2)
        words = self.tr("Camera {number} begins at {begins}. On the desk {key} shows the other camera.")
        self.said.emit(words.format(number=view, begins=begins, key=shown_key(key)), False)
        self.added.emit(session_id)
        if way == "hand":
            self.by_hand.emit(session_id)

    def _on_trouble(self, words: str) -> None:
        self._allow(True)
        self._wrong.setText(words)
