"""The key strip under a real mouse."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QColor
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from annotate.behaviours import DEFAULT_SHEET, default_sheet, read_sheet
from annotate.sheet_text import with_word
from app.key_strip import KeyStrip
from app.palette import EVENING
from tests.app.hands import click

SHEET = default_sheet()
NONE, SHIFT, ALT = (
    Qt.KeyboardModifier.NoModifier,
    Qt.KeyboardModifier.ShiftModifier,
    Qt.KeyboardModifier.AltModifier,
)
CTRL = Qt.KeyboardModifier.ControlModifier


@pytest.fixture
def strip(qtbot: QtBot) -> KeyStrip:
    widget = KeyStrip()
    qtbot.addWidget(widget)
    widget.resize(1260, 80)
    widget.set_sheet(SHEET)
    with qtbot.waitExposed(widget):
        widget.show()
    return widget


def shown(strip: KeyStrip) -> set[str]:
    return {b.name for b in SHEET.behaviours if not strip.cap_rect(b.name).isEmpty()}


def ground(strip: KeyStrip, name: str) -> QColor:
    rect = strip.cap_rect(name)
    return strip.grab().toImage().pixelColor(rect.left() + 3, rect.center().y())


def test_without_a_modifier_the_plain_keys_are_shown(strip: KeyStrip) -> None:
    assert shown(strip) == {b.name for b in SHEET.behaviours if "+" not in b.key}


@pytest.mark.parametrize(("held", "layer"), [(SHIFT, "Shift+"), (ALT, "Alt+")])
def test_a_held_modifier_shows_its_own_keys(strip: KeyStrip, held: Qt.KeyboardModifier, layer: str) -> None:
    strip.set_layer(held)
    assert shown(strip) == {b.name for b in SHEET.behaviours if b.key.startswith(layer)}
    strip.set_layer(NONE)
    assert "walk" in shown(strip)


@pytest.mark.parametrize(
    ("key", "held"), [("Ctrl+T", CTRL), ("Alt+Shift+T", ALT | SHIFT), ("Ctrl+Alt+T", CTRL | ALT)]
)
def test_a_key_with_any_modifiers_has_a_cap_while_they_are_held(
    strip: KeyStrip, key: str, held: Qt.KeyboardModifier
) -> None:
    strip.set_sheet(read_sheet(with_word(DEFAULT_SHEET.read_text(encoding="utf-8"), "trot", "key", key)))
    strip.set_layer(held)
    assert shown(strip) == {"trot"}
    strip.set_sheet(SHEET)
    assert "trot" in shown(strip)


def test_a_modifier_without_keys_changes_nothing(strip: KeyStrip) -> None:
    strip.set_layer(CTRL)
    assert strip.layer == ""


def test_no_cap_covers_another_one(strip: KeyStrip) -> None:
    for held in (NONE, SHIFT, ALT):
        strip.set_layer(held)
        caps = [strip.cap_rect(name) for name in shown(strip)]
        assert not any(a.intersects(b) for i, a in enumerate(caps) for b in caps[:i])


@pytest.mark.parametrize("width", [500, 900, 1900])
def test_every_cap_lies_within_the_strip_at_any_width(strip: KeyStrip, width: int) -> None:
    strip.resize(width, strip.height())
    assert all(strip.rect().contains(strip.cap_rect(name)) for name in shown(strip))


def test_a_click_on_a_cap_is_a_press_of_its_key(strip: KeyStrip) -> None:
    heard: list[str] = []
    strip.pressed.connect(heard.append)
    click(strip, strip.cap_rect("spook").center())
    assert heard == ["spook"]


def test_a_click_beside_the_caps_is_nothing(strip: KeyStrip) -> None:
    heard: list[str] = []
    strip.pressed.connect(heard.append)
    click(strip, QPoint(strip.width() - 2, strip.height() - 1))
    assert heard == []


def test_only_the_left_button_presses_a_cap(strip: KeyStrip) -> None:
    heard: list[str] = []
    strip.pressed.connect(heard.append)
    QTest.mouseClick(strip, Qt.MouseButton.RightButton, NONE, strip.cap_rect("spook").center())
    assert heard == []


def test_the_cap_of_a_state_that_is_on_is_filled(strip: KeyStrip) -> None:
    strip.set_on(["walk"])
    assert ground(strip, "walk") == QColor(EVENING.passage)
    assert ground(strip, "trot") == QColor(EVENING.field)


def test_the_key_of_a_state_that_is_on_says_that_it_ends_it(strip: KeyStrip) -> None:
    strip.set_on(["walk"])
    assert [strip.words_of(name) for name in ("walk", "trot", "spook")] == ["end walk", "trot", "spook"]
    assert "W: end walk" in strip.accessibleDescription()


def test_a_cap_has_room_for_both_its_words(strip: KeyStrip) -> None:
    before = strip.cap_rect("walk")
    strip.set_on(["walk"])
    assert strip.cap_rect("walk") == before
