"""Which step of the programme each session of a horse was, to be chosen by the trainer."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QGridLayout, QLabel, QWidget

from annotate.programme.steps import Programme
from annotate.programme.work import Record, Work, day_text
from app.choice_box import ChoiceBox
from app.emptying import empty


class StepChoices(QWidget):
    """A line for each session, the latest first. `chosen(session id, step's key)`; the key is '' for none."""

    chosen = Signal(int, str)

    def __init__(self) -> None:
        super().__init__()
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setColumnStretch(2, 1)

    def show_record(self, record: Record, programme: Programme) -> None:
        """Shows the sessions of a horse in place of what was there."""
        empty(self._grid)
        if record.works:
            head = QLabel(self.tr("Sessions, and the step that each was"))
            head.setProperty("quiet", True)
            self._grid.addWidget(head, 0, 0, 1, 3)
        for place, work in enumerate(reversed(record.works), 1):
            self._grid.addWidget(QLabel(day_text(work)), place, 0)
            self._grid.addWidget(self._choice(work, programme), place, 1)

    def _choice(self, work: Work, programme: Programme) -> ChoiceBox:
        choice = ChoiceBox()
        choice.setAccessibleName(self.tr("Step of {day}").format(day=day_text(work)))
        choice.addItem(self.tr("none"), "")
        for step in programme.steps:
            choice.addItem(step.title, step.key)
        if choice.findData(work.step) < 0:
            choice.addItem(self.tr("{step} (not in the programme)").format(step=work.step), work.step)
        choice.setCurrentIndex(choice.findData(work.step))
        session_id = work.session.id
        choice.activated.connect(lambda _: self.chosen.emit(session_id, str(choice.currentData())))
        return choice
