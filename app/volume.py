"""How loud it plays: a small slider and a button that silences.

The sound keeps its pitch from half to twice the speed; slower or faster there is none, for it would be noise.
"""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QSlider, QWidget

STEP = 10
_USUAL = 80


class Volume(QWidget):
    """`changed(share of full loudness, 0 to 1)`; 0 while it is silenced."""

    changed = Signal(float)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._mute = QPushButton(self.tr("Mute"))
        self._mute.setCheckable(True)
        self._mute.setProperty("cap", True)
        self._mute.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._slider = QSlider(Qt.Orientation.Horizontal)
        self._slider.setRange(0, 100)
        self._slider.setValue(_USUAL)
        self._slider.setFixedWidth(90)
        self._slider.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._slider.setAccessibleName(self.tr("Volume"))
        self._slider.setToolTip(self.tr("Volume"))
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(6)
        row.addWidget(self._mute)
        row.addWidget(self._slider)
        self._mute.toggled.connect(self._tell)
        self._slider.valueChanged.connect(self._tell)

    @property
    def percent(self) -> int:
        """Where the slider stands, silenced or not."""
        return self._slider.value()

    @property
    def is_muted(self) -> bool:
        """Whether it is silenced."""
        return self._mute.isChecked()

    @property
    def level(self) -> float:
        """What plays, 0 to 1."""
        return 0.0 if self.is_muted else self.percent / 100

    def set_level(self, percent: int, *, muted: bool) -> None:
        """Sets both."""
        self._slider.setValue(percent)
        self._mute.setChecked(muted)

    def turn(self, by: int) -> None:
        """Louder or quieter, by hundredths; a turn ends the silence."""
        self.set_level(self.percent + by, muted=False)

    def toggle_mute(self) -> None:
        """Silences, or ends the silence."""
        self._mute.toggle()

    def _tell(self) -> None:
        self._mute.setText(self.tr("Muted") if self.is_muted else self.tr("Mute"))
        self.changed.emit(self.level)
