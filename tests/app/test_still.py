"""A picture among words."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QColor, QImage, QPixmap, QPixmapCache
from pytestqt.qtbot import QtBot

from app.still import Still

_SIZE = QSize(176, 99)
_STILL_KB = _SIZE.width() * _SIZE.height() * 4 // 1024


@pytest.fixture
def little_room() -> Iterator[str]:
    """Qt's cache with room for five stills, and the key of one picture in it."""
    usual = QPixmapCache.cacheLimit()
    QPixmapCache.clear()
    QPixmapCache.setCacheLimit(5 * _STILL_KB)
    QPixmapCache.insert("kept", QPixmap(8, 8))
    yield "kept"
    QPixmapCache.setCacheLimit(usual)


@pytest.fixture
def still(qtbot: QtBot) -> Still:
    widget = Still("no picture")
    widget.setAlignment(Qt.AlignmentFlag.AlignCenter)
    qtbot.addWidget(widget)
    widget.resize(200, 120)
    with qtbot.waitExposed(widget):
        widget.show()
    return widget


def image_of(red: int) -> QImage:
    image = QImage(_SIZE, QImage.Format.Format_RGB32)
    image.fill(QColor(red, 0, 0))
    return image


def test_an_image_stands_in_the_middle_in_its_own_size(still: Still) -> None:
    still.show_image(image_of(200))
    seen = still.grab().toImage()
    assert still.sizeHint() == _SIZE
    assert [seen.pixelColor(x, 60).red() == 200 for x in (11, 12, 187, 188)] == [False, True, True, False]


def test_without_an_image_the_words_are_there_again(still: Still) -> None:
    words = still.grab().toImage()
    still.show_image(image_of(200))
    assert still.text() == ""
    assert still.grab().toImage() != words
    still.show_image(QImage())
    assert still.text() == "no picture"
    assert still.grab().toImage() == words


def test_images_leave_nothing_behind_in_what_qt_keeps_of_pictures(still: Still, little_room: str) -> None:
    kept = QPixmap()
    for red in range(20):
        still.show_image(image_of(red))
        still.grab()
    assert QPixmapCache.find(little_room, kept)
