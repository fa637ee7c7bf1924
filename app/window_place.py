"""Where the window opens: where it was, as long as a screen is still there."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QRect, QSize

_SEEN_PX = 80  # so much of the window's head must lie on a screen for it to be caught hold of


def first_size(usual: QSize, screen: QRect, head: int) -> QSize:
    """How large a window opens that was never opened before: as usual, or what the screen has beside its head."""
    return usual.boundedTo(QSize(screen.width(), screen.height() - head))


def placed(kept: tuple[int, int, int, int] | None, screens: Sequence[QRect], least: QRect) -> QRect | None:
    """The window's rectangle; None where nothing was kept or its screen is gone.

    `screens` are the parts of the screens that windows may take; a window that is larger than the screen it
    lies on is made as small as that screen, but not smaller than `least`.
    """
    if kept is None:
        return None
    rect = QRect(*kept)
    head = QRect(rect.left(), rect.top(), rect.width(), _SEEN_PX)
    shared = [(screen.intersected(head), screen) for screen in screens]
    seen, screen = max(shared, key=lambda one: one[0].width() * one[0].height(), default=(QRect(), QRect()))
    if seen.width() < _SEEN_PX or seen.height() < _SEEN_PX // 4:
        return None
    width = max(least.width(), min(rect.width(), screen.width()))
    height = max(least.height(), min(rect.height(), screen.height()))
    return QRect(rect.left(), rect.top(), width, height)
