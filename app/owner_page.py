"""For the owner: what goes out of a session is arranged here, seen as it will look, and written.

Every setting is kept in the barn when it is made. Order and captions are the highlight list's own, so they
change on the desk, too, and can be undone there. This is the one place in the window that writes files of it.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from PySide6.QtCore import Qt, QTimer
from PySide6.QtGui import QImage, QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from annotate.deliver.deliver import Wishes, deliver, possible_kinds
from annotate.deliver.highlights import Material
from annotate.deliver.page.choice import Arrangement, Rung, Work
from annotate.deliver.page.content import Content, content_of
from annotate.deliver.page.stills import Still, poster_of
from annotate.deliver.page.story import story
from annotate.deliver.watch import Watch
from annotate.errors import ClipTrouble, Trouble
from annotate.media.reader import FrameReader
from annotate.numbers.session_numbers import session_numbers
from annotate.numbers.wording import duration_text
from app.asking import ask_for_folder
from app.choosing import add_by_rule
from app.counted import Counted
from app.delivering import (
    arrangement_of,
    earlier_sessions,
    for_owner,
    keep_arrangement,
    keep_rules,
    rules_of,
    rungs,
    with_all_sessions,
)
from app.images import image_of
from app.jobs import Job, Jobs
from app.look import scaled
from app.owner_form import OwnerForm
from app.owner_preview import OwnerPreview
from app.page import Page
from app.reel_sample import ReelSample
from app.review import Review
from store.barn import Barn

_FORM_PX = 430
_SETTLE_MS = 200
_STILL_SIZE = (420, 420)


class OwnerPage(Page):
    """`closed` goes back to the desk; `said(words, is_trouble)` is for the line of words."""

    def __init__(self, barn: Barn, jobs: Jobs, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._barn, self._jobs = barn, jobs
        self._review: Review | None = None
        self._ladder: tuple[Rung, ...] | None = None
        self._wanted: dict[int, Still] = {}
        self._stills: dict[Still, QImage] = {}
        self._reading: Job | None = None
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName(self.tr("For the owner"))
        self.write = QPushButton(self.tr("Write…"))
        self.write.setProperty("main", True)
        self.ticked = QLabel()
        self.ticked.setProperty("quiet", True)
        self._title = QLabel()
        self._title.setProperty("large", True)
        self._title.setTextFormat(Qt.TextFormat.PlainText)
        page = QVBoxLayout(self)
        page.setContentsMargins(12, 10, 12, 4)
        page.addLayout(self._top())
        self.form = OwnerForm(self)
        self.preview = OwnerPreview(self)
        row = QHBoxLayout()
        row.setSpacing(12)
        row.addWidget(self.form)
        row.addWidget(self.preview, 1)
        page.addLayout(row, 1)
        self._settle = QTimer(self)
        self._settle.setSingleShot(True)
        self._settle.setInterval(_SETTLE_MS)
        self._soon = QTimer(self, singleShot=True, interval=0)
        self._soon.timeout.connect(self._show)
        self._sample = ReelSample(jobs, self)
        self._sample.drawn.connect(self.form.files.show_sample)
        self._sample.said.connect(self.said)
        self._settle.timeout.connect(self._show)
        self.form.changed.connect(self._on_changed)
        self.form.passages.passages_changed.connect(self._on_passages)
        self.form.passages.rule.changed.connect(self._on_rules)
        self.form.passages.rule.asked.connect(self._on_choose)
        self.write.clicked.connect(self._on_write)

    def _top(self) -> QHBoxLayout:
        back = QPushButton(self.tr("Back to the desk"))
        back.clicked.connect(self.closed)
        top = QHBoxLayout()
        top.addWidget(self._title)
        top.addStretch(1)
        top.addWidget(self.ticked)
        top.addWidget(self.write)
        top.addSpacing(12)
        top.addWidget(back)
        return top

    # -- opening

    def open(self, review: Review) -> None:
        """Shows the session under review as it was last arranged for the owner, or as the tags say."""
        if self._review is not None and self._review.session.id != review.session.id:
            # Else the pictures of every session of the day would stay.
            self._stills.clear()
            self.preview.show_nothing()
        self._review, self._ladder = review, None
        self._fit_form()
        material = review.material()
        session = material.session
        self._title.setText(self.tr("For the owner: {session}").format(session=session.called))
        earlier = earlier_sessions(self._barn, material)
        arrangement = arrangement_of(self._barn, session.id)
        if arrangement is None:
            first = earlier[0][0] if earlier else None
            arrangement = Arrangement(compared_with=first)
        chosen = for_owner(self._barn, material, arrangement)
        self.form.fill(arrangement, _story(chosen), earlier, possible_kinds(material))
        self.form.passages.show_passages(material.passages)
        self.form.passages.rule.show_rules(rules_of(self._barn))
        if (page := self.layout()) is not None:
            # Its drawings are as wide as the preview is: else all would be drawn a second time.
            page.activate()
        # In a turn of its own: the form is there meanwhile.
        self._soon.start()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit_form()
        self._settle.start()

    def _fit_form(self) -> None:
        """As wide as its text asks for; the preview keeps half of the page."""
        self.form.setFixedWidth(max(_FORM_PX, min(scaled(_FORM_PX), self.width() // 2)))

    # -- showing

    def material(self) -> Material | None:
        """What goes out as it is set now."""
        if self._review is None:
            return None
        arrangement, found = self.form.arrangement(), self._review.material()
        if self._ladder is None and arrangement.choice.shows("ladder"):
            self._ladder = rungs(self._barn, found.session.horse)
        return for_owner(self._barn, found, arrangement, self._ladder)

    def _show(self) -> None:
        self._settle.stop()
        self._soon.stop()
        try:
            material = self.material()
            if material is None:
                return
            self.form.show_story(_story(material))
            content = content_of(material)
        except Trouble as trouble:
            self.said.emit(str(trouble), True)
            return
        self._wanted = _wanted(material, content)
        self.preview.show_content(content, self._stills_there())
        length_ns = sum(scene.span.length_ns for scene in content.scenes)
        count = len(content.scenes)
        of = self.form.passages.list.count()
        words = self.tr("{count} of {all}, {length}") if of else self.tr("no passages")
        words = words.format(count=count, all=of, length=duration_text(length_ns))
        self.form.passages.length.setText(words)
        ticked = self.form.files.ticked()
        kinds = Counted.tr("{count} kind of file|{count} kinds of file", "", len(ticked))
        self.ticked.setText(", ".join(ticked) if len(ticked) < 5 else kinds)
        self._read_stills()
        files = self.form.files
        if files.draws:
            self._sample.ask(material, Wishes(files.captions.isChecked(), files.work_line.isChecked()))

    def _read_stills(self) -> None:
        """Pictures are read beside the window, each once."""
        missing = [still for still in self._wanted.values() if still not in self._stills]
        if missing and self._reading is None:
            self._reading = self._jobs.start(
                self.tr("Reading stills"), lambda job: _read(missing, job), self._on_stills, self._on_no_stills
            )

    def _on_stills(self, read: Mapping[Still, QImage]) -> None:
        self._reading = None
        self._stills.update(read)
        self.preview.show_stills(self._stills_there())
        if any(still not in self._stills for still in self._wanted.values()):
            self._settle.start()

    def _on_no_stills(self, words: str) -> None:
        self._reading = None
        self.said.emit(words, True)

    def _stills_there(self) -> dict[int, QImage]:
        return {number: self._stills[still] for number, still in self._wanted.items() if still in self._stills}

    # -- what the hand does

    def _on_changed(self) -> None:
        review = self._review
        if review is not None:
            try:
                keep_arrangement(self._barn, review.session.id, self.form.arrangement())
            except Trouble as trouble:
                self.said.emit(str(trouble), True)
        self._settle.start()

    def _on_passages(self, passages: list, words: str) -> None:
        review = self._review
        if review is None:
            return
        try:
            review.highlights.keep(passages, words)
        except Trouble as trouble:
            self.said.emit(str(trouble), True)
        self.form.passages.show_passages(review.passages)
        self._settle.start()

    def _on_rules(self) -> None:
        try:
            keep_rules(self._barn, self.form.passages.rule.rules())
        except Trouble as trouble:
            self.said.emit(str(trouble), True)

    def _on_choose(self) -> None:
        review = self._review
        if review is None:
            return
        try:
            self.said.emit(add_by_rule(review, self.form.passages.rule.rules()), False)
        except Trouble as trouble:
            self.said.emit(str(trouble), True)
        self.form.passages.show_passages(review.passages)
        self._settle.start()

    def _on_write(self) -> None:
        kinds = self.form.files.ticked()
        if not kinds:
            self.form.turn_to(self.form.files)
            self.said.emit(self.tr("Tick what is to be written."), True)
            return
        try:
            material = self.material()
        except Trouble as trouble:
            self.said.emit(str(trouble), True)
            return
        title = self.tr("Write for the owner into")
        folder = ask_for_folder(self, title, "for owners") if material is not None else None
        if material is None or folder is None:
            return
        barn, chosen, arrangement = self._barn, material, self.form.arrangement()
        wishes = Wishes(arrangement.captions, arrangement.work_line)
        said: list[str] = []

        def write(job: Job) -> list[Path]:
            watch = Watch(job.report, job.is_cancelled, said.append)
            whole = with_all_sessions(barn, chosen) if "series" in kinds else chosen
            return deliver(whole, kinds, folder, wishes=wishes, watch=watch)

        self._jobs.start(
            self.tr("Writing for the owner"),
            write,
            lambda written: self._say_written(folder, written, said),
            self._say_trouble,
            self.tr("Stopped. Files that were whole by then are in the folder; nothing else is."),
        )

    def _say_written(self, folder: Path, written: list[Path], said: list[str]) -> None:
        self.form.files.show_written(folder, written, said)
        self.form.turn_to(self.form.files)
        names = ", ".join(path.name for path in written)
        words = self.tr("Written into {folder}: {files}")
        self.said.emit(words.format(folder=folder, files=names), False)

    def _say_trouble(self, words: str) -> None:
        self.said.emit(words, True)


def _story(material: Material) -> str:
    """The words that the tags make, with the session that is compared."""
    numbers = session_numbers(material.session, material.tags, material.sheet)
    earlier: Work | None = material.earlier
    then = None
    if earlier is not None:
        then = session_numbers(earlier.session, earlier.tags, material.sheet)
    return story(numbers, material.tags, then)


def _wanted(material: Material, content: Content) -> dict[int, Still]:
    """The still of each scene that has one, by its number."""
    found: dict[int, Still] = {}
    for scene in content.scenes:
        still = poster_of(scene.cuts[0], material.tags, material.sheet) if scene.cuts else None
        if still is not None:
            found[scene.number] = still
    return found


def _read(stills: list[Still], job: Job) -> dict[Still, QImage]:
    """The stills as images; one that cannot be read is left out, for the page says so when it is written."""
    found: dict[Still, QImage] = {}
    for done, still in enumerate(stills):
        if job.is_cancelled():
            break
        job.report(done, len(stills))
        try:
            with FrameReader(still.facts, cache_bytes=0) as reader:
                found[still] = image_of(reader.frame(still.frame, max_size=_STILL_SIZE))
        except ClipTrouble:
            found[still] = QImage()
    return found
