"""The sheet of behaviours, edited in place. What can be used is kept at once; a clash of keys is shown first.

The text that is edited is the trainer's own file, so that comments and order stay.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QColor
from PySide6.QtWidgets import (
    QAbstractItemView,
    QComboBox,
    QHBoxLayout,
    QHeaderView,
    QLabel,
    QLineEdit,
    QPushButton,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from annotate.errors import Trouble
from annotate.sheet_text import key_clashes, with_behaviour, with_word, without_behaviour
from app.keys import COMMANDS, command_title
from app.labels import plain_label
from app.page import Page
from app.palette import worn
from store.barn import Barn

_KEY, _TITLE, _GROUP, _KIND, _RULE, _CLASH = range(6)
_WORDS = {_KEY: "key", _TITLE: "title", _RULE: "rule"}
_NAME = Qt.ItemDataRole.UserRole


class SheetPage(Page):
    """`changed` when the sheet was kept anew; `said(words, is_trouble)`; `closed` when done with."""

    changed = Signal()

    def __init__(self, barn: Barn, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._barn = barn
        self._text = ""
        self._before: list[str] = []
        self._filling = self._clashing = False
        self.setAccessibleName(self.tr("Sheet of behaviours"))
        self.table = QTableWidget(0, 6)
        self.table.setAccessibleName(self.tr("Behaviours"))
        self.table.setHorizontalHeaderLabels(
            [self.tr(words) for words in ("Key", "Title", "Group", "Kind", "What is seen", "Clash")]
        )
        self.table.verticalHeader().hide()
        self.table.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.table.setTabKeyNavigation(False)
        self.table.setWordWrap(False)
        head = self.table.horizontalHeader()
        head.setSectionResizeMode(QHeaderView.ResizeMode.Interactive)
        head.setSectionResizeMode(_RULE, QHeaderView.ResizeMode.Stretch)
        self.table.itemChanged.connect(self._on_edited)
        self.name, self.key = QLineEdit(), QLineEdit()
        self.group, self.kind = QComboBox(), QComboBox()
        self.kind.addItem(self.tr("state (lasts)"), "state")
        self.kind.addItem(self.tr("event (an instant)"), "event")
        self.wrong = plain_label(warning=True)
        self.wrong.setAccessibleName(self.tr("What is wrong"))
        self._lay_out()

    def _lay_out(self) -> None:
        title = QLabel(self.tr("Sheet of behaviours"))
        title.setProperty("large", True)
        hint = QLabel(
            self.tr("F2 or a double click writes into a key, title or rule. A key is Q, Shift+Q or Alt+Q.")
        )
        hint.setProperty("quiet", True)
        back = QPushButton(self.tr("Back"))
        back.setToolTip(self.tr("Escape"))
        back.clicked.connect(self.closed)
        top = QHBoxLayout()
        top.addWidget(title)
        top.addSpacing(16)
        top.addWidget(hint, 1)
        top.addWidget(back)
        new = QHBoxLayout()
        for field, words in ((self.name, self.tr("New behaviour")), (self.key, self.tr("Its key"))):
            field.setPlaceholderText(words)
            field.setAccessibleName(words)
            field.returnPressed.connect(self._add)
        self.name.setMaxLength(60)
        self.key.setMaxLength(20)
        self.key.setFixedWidth(90)
        self.group.setAccessibleName(self.tr("Its group"))
        self.kind.setAccessibleName(self.tr("Its kind"))
        add = QPushButton(self.tr("Add"))
        add.clicked.connect(self._add)
        out = QPushButton(self.tr("Take out"))
        out.setToolTip(self.tr("Takes the chosen behaviour off the sheet; tags that name it stay"))
        out.clicked.connect(self._take_out)
        undo = QPushButton(self.tr("Undo"))
        undo.setShortcut("Ctrl+Z")
        undo.clicked.connect(self._undo)
        for part in (self.name, self.group, self.kind, self.key, add):
            new.addWidget(part)
        new.addStretch(1)
        new.addWidget(out)
        new.addWidget(undo)
        column = QVBoxLayout(self)
        column.setContentsMargins(16, 12, 16, 8)
        column.addLayout(top)
        column.addWidget(self.table, 1)
        column.addWidget(self.wrong)
        column.addLayout(new)

    def open(self) -> None:
        """Shows the barn's sheet."""
        self._text, self._before = self._barn.sheet_text(), []
        self._show()
        self.table.setCurrentCell(0, _KEY)
        self.table.setFocus()

    def _show(self) -> None:
        """The text as it is, with what clashes, also where it cannot be used yet."""
        self._filling = True
        written = tomllib.loads(self._text)
        lines, groups = written["behaviours"], written["groups"]
        keys = {name: str(line.get("key", "")) for name, line in lines.items()}
        taken = {command.key: command_title(command) for command in COMMANDS}
        clashes = key_clashes(keys, taken)
        self.table.setRowCount(len(lines))
        warning = QColor(worn().reaction)
        for row, (name, line) in enumerate(lines.items()):
            group = str(line.get("group", ""))
            cells = (
                keys[name],
                str(line.get("title", name.replace("_", " "))),
                str(groups.get(group, {}).get("title", group)),
                str(line.get("kind", "")),
                str(line.get("rule", "")),
                clashes.get(name, ""),
            )
            for column, words in enumerate(cells):
                item = QTableWidgetItem(words)
                item.setData(_NAME, name)
                item.setToolTip(words)
                if column not in _WORDS:
                    item.setFlags(item.flags() & ~Qt.ItemFlag.ItemIsEditable)
                if name in clashes and column in (_KEY, _CLASH):
                    item.setForeground(warning)
                self.table.setItem(row, column, item)
        chosen = self.group.currentData()
        self.group.clear()
        for name, entry in groups.items():
            self.group.addItem(str(entry.get("title", name)), name)
        self.group.setCurrentIndex(max(0, self.group.findData(chosen)))
        # Once, and not at each cell as the header would: that takes a third of a second.
        self.table.resizeColumnsToContents()
        self._filling = False
        self._clashing = bool(clashes)

    def _on_edited(self, item: QTableWidgetItem) -> None:
        if self._filling:
            return
        words = item.text().strip()
        if item.column() == _KEY:
            words = _key_written(words)
        name, word = item.data(_NAME), _WORDS[item.column()]
        self._change(lambda text: with_word(text, name, word, words))

    def _add(self) -> None:
        title = " ".join(self.name.text().split())
        name = re.sub(r"[^a-z0-9]+", "_", title.lower()).strip("_")
        group, kind, key = self.group.currentData(), self.kind.currentData(), _key_written(self.key.text())
        shown = "" if title == name.replace("_", " ") else title
        if self._change(lambda text: with_behaviour(text, name, group, kind, shown, key)):
            self.name.clear()
            self.key.clear()
            self.table.setCurrentCell(self.table.rowCount() - 1, _KEY)

    def _take_out(self) -> None:
        item = self.table.currentItem()
        if item is not None:
            name = item.data(_NAME)
            self._change(lambda text: without_behaviour(text, name))

    def _undo(self) -> None:
        if self._before:
            self._take(self._before.pop())

    def _change(self, make: Callable[[str], str]) -> bool:
        """Makes a new text of the one that is; whether it could be made."""
        try:
            changed = make(self._text)
        except Trouble as trouble:
            self.wrong.setText(str(trouble))
            self._show()
            return False
        if changed != self._text:
            self._before.append(self._text)
            self._take(changed)
        return True

    def _take(self, text: str) -> None:
        """Shows a text, and keeps it if it can be used."""
        place = self.table.currentRow(), self.table.currentColumn()
        self._text = text
        self._show()
        self.table.setCurrentCell(min(place[0], self.table.rowCount() - 1), place[1])
        if self._clashing:
            self.wrong.setText(self.tr("A key does two things. It is kept as soon as that is settled."))
            return
        try:
            self._barn.keep_sheet(text)
        except Trouble as trouble:
            self.wrong.setText(self.tr("Not kept yet. {why}").format(why=str(trouble)))
            return
        self.wrong.clear()
        self.said.emit(self.tr("The sheet was kept."), False)
        self.changed.emit()


def _key_written(text: str) -> str:
    """A key as the sheet writes it: 'alt+w' is Alt+W."""
    parts = [part.strip() for part in text.strip().split("+")]
    if len(parts) > 1 and parts[-1]:
        return "+".join([*(part.capitalize() for part in parts[:-1]), parts[-1].upper()])
    return text.strip().upper()
