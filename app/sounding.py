"""The desk's sound: the strip under the work line, how loud it plays, and the keys of both.

Every public method without arguments is named after a command of `app.keys`.
"""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QObject, Signal

from app.jobs import Jobs
from app.review import Review
from app.showing import Showing
from app.sound_reading import SoundReading
from app.sound_strip import SoundStrip
from app.volume import STEP, Volume
from app.work_line_view import WorkLineView
from store.barn import Barn

_VOLUME, _STRIP = "desk.volume", "desk.sound_strip"


class Sounding(QObject):
    """Owns the strip and the volume; they are laid out by whoever shows them. `said(words, is_trouble)`."""

    said = Signal(str, bool)

    def __init__(
        self,
        review: Callable[[], Review | None],
        showing: Showing,
        work_line: WorkLineView,
        jobs: Jobs,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._review, self._showing = review, showing
        self._wanted = True
        self.strip = SoundStrip(work_line)
        self.volume = Volume()
        self.reading = SoundReading(jobs, self)
        self.reading.changed.connect(self._show)
        self.volume.changed.connect(showing.set_volume)
        self.strip.place_asked.connect(showing.go_to)
        showing.moved.connect(self._on_moved)
        showing.set_volume(self.volume.level)

    def open(self, barn: Barn, review: Review) -> None:
        """Takes up the sound of a session, and how loud it was left."""
        percent, _, muted = (barn.setting(_VOLUME) or "").partition(" ")
        if percent.isdigit():
            self.volume.set_level(int(percent), muted=muted == "muted")
        self._wanted = barn.setting(_STRIP) != "hidden"
        self.reading.read(list(review.clips.values()))
        self._show()

    def leave(self, barn: Barn) -> None:
        """Stops reading and keeps how loud it was left. Raises `Trouble`."""
        self.reading.stop()
        muted = " muted" if self.volume.is_muted else ""
        for key, value in (
            (_VOLUME, f"{self.volume.percent}{muted}"),
            (_STRIP, "shown" if self._wanted else "hidden"),
        ):
            if barn.setting(key) != value:
                barn.keep_setting(key, value)

    def mute(self) -> None:
        if self._is_heard():
            self.volume.toggle_mute()

    def louder(self) -> None:
        if self._is_heard():
            self.volume.turn(STEP)

    def quieter(self) -> None:
        if self._is_heard():
            self.volume.turn(-STEP)

    def sound_strip(self) -> None:
        if self._is_heard():
            self._wanted = not self._wanted
            self._show()

    def _is_heard(self) -> bool:
        """Whether the session has sound; said where it has none."""
        has_sound = self._has_sound
        if not has_sound:
            self.said.emit(self.tr("This session has no sound."), False)
        return has_sound

    @property
    def _has_sound(self) -> bool:
        review = self._review()
        return review is not None and any(clip.facts.sound is not None for clip in review.clips.values())

    def _show(self) -> None:
        review = self._review()
        if review is None:
            return
        self.strip.set_sound(review.session, self.reading.peaks, self.reading.words)
        self.strip.setVisible(self._has_sound and self._wanted)
        self.volume.setEnabled(self._has_sound)

    def _on_moved(self) -> None:
        self.strip.set_place(self._showing.shown.moment.ns)
