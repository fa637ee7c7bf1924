"""Where two looks differ, a line for each moment, with what was settled of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from PySide6.QtCore import QCoreApplication, Qt
from PySide6.QtGui import QColor
from PySide6.QtWidgets import QAbstractItemView, QHeaderView, QTableWidget, QTableWidgetItem

from annotate.agreement.differences import Difference
from annotate.agreement.in_words import difference_lines
from app.look import scaled
from app.marked import QT_TRANSLATE_NOOP
from app.palette import worn
from app.second_looks import difference_key

VERDICTS = {
    "first": QT_TRANSLATE_NOOP("verdicts", "the first is right"),
    "left": QT_TRANSLATE_NOOP("verdicts", "left open"),
}


def verdict_words(verdict: str) -> str:
    """What was settled, in the language of the window; empty for what is no verdict."""
    return QCoreApplication.translate("verdicts", VERDICTS[verdict]) if verdict in VERDICTS else ""


class DifferenceList(QTableWidget):
    """The keys stay with the page: the list itself takes no focus."""

    def __init__(self) -> None:
        super().__init__(0, 4)
        self.setAccessibleName(self.tr("Differences"))
        self.setHorizontalHeaderLabels(
            [self.tr("At"), self.tr("First look"), self.tr("Second look"), self.tr("Settled")]
        )
        self.verticalHeader().hide()
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setFixedHeight(190)
        header = self.horizontalHeader()
        fits, stretches = QHeaderView.ResizeMode.ResizeToContents, QHeaderView.ResizeMode.Stretch
        for column, mode in enumerate((fits, QHeaderView.ResizeMode.Interactive, stretches, fits)):
            header.setSectionResizeMode(column, mode)
        header.setMinimumSectionSize(scaled(84))
        header.resizeSection(1, 220)

    def show_differences(self, found: Sequence[Difference], decided: Mapping[str, str]) -> None:
        """Shows these in place of what was there; the line in hand stays where it is."""
        row = self.currentRow()
        self.setRowCount(len(found))
        for place, (one, cells) in enumerate(zip(found, difference_lines(found), strict=True)):
            verdict = decided.get(difference_key(one), "")
            for column, words in enumerate((*cells, verdict_words(verdict))):
                item = QTableWidgetItem(words)
                item.setToolTip(words)
                if verdict:
                    item.setForeground(QColor(worn().quiet))
                self.setItem(place, column, item)
        self.resizeRowsToContents()
        if found:
            self.selectRow(min(max(row, 0), len(found) - 1))
