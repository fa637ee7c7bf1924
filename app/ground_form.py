"""Where the session was worked, asked in place: pen, rail, line and the height of the hip."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QGridLayout, QLabel, QLineEdit, QWidget

from annotate.circle import parse_metres
from annotate.errors import Trouble
from annotate.numbers.ground import GROUND_DETAILS
from app.asked_in_place import AskedInPlace


class GroundForm(AskedInPlace):
    """`kept(details)` with lengths in metres, empty where nothing is given; `closed` when done with."""

    kept = Signal(dict)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.fields: dict[str, QLineEdit] = {}
        grid = QGridLayout(self)
        grid.setContentsMargins(8, 6, 8, 6)
        grid.setVerticalSpacing(4)
        hints = (self.tr("60 ft or 18.3 m"), self.tr("3 ft"), self.tr("30 ft"), self.tr("145 cm"))
        for row, ((key, title), hint) in enumerate(zip(GROUND_DETAILS.items(), hints, strict=True)):
            field = QLineEdit()
            field.setAccessibleName(title.capitalize())
            field.setPlaceholderText(hint)
            field.setMaxLength(20)
            field.returnPressed.connect(self._keep)
            self.fields[key] = field
            grid.addWidget(QLabel(title.capitalize()), row, 0)
            grid.addWidget(field, row, 1)
        grid.addLayout(self._buttons, len(GROUND_DETAILS), 0, 1, 2)
        grid.setRowStretch(len(GROUND_DETAILS) + 1, 1)

    def ask(self, details: Mapping[str, str]) -> None:
        """Shows what is known and begins with the first field."""
        for key, field in self.fields.items():
            field.setText(self._shown(details.get(key, "")))
        self._wrong.clear()
        next(iter(self.fields.values())).setFocus()

    def _shown(self, metres: str) -> str:
        """A kept length in the unit that is read; exactly as kept where that would change it."""
        if not metres:
            return ""
        text = f"{self.unit.of(float(metres)):.6g} {self.unit.sign}"
        return text if f"{parse_metres(text):.6g}" == metres else f"{metres} m"

    def _keep(self) -> None:
        lengths: dict[str, str] = {}
        for key, field in self.fields.items():
            text = field.text().strip()
            try:
                lengths[key] = f"{parse_metres(text):.6g}" if text else ""
            except Trouble as trouble:
                self._wrong.setText(str(trouble))
                field.setFocus()
                return
        self.kept.emit(lengths)
