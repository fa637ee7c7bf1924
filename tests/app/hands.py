"""Real keys and a real mouse on the window, and what came of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path

from PySide6.QtCore import QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QKeySequence, QMouseEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QAbstractButton, QApplication, QLabel, QWidget

from annotate.clock import NS_PER_S
from annotate.tags import Tag
from app.bringing_in import look_at_clips
from app.desk import Desk
from app.main_window import MainWindow
from app.review import Review
from store.barn import Barn

LEFT, PLAIN = Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier


def tap(widget: QWidget, *names: str) -> None:
    """Presses and releases keys, written as the sheet writes them: 'W', 'Shift+Q', 'Ctrl+Z'."""
    for name in names:
        key = QKeySequence(name)[0]
        QTest.keyClick(widget, key.key(), key.keyboardModifiers())


def tap_focused(*names: str) -> None:
    """Presses and releases keys where the keys are now, each where the one before has left them."""
    for name in names:
        widget = QApplication.focusWidget()
        assert widget is not None
        tap(widget, name)


def click(widget: QWidget, at: QPoint | None = None) -> None:
    """Clicks into the middle of a widget, or at a point of it."""
    QTest.mouseClick(widget, LEFT, PLAIN, at if at is not None else widget.rect().center())


def drag(widget: QWidget, start: QPoint, *stops: QPoint, drop: bool = True) -> None:
    """Drags from point to point; QTest's own moves go through the X server, which answers when it likes."""
    QTest.mousePress(widget, LEFT, PLAIN, start)
    for stop in stops:
        here, there = QPointF(stop), QPointF(widget.mapToGlobal(stop))
        moved = QMouseEvent(QEvent.Type.MouseMove, here, there, Qt.MouseButton.NoButton, LEFT, PLAIN)
        QApplication.sendEvent(widget, moved)
    if drop:
        QTest.mouseRelease(widget, LEFT, PLAIN, stops[-1])


def button(inside: QWidget, words: str) -> QAbstractButton:
    """The visible button that says `words`, or is called so.

    A layout shows what was put into it only in the next turn of the event loop, so that turn is given first.
    """
    QApplication.processEvents()
    [found] = [
        one
        for one in inside.findChildren(QAbstractButton)
        if one.isVisible() and words in (one.text(), one.accessibleName())
    ]
    return found


def texts(inside: QWidget) -> list[str]:
    """Every text that can be read."""
    return [label.text() for label in inside.findChildren(QLabel) if label.isVisible() and label.text()]


def review_of(desk: Desk) -> Review:
    """The session on the desk."""
    assert desk.review is not None
    return desk.review


def in_hand(desk: Desk) -> Tag:
    """The tag that corrections apply to."""
    tag = review_of(desk).selected
    assert tag is not None
    return tag


def in_seconds(tags: Sequence[Tag]) -> list[tuple[str, float, float | None]]:
    """What, start and end; an end that is not decided yet is None, as an event's."""
    ends = [None if tag.end_ns is None or tag.running else tag.end_ns / NS_PER_S for tag in tags]
    return [(tag.what, tag.start_ns / NS_PER_S, end) for tag, end in zip(tags, ends, strict=True)]


def window_of(desk: Desk) -> MainWindow:
    """The window that the desk is in."""
    window = desk.window()
    assert isinstance(window, MainWindow)
    return window


def placed_session(barn: Barn, *placed: tuple[Path, int]) -> int:
    """A session of clips that begin at these seconds of its clock; its number."""
    looked = look_at_clips([path for path, _ in placed])
    starts = [seconds * NS_PER_S for _, seconds in placed]
    clips = [replace(clip, starts_ns=ns) for clip, ns in zip(looked, starts, strict=True)]
    return barn.add_session("Thistle", date(2026, 5, 4), clips)
