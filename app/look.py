"""The window's colours and its style sheet: dark enough for a tack room in the evening.

Text on its ground keeps a contrast of at least 4.5 to 1 (WCAG 2.2, 1.4.3); a test computes it.
"""

from __future__ import annotations

from app.palette import EVENING

GROUND = EVENING.room
PANEL = EVENING.field
RAISED = EVENING.grid
EDGE = EVENING.axis
PICTURE_GROUND = "#0a0c0f"
TEXT = EVENING.text
QUIET_TEXT = "#9aa5b2"
ACCENT = EVENING.passage
ACCENT_TEXT = EVENING.room
WARNING = EVENING.reaction

STYLE = f"""
* {{ color: {TEXT}; font-size: 13px; }}
QWidget {{ background: {GROUND}; }}
QToolTip {{ background: {RAISED}; color: {TEXT}; border: 1px solid {EDGE}; padding: 3px; }}
QLabel[quiet="true"] {{ color: {QUIET_TEXT}; }}
QLabel[large="true"] {{ font-size: 20px; }}
QLabel[warning="true"] {{ color: {WARNING}; }}
QPushButton {{ background: {RAISED}; border: 1px solid {EDGE}; border-radius: 4px; padding: 5px 12px; }}
QPushButton:hover {{ border-color: {ACCENT}; }}
QPushButton:focus {{ border: 2px solid {ACCENT}; padding: 4px 11px; }}
QPushButton:disabled {{ color: {QUIET_TEXT}; background: {PANEL}; }}
QPushButton[cap="true"] {{ padding: 3px 9px; }}
QPushButton[cap="true"]:focus {{ padding: 2px 8px; }}
QPushButton[cap="true"]:checked {{ background: {ACCENT}; color: {ACCENT_TEXT}; border-color: {ACCENT}; }}
QPushButton[main="true"] {{ background: {ACCENT}; color: {ACCENT_TEXT}; font-weight: 600; }}
QLineEdit, QComboBox, QDateEdit, QSpinBox, QPlainTextEdit {{
    background: {PANEL}; border: 1px solid {EDGE}; border-radius: 3px; padding: 3px 6px;
    selection-background-color: {ACCENT}; selection-color: {ACCENT_TEXT};
}}
QLineEdit:focus, QComboBox:focus, QDateEdit:focus, QPlainTextEdit:focus {{ border-color: {ACCENT}; }}
QListView, QTableView, QTreeView, QScrollArea {{
    background: {PANEL}; border: 1px solid {EDGE}; border-radius: 4px; alternate-background-color: {RAISED};
    selection-background-color: {RAISED}; selection-color: {TEXT}; outline: none;
}}
QListView::item, QTableView::item {{ padding: 4px; border: none; }}
QListView::item:selected, QTableView::item:selected {{
    background: {RAISED}; border-left: 3px solid {ACCENT}; color: {TEXT};
}}
QHeaderView::section {{ background: {GROUND}; color: {QUIET_TEXT}; border: none; padding: 4px; }}
QTabWidget::pane {{ border: 1px solid {EDGE}; border-radius: 4px; }}
QTabBar::tab {{ background: {GROUND}; color: {QUIET_TEXT}; padding: 6px 14px; border: none; }}
QTabBar::tab:selected {{ color: {TEXT}; border-bottom: 2px solid {ACCENT}; }}
QProgressBar {{ background: {PANEL}; border: 1px solid {EDGE}; border-radius: 3px; text-align: center; }}
QProgressBar::chunk {{ background: {ACCENT}; }}
QScrollBar:vertical {{ background: {PANEL}; width: 10px; }}
QScrollBar::handle:vertical {{ background: {EDGE}; border-radius: 5px; min-height: 24px; }}
QScrollBar::add-line, QScrollBar::sub-line {{ height: 0; width: 0; }}
QSplitter::handle {{ background: {GROUND}; }}
"""
