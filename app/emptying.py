"""Making room in a layout for what is shown next."""

from __future__ import annotations

from PySide6.QtWidgets import QLayout, QWidget


def empty(layout: QLayout, *, keep: QWidget | None = None) -> None:
    """Takes everything out of a layout; the widgets vanish now and are deleted soon, all but `keep`."""
    while (item := layout.takeAt(0)) is not None:
        widget = item.widget()
        if widget is not None and widget is not keep:
            widget.hide()
            widget.deleteLater()
