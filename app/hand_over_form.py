"""Handing a horse over: what goes along, asked in place on the barn's page, and written beside the window."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QCheckBox, QFrame, QHBoxLayout, QLabel, QPushButton, QVBoxLayout

from app.asking import ask_where_to_write
from app.counted import Counted
from app.jobs import Job, Jobs
from app.labels import plain_label
from store.wanted import WantedSessions

if TYPE_CHECKING:
    from store.barn import Barn



class HandOverForm(QFrame):
    """`said(words, is_trouble)`; it is hidden until it asks."""

    said = Signal(str, bool)

    def __init__(self, barn: Callable[[], Barn], jobs: Jobs) -> None:
        super().__init__()
        self._barn, self._jobs = barn, jobs
        self._horse = ""
        self._head = QLabel()
        self._words = plain_label(quiet=True)
        self.with_clips = QCheckBox(self.tr("With the clips"))
        self.write_button = QPushButton(self.tr("Write the file…"))
        self.write_button.setProperty("main", True)
        self.write_button.clicked.connect(self._write)
        self.drop = QPushButton(self.tr("Not now"))
        self.drop.clicked.connect(self.hide)
        buttons = QHBoxLayout()
        buttons.addWidget(self.with_clips, 1)
        for button in (self.drop, self.write_button):
            buttons.addWidget(button)
        column = QVBoxLayout(self)
        column.addWidget(self._head)
        column.addWidget(self._words)
        column.addLayout(buttons)
        self.hide()

    def ask(self, horse: str) -> None:
        """Asks how a horse is handed over."""
        barn = self._barn()
        known = barn.horse(horse)
        wanted = WantedSessions(known.id, where=None)
        sessions = [one for one in barn.find_sessions(wanted) if one.where != "bin"]
        clips = [clip for one in sessions if one.clips for clip in barn.clips(one.id)]
        lost = sum(clip.missing for clip in clips)
        self._horse = known.name
        self._head.setText(self.tr("Hand over {horse}").format(horse=known.name))
        words = self.tr(
            "One file with {sessions}, {tags}, the passages, the second looks, the record and its owner. "
            "Another barn takes it in. Nothing is taken away here; what lies in the bin stays."
        )
        tags = Counted.tr("{count} tag|{count} tags", "", sum(one.tags for one in sessions))
        work = Counted.tr("{count} session|{count} sessions", "", len(sessions))
        self._words.setText(words.format(sessions=work, tags=tags))
        size = sum(clip.size for clip in clips)
        along = Counted.tr("With {count} clip, {size} MB|With {count} clips, {size} MB", "", len(clips))
        self.with_clips.setText(along.format(size=f"{size / 1e6:.0f}"))
        self.with_clips.setChecked(False)
        self.with_clips.setVisible(bool(clips))
        self.with_clips.setEnabled(not lost)
        first = Counted.tr(
            "{count} clip of them must be found first: Lost clips…|"
            "{count} clips of them must be found first: Lost clips…",
            "",
            lost,
        )
        self.with_clips.setToolTip(first if lost else "")
        self.show()
        self.write_button.setFocus()

    def _write(self) -> None:
        title, kinds = self.tr("Hand over {horse}").format(horse=self._horse), self.tr("Horses handed over")
        to = ask_where_to_write(self, title, f"{_file_name(self._horse)}.horse", f"{kinds} (*.horse)", "horses")
        if to is None:
            return
        self.hide()
        horse, with_clips, place = self._horse, self.with_clips.isChecked(), self._barn().place

        def work(job: Job) -> Path:
            from store.barn import Barn

            with Barn.open(place) as barn:
                barn.hand_over(
                    horse, to, with_clips=with_clips, on_progress=job.report, cancelled=job.is_cancelled
                )
            job.all_is_done()
            return to

        along = self.tr("{horse} is handed over in {file}, with clips.")
        alone = self.tr("{horse} is handed over in {file}, without clips.")
        said = (along if with_clips else alone).format(horse=horse, file=to.name)
        self._jobs.start(
            self.tr("Handing {horse} over").format(horse=horse),
            work,
            lambda written: self.said.emit(said, False),
            lambda words: self.said.emit(words, True),
            self.tr("Stopped. No file was written."),
        )


def _file_name(horse: str) -> str:
    return "".join(sign if sign.isalnum() or sign in " -_" else "_" for sign in horse)
