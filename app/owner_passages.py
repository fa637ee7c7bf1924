"""The passages of a session as they go to the owner: which, in which order, with how much before and after."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QCheckBox,
    QHBoxLayout,
    QLabel,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from annotate.clock import NS_PER_S, clock_text
from annotate.deliver.page.choice import Arrangement
from annotate.passages import Passage
from app.labels import plain_label
from app.rule_form import RuleForm, seconds_box

_ID = Qt.ItemDataRole.UserRole


class OwnerPassages(QWidget):
    """`changed` when what is shown of the list is set; `passages_changed(list, words)` when the list is."""

    changed = Signal()
    passages_changed = Signal(list, str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._filling = False
        self._passages: dict[int, Passage] = {}
        self._left_out: set[int] = set()
        self.list = QListWidget()
        self.list.setAccessibleName(self.tr("Passages for the owner"))
        self.list.setWordWrap(True)
        self.list.setMinimumHeight(120)
        self.list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.list.itemChanged.connect(self._on_item)
        self.length = QLabel()
        self.length.setProperty("quiet", True)
        self.lead_in = seconds_box(self.tr("Lead-in"), 30)
        self.lead_out = seconds_box(self.tr("Lead-out"), 30)
        self.fit = seconds_box(self.tr("All together at most"), 3600)
        self.fit.setToolTip(self.tr("What does not fit is left out, from the end of the list"))
        self.fit.setSpecialValueText(self.tr("any length"))
        self.merge = QCheckBox(self.tr("Passages that overlap become one"))
        self.rule = RuleForm()
        self._lay_out()
        for spin in (self.lead_in, self.lead_out, self.fit):
            spin.valueChanged.connect(self._on_changed)
        self.merge.toggled.connect(self._on_changed)

    def fill(self, arrangement: Arrangement) -> None:
        """Shows how the passages were arranged."""
        self._filling = True
        for spin, ns in (
            (self.lead_in, arrangement.lead_in_ns),
            (self.lead_out, arrangement.lead_out_ns),
            (self.fit, arrangement.fit_ns or 0),
        ):
            spin.setValue(ns // NS_PER_S)
        self.merge.setChecked(arrangement.merge)
        self._left_out = set(arrangement.left_out)
        self._filling = False

    def put_into(self, arrangement: Arrangement) -> Arrangement:
        """An arrangement with what is set here."""
        fit = self.fit.value()
        return replace(
            arrangement,
            left_out=frozenset(self._left_out),
            lead_in_ns=self.lead_in.value() * NS_PER_S,
            lead_out_ns=self.lead_out.value() * NS_PER_S,
            fit_ns=fit * NS_PER_S if fit else None,
            merge=self.merge.isChecked(),
        )

    def show_passages(self, passages: Sequence[Passage]) -> None:
        """Shows the highlight list; what was left out stays unticked."""
        row = self.list.currentRow()
        self._filling = True
        self._passages = {passage.id: passage for passage in passages}
        while self.list.count() > len(passages):
            self.list.takeItem(len(passages))
        while self.list.count() < len(passages):
            self.list.addItem(_passage_item())
        for place, passage in enumerate(passages):
            item = self.list.item(place)
            item.setText(passage.caption or self.tr("Passage {number}").format(number=place + 1))
            start, end = clock_text(passage.start_ns), clock_text(passage.end_ns)
            item.setToolTip(self.tr("{start} to {end}").format(start=start, end=end))
            item.setData(_ID, passage.id)
            is_in = passage.id not in self._left_out
            item.setCheckState(Qt.CheckState.Checked if is_in else Qt.CheckState.Unchecked)
        self.list.setCurrentRow(min(row, len(passages) - 1))
        self._filling = False

    # -- laying out

    def _lay_out(self) -> None:
        column = QVBoxLayout(self)
        column.setContentsMargins(8, 8, 8, 8)
        column.setSpacing(5)
        column.addWidget(self.list, 1)
        row = QHBoxLayout()
        for words, by in ((self.tr("Up"), -1), (self.tr("Down"), 1)):
            button = QPushButton(words)
            button.clicked.connect(lambda _=False, by=by: self._move(by))
            row.addWidget(button)
        row.addStretch(1)
        row.addWidget(self.length)
        column.addLayout(row)
        column.addWidget(plain_label(self.tr("When they are written:"), quiet=True))
        row = QHBoxLayout()
        for label, spin in (
            (self.tr("Lead-in"), self.lead_in),
            (self.tr("out"), self.lead_out),
            (self.tr("in all"), self.fit),
        ):
            row.addWidget(QLabel(label))
            row.addWidget(spin, 1)
        column.addLayout(row)
        column.addWidget(self.merge)
        column.addSpacing(8)
        column.addWidget(plain_label(self.tr("Passages by rule, in this and every other session:"), quiet=True))
        column.addWidget(self.rule)

    # -- what the hand does

    def _on_changed(self) -> None:
        if not self._filling:
            self.changed.emit()

    def _on_item(self, item: QListWidgetItem) -> None:
        passage = self._passages.get(item.data(_ID))
        if self._filling or passage is None:
            return
        is_in = item.checkState() == Qt.CheckState.Checked
        if is_in == (passage.id in self._left_out):
            self._left_out ^= {passage.id}
            self.changed.emit()
        caption = item.text().strip()
        # What stands for an empty caption is none.
        stands_for_none = self.tr("Passage {number}").format(number=self.list.row(item) + 1)
        if caption != passage.caption and (passage.caption or caption != stands_for_none):
            changed = [
                replace(one, caption=caption) if one.id == passage.id else one for one in self._ordered()
            ]
            self.passages_changed.emit(changed, self.tr("caption changed"))

    def _move(self, by: int) -> None:
        row = self.list.currentRow()
        ordered = self._ordered()
        if row < 0 or not 0 <= row + by < len(ordered):
            return
        ordered[row], ordered[row + by] = ordered[row + by], ordered[row]
        self.list.setCurrentRow(row + by)
        self.passages_changed.emit(ordered, self.tr("passage moved"))

    def _ordered(self) -> list[Passage]:
        return [self._passages[self.list.item(i).data(_ID)] for i in range(self.list.count())]


def _passage_item() -> QListWidgetItem:
    item = QListWidgetItem()
    item.setFlags(item.flags() | Qt.ItemFlag.ItemIsEditable | Qt.ItemFlag.ItemIsUserCheckable)
    return item
