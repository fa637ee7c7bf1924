"""One of two pictures: a session, or some of its clips, with its work line under it and its own clock."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QVBoxLayout, QWidget

from annotate.abreast import Spot, only_clips
from annotate.clock import clock_text
from annotate.following import Part
from annotate.footage import Footage
from app.look import scaled
from app.picture_view import PictureView
from app.session_choice import SessionChoice
from app.showing import Showing
from app.work_line import WorkLineWidget
from store.barn import Barn

_LINE_PX = 140


class PictureSide(QFrame):
    """`taken` when the hand goes to it; `place_asked(ns)`, `session_asked(id)`; `said(words, is_trouble)`.

    `keys_left` when the list of sessions is done with, and the keys are the page's again.
    """

    taken = Signal()
    play_asked = Signal()
    place_asked = Signal(object)
    session_asked = Signal(int)
    keys_left = Signal()
    said = Signal(str, bool)

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("side")
        self.setAccessibleName(name)
        self.showing = Showing(self)
        self.picture = PictureView()
        self.work_line = WorkLineWidget()
        self.sessions = SessionChoice()
        self.sessions.setAccessibleName(self.tr("Session of the {name}").format(name=name.lower()))
        self.sessions.left.connect(self.keys_left)
        self._mark = QLabel()
        self._place = QLabel()
        self._footage: Footage | None = None
        self._asked_ns = 0
        self._lay_out()
        self.showing.picture.connect(self.picture.show_image)
        self.showing.words.connect(self._show_words)
        self.showing.moved.connect(self._show_place)
        self.showing.failed.connect(lambda words: self.said.emit(words, True))
        self.picture.clicked.connect(self._on_clicked)
        self.picture.part_asked.connect(self.picture.set_part)
        self.work_line.place_asked.connect(self._on_place)
        self.sessions.activated.connect(lambda at: self.session_asked.emit(self.sessions.itemData(at)))

    def _lay_out(self) -> None:
        head = QHBoxLayout()
        head.addWidget(self._mark)
        head.addWidget(self.sessions)
        head.addStretch(1)
        head.addWidget(self._place)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        column.addLayout(head)
        column.addWidget(self.picture, 1)
        column.addWidget(self.work_line)

    def open(self, barn: Barn, spot: Spot) -> None:
        """Shows a session at a spot. Raises `Trouble` where the barn has none such."""
        session = only_clips(barn.session(spot.session_id), spot.clips)
        seen = {clip.id for clip in session.clips}
        clips = {clip.id: clip for clip in barn.clips(session.id) if clip.id in seen}
        self._footage = Footage(session, {clip.id: clip.table for clip in clips.values()})
        self.picture.set_part(Part())
        self.work_line.setFixedHeight(scaled(_LINE_PX))
        self.work_line.set_work(session, barn.tags(session.id), barn.passages(session.id), barn.sheet())
        self.work_line.show_all()
        self.sessions.setCurrentIndex(self.sessions.findData(session.id))
        self._asked_ns = spot.ns
        self.showing.open(self._footage, clips, spot.ns)

    @property
    def ns(self) -> int:
        """The instant that is shown."""
        return self.showing.shown.moment.ns

    @property
    def session_id(self) -> int | None:
        """The session that is shown."""
        return self._footage.session.id if self._footage is not None else None

    @property
    def is_open(self) -> bool:
        """Whether a session is shown."""
        return self._footage is not None

    @property
    def place_words(self) -> str:
        """Where it stands, in words."""
        return self._place.text()

    def follow(self, ns: int) -> None:
        """Shows an instant that the other clock gives; it may lie before the start or after the end."""
        footage = self._footage
        if footage is None:
            return
        before, self._asked_ns = footage.at(self._asked_ns), ns
        if footage.at(ns) != before or self.showing.shown != before:
            self.showing.go_to(ns)
        else:
            self._show_place()

    def set_in_hand(self, in_hand: bool) -> None:
        """Marks it as the side that is steered and heard, or not."""
        self._mark.setText("\N{BLACK RIGHT-POINTING TRIANGLE}" if in_hand else "")
        self._mark.setToolTip(self.tr("This side is steered and heard.") if in_hand else "")

    def close_down(self) -> None:
        """Lets go of everything; it is done with."""
        self.showing.close()

    def _show_words(self, words: str) -> None:
        """What is said in place of a picture; nothing is tagged here."""
        if words and self._footage is not None and not self._footage.session.clips:
            words = self.tr("This session has no clips, so there is no picture of it. Its work line is below.")
        self.picture.show_words(words)

    def _show_place(self) -> None:
        footage = self._footage
        if footage is None:
            return
        ns = self.ns
        words = clock_text(ns, decimals=2)
        if self._asked_ns < 0:
            words = self.tr("begins in {time}").format(time=clock_text(-self._asked_ns))
        elif self._asked_ns >= footage.session.end_ns:
            words = self.tr("over")
        self._place.setText(words)
        self.work_line.set_place(ns)
        self.work_line.keep_in_view(ns)

    def steer(self) -> None:
        """From now on its own clock leads."""
        self._asked_ns = self.ns

    def led(self) -> None:
        """Its own clock has moved it."""
        self._asked_ns = self.ns
        self._show_place()

    def _on_clicked(self) -> None:
        self.taken.emit()
        self.play_asked.emit()

    def _on_place(self, ns: int) -> None:
        self.taken.emit()
        self.place_asked.emit(ns)
