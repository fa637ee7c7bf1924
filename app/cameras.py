"""Which camera's picture is shown where several filmed the same work. Its public method is a command of `app.keys`.

Tags lie on the session's clock: they do not change with the camera.
"""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QObject, Signal

from app.review import Review
from app.showing import Showing


class Cameras(QObject):
    """`said(words, is_trouble)` for the line of words."""

    said = Signal(str, bool)

    def __init__(
        self, review: Callable[[], Review | None], showing: Showing, parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self._review, self._showing = review, showing

    @property
    def words(self) -> str:
        """Which clip is seen, counted among its camera's, and which camera where there are several."""
        review = self._review()
        clip = self._showing.shown.clip if review is not None else None
        if review is None or clip is None:
            return ""
        session = review.session
        same = [one.id for one in session.clips if one.view == clip.view]
        number = same.index(clip.id) + 1 if clip.id in same else ""
        words = self.tr("clip {number}").format(number=number).strip()
        if len(session.views) < 2:
            return words
        return self.tr("camera {number}, {clip}").format(number=clip.view, clip=words)

    def other_camera(self) -> None:
        review = self._review()
        if review is None:
            return
        views = review.session.views
        if len(views) < 2:
            self.said.emit(self.tr("One camera filmed this session. Its record adds another one's clip."), False)
            return
        before = review.footage.view
        later = [view for view in views if view > before]
        view = later[0] if later else views[0]
        saw = review.session.clip_at(self._showing.instant_ns, before)
        self._showing.show_view(view)
        sees = review.session.clip_at(self._showing.instant_ns, view)
        if saw is not None and saw.view == view:
            words = self.tr("It stays camera {number}: camera {other} saw nothing here.")
            self.said.emit(words.format(number=view, other=before), False)
        elif sees is not None and sees.view == view:
            self.said.emit(self.tr("Camera {number}.").format(number=view), False)
        else:
            self.said.emit(self.tr("Camera {number} saw nothing here.").format(number=view), False)
