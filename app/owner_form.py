"""What the trainer sets for an owner: passages, the page's parts and words, and the files. It writes nothing."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPlainTextEdit,
    QPushButton,
    QScrollArea,
    QTabWidget,
    QVBoxLayout,
    QWidget,
)

from annotate.deliver.page.choice import PARTS, Arrangement, Choice
from app.owner_files import OwnerFiles
from app.owner_passages import OwnerPassages


class OwnerForm(QTabWidget):
    """Three tabs: which passages, what the page says, which files. `changed` when anything is set."""

    changed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._filling = False
        self._story = ""
        # What is put into its place only once it is full is dressed again, with all that is in it.
        titles = (self.tr("Passages"), self.tr("Page"), self.tr("Files"))
        passages, page, files = (self._new_tab(title) for title in titles)
        self.passages = OwnerPassages(passages.viewport())
        self._page = QWidget(page.viewport())
        self.compare = QComboBox()
        self.compare.setAccessibleName(self.tr("Compare with"))
        self.parts = {part: QCheckBox(title) for part, title in PARTS.items()}
        self.heading = _line(self.tr("Heading"))
        self.words = _paragraphs(self.tr("What was done, in plain words"), 96)
        self.next_words = _paragraphs(self.tr("What comes next"), 48)
        self.signed = _line(self.tr("Signed"))
        self._lay_out_page()
        self.files = OwnerFiles(files.viewport())
        for area, tab in ((passages, self.passages), (page, self._page), (files, self.files)):
            area.setWidget(tab)
        self._connect()

    def turn_to(self, tab: QWidget) -> None:
        """Shows the tab that a widget is on."""
        for place in range(self.count()):
            page = self.widget(place)
            if page is not None and page.isAncestorOf(tab):
                self.setCurrentIndex(place)

    # -- filling and reading

    def fill(
        self,
        arrangement: Arrangement,
        story: str,
        earlier: Sequence[tuple[int, str]],
        possible: Collection[str],
    ) -> None:
        """Shows an arrangement.

        `story`: the words that the tags make; `earlier`: what can be compared; `possible`: the kinds of file.
        """
        self._filling = True
        choice = arrangement.choice
        self.compare.clear()
        self.compare.addItem(self.tr("no other session"), None)
        for number, title in earlier:
            self.compare.addItem(title, number)
        self.compare.setCurrentIndex(max(0, self.compare.findData(arrangement.compared_with)))
        for part, box in self.parts.items():
            box.setChecked(choice.shows(part))
        self.heading.setText(choice.heading)
        self.next_words.setPlainText(choice.next_words)
        self.signed.setText(choice.signed)
        self._story = story
        self.words.setPlainText(story if choice.words is None else choice.words)
        self.passages.fill(arrangement)
        self.files.fill(
            arrangement.kinds, possible, captions=arrangement.captions, line=arrangement.work_line
        )
        self._filling = False

    def show_story(self, story: str) -> None:
        """Other tags or another session to compare with: words nobody changed follow."""
        if self.words.toPlainText() == self._story:
            self._filling = True
            self.words.setPlainText(story)
            self._filling = False
        self._story = story

    def arrangement(self) -> Arrangement:
        """What is set now."""
        words = self.words.toPlainText()
        page = Arrangement(
            choice=Choice(
                parts=frozenset(part for part, box in self.parts.items() if box.isChecked()),
                heading=self.heading.text(),
                words=None if words == self._story else words,
                next_words=self.next_words.toPlainText(),
                signed=self.signed.text(),
            ),
            compared_with=self.compare.currentData(),
            captions=self.files.captions.isChecked(),
            work_line=self.files.work_line.isChecked(),
            kinds=frozenset(self.files.ticked()),
        )
        return self.passages.put_into(page)

    # -- laying out

    def _new_tab(self, title: str) -> QScrollArea:
        scroll = QScrollArea(self)
        scroll.setWidgetResizable(True)
        scroll.setFrameShape(QScrollArea.Shape.NoFrame)
        scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        scroll.setStyleSheet("QScrollArea { border: none; background: transparent; }")
        self.addTab(scroll, title)
        return scroll

    def _lay_out_page(self) -> None:
        column = QVBoxLayout(self._page)
        column.setContentsMargins(8, 8, 8, 8)
        column.setSpacing(5)
        against = QHBoxLayout()
        against.addWidget(QLabel(self.tr("Compare with")))
        against.addWidget(self.compare, 1)
        column.addLayout(against)
        grid = QGridLayout()
        grid.setVerticalSpacing(2)
        for place, box in enumerate(self.parts.values()):
            grid.addWidget(box, place // 2, place % 2)
        column.addLayout(grid)
        column.addWidget(self.heading)
        head = QHBoxLayout()
        head.addWidget(QLabel(self.tr("In plain words")))
        head.addStretch(1)
        again = QPushButton(self.tr("From the tags"))
        again.setToolTip(self.tr("Puts the words made from the tags in place of these"))
        again.clicked.connect(self._on_again)
        head.addWidget(again)
        column.addLayout(head)
        column.addWidget(self.words, 1)
        column.addWidget(self.next_words)
        column.addWidget(self.signed)

    def _connect(self) -> None:
        for field in (self.heading, self.signed):
            field.textChanged.connect(self._on_changed)
        for text in (self.words, self.next_words):
            text.textChanged.connect(self._on_changed)
        for box in self.parts.values():
            box.toggled.connect(self._on_changed)
        self.compare.currentIndexChanged.connect(self._on_changed)
        self.passages.changed.connect(self._on_changed)
        self.files.changed.connect(self._on_changed)

    # -- what the hand does

    def _on_changed(self) -> None:
        if not self._filling:
            self.changed.emit()

    def _on_again(self) -> None:
        self.words.setPlainText(self._story)


def _line(name: str) -> QLineEdit:
    field = QLineEdit()
    field.setAccessibleName(name)
    field.setPlaceholderText(name)
    return field


def _paragraphs(name: str, height: int) -> QPlainTextEdit:
    field = QPlainTextEdit()
    field.setAccessibleName(name)
    field.setPlaceholderText(name)
    field.setTabChangesFocus(True)
    field.setMinimumHeight(height)
    if height < 60:
        field.setMaximumHeight(height)
    return field
