"""The sheet of behaviours, edited in place. What can be used is kept at once; a clash of keys is shown first.

The text that is edited is the trainer's own file, so that comments and order stay. What is not kept when the page
is left is still there when one comes back.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Mapping
from typing import Any

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QColor, QHideEvent
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
from annotate.key_names import as_pressed
from annotate.sheet_text import name_for, with_behaviour, with_word, without_behaviour
from app.labels import plain_label
from app.look import scaled
from app.page import Page
from app.palette import worn
from app.sheet_clashes import sheet_clashes
from store.barn import Barn

_KEY, _TITLE, _GROUP, _KIND, _RULE, _CLASH = range(6)
_WORDS = {_KEY: "key", _TITLE: "title", _RULE: "rule"}
_NAME = Qt.ItemDataRole.UserRole
_KEY_PX, _CLASH_PX = 100, 190


class SheetPage(Page):
    """`changed` when the sheet was kept anew; `said(words, is_trouble)`; `closed` when done with."""

    changed = Signal()

    def __init__(self, barn: Barn, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._barn = barn
        self._text = self._kept = ""
        self._before: list[str] = []
        self._filling = False
        self._clash = ""
        self.setAccessibleName(self.tr("Sheet of behaviours"))
        self.table = QTableWidget(0, 6)
        self.table.setAccessibleName(self.tr("Behaviours"))
        self.table.setHorizontalHeaderLabels(
            [
                self.tr("Key"),
                self.tr("Title"),
                self.tr("Group"),
                self.tr("Kind"),
                self.tr("What is seen"),
                self.tr("Clash"),
            ]
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
        """Shows the barn's sheet; with what was changed and not kept, if the barn's is still the same."""
        self.key.setFixedWidth(scaled(_KEY_PX))
        kept = self._barn.sheet_text()
        if kept != self._kept or not self._is_unkept:
            self._text, self._before = kept, []
            self.wrong.clear()
        self._kept = kept
        self._show()
        if self._clashes_of(kept) and not self._is_unkept:
            self.wrong.setText(self.tr("What stands under Clash does not work. Write another key there."))
        self.table.setCurrentCell(0, _KEY)
        self.table.setFocus()

    @property
    def _is_unkept(self) -> bool:
        return self._text != self._kept

    def hideEvent(self, event: QHideEvent) -> None:
        if self._is_unkept and not event.spontaneous():
            self.said.emit(self.tr("The change of the sheet is not kept yet. Ctrl+E goes on with it."), True)
        super().hideEvent(event)

    def _show(self) -> None:
        """The text as it is, with what clashes, also where it cannot be used yet."""
        self._filling = True
        written = tomllib.loads(self._text)
        lines, groups = written["behaviours"], written["groups"]
        keys = _keys(lines)
        clashes = sheet_clashes(keys)
        kinds = {"state": self.tr("state"), "event": self.tr("event")}
        self.table.setRowCount(len(lines))
        warning = QColor(worn().reaction)
        for row, (name, line) in enumerate(lines.items()):
            group = str(line.get("group", ""))
            cells = (
                keys[name],
                str(line.get("title", "")).strip() or name.replace("_", " "),
                str(groups.get(group, {}).get("title", group)),
                kinds.get(kind := str(line.get("kind", "")), kind),
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
        self.table.setColumnWidth(_CLASH, min(self.table.columnWidth(_CLASH), scaled(_CLASH_PX)))
        self._filling = False
        # What clashed before keeps nothing else from being changed.
        before = self._clashes_of(self._kept)
        self._clash = next((words for name, words in clashes.items() if before.get(name) != words), "")

    def _on_edited(self, item: QTableWidgetItem) -> None:
        if self._filling:
            return
        words = item.text().strip()
        if item.column() == _KEY:
            words = _key_written(words)
        name, word = item.data(_NAME), _WORDS[item.column()]
        if item.column() == _TITLE and not words:
            self._show()
            self.wrong.setText(self.tr("A behaviour needs a title. {name} has its old one.").format(name=name))
            return
        self._change(lambda text: with_word(text, name, word, words))

    def _add(self) -> None:
        title = " ".join(self.name.text().split())
        name = name_for(title, tomllib.loads(self._text)["behaviours"])
        if not name:
            self.name.setFocus()
            self.wrong.setText(self.tr("Write what the new behaviour is called."))
            return
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
        if self._clash:
            words = self.tr("{clash}. It is kept as soon as that is settled.")
            self._say_unkept(words.format(clash=self._clash))
            return
        try:
            self._barn.keep_sheet(text)
        except Trouble as trouble:
            self._say_unkept(self.tr("Not kept yet. {why}").format(why=str(trouble)))
            return
        self._kept = text
        self.wrong.clear()
        self.said.emit(self.tr("The sheet was kept."), False)
        self.changed.emit()

    def _say_unkept(self, words: str) -> None:
        self.wrong.setText(words)
        self.said.emit(self.tr("The change is not kept yet."), True)

    @staticmethod
    def _clashes_of(text: str) -> Mapping[str, str]:
        return sheet_clashes(_keys(tomllib.loads(text)["behaviours"])) if text else {}


def _keys(lines: Mapping[str, Any]) -> dict[str, str]:
    """The behaviours' keys by name, of the lines of a sheet."""
    return {name: str(line.get("key", "")) for name, line in lines.items()}


def _key_written(text: str) -> str:
    """A key as the sheet writes it: 'shift+alt+w' is Alt+Shift+W."""
    words = text.strip()
    held, _, base = words[:-1].rpartition("+")
    parts = [part.strip().capitalize() for part in held.split("+") if part.strip()]
    return as_pressed("+".join([*parts, (base + words[-1:]).strip().upper()]))
