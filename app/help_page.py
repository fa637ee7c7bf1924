"""The keys of the page one is on, made from the same lists as the keys themselves; and where the log is."""

from __future__ import annotations

from collections.abc import Iterator

from PySide6.QtCore import QT_TRANSLATE_NOOP, QCoreApplication, Qt
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
from app.keys import CAMERA, COMMANDS, SECOND_LOOK, SHOWN_KEYS, command_title
from app.look import scaled
from app.page import Page
from app.page_keys import EVERYWHERE, keys_of
from app.places import log_file
from app.turn_by_turn import TurnByTurn

_COLUMN_PX = 310  # what a key and its words need
_SCROLLS = {
    Qt.Key.Key_Up: QAbstractSlider.SliderAction.SliderSingleStepSub,
    Qt.Key.Key_Down: QAbstractSlider.SliderAction.SliderSingleStepAdd,
    Qt.Key.Key_PageUp: QAbstractSlider.SliderAction.SliderPageStepSub,
    Qt.Key.Key_PageDown: QAbstractSlider.SliderAction.SliderPageStepAdd,
    Qt.Key.Key_Home: QAbstractSlider.SliderAction.SliderToMinimum,
    Qt.Key.Key_End: QAbstractSlider.SliderAction.SliderToMaximum,
}
CAUTIONS = str(QT_TRANSLATE_NOOP(
    "HelpPage",
    "Young horses hurt people. Work with a helmet, a second person and a clear pen; never wrap the line.\n"
    "These numbers describe what was tagged; they do not say that a horse is safe or sound.\n"
    "Where pain is possible, have a vet, a farrier and a saddle fitter look before more training.\n"
    "Film with the owner's consent. Local rules and licensed practitioners come first.",
))


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
        self._columns.setContentsMargins(10, 6, 6, 6)
        self._columns.setSpacing(14)
        self.setAccessibleName(self.tr("Keys"))
        self._sections: dict[str, list[tuple[str, str]]] = {}
        self._built: tuple[object, int] | None = None
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
        """Lists the keys of a page; of a sheet and of the desk where it is a desk, or no page is named."""
        tags_here = page is None or any(isinstance(one, KeyStrip) for one in page.findChildren(QWidget))
        name = page.accessibleName() if page is not None else ""
        self._head.setText(self.tr("Keys: {page}").format(page=name) if name else self.tr("All keys"))
        sections: dict[str, list[tuple[str, str]]] = {}
        if tags_here:
            self._add_desk(sections, sheet)
        elif page is not None and (own := keys_of(page)):
            sections[self.tr("This page")] = own
        for command in EVERYWHERE:
            sections.setdefault(self.tr(command.section), []).append((command.key, self.tr(command.title)))
        self._show(sections)

    def _add_desk(self, sections: dict[str, list[tuple[str, str]]], sheet: Sheet) -> None:
        for command in (*COMMANDS, *CAMERA, *SECOND_LOOK):
            section = QCoreApplication.translate("keys", command.section)
            sections.setdefault(section, []).append((command.key, command_title(command)))
        for behaviour in sheet.behaviours:
            if behaviour.key:
                title = sheet.group(behaviour.group).title
                sections.setdefault(title, []).append((behaviour.key, behaviour.title))

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
        return max(1, self.width() // scaled(_COLUMN_PX))

    def _show(self, sections: dict[str, list[tuple[str, str]]]) -> None:
        self._sections = sections
        if self.isVisible():
            self._build()

    def _build(self) -> None:
        wanted = (self._sections, self._fitting())
        if wanted != self._built:
            self._built = wanted
            self._building.begin(self._columns_built())

    def _columns_built(self) -> Iterator[None]:
        """A column after the other; all are there once it ends."""
        empty(self._columns)
        columns: list[list[tuple[str, list[tuple[str, str]]]]] = [[] for _ in range(self._fitting())]
        for section in self._sections.items():
            shortest = min(columns, key=lambda column: sum(len(rows) + 2 for _, rows in column))
            shortest.append(section)
        for column in columns:
            widget = _column(column, self._inside)
            self._columns.addWidget(widget, 1, Qt.AlignmentFlag.AlignTop)
            widget.show()
            yield

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_F1:
            self.closed.emit()
        elif event.key() in _SCROLLS:
            self._scroll.verticalScrollBar().triggerAction(_SCROLLS[Qt.Key(event.key())])
        else:
            super().keyPressEvent(event)


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
            cap, told = QLabel(SHOWN_KEYS.get(key, key)), QLabel(words)
            cap.setProperty("key", True)
            for column, label in enumerate((cap, told)):
                label.setTextFormat(Qt.TextFormat.PlainText)
                grid.addWidget(label, row, column)
        row += 1
        grid.setRowMinimumHeight(row, 10)
        row += 1
    grid.setColumnStretch(1, 1)
    return widget
