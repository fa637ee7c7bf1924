"""The list of horses on the barn's page: each by name, with how many sessions it has."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QEvent, QSize
from PySide6.QtWidgets import QListWidget, QListWidgetItem, QSizePolicy

from annotate.horses import Horse
from app.counted import Counted
from app.look import scaled
from store.rows import HorseRow


class HorseList(QListWidget):
    """`currentItemChanged` when another horse is chosen, by a person; not when the list is filled."""

    def __init__(self) -> None:
        super().__init__()
        self._rows: Sequence[HorseRow] = ()
        self.setAccessibleName(self.tr("Horses"))
        self.setMinimumWidth(230)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Expanding)

    @property
    def chosen(self) -> Horse | None:
        """The horse whose sessions are shown."""
        row = self.currentRow()
        return self._rows[row].horse if row >= 0 else None

    def show_horses(self, rows: Sequence[HorseRow], wanted: str | None = None) -> None:
        """Lists these, and chooses the one named `wanted`; the first if it is not among them."""
        self._rows = rows
        self.blockSignals(True)
        self.clear()
        for row in rows:
            sessions = Counted.tr("{count} session|{count} sessions", "", row.sessions)
            item = QListWidgetItem(f"{row.horse.name}\n{sessions}")
            item.setSizeHint(_item_size())
            self.addItem(item)
            if row.horse.name == wanted:
                self.setCurrentItem(item)
        if self.currentItem() is None and rows:
            self.setCurrentRow(0)
        self.blockSignals(False)

    def changeEvent(self, event: QEvent) -> None:
        """Makes room for another size of text."""
        if event.type() == QEvent.Type.StyleChange:
            for row in range(self.count()):
                self.item(row).setSizeHint(_item_size())
        super().changeEvent(event)


def _item_size() -> QSize:
    return QSize(200, scaled(46))
