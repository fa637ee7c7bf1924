"""Two pictures beside each other, lined up on a moment of each and played together.

One side is in hand: it plays, and it is heard. The other is shown frame by frame where its own clock then
stands, so the two cannot drift apart. The page is made when it is asked for and gone when it is left, for it
holds two readers.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QComboBox, QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from annotate.abreast import LinedUp, Pair, Spot, pairs_of
from annotate.clock import NS_PER_S, clock_text, seconds
from annotate.days import day_text
from annotate.errors import Cancelled, Trouble
from annotate.sessions import Session
from annotate.tags import FrameMark
from app.camera_moves import CameraMoves
from app.flowing import Flowing
from app.jobs import Job, Jobs
from app.keys import TWO_PICTURES, command_title, key_name, shown_key
from app.lining_up_line import LiningUpLine, frames_to_line_up
from app.page import Page
from app.picture_side import PictureSide
from store.address import Place
from store.barn import Barn

_FAR_NS = 10 * NS_PER_S


@dataclass(frozen=True, slots=True)
class _Read:
    sessions: tuple[Session, ...]
    pairs: tuple[Pair, ...]


class TwoPictures(Page):
    """`closed` when it is done with; `said(words, is_trouble)` for the line of words.

    What is lined up by hand is noted in `moves`, from which it can be taken back.
    """

    own_keys = TWO_PICTURES

    def __init__(self, barn: Barn, jobs: Jobs, moves: CameraMoves, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._barn, self._jobs, self._moves = barn, jobs, moves
        self._reading: Job | None = None
        self._session_id: int | None = None
        self._cameras = False
        self._read: _Read | None = None
        self._lined_up = LinedUp()
        self.pairs: tuple[Pair, ...] = ()
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName(self.tr("Two pictures"))
        self.first = PictureSide(self.tr("Left picture"))
        self.second = PictureSide(self.tr("Right picture"))
        self.in_hand = self.first
        self.offers = QComboBox()
        self.offers.setAccessibleName(self.tr("Lined up on"))
        self.offers.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.offers.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToContents)
        self.offers.activated.connect(self._show_pair)
        self.together = QPushButton(self.tr("Together"))
        self.together.setCheckable(True)
        self.together.setChecked(True)
        self.together.setProperty("cap", True)
        self.together.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.together.setToolTip(
            self.tr("Off: move each side alone. On again: they are lined up as they stand.")
        )
        self.together.toggled.connect(self._on_together)
        self._play = QPushButton(self.tr("Play"))
        self._play.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._play.clicked.connect(self.play_or_pause)
        self._speed = QLabel()
        self._lay_out()
        for side in (self.first, self.second):
            self._connect(side)
        self.commands: dict[str, Callable[[], None]] = {
            command.key: getattr(self, command.name) for command in TWO_PICTURES
        }
        self._take(self.first)

    # -- opening and closing

    def open(self, horse: str, session_id: int | None = None, *, cameras: bool = False) -> None:
        """Offers what is worth comparing of a horse, first of all what has to do with one of its sessions.

        `cameras`: two cameras of that session, each to be moved alone, to line them up.
        """
        self._session_id, self._cameras = session_id, cameras
        place = self._barn.place
        self._reading = self._jobs.start(
            self.tr("Looking for moments"),
            lambda job: _read(place, horse, job),
            self._on_read,
            self._say_trouble,
        )

    def show_spots(self, first: Spot, second: Spot) -> None:
        """Shows two spots, lined up. Raises `Trouble` where the barn has none such."""
        self.pause()
        self.first.open(self._barn, first)
        self.second.open(self._barn, second)
        self._line_up(first.ns, second.ns)

    def close_down(self) -> None:
        """Lets go of everything; the page is done with."""
        if self._reading is not None:
            self._reading.cancel()
        for side in (self.first, self.second):
            side.close_down()

    def pause(self) -> None:
        """Stands still."""
        self.in_hand.showing.pause()

    # -- laying out

    def _lay_out(self) -> None:
        back = QPushButton(self.tr("Back"))
        back.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        back.clicked.connect(self.closed)
        title = QLabel(self.tr("Two pictures"))
        title.setProperty("large", True)
        top = QHBoxLayout()
        top.addWidget(title)
        top.addStretch(1)
        top.addWidget(QLabel(self.tr("Lined up on")))
        top.addWidget(self.offers)
        top.addWidget(self.together)
        top.addWidget(back)
        self.lining_up = LiningUpLine()
        self.lining_up.asked.connect(self.same_moment)
        sides = QHBoxLayout()
        sides.setSpacing(12)
        sides.addWidget(self.first, 1)
        sides.addWidget(self.second, 1)
        foot = QHBoxLayout()
        foot.addWidget(self._play)
        foot.addWidget(self._speed)
        foot.addLayout(_key_hints(), 1)
        column = QVBoxLayout(self)
        column.setContentsMargins(12, 10, 12, 4)
        column.setSpacing(6)
        column.addLayout(top)
        column.addLayout(sides, 1)
        column.addWidget(self.lining_up)
        column.addLayout(foot)

    def _connect(self, side: PictureSide) -> None:
        side.taken.connect(lambda: self._take(side))
        side.place_asked.connect(side.showing.go_to)
        side.play_asked.connect(self.play_or_pause)
        side.session_asked.connect(lambda session_id: self._choose_session(side, session_id))
        side.keys_left.connect(self.setFocus)
        side.said.connect(self.said)
        side.showing.moved.connect(lambda: self._on_moved(side))
        side.showing.playing_changed.connect(self._show_playing)

    # -- what is offered

    def _on_read(self, read: _Read) -> None:
        self._reading = None
        self._read, self.pairs = read, read.pairs
        names = {one.id: one.called for one in read.sessions}
        days = {one.id: day_text(one.day) for one in read.sessions}
        for side in (self.first, self.second):
            side.sessions.clear()
            for session in read.sessions:
                side.sessions.addItem(f"{days[session.id]}, {session.horse}", session.id)
                side.sessions.setItemData(
                    side.sessions.count() - 1, names[session.id], Qt.ItemDataRole.ToolTipRole
                )
        self.offers.clear()
        for pair in self.pairs:
            self.offers.addItem(self._words(pair, days))
        wanted = [pair for pair in self.pairs if not self._cameras or not pair.what]
        place = next((self.pairs.index(pair) for pair in wanted if self._session_id in _sessions_of(pair)), None)
        if place is None and self.pairs and self._session_id is None:
            place = 0
        if place is not None:
            self.offers.setCurrentIndex(place)
            self._show_pair(place)
            if self._cameras:
                self.together.setChecked(False)
        elif read.sessions:
            self.offers.setCurrentIndex(-1)
            last = self._session_id or read.sessions[-1].id
            self._try(lambda: self.show_spots(Spot(read.sessions[0].id, 0), Spot(last, 0)))
        else:
            self.said.emit(self.tr("There is no session to show yet."), False)

    def _words(self, pair: Pair, days: dict[int, str]) -> str:
        if not pair.what:
            return self.tr("two cameras, {day}").format(day=days[pair.first.session_id])
        return self.tr("{what}: first {first}, last {last}").format(
            what=pair.what, first=_told(pair.first, days), last=_told(pair.second, days)
        )

    def _show_pair(self, place: int) -> None:
        if 0 <= place < len(self.pairs):
            pair = self.pairs[place]
            self._try(lambda: self.show_spots(pair.first, pair.second))
        self.setFocus()

    def _choose_session(self, side: PictureSide, session_id: int) -> None:
        self.pause()
        self.offers.setCurrentIndex(-1)
        self._try(lambda: side.open(self._barn, Spot(session_id, 0)))
        if self.first.is_open and self.second.is_open:
            self._line_up(self.first.ns, self.second.ns)
        if not side.sessions.hasFocus():
            self.setFocus()

    # -- together

    def _line_up(self, first_ns: int, second_ns: int) -> None:
        self._lined_up = LinedUp(first_ns, second_ns)
        self.together.blockSignals(True)
        self.together.setChecked(True)
        self.together.blockSignals(False)

    def _on_together(self, together: bool) -> None:
        if together and self.first.is_open and self.second.is_open:
            self._line_up(self.first.ns, self.second.ns)
            self.offers.setCurrentIndex(-1)

    def _take(self, side: PictureSide) -> None:
        playing = self.in_hand.showing.is_playing
        if side is not self.in_hand:
            speed = self.in_hand.showing.speed
            self.in_hand.showing.pause()
            self.in_hand = side
            if side.is_open:
                side.steer()
                side.showing.set_speed(speed)
                if playing:
                    side.showing.play()
        for one in (self.first, self.second):
            one.set_in_hand(one is side)
        self._show_playing()

    def _on_moved(self, side: PictureSide) -> None:
        self.lining_up.look(self.first, self.second)
        if side is not self.in_hand:
            return
        side.led()
        if self.together.isChecked():
            if side is self.first:
                self.second.follow(self._lined_up.on_second(side.ns))
            else:
                self.first.follow(self._lined_up.on_first(side.ns))
        self._speed.setText(self.tr("{speed} x").format(speed=f"{side.showing.speed:g}"))

    def _show_playing(self) -> None:
        self._play.setText(self.tr("Pause") if self.in_hand.showing.is_playing else self.tr("Play"))

    # -- keys: every method is named after a command

    def keyPressEvent(self, event: QKeyEvent) -> None:
        command = self.commands.get(key_name(event.key(), event.modifiers(), event.text()))
        if command is not None and self.first.is_open and self.second.is_open:
            command()
        else:
            super().keyPressEvent(event)

    def play_or_pause(self) -> None:
        if not self.in_hand.is_open:
            return
        if self.in_hand.showing.is_playing:
            self.in_hand.showing.pause()
        else:
            self.in_hand.showing.play()

    def slower(self) -> None:
        self.in_hand.showing.change_speed(-1)

    def faster(self) -> None:
        self.in_hand.showing.change_speed(1)

    def usual_speed(self) -> None:
        self.in_hand.showing.set_speed(1.0)

    def frame_back(self) -> None:
        self.in_hand.showing.step(-1)

    def frame_on(self) -> None:
        self.in_hand.showing.step(1)

    def second_back(self) -> None:
        self.in_hand.showing.jump(-NS_PER_S)

    def second_on(self) -> None:
        self.in_hand.showing.jump(NS_PER_S)

    def far_back(self) -> None:
        self.in_hand.showing.jump(-_FAR_NS)

    def far_on(self) -> None:
        self.in_hand.showing.jump(_FAR_NS)

    def to_moment(self) -> None:
        lined_up = self._lined_up
        self.in_hand.showing.go_to(lined_up.first_ns if self.in_hand is self.first else lined_up.second_ns)

    def pair_before(self) -> None:
        self._step_pair(-1)

    def pair_after(self) -> None:
        self._step_pair(1)

    def _step_pair(self, by: int) -> None:
        if self.pairs:
            place = min(max(self.offers.currentIndex() + by, 0), len(self.pairs) - 1)
            self.offers.setCurrentIndex(place)
            self._show_pair(place)

    def take_left(self) -> None:
        self._take(self.first)

    def take_right(self) -> None:
        self._take(self.second)

    def same_moment(self) -> None:
        """Both sides show the same moment: the second camera is placed so that its clock says so, too."""
        marks, session_id = frames_to_line_up(self.first, self.second), self.first.session_id
        if marks is None or session_id is None:
            self.said.emit(self.tr("Show two cameras of one session first."), True)
            return
        self._try(lambda: self._line_up_cameras(session_id, *marks))

    def _line_up_cameras(self, session_id: int, stays: FrameMark, moves: FrameMark) -> None:
        self.pause()
        by_ns = self._moves.line_up(self._barn, session_id, stays, moves)
        self._show_again(session_id)
        words = self.tr("The second camera was moved by {time}. The two are lined up. {key} takes that back.")
        if not by_ns:
            words = self.tr("The two are lined up already.")
        self.said.emit(words.format(time=f"{seconds(by_ns):+.3f} s", key=shown_key(_UNDO_KEY)), False)

    def undo(self) -> None:
        """Takes back that the cameras shown were lined up, the latest time first."""
        self._back_or_forth(self._moves.take_back, self.tr("Nothing to undo."), self.tr("Undone: {what}"))

    def redo(self) -> None:
        self._back_or_forth(self._moves.do_again, self.tr("Nothing to do again."), self.tr("Done again: {what}"))

    def _back_or_forth(self, goes: Callable[[int], str | None], none: str, told: str) -> None:
        def go() -> None:
            session_id = self.first.session_id
            words = goes(session_id) if session_id is not None and session_id == self.second.session_id else None
            if session_id is not None and words is not None:
                self.pause()
                self._show_again(session_id)
                # As before they were lined up: each can be moved alone.
                self.together.setChecked(goes == self._moves.do_again)
            self.said.emit(none if words is None else told.format(what=words), False)

        self._try(go)

    def _show_again(self, session_id: int) -> None:
        """Shows the same two frames where their clips lie now."""
        session = self._barn.session(session_id)
        shown = [side.showing.shown for side in (self.first, self.second)]
        spots = []
        for one in shown:
            mark = one.moment.frame
            clip = session.clip(mark.clip) if mark is not None else None
            ns = clip.session_ns(mark.pts) if clip is not None and mark is not None else one.moment.ns
            same = [other.id for other in session.clips if clip is not None and other.view == clip.view]
            spots.append(Spot(session_id, ns, tuple(same)))
        self.show_spots(*spots)

    def move_together(self) -> None:
        self.together.toggle()

    def lines_closer(self) -> None:
        for side in (self.first, self.second):
            side.work_line.zoom_in()

    def lines_wider(self) -> None:
        for side in (self.first, self.second):
            side.work_line.zoom_out()

    def whole_lines(self) -> None:
        for side in (self.first, self.second):
            side.work_line.show_all()

    def _try(self, does: Callable[[], object]) -> None:
        try:
            does()
        except Trouble as trouble:
            self._say_trouble(str(trouble))

    def _say_trouble(self, words: str) -> None:
        self.said.emit(words, True)


_UNDO_KEY = next(one.key for one in TWO_PICTURES if one.name == "undo")
_HINTS = ("play_or_pause", "frame_back", "frame_on", "to_moment", "pair_after", "take_right", "move_together")


def _key_hints() -> Flowing:
    """The keys that are asked for most, in as many lines as that takes."""
    row = Flowing()
    for command in TWO_PICTURES:
        if command.name in _HINTS:
            hint = QLabel(f"{shown_key(command.key)}  {command_title(command)}")
            hint.setProperty("quiet", True)
            hint.setContentsMargins(6, 0, 0, 0)
            row.addWidget(hint)
    return row


def _sessions_of(pair: Pair) -> tuple[int, int]:
    return pair.first.session_id, pair.second.session_id


def _told(spot: Spot, days: dict[int, str]) -> str:
    return f"{days[spot.session_id]} {clock_text(spot.ns, decimals=0)}"


def _read(place: Place, horse: str, job: Job) -> _Read:
    with Barn.open(place) as barn:
        ids: Sequence[int] = [row.id for row in barn.sessions(horse)]
        works = []
        for done, session_id in enumerate(ids, 1):
            if job.is_cancelled():
                raise Cancelled
            works.append((barn.session(session_id), barn.tags(session_id)))
            job.report(done, len(ids))
        sessions = sorted((session for session, _ in works), key=lambda one: (one.day, one.number))
        return _Read(tuple(sessions), pairs_of(works, barn.sheet()))
