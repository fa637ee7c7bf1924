"""The keys of the page one is on, made from the same lists as the keys themselves; and where the log is."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent, QResizeEvent, QShowEvent
from PySide6.QtWidgets import (
    QAbstractSlider,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from annotate.behaviours import Sheet
from app.emptying import empty
from app.key_strip import KeyStrip
from app.keys import AGREEMENT, CAMERA, COMMANDS, SECOND_LOOK, Command, command_section, command_title, shown_key
from app.look import scaled
from app.marked import QT_TRANSLATE_NOOP
from app.page import Page
from app.page_keys import EVERYWHERE, keys_of
from app.places import log_file
from app.turn_by_turn import TurnByTurn

_COLUMN_PX = 310  # what a key and its words need at the usual size; it is measured where that was too little
_SCROLLS = {
    Qt.Key.Key_Up: QAbstractSlider.SliderAction.SliderSingleStepSub,
    Qt.Key.Key_Down: QAbstractSlider.SliderAction.SliderSingleStepAdd,
    Qt.Key.Key_PageUp: QAbstractSlider.SliderAction.SliderPageStepSub,
    Qt.Key.Key_PageDown: QAbstractSlider.SliderAction.SliderPageStepAdd,
    Qt.Key.Key_Home: QAbstractSlider.SliderAction.SliderToMinimum,
    Qt.Key.Key_End: QAbstractSlider.SliderAction.SliderToMaximum,
}
CAUTIONS = QT_TRANSLATE_NOOP(
    "HelpPage",
    "Young horses hurt people. Work with a helmet, a second person and a clear pen; never wrap the line.\n"
    "These numbers describe what was tagged; they do not say that a horse is safe or sound.\n"
    "Where pain is possible, have a vet, a farrier and a saddle fitter look before more training.\n"
    "Film with the owner's consent. Local rules and licensed practitioners come first.",
)


class HelpPage(Page):
    """`closed` when it is done with."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self._inside = QWidget()
        self._scroll = scroll = QScrollArea()
        scroll.setWidgetResizable(True)
        scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        scroll.setWidget(self._inside)
        self._columns = QHBoxLayout(self._inside)
        self._columns.setAlignment(Qt.AlignmentFlag.AlignTop)
        self._columns.setContentsMargins(8, 6, 4, 6)
        self._columns.setSpacing(10)
        self.setAccessibleName(self.tr("Keys"))
        self._sections: dict[str, list[tuple[str, str]]] = {}
        self._built: tuple[object, int] | None = None
        self._column_px = 0
        self._building = TurnByTurn(self)
        back = QPushButton(self.tr("Back"))
        back.clicked.connect(self.closed)
        self._head = QLabel()
        self._head.setProperty("large", True)
        log = QPushButton(self.tr("Where the log is"))
        log.setToolTip(self.tr("For who is asked to help: it names no folders and no other horses"))
        log.clicked.connect(self._show_log)
        self._log = QLabel()
        self._log.setProperty("quiet", True)
        self._log.setTextInteractionFlags(
            Qt.TextInteractionFlag.TextSelectableByMouse | Qt.TextInteractionFlag.TextSelectableByKeyboard
        )
        self._log.hide()
        top = QHBoxLayout()
        top.addWidget(self._head)
        top.addStretch(1)
        top.addWidget(self._log)
        top.addWidget(log)
        top.addWidget(back)
        cautions = QLabel(self.tr(CAUTIONS))
        cautions.setWordWrap(True)
        cautions.setProperty("quiet", True)
        column = QVBoxLayout(self)
        column.setContentsMargins(16, 12, 16, 8)
        column.addLayout(top)
        column.addWidget(scroll, 1)
        column.addWidget(cautions)

    def _show_log(self) -> None:
        path = log_file()
        words = "{path}" if path.exists() else self.tr("{path} (nothing went wrong yet)")
        self._log.setText(words.format(path=path))
        self._log.show()

    def show_keys(self, sheet: Sheet, page: QWidget | None = None) -> None:
        """Lists the keys of a page: on a desk those of the sheet, then its own. Where no page is named, all."""
        desk = _desk_on(page) if page is not None else None
        name = page.accessibleName() if page is not None else ""
        self._head.setText(self.tr("Keys: {page}").format(page=name) if name else self.tr("All keys"))
        sections: dict[str, list[tuple[str, str]]] = {}
        if page is None:
            _add_desk(sections, sheet, (*COMMANDS, *CAMERA, *SECOND_LOOK))
        elif desk is page:
            _add_desk(sections, sheet, (*COMMANDS, *CAMERA))
        elif desk is not None:
            # A desk within a page is that of a second look; how looks agree is settled on yet another page.
            _add_desk(sections, sheet, (*(one for one in SECOND_LOOK if one.section != AGREEMENT), *COMMANDS))
        elif own := keys_of(page):
            sections[self.tr("This page")] = own
        _add(sections, EVERYWHERE)
        self._show(sections)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        if self.isVisible():
            self._build()

    def showEvent(self, event: QShowEvent) -> None:
        # Not before: until then it does not know how wide it is.
        self._build()
        super().showEvent(event)

    def _fitting(self) -> int:
        """How many columns fit beside each other."""
        return max(1, self.width() // max(scaled(_COLUMN_PX), self._column_px))

    def _show(self, sections: dict[str, list[tuple[str, str]]]) -> None:
        self._sections = sections
        self._column_px = 0
        if self.isVisible():
            self._build()

    def _build(self) -> None:
        wanted = (self._sections, self._fitting())
        if wanted != self._built:
            self._built = wanted
            self._building.begin(self._columns_built())

    def _columns_built(self) -> Iterator[None]:
        """A column after the other; all are there once it ends. Where their words need more room there are fewer."""
        empty(self._columns)
        count = self._fitting()
        columns: list[list[tuple[str, list[tuple[str, str]]]]] = [[] for _ in range(count)]
        for section in self._sections.items():
            shortest = min(columns, key=lambda column: sum(len(rows) + 2 for _, rows in column))
            shortest.append(section)
        for column in columns:
            widget = _column(column, self._inside)
            self._columns.addWidget(widget, 1, Qt.AlignmentFlag.AlignTop)
            widget.show()
            yield
        around = self.width() - self._scroll.width() + self._scroll.verticalScrollBar().sizeHint().width()
        needed = self._columns.minimumSize().width() + around
        if count > 1 and needed > self.width():
            self._column_px = -(-needed // count)
            self._build()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_F1:
            self.closed.emit()
        elif event.key() in _SCROLLS:
            self._scroll.verticalScrollBar().triggerAction(_SCROLLS[Qt.Key(event.key())])
        else:
            super().keyPressEvent(event)


def _desk_on(page: QWidget) -> QWidget | None:
    """The desk that a page is, or that is seen on it: it has a key strip. In full screen the strip itself is away."""
    strips = (one for one in page.findChildren(QWidget) if isinstance(one, KeyStrip))
    desks = (strip.parentWidget() for strip in strips)
    return next((desk for desk in desks if desk is page or (desk is not None and desk.isVisibleTo(page))), None)


def _add_desk(sections: dict[str, list[tuple[str, str]]], sheet: Sheet, commands: Iterable[Command]) -> None:
    for behaviour in sheet.behaviours:
        if behaviour.key:
            title = sheet.group(behaviour.group).title
            sections.setdefault(title, []).append((behaviour.key, behaviour.title))
    _add(sections, commands)


def _add(sections: dict[str, list[tuple[str, str]]], commands: Iterable[Command]) -> None:
    for command in commands:
        sections.setdefault(command_section(command), []).append((command.key, command_title(command)))


def _column(sections: list[tuple[str, list[tuple[str, str]]]], parent: QWidget) -> QWidget:
    widget = QWidget(parent)
    grid = QGridLayout(widget)
    grid.setContentsMargins(0, 0, 0, 0)
    grid.setHorizontalSpacing(6)
    grid.setVerticalSpacing(0)
    row = 0
    for title, keys in sections:
        head = QLabel(title)
        head.setProperty("quiet", True)
        grid.addWidget(head, row, 0, 1, 2)
        for key, words in keys:
            row += 1
            cap, told = QLabel(shown_key(key)), QLabel(words)
            cap.setProperty("key", True)
            for column, label in enumerate((cap, told)):
                label.setTextFormat(Qt.TextFormat.PlainText)
                grid.addWidget(label, row, column)
        row += 1
        grid.setRowMinimumHeight(row, 10)
        row += 1
    grid.setColumnStretch(1, 1)
    return widget
