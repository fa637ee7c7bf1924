"""How the window looks and measures, chosen in place: what is chosen is worn at once."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from app.look import LOOKS, TEXT_SIZES
from app.page import Page
from app.preferences import UNITS, Preferences


class LookPage(Page):
    """`changed` when something was chosen; `closed` when it is done with."""

    changed = Signal()

    def __init__(self, preferences: Preferences, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._preferences = preferences
        self.setAccessibleName(self.tr("Look and units"))
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        head = QLabel(self.tr("Look and units"))
        head.setProperty("large", True)
        back = QPushButton(self.tr("Back"))
        back.setToolTip(self.tr("Escape"))
        back.clicked.connect(self.closed)
        top = QHBoxLayout()
        top.addWidget(head, 1)
        top.addWidget(back)
        looks = {"system": self.tr("as the system"), "evening": self.tr("evening"), "day": self.tr("day")}
        units = {"metres": self.tr("metres"), "feet": self.tr("feet")}
        self._groups: dict[str, list[QPushButton]] = {}
        column = QVBoxLayout(self)
        column.setContentsMargins(16, 12, 16, 8)
        column.setSpacing(14)
        column.addLayout(top)
        column.addWidget(self._row(self.tr("Colours"), "look", LOOKS, lambda one: looks[str(one)]))
        column.addWidget(self._row(self.tr("Text"), "text_percent", TEXT_SIZES, lambda one: f"{one} %"))
        column.addWidget(self._row(self.tr("Lengths in"), "unit", UNITS, lambda one: units[str(one)]))
        words = QLabel(
            self.tr(
                "Both looks keep text at a contrast of 4.5 to 1 or more. Colour-blind eyes, too, tell apart "
                "what lies on the work line: by lightness, by shape and by place."
            )
        )
        words.setProperty("quiet", True)
        words.setWordWrap(True)
        column.addWidget(words)
        column.addStretch(1)
        self._show()

    def _row(
        self, title: str, name: str, options: tuple[object, ...], told: Callable[[object], str]
    ) -> QWidget:
        # Not a QButtonGroup: of such a group, Tab reaches only one button.
        group: list[QPushButton] = []
        row = QHBoxLayout()
        row.setContentsMargins(0, 0, 0, 0)
        label = QLabel(title)
        label.setMinimumWidth(110)
        row.addWidget(label)
        for option in options:
            button = QPushButton(told(option))
            button.setCheckable(True)
            button.setProperty("cap", True)
            button.setProperty("option", option)
            button.setAccessibleName(f"{title}: {told(option)}")
            button.clicked.connect(lambda _=False, name=name, option=option: self._choose(name, option))
            group.append(button)
            row.addWidget(button)
        row.addStretch(1)
        self._groups[name] = group
        box = QWidget()
        box.setLayout(row)
        return box

    def _choose(self, name: str, option: object) -> None:
        self._preferences.keep(**{name: option})
        self._show()
        self.changed.emit()

    def _show(self) -> None:
        for name, group in self._groups.items():
            chosen = getattr(self._preferences.choices, name)
            for button in group:
                button.setChecked(button.property("option") == chosen)
