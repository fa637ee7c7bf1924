"""The rules by which passages are chosen: what, from which severity on, with how much before and after."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QCheckBox, QHBoxLayout, QLabel, QPushButton, QSpinBox, QVBoxLayout, QWidget

from annotate.clock import NS_PER_S
from annotate.deliver.rules import PARTS_OF_RULE, Rules, only

_REACTIONS = "reactions"


class RuleForm(QWidget):
    """`changed` when a rule is set, `asked` when the passages shall be chosen now."""

    changed = Signal()
    asked = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._rules = Rules()
        self._filling = False
        self.parts = {part: QCheckBox(title) for part, title in PARTS_OF_RULE.items()}
        self.severity = _number(self.tr("Mildest severity"), 1, 4)
        self.severity.setPrefix(self.tr("severity "))
        self.lead_in = seconds_box(self.tr("Lead-in by rule"), 60)
        self.lead_out = seconds_box(self.tr("Lead-out by rule"), 60)
        self.total = seconds_box(self.tr("By rule at most"), 3600)
        self.total.setSpecialValueText(self.tr("any length"))
        self.total.setToolTip(self.tr("The hardest reactions come first; what does not fit is left out"))
        self.choose = QPushButton(self.tr("Choose by rule"))
        self.choose.setToolTip(self.tr("Adds what the rule finds to the passages that you marked"))
        self._lay_out()
        for box in self.parts.values():
            box.toggled.connect(self._on_changed)
        for spin in (self.severity, self.lead_in, self.lead_out, self.total):
            spin.valueChanged.connect(self._on_changed)
        self.choose.clicked.connect(self.asked)

    def show_rules(self, rules: Rules) -> None:
        """Shows the rules as they are kept."""
        self._filling = True
        self._rules = rules
        for part, box in self.parts.items():
            box.setChecked(getattr(rules, part))
        self.severity.setValue(rules.least_severity)
        for spin, ns in (
            (self.lead_in, rules.lead_in_ns),
            (self.lead_out, rules.lead_out_ns),
            (self.total, rules.total_ns or 0),
        ):
            spin.setValue(ns // NS_PER_S)
        self._filling = False

    def rules(self) -> Rules:
        """The rules as they are set."""
        total_s = self.total.value()
        rules = replace(
            self._rules,
            lead_in_ns=self.lead_in.value() * NS_PER_S,
            lead_out_ns=self.lead_out.value() * NS_PER_S,
            least_severity=self.severity.value(),
            total_ns=total_s * NS_PER_S if total_s else None,
        )
        return only(rules, [part for part, box in self.parts.items() if box.isChecked()])

    def _lay_out(self) -> None:
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(3)
        for part, box in self.parts.items():
            if part != _REACTIONS:
                column.addWidget(box)
                continue
            row = QHBoxLayout()
            row.addWidget(box, 1)
            row.addWidget(self.severity)
            column.addLayout(row)
        row = QHBoxLayout()
        for label, spin in (
            (self.tr("Lead-in"), self.lead_in),
            (self.tr("out"), self.lead_out),
            (self.tr("in all"), self.total),
        ):
            row.addWidget(QLabel(label))
            row.addWidget(spin, 1)
        column.addLayout(row)
        column.addWidget(self.choose)

    def _on_changed(self) -> None:
        if not self._filling:
            self.changed.emit()


def seconds_box(name: str, most: int) -> QSpinBox:
    """A field for whole seconds."""
    box = _number(name, 0, most)
    box.setSuffix(" s")
    box.setMinimumWidth(72)
    return box


def _number(name: str, least: int, most: int) -> QSpinBox:
    box = QSpinBox()
    box.setRange(least, most)
    box.setAccessibleName(name)
    return box
