"""The owners: who they are, what reaches them, and which horses are theirs."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QListWidget,
    QListWidgetItem,
    QPlainTextEdit,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from annotate.errors import Trouble
from annotate.horses import Horse, Owner
from app.counted import Counted
from app.labels import plain_label
from app.side_page import SidePage
from store.barn import Barn
from store.wanted import WantedHorses

_OWNER = Qt.ItemDataRole.UserRole


class OwnersPage(SidePage):
    """`horse_asked(name)` to see a horse on the barn's page."""

    horse_asked = Signal(str)

    def __init__(self, barn: Barn, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.set_title(self.tr("Owners"))
        self._barn = barn
        self._horses: dict[str, list[Horse]] = {}
        self.list = QListWidget()
        self.list.setAccessibleName(self.tr("Owners"))
        self.list.currentItemChanged.connect(self._show_owner)
        self.new_button = QPushButton(self.tr("A new owner"))
        self.new_button.clicked.connect(self._begin_new)
        self.name = QLineEdit()
        self.name.setAccessibleName(self.tr("Name"))
        self.name.setMaxLength(100)
        self.contact = QLineEdit()
        self.contact.setAccessibleName(self.tr("Contact"))
        self.contact.setPlaceholderText(self.tr("telephone, mail, or where they are met"))
        self.note = QPlainTextEdit()
        self.note.setAccessibleName(self.tr("Note"))
        self.note.setTabChangesFocus(True)
        self.horses = QListWidget()
        self.horses.setAccessibleName(self.tr("Horses of this owner"))
        self.horses.itemActivated.connect(lambda item: self.horse_asked.emit(item.text()))
        self._none = plain_label(
            self.tr("No horse names this owner yet. Write the name into a horse's record."),
            quiet=True,
        )
        self._wrong = plain_label(warning=True)
        self.keep_button = QPushButton(self.tr("Keep"))
        self.keep_button.setProperty("main", True)
        self.keep_button.clicked.connect(self._keep)
        self.forget_button = QPushButton(self.tr("Take off the list"))
        self.forget_button.setToolTip(self.tr("Only an owner without horses can be taken off the list"))
        self.forget_button.clicked.connect(self._forget)
        for line in (self.name, self.contact):
            line.returnPressed.connect(self._keep)
        self._lay_out()

    def _lay_out(self) -> None:
        left = QVBoxLayout()
        left.addWidget(self.list, 1)
        left.addWidget(self.new_button)
        fields = QGridLayout()
        for place, (words, field) in enumerate(
            (
                (self.tr("Name"), self.name),
                (self.tr("Contact"), self.contact),
                (self.tr("Note"), self.note),
                (self.tr("Horses"), self.horses),
            )
        ):
            label = QLabel(words)
            label.setProperty("quiet", True)
            label.setAlignment(Qt.AlignmentFlag.AlignTop)
            fields.addWidget(label, place, 0)
            fields.addWidget(field, place, 1)
        fields.addWidget(self._none, 4, 1)
        fields.setRowStretch(2, 1)
        fields.setRowStretch(3, 2)
        buttons = QHBoxLayout()
        buttons.addWidget(self.forget_button)
        buttons.addWidget(self._wrong, 1)
        buttons.addWidget(self.keep_button)
        right = QVBoxLayout()
        right.addLayout(fields, 1)
        right.addLayout(buttons)
        row = QHBoxLayout()
        row.setSpacing(14)
        row.addLayout(left, 1)
        row.addLayout(right, 3)
        self.column.addLayout(row, 1)

    def refresh(self, chosen: str = "") -> None:
        """Lists the owners as they are now, with the one of that name chosen, or the first."""
        self._horses.clear()
        for row in self._barn.find_horses(WantedHorses(where=None)):
            self._horses.setdefault(row.horse.owner, []).append(row.horse)
        self.list.blockSignals(True)
        self.list.clear()
        for owner in self._barn.owners():
            count = Counted.tr("{count} horse|{count} horses", "", len(self._horses.get(owner.name, [])))
            item = QListWidgetItem(f"{owner.name}\n{count}")
            item.setData(_OWNER, owner)
            self.list.addItem(item)
            if owner.name == chosen:
                self.list.setCurrentItem(item)
        if self.list.currentRow() < 0:
            self.list.setCurrentRow(0)
        self.list.blockSignals(False)
        self._show_owner()

    def _chosen(self) -> Owner | None:
        item = self.list.currentItem()
        chosen: Owner | None = item.data(_OWNER) if item is not None else None
        return chosen

    def _show_owner(self) -> None:
        self._fill(self._chosen() or Owner(0, ""))

    def _fill(self, owner: Owner) -> None:
        horses = self._horses.get(owner.name, []) if owner.id else []
        self.name.setText(owner.name)
        self.contact.setText(owner.contact)
        self.note.setPlainText(owner.note)
        self.horses.clear()
        self.horses.addItems([horse.name for horse in horses])
        self.horses.setEnabled(bool(horses))
        self._none.setVisible(not horses)
        self.forget_button.setEnabled(bool(owner.id) and not horses)
        self._wrong.clear()

    def _begin_new(self) -> None:
        self.list.setCurrentRow(-1)
        self._fill(Owner(0, ""))
        self.name.setFocus()

    def _keep(self) -> None:
        known = self._chosen() or Owner(0, "")
        name = " ".join(self.name.text().split())
        contact, note = self.contact.text().strip(), self.note.toPlainText().strip()
        try:
            if known.id:
                self._barn.change_owner(replace(known, name=name, contact=contact, note=note))
            else:
                self._barn.add_owner(name, contact=contact, note=note)
        except Trouble as trouble:
            self._wrong.setText(str(trouble))
            return
        self.refresh(name)
        self.said.emit(self.tr("{name} is kept.").format(name=name), False)

    def _forget(self) -> None:
        known = self._chosen()
        if known is None:
            return
        try:
            self._barn.forget_owner(known.id)
        except Trouble as trouble:
            self._wrong.setText(str(trouble))
            return
        self.refresh()
        self.said.emit(self.tr("{name} was taken off the list.").format(name=known.name), False)
