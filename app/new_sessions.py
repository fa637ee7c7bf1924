"""How sessions come into the barn one by one: clips are looked at beside the window, then it is asked what they are."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from annotate.errors import Trouble
from app.asking import ask_for_clips
from app.jobs import Jobs
from app.opening import Opening

if TYPE_CHECKING:
    from app.new_session import NewSession, NewSessionForm
    from store.rows import NewClip


class NewSessions(QObject):
    """`added(horse, session id)` once a session is kept; `said(words, is_trouble)`. The form goes into `forms`."""

    added = Signal(str, int)
    said = Signal(str, bool)

    def __init__(
        self,
        opening: Opening,
        jobs: Jobs,
        forms: QVBoxLayout,
        chosen_horse: Callable[[], str | None],
        page: QWidget,
    ) -> None:
        super().__init__(page)
        self._opening, self._jobs, self._forms, self._page = opening, jobs, forms, page
        self._chosen_horse = chosen_horse
        self._looked: Sequence[NewClip] = ()

    @cached_property
    def form(self) -> NewSessionForm:
        """Asks what a new session is."""
        from app.new_session import NewSessionForm

        form = NewSessionForm()
        form.hide()
        form.accepted.connect(self._on_form)
        form.dismissed.connect(self._dismiss_form)
        self._forms.addWidget(form)
        return form

    def ask_for_clips(self) -> None:
        """Asks for clips, then what session they are."""
        self.bring_in(ask_for_clips(self._page))

    def ask_blank(self) -> None:
        """Asks for a session without clips."""
        self._looked = ()
        self._ask([], 0, date.today())

    def bring_in(self, paths: Sequence[Path]) -> None:
        """Looks at clips beside the window, then asks what session they are."""
        if paths:
            from app.bringing_in import look_at_clips

            chosen = sorted(paths)
            self._jobs.start(
                self.tr("Looking at the clips"),
                lambda job: look_at_clips(chosen, on_progress=job.report, cancelled=job.is_cancelled),
                self._on_looked,
                lambda words: self.said.emit(words, True),
            )

    def _on_looked(self, clips: list[NewClip]) -> None:
        self._looked = clips
        recorded = [clip.facts.recorded_at for clip in clips if clip.facts.recorded_at is not None]
        day = min(recorded).astimezone().date() if recorded else date.today()
        length = sum(clip.facts.table.duration_ns for clip in clips)
        self._ask([clip.facts.path.name for clip in clips], length, day)

    def _ask(self, clips: Sequence[str], length_ns: int, day: date) -> None:
        names = [horse.name for horse in self._opening.barn.horses()]
        self.form.ask(names, self._chosen_horse() or "", clips, length_ns, day)

    def _dismiss_form(self) -> None:
        self._looked = ()
        self.form.hide()

    def _on_form(self, new: NewSession) -> None:
        from app.bringing_in import keep, placed_at_speed

        barn = self._opening.barn
        try:
            if self._looked:
                clips = placed_at_speed(self._looked, new.capture_speed)
                session_id = keep(barn, clips, horse=new.horse, day=new.day)
            else:
                session_id = barn.add_session(new.horse, new.day, length_ns=new.length_ns)
        except Trouble as trouble:
            self.form.say_wrong(str(trouble))
            return
        self._dismiss_form()
        self.added.emit(new.horse, session_id)
        words = self.tr("A session of {horse} was added. Open it by a double click or Return.")
        self.said.emit(words.format(horse=new.horse), False)
