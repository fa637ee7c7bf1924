"""How far two looks agree, in plain words, and what one called which the other called otherwise."""

from __future__ import annotations

from collections.abc import Mapping
from html import escape

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QAbstractItemView,
    QComboBox,
    QHeaderView,
    QLabel,
    QScrollArea,
    QSizePolicy,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from annotate.agreement.comparing import Agreement
from annotate.agreement.in_words import KAPPA_IN_SHORT, WHAT_KAPPA_MEANS, in_words
from annotate.agreement.looks import NO, UNTAGGED, YES
from annotate.agreement.several import AllAgree
from annotate.agreement.states import StateAgreement
from annotate.behaviours import SIGHT, Sheet
from annotate.clock import NS_PER_S
from annotate.numbers.wording import Line, number_text
from app.palette import worn

_TABLE_PX = 190


class AgreementFigures(QWidget):
    """The figures with their intervals, and under them the seconds of each pair of codes."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.words = QLabel()
        self.words.setTextFormat(Qt.TextFormat.RichText)
        self.words.setWordWrap(True)
        self.words.setAlignment(Qt.AlignmentFlag.AlignTop)
        self.words.setMargin(6)
        self.words.setAccessibleName(self.tr("Agreement in words"))
        policy = QSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Minimum)
        policy.setHeightForWidth(True)
        self.words.setSizePolicy(policy)
        scroll = QScrollArea()
        scroll.setWidgetResizable(True)
        scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        scroll.setWidget(self.words)
        self.group = QComboBox()
        self.group.setAccessibleName(self.tr("What is in the table"))
        self.group.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.group.currentIndexChanged.connect(self._show_table)
        self.table = QTableWidget()
        self.table.setAccessibleName(self.tr("Seconds in both looks"))
        self.table.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.table.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.table.setSelectionMode(QAbstractItemView.SelectionMode.NoSelection)
        self.table.setFixedHeight(_TABLE_PX)
        for header in (self.table.horizontalHeader(), self.table.verticalHeader()):
            header.setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        hint = QLabel(self.tr("Seconds: a row for what the first look says, a column for what the second says."))
        hint.setProperty("quiet", True)
        hint.setWordWrap(True)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(scroll, 1)
        column.addWidget(self.group)
        column.addWidget(self.table)
        column.addWidget(hint)
        self._sheet: Sheet | None = None
        self._tables: list[StateAgreement] = []

    def show_agreement(
        self, agreement: Agreement, several: Mapping[str, AllAgree] | None = None, why_not_several: str = ""
    ) -> None:
        """Shows one comparison, and the agreement of all looks, in place of what was there."""
        self._sheet = sheet = agreement.looks.sheet
        named = {
            self.tr("Out of sight") if group == SIGHT else sheet.group(group).title: agreed
            for group, agreed in agreement.states.items()
        }
        named |= {
            f"{sheet.group(group).title}: {sheet[name].title}": agreed
            for group, singles in agreement.single.items()
            for name, agreed in singles.items()
        }
        footage, *figures = map(_as_html, in_words(agreement, several, why_not_several))
        short, *more = (
            f"<p style='color:{worn().quiet}; margin:0 0 8px 0'>{escape(words)}</p>"
            for words in (KAPPA_IN_SHORT, *WHAT_KAPPA_MEANS)
        )
        self.words.setText("".join((footage, short, *figures, *more)))
        self._tables = list(named.values())
        self.group.blockSignals(True)
        self.group.clear()
        self.group.addItems(list(named))
        self.group.blockSignals(False)
        self._show_table(0)

    def clear(self) -> None:
        """Shows nothing."""
        self.words.clear()
        self._tables = []
        self.group.clear()
        self._show_table(0)

    def _show_table(self, place: int) -> None:
        shown = 0 <= place < len(self._tables) and self._sheet is not None
        exact = self._tables[place].exact if shown else None
        codes = exact.codes if exact is not None else ()
        titles = [_title(code, self._sheet) for code in codes]
        self.table.setRowCount(len(codes))
        self.table.setColumnCount(len(codes))
        self.table.setHorizontalHeaderLabels(titles)
        self.table.setVerticalHeaderLabels(titles)
        for row in range(len(codes)):
            for column in range(len(codes)):
                ns = exact.cells[row][column] if exact is not None else 0
                cell = QTableWidgetItem(_seconds_text(ns))
                cell.setTextAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
                font = cell.font()
                font.setBold(row == column)
                cell.setFont(font)
                self.table.setItem(row, column, cell)


def _as_html(line: Line) -> str:
    label = escape(line.label).replace("  ", "&nbsp;&nbsp;&nbsp;")
    note = f"<br><span style='color:{worn().quiet}'>{escape(line.note)}</span>" if line.note else ""
    return f"<p style='margin:0 0 6px 0'>{label}: <b>{escape(line.figure)}</b>{note}</p>"


def _title(code: str, sheet: Sheet | None) -> str:
    if code in (YES, NO, UNTAGGED):
        return code
    return sheet[code].title if sheet is not None and code in sheet else code.replace("_", " ")


def _seconds_text(ns: int) -> str:
    if not ns:
        return "–"
    return number_text(ns / NS_PER_S) if ns >= 100 * NS_PER_S else f"{ns / NS_PER_S:.1f}"
