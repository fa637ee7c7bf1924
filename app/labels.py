"""Words on a page: plain text, over as many lines as they need."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel


def plain_label(words: str = "", *, quiet: bool = False, warning: bool = False) -> QLabel:
    """Words that are never taken for markup; they stand back if `quiet`, or out as a `warning`."""
    label = QLabel(words)
    label.setTextFormat(Qt.TextFormat.PlainText)
    label.setWordWrap(True)
    label.setProperty("quiet", quiet)
    label.setProperty("warning", warning)
    return label
