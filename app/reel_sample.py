"""A picture of the reel with what is drawn into it, made beside the window whenever that changes."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QImage

from annotate.deliver.cuts import cuts
from annotate.deliver.deliver import Wishes
from annotate.deliver.highlights import Material, highlights
from app.images import image_of
from app.jobs import Job, Jobs


class ReelSample(QObject):
    """`drawn(image)` when there is a picture, `said(words)` when it cannot be made."""

    drawn = Signal(QImage)
    said = Signal(str, bool)

    def __init__(self, jobs: Jobs, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._jobs = jobs
        self._job: Job | None = None
        self._shown: object = None
        self._waiting: tuple[Material, Wishes] | None = None

    def ask(self, material: Material, wishes: Wishes) -> None:
        """Draws it anew if something in it changed; the latest asking wins."""
        of = (material.session.id, material.passages[:1], material.tags, wishes)
        if of == self._shown:
            return
        if self._job is not None:
            self._waiting = (material, wishes)
            return
        self._shown, self._waiting = of, None
        self._job = self._jobs.start(
            self.tr("Drawing into the reel"), _drawing(material, wishes), self._on_drawn, self._on_trouble
        )
        self._job.ended.connect(self._on_ended)

    def _on_drawn(self, image: QImage) -> None:
        self.drawn.emit(image)

    def _on_trouble(self, words: str) -> None:
        self.said.emit(words, True)

    def _on_ended(self) -> None:
        self._job = None
        if self._waiting is not None:
            self.ask(*self._waiting)


def _drawing(material: Material, wishes: Wishes) -> Callable[[Job], QImage]:
    def draw(_: Job) -> QImage:
        # Loads the libraries of sound and of paper.
        from annotate.deliver.reel.drawing import drawn_in
        from annotate.deliver.reel.sample import sample

        drawn = drawn_in(material, captions=wishes.captions, line=wishes.work_line)
        picture = sample(cuts(material, highlights(material)), drawn)
        return image_of(picture) if picture is not None else QImage()

    return draw
