"""What the screen shows: one frame of the session, by playing, stepping or jumping.

`shown` changes only together with the picture, so that what is seen and what a tag stores are the same frame.
Where a step is still being read, further steps count from where the trainer wants to be.

A session without clips, and a clip that the player cannot show by its own times, run as on a watch: a timer
says how far it should be, and the pictures are read one by one, without sound.
"""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtCore import QElapsedTimer, QObject, QTimer, Signal
from PySide6.QtGui import QImage

from annotate.errors import Trouble
from annotate.footage import Footage, Shown
from annotate.kept_clips import KeptClip
from annotate.media.player_clock import player_has_times
from app.picture_fetcher import PictureFetcher
from app.player import SPEEDS, Player

_WATCH_TICK_MS = 20


class Showing(QObject):
    """Drives the player and the fetcher over one session's footage.

    `moved` when another frame is shown; `sent` before it goes to another place than playing on would bring it to.
    """

    moved = Signal()
    sent = Signal()
    picture = Signal(QImage)
    words = Signal(str)
    playing_changed = Signal()
    failed = Signal(str)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.speed = 1.0
        self.played_from_ns = 0
        self.player = Player(self)
        self._fetcher = PictureFetcher(self)
        self._footage: Footage | None = None
        self._clips: Mapping[int, KeptClip] = {}
        self._missing: frozenset[int] = frozenset()
        self._shown: Shown | None = None
        self._wanted: Shown | None = None
        self._turned: tuple[Shown, int] | None = None
        self._has_picture = False
        self._off_player: dict[int, bool] = {}
        self._watch = QTimer(self)
        self._watch.setInterval(_WATCH_TICK_MS)
        self._watch.timeout.connect(self._on_watch)
        self._watch_clock = QElapsedTimer()
        self._watch_from: Shown | None = None
        self.player.frame_shown.connect(self._on_played)
        self.player.reached_end.connect(self._on_clip_end)
        self.player.failed.connect(self._on_player_trouble)
        self._fetcher.fetched.connect(self._on_fetched)
        self._fetcher.failed.connect(self._on_fetch_trouble)

    def open(self, footage: Footage, clips: Mapping[int, KeptClip], at_ns: int = 0) -> None:
        """Shows a session from `at_ns` on."""
        self.pause()
        self.player.let_go()
        self._footage, self._clips = footage, clips
        self._missing = frozenset(clip.id for clip in clips.values() if clip.missing)
        self._off_player = {}
        self._shown = self._turned = None
        self._has_picture = False
        self.words.emit("")
        self._wanted = footage.at(at_ns)
        self._fetch(self._wanted, later=True)

    def rest(self) -> None:
        """Stands, and gives back what is kept of the clip: nobody looks at the session any more."""
        self.pause()
        self._fetcher.rest()

    def close(self) -> None:
        """Lets go of everything; the object is done with."""
        self.pause()
        self.player.close()
        self._fetcher.close()

    @property
    def shown(self) -> Shown:
        """The frame on the screen."""
        shown = self._shown or self._wanted
        if shown is None:
            raise RuntimeError("no session is open")
        return shown

    @property
    def instant_ns(self) -> int:
        """The instant of the session that is shown, or where it was sent to."""
        return (self._wanted or self.shown).moment.ns

    @property
    def has_picture(self) -> bool:
        """Whether the frame that is shown has its picture on the screen."""
        return self._has_picture

    @property
    def is_playing(self) -> bool:
        """Whether it plays."""
        return self.player.is_playing or self._watch.isActive()

    @property
    def is_at_end(self) -> bool:
        """Whether it stands, or was sent to stand, on the session's last frame."""
        at = self._wanted or self.shown
        return self._footage is not None and self._footage.step(at, 1) == at

    def play(self) -> None:
        """Plays on from where it was sent to; from the start of the session if that is the very end."""
        footage = self._footage
        if footage is None or self.is_playing:
            return
        start = self._wanted or self.shown
        if footage.step(start, 1) == start:
            start = footage.at(0)
        self._play_from(start)
        self.playing_changed.emit()

    def pause(self) -> None:
        """Stands on the shown frame, or where it was sent to while it played."""
        was_playing = self.is_playing
        self.player.pause()
        self._watch.stop()
        if was_playing:
            self.playing_changed.emit()
            if self._wanted is not None:
                self._fetch(self._wanted)

    def go_to(self, ns: int) -> None:
        """Shows the frame of an instant; goes on playing if it played."""
        self.sent.emit()
        if self._footage is not None:
            self._go(self._footage.at(ns))

    def show_view(self, view: int) -> None:
        """Shows another camera's picture of the same instant; goes on playing if it played."""
        footage, at = self._footage, self._wanted or self._shown
        if footage is None or at is None:
            return
        # Its frame begins a little earlier; back and forth must not walk backwards by that.
        ns = self._turned[1] if self._turned is not None and self._turned[0] == at else at.moment.ns
        footage.view = view
        to = footage.at(ns)
        self._turned = (to, ns)
        self._go(to)

    def step(self, by: int) -> None:
        """Stands, some frames on or back."""
        self.sent.emit()
        self.pause()
        if self._footage is not None:
            self._go(self._footage.step(self._wanted or self.shown, by))

    def jump(self, by_ns: int) -> None:
        """Moves by an amount of time."""
        self.sent.emit()
        self.go_to((self._wanted or self.shown).moment.ns + by_ns)

    def set_speed(self, speed: float) -> None:
        """Plays at another speed from now on."""
        self.speed = speed
        self.player.set_speed(speed)
        if self._watch.isActive():
            self._start_watch(self.shown)
        self.moved.emit()

    def change_speed(self, by: int) -> None:
        """The next faster (+1) or slower (-1) speed."""
        place = min(range(len(SPEEDS)), key=lambda i: abs(SPEEDS[i] - self.speed))
        self.set_speed(SPEEDS[min(max(place + by, 0), len(SPEEDS) - 1)])

    def set_volume(self, volume: float) -> None:
        """0 to 1."""
        self.player.set_volume(volume)

    def _go(self, to: Shown) -> None:
        playing = self.is_playing
        self._wanted = to
        if playing:
            self._play_from(to)
        else:
            self._fetch(to)

    def _play_from(self, start: Shown) -> None:
        self._wanted = start
        self.played_from_ns = start.moment.ns
        if start.clip is not None and self._is_gone(start.clip.id):
            self.player.pause()
            self._watch.stop()
            self._fetch(start)
            self.playing_changed.emit()
        elif start.clip is None or self._is_off_player(start.clip.id):
            self.player.pause()
            self._start_watch(start)
        else:
            self._watch.stop()
            self.player.play(self._clips[start.clip.id], start.number, self.speed)

    def _fetch(self, to: Shown, *, later: bool = False) -> None:
        if to.clip is None:
            self._show(to, None)
            self.words.emit(self.tr("This session has no clips. Play it as a watch and tag what you know of it."))
        elif to.clip.id in self._missing:
            self._show(to, None)
            clip = self._clips[to.clip.id]
            gone = self.tr(
                "{file} is not in {folder}.\nIts tags and numbers are still here. "
                "Lost clips… on the barn's page finds it again."
            )
            self.words.emit(gone.format(file=clip.path.name, folder=clip.path.parent))
        else:
            self._fetcher.fetch(self._clips[to.clip.id], to.number, later=later)

    def _show(self, shown: Shown, image: QImage | None) -> None:
        self._shown = shown
        self._has_picture = image is not None
        if image is not None:
            self.picture.emit(image)
        self.moved.emit()

    def _frame(self, clip_id: int, number: int) -> Shown | None:
        if self._footage is None or clip_id not in self._clips:
            return None
        return self._footage.frame(self._clips[clip_id].placed, number)

    def _on_played(self, clip_id: int, number: int, image: QImage) -> None:
        shown = self._frame(clip_id, number)
        if shown is not None and self.player.is_playing:
            instead = self._footage.instead(shown) if self._footage is not None else None
            self._wanted = shown
            self._show(shown, image)
            if instead is not None:
                self._play_from(instead)

    def _on_fetched(self, clip_id: int, number: int, image: QImage) -> None:
        shown = self._frame(clip_id, number)
        if shown is not None and not self.player.is_playing:
            self._show(shown, image)

    def _on_clip_end(self, clip_id: int) -> None:
        footage = self._footage
        clip = self._clips.get(clip_id)
        following = footage.after(clip.placed) if footage is not None and clip is not None else None
        if following is not None:
            self._play_from(following)
        else:
            if footage is not None and clip is not None:
                self._go(footage.frame(clip.placed, len(clip.table) - 1))
            self.playing_changed.emit()

    def _is_gone(self, clip_id: int) -> bool:
        if self._clips[clip_id].missing:
            self._missing |= {clip_id}
        return clip_id in self._missing

    def _is_off_player(self, clip_id: int) -> bool:
        if clip_id not in self._off_player:
            try:
                self._off_player[clip_id] = not player_has_times(self._clips[clip_id].facts)
            except Trouble as trouble:
                self.failed.emit(str(trouble))
                self._off_player[clip_id] = True
        return self._off_player[clip_id]

    def _start_watch(self, start: Shown) -> None:
        self._watch_from = start
        self._watch_clock.start()
        self._watch.start()
        self._fetch(start)

    def _on_watch(self) -> None:
        footage, start = self._footage, self._watch_from
        if footage is None or start is None:
            return
        slow = start.clip.capture_speed if start.clip is not None else 1
        passed = round(self._watch_clock.nsecsElapsed() * self.speed / float(slow))
        to = footage.at(start.moment.ns + passed)
        if footage.step(to, 1) == to:
            self._watch.stop()
            self._go(to)
            self.playing_changed.emit()
        elif to.clip is not None and start.clip is not None and to.clip.id != start.clip.id:
            self._play_from(to)
        elif to != self._wanted:
            self._wanted = to
            self._fetch(to)

    def _on_player_trouble(self, words: str) -> None:
        self.failed.emit(words)
        if self._wanted is not None and self._wanted.clip is not None:
            self._off_player[self._wanted.clip.id] = True
            self._play_from(self._wanted)

    def _on_fetch_trouble(self, clip_id: int, number: int, words: str) -> None:
        shown = self._frame(clip_id, number)
        if shown is None:
            return
        if self._is_gone(clip_id):
            self._stop_watch()
            self._fetch(shown)
        else:
            self._show(shown, None)
            self.words.emit(words)

    def _stop_watch(self) -> None:
        if self._watch.isActive():
            self._watch.stop()
            self.playing_changed.emit()
