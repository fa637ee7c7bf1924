"""The machine's look at a session: asked for by a key, told clip by clip, kept with the clips.

Its public methods without arguments are commands of `app.keys`. What becomes of what it suggests is
`app.suggesting`'s.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from PySide6.QtCore import QObject, Signal

from annotate.errors import Trouble
from annotate.following import Place
from annotate.motion.proposals import Asked
from annotate.motion.reins import INSIDE, OUTSIDE, Camera
from annotate.motion.suggestions import Pointed
from app.clip_watching import ClipWatching
from app.jobs import Jobs
from app.keys import CAMERA as CAMERA_COMMANDS
from app.keys import COMMANDS, shown_key
from app.review import Review
from app.showing import Showing
from app.suggestion_line import SENSITIVITIES, Sensitivity, SuggestionLine, sensitivity_words
from app.watched import CAMERA, Suggested, camera_of
from store.barn import Barn

_SHOWN, _SENSITIVITY = "desk.suggestions.{}", "desk.sudden_moments"
_HOW_MANY: dict[Sensitivity, float] = {"few": 0.2, "some": 0.5, "many": 0.8}
_KEY = next(command.key for command in COMMANDS if command.name == "suggest")
_ANSWERS: dict[str, Camera] = {
    command.key: INSIDE if command.name == "camera_inside" else OUTSIDE for command in CAMERA_COMMANDS
}


class MachineLook(QObject):
    """`said(words, is_trouble)`; `changed` when there is something else to show; `told` is what there is.

    `barn` is None where nothing may be suggested: a second look is blind.
    """

    said = Signal(str, bool)
    changed = Signal()

    def __init__(
        self,
        review: Callable[[], Review | None],
        showing: Showing,
        line: SuggestionLine,
        jobs: Jobs,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._review, self._showing, self._line = review, showing, line
        self.barn: Barn | None = None
        self.is_shown = False
        self.sensitivity: Sensitivity = "some"
        self.told = Suggested()
        self._is_stale = False
        self.watching, self.telling = ClipWatching(jobs, self), ClipWatching(jobs, self)
        for part in (self.watching, self.telling):
            part.came.connect(self._on_came)
            part.failed.connect(self._say_trouble)
        self.watching.ended.connect(self.tell_anew)
        self.telling.ended.connect(self._on_told)
        line.camera_told.connect(self._take_camera)
        line.camera_asked.connect(self.camera_stands)
        line.sensitivity_asked.connect(self.sudden_moments)

    def open(self, barn: Barn, session_id: int) -> None:
        """Takes up a session; what was shown when it was left is shown again."""
        self.barn = barn
        kept = barn.setting(_SENSITIVITY)
        self.sensitivity = kept if kept in SENSITIVITIES else "some"
        self.is_shown = barn.setting(_SHOWN.format(session_id)) == "shown"
        self.tell_anew()

    def leave(self) -> None:
        """Lets go of the session; clips that are being watched are watched to their end."""
        self.barn, self.is_shown, self.told = None, False, Suggested()
        self._line.stop_asking()

    def ready(self) -> Review | None:
        """The session, where something may be suggested."""
        review = self._review()
        if review is not None and self.barn is None:
            self._say_trouble(self.tr("A second look is blind: nothing is suggested here."))
            return None
        return review

    @property
    def session_id(self) -> int | None:
        """The session that is looked at."""
        review = self._review()
        return review.session.id if review is not None and self.barn is not None else None

    # -- commands

    def suggest(self) -> None:
        review = self.ready()
        if review is None:
            return
        if not review.clips:
            self._say_trouble(self.tr("The session has no clips: there is nothing to look at."))
        elif self.watching.is_running:
            self._say_trouble(self.tr("Clips are being watched. Cancel at the foot of the window stops it."))
        elif self.is_shown and self.told.watched and not self.told.unwatched:
            self._show(False)
        elif camera_of(review.session) is None:
            self._line.ask_camera()
        else:
            self._watch()

    def camera_stands(self) -> None:
        if self.ready() is not None:
            self._line.ask_camera()

    def sudden_moments(self) -> None:
        barn = self.barn
        if self.ready() is None or barn is None:
            return
        place = SENSITIVITIES.index(self.sensitivity) + 1
        self.sensitivity = SENSITIVITIES[place % len(SENSITIVITIES)]
        self._attempt(lambda: barn.keep_setting(_SENSITIVITY, self.sensitivity))
        self.said.emit(self.tr("Sudden moments: {many}.").format(many=sensitivity_words(self.sensitivity)), False)
        self.tell_anew()

    def tell_anew(self) -> None:
        """Works out once more what is suggested by the clips that were watched, by the tags there are now."""
        review, barn = self._review(), self.barn
        if review is None or barn is None or not self.is_shown:
            return
        self._is_stale = self.telling.is_running
        if not self._is_stale:
            self.telling.start(barn, review.session.id, self._asked, anew=False)
        self.changed.emit()

    def answer(self, key: str) -> bool:
        """Takes a key as the answer to where the camera stands; whether it was asked for."""
        if self._line.asks and key in _ANSWERS:
            self._take_camera(_ANSWERS[key])
            return True
        return False

    def point(self, place: Place) -> None:
        """The trainer says where the horse is in the frame that is shown."""
        review, barn = self.ready(), self.barn
        frame = self._showing.shown.moment.frame if review is not None else None
        if review is None or barn is None or frame is None:
            return
        clip = review.clips[frame.clip]
        if self._attempt(lambda: barn.point(clip, Pointed(frame.pts, *place))):
            self.told = replace(self.told, unwatched=self.told.unwatched | {clip.id})
            words = self.tr("Kept: here is the horse. {key} has the clip watched again with this help.")
            self.said.emit(words.format(key=shown_key(_KEY)), False)

    # -- within

    def _take_camera(self, where: str) -> None:
        review = self._review()
        self._line.stop_asking()
        if review is not None and self._attempt(lambda: review.keep_ground({CAMERA: where})):
            self._watch()

    def _show(self, shown: bool) -> None:
        review, barn = self._review(), self.barn
        if review is not None and barn is not None:
            self.is_shown = shown
            key = _SHOWN.format(review.session.id)
            self._attempt(lambda: barn.keep_setting(key, "shown" if shown else None))
            self.changed.emit()

    def _watch(self) -> None:
        """Shows what was watched at once, and has the rest watched."""
        review, barn = self._review(), self.barn
        if review is None or barn is None:
            return
        if self.watching.is_running:
            self._show(True)
            self.tell_anew()
        else:
            self.watching.start(barn, review.session.id, self._asked, anew=True)
            self._show(True)

    def _on_told(self) -> None:
        if self._is_stale:
            self.tell_anew()

    def _on_came(self, session_id: int, told: Suggested) -> None:
        if session_id == self.session_id:
            self.told = told
            self.changed.emit()

    def _asked(self) -> Asked:
        review = self._review()
        camera = camera_of(review.session) if review is not None else None
        return Asked(camera or OUTSIDE, _HOW_MANY[self.sensitivity])

    def _attempt(self, does: Callable[[], object]) -> bool:
        try:
            does()
        except Trouble as trouble:
            self._say_trouble(str(trouble))
            return False
        return True

    def _say_trouble(self, words: str) -> None:
        self.said.emit(words, True)
