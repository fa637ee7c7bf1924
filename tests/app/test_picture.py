"""The large picture."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QImage
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from app.palette import PICTURE_GROUND
from app.picture import Picture

RED = QColor(200, 30, 30)


@pytest.fixture
def picture(qtbot: QtBot) -> Picture:
    widget = Picture()
    qtbot.addWidget(widget)
    widget.resize(400, 400)
    with qtbot.waitExposed(widget):
        widget.show()
    return widget


def red_image(width: int, height: int) -> QImage:
    image = QImage(width, height, QImage.Format.Format_RGB888)
    image.fill(RED)
    return image


@pytest.mark.parametrize(
    ("size", "place"),
    [((160, 90), (0, 87, 400, 225)), ((90, 160), (87, 0, 225, 400)), ((800, 800), (0, 0, 400, 400))],
)
def test_an_image_is_as_large_as_fits_in_its_own_shape(
    picture: Picture, size: tuple[int, int], place: tuple[int, int, int, int]
) -> None:
    picture.show_image(red_image(*size))
    assert picture.image_rect().getRect() == place


def test_what_the_image_leaves_free_is_dark(picture: Picture) -> None:
    picture.show_image(red_image(160, 90))
    seen = picture.grab().toImage()
    assert seen.pixelColor(200, 200) == RED
    assert seen.pixelColor(200, 20) == QColor(PICTURE_GROUND)


def test_words_stand_in_place_of_the_image(picture: Picture) -> None:
    picture.show_image(red_image(160, 90))
    picture.show_words("It is gone.")
    seen = picture.grab().toImage()
    colours = {seen.pixel(x, y) for x in range(100, 300, 2) for y in range(180, 220)}
    assert picture.image is None
    assert len(colours) > 1
    assert RED.rgb() not in colours


def test_a_new_image_takes_the_words_away(picture: Picture) -> None:
    picture.show_words("It is gone.")
    picture.show_image(red_image(160, 90))
    assert picture.words == ""
    assert picture.grab().toImage().pixelColor(200, 200) == RED


def test_only_the_left_button_asks_to_play(picture: Picture, qtbot: QtBot) -> None:
    heard: list[bool] = []
    picture.clicked.connect(lambda: heard.append(True))
    for key in (Qt.MouseButton.RightButton, Qt.MouseButton.LeftButton):
        QTest.mouseClick(picture, key)
    assert heard == [True]
