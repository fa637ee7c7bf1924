"""How the window looks: its colours, by the day or in the evening, and the size of its text.

Text on its ground keeps a contrast of at least 4.5 to 1 (WCAG 2.2, 1.4.3); a test computes it for both.
"""

from __future__ import annotations

from typing import Literal, get_args

from PySide6 import QtCore
from PySide6.QtGui import QColor, QGuiApplication, QPalette
from PySide6.QtWidgets import QApplication

from app.palette import DAY, EVENING, Palette, wear, worn

Look = Literal["system", "evening", "day"]
LOOKS: tuple[Look, ...] = get_args(Look)
TEXT_SIZES = (90, 100, 110, 125, 150)
"""Text sizes to choose from, in percent."""

FUSION = ("-style", "Fusion")
"""For the arguments of a `QApplication`: it draws alike on every system. `setStyle` would hand the style back, and
PySide takes long to make all that a `QStyle` has names for; see `app.by_name`."""

_TEXT_PX = 13
_PERCENT = "text percent"

__all__ = ["FUSION", "LOOKS", "TEXT_SIZES", "Look", "dress", "palette_of", "scaled", "style", "worn"]


def palette_of(look: Look) -> Palette:
    """The colours of a look; the system's choice where it is left to the system, else the evening's."""
    if look == "system":
        light = QGuiApplication.styleHints().colorScheme() == QtCore.Qt.ColorScheme.Light
        return DAY if light else EVENING
    return DAY if look == "day" else EVENING


def scaled(px: int) -> int:
    """A length that grows with the text."""
    app = QApplication.instance()
    percent = app.property(_PERCENT) if app is not None else None
    return round(px * int(percent or 100) / 100)


def dress(app: QApplication, look: Look, text_percent: int = 100) -> None:
    """Puts a look on the whole application, at once."""
    colours = palette_of(look)
    wear(colours)
    app.setProperty(_PERCENT, text_percent)
    app.setPalette(_system_palette(colours))
    app.setStyleSheet(style(colours, text_percent))


def _system_palette(colours: Palette) -> QPalette:
    """What the style sheet leaves open: links, placeholders, what Qt draws by itself."""
    made = QPalette()
    roles = {
        QPalette.ColorRole.Window: colours.room,
        QPalette.ColorRole.WindowText: colours.text,
        QPalette.ColorRole.Base: colours.field,
        QPalette.ColorRole.AlternateBase: colours.grid,
        QPalette.ColorRole.Text: colours.text,
        QPalette.ColorRole.Button: colours.grid,
        QPalette.ColorRole.ButtonText: colours.text,
        QPalette.ColorRole.Highlight: colours.passage,
        QPalette.ColorRole.HighlightedText: colours.room,
        QPalette.ColorRole.PlaceholderText: colours.quiet,
        QPalette.ColorRole.Link: colours.passage,
    }
    for role, colour in roles.items():
        made.setColor(role, QColor(colour))
    return made


def style(colours: Palette, text_percent: int = 100) -> str:
    """The style sheet."""

    def px(length: int) -> str:
        return f"{round(length * text_percent / 100)}px"

    ground, panel, raised, edge = colours.room, colours.field, colours.grid, colours.axis
    text, quiet, accent, on_accent = colours.text, colours.quiet, colours.passage, colours.room
    return f"""
* {{ color: {text}; font-size: {px(_TEXT_PX)}; }}
QWidget {{ background: {ground}; }}
QToolTip {{ background: {raised}; color: {text}; border: 1px solid {edge}; padding: 3px; }}
QLabel[quiet="true"] {{ color: {quiet}; }}
QLabel[large="true"] {{ font-size: {px(20)}; }}
QLabel[key="true"] {{ font-weight: 600; }}
QLabel[warning="true"] {{ color: {colours.reaction}; }}
QLabel[picture="true"] {{ background: transparent; }}
QFrame[guide="true"] {{ background: {raised}; border-left: 3px solid {accent}; }}
QFrame[guide="true"] QLabel {{ background: transparent; }}
QPushButton {{ background: {raised}; border: 1px solid {edge}; border-radius: 4px; padding: 5px 12px; }}
QPushButton:hover {{ border-color: {accent}; }}
QPushButton:focus {{ border: 2px solid {accent}; padding: 4px 11px; }}
QPushButton:disabled {{ color: {quiet}; background: {ground}; border-color: {raised}; }}
QPushButton[cap="true"] {{ padding: 3px 9px; }}
QPushButton[cap="true"]:focus {{ padding: 2px 8px; }}
QPushButton[cap="true"]:checked {{ background: {accent}; color: {on_accent}; border-color: {accent}; }}
QPushButton[cap="true"]:checked:focus {{ border: 2px solid {text}; }}
QPushButton[main="true"] {{ background: {accent}; color: {on_accent}; font-weight: 600; }}
QPushButton[main="true"]:focus {{ border: 2px solid {text}; }}
QPushButton[main="true"]:disabled {{ background: {ground}; color: {quiet}; font-weight: 400; }}
QLineEdit, QComboBox, QDateEdit, QSpinBox, QPlainTextEdit {{
    background: {panel}; border: 1px solid {edge}; border-radius: 3px; padding: 3px 6px;
    selection-background-color: {accent}; selection-color: {on_accent};
}}
QLineEdit:focus, QComboBox:focus, QDateEdit:focus, QSpinBox:focus, QPlainTextEdit:focus {{
    border: 2px solid {accent}; padding: 2px 5px;
}}
QComboBox {{ combobox-popup: 0; }}
QComboBox QLineEdit, QComboBox QLineEdit:focus {{ border: none; padding: 0; background: transparent; }}
QLineEdit[clash="true"] {{ border: 2px solid {colours.reaction}; padding: 2px 5px; }}
QCheckBox::indicator, QListView::indicator {{
    width: 11px; height: 11px; border-radius: 3px; border: 2px solid {quiet}; background: {panel};
}}
QCheckBox::indicator:checked, QListView::indicator:checked {{
    background: {accent}; border-color: {accent};
}}
QCheckBox::indicator:disabled {{ border-color: {edge}; }}
QCheckBox:focus, QRadioButton:focus {{ text-decoration: underline; }}
QSlider:focus {{ border: 2px solid {accent}; border-radius: 3px; }}
QListView, QTableView, QTreeView, QScrollArea {{
    background: {panel}; border: 1px solid {edge}; border-radius: 4px; alternate-background-color: {raised};
    selection-background-color: {raised}; selection-color: {text}; outline: none;
}}
QListView:focus, QTableView:focus, QTreeView:focus {{ border: 2px solid {accent}; }}
QListView::item, QTableView::item {{ padding: 4px; border: none; }}
QListView::item:selected, QTableView::item:selected {{
    background: {raised}; border-left: 3px solid {accent}; color: {text};
}}
QHeaderView::section {{ background: {ground}; color: {quiet}; border: none; padding: 4px; }}
QTabWidget::pane {{ border: 1px solid {edge}; border-radius: 4px; }}
QTabBar::tab {{ background: {ground}; color: {quiet}; padding: 6px 14px; border: none; }}
QTabBar::tab:selected {{ color: {text}; border-bottom: 2px solid {accent}; }}
QProgressBar {{ background: {panel}; border: 1px solid {edge}; border-radius: 3px; text-align: center; }}
QProgressBar::chunk {{ background: {colours.axis}; }}
QScrollBar:vertical {{ background: {panel}; width: 10px; }}
QScrollBar::handle:vertical {{ background: {edge}; border-radius: 5px; min-height: 24px; }}
QScrollBar:horizontal {{ background: {panel}; height: 10px; }}
QScrollBar::handle:horizontal {{ background: {edge}; border-radius: 5px; min-width: 24px; }}
QScrollBar::add-line, QScrollBar::sub-line {{ height: 0; width: 0; }}
QSplitter::handle {{ background: {ground}; }}
"""
