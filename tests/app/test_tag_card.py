"""The tag in hand, corrected by mouse, and by keys that go to the card."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.desk import Desk
from tests.app.hands import PLAIN, button, click, in_hand, review_of, tap, tap_focused, texts


def test_without_a_tag_in_hand_the_card_says_what_to_do(desk: Desk) -> None:
    assert texts(desk.card) == ["No tag in hand: press a key, or click a tag."]


def test_a_reaction_has_a_severity_and_a_gait_has_none(desk: Desk) -> None:
    tap(desk, "K")
    assert "Severity" in texts(desk.card)
    tap(desk, "W")
    assert "Severity" not in texts(desk.card)


def test_the_card_tells_what_and_when(desk: Desk) -> None:
    tap(desk, "Shift+Right", "W", "PgDown", "W")
    assert texts(desk.card)[:2] == ["walk", "0:01.00 to 0:11.00"]


@pytest.mark.parametrize(("words", "severity"), [("severity 4", 4), ("severity 1", 1), ("severity 0", None)])
def test_a_click_gives_the_severity(desk: Desk, words: str, severity: int | None) -> None:
    tap(desk, "K", "2")
    click(button(desk.card, words))
    assert in_hand(desk).severity == severity
    assert button(desk.card, words).isChecked()


def test_a_click_gives_the_side(desk: Desk) -> None:
    tap(desk, "K")
    click(button(desk.card, "side left"))
    assert in_hand(desk).side == "left"
    click(button(desk.card, "side –"))
    assert in_hand(desk).side == ""


def test_a_click_leaves_the_keys_with_the_desk(desk: Desk) -> None:
    tap(desk, "K")
    click(button(desk.card, "severity 3"))
    assert desk.hasFocus()


def test_the_card_shows_what_a_key_gave(desk: Desk) -> None:
    tap(desk, "K", "3", "Shift+P")
    checked = [words for words in ("severity 3", "side right") if button(desk.card, words).isChecked()]
    assert checked == ["severity 3", "side right"]


def test_delete_on_the_card_takes_the_tag_away_and_gives_the_keys_back(desk: Desk) -> None:
    tap(desk, "K")
    click(button(desk.card, "Delete"))
    assert review_of(desk).tags == ()
    assert desk.hasFocus()


def test_a_note_is_kept_when_the_field_is_left(desk: Desk) -> None:
    tap(desk, "K")
    click(desk.card.note)
    QTest.keyClicks(desk.card.note, "by the gate")
    desk.setFocus()
    assert in_hand(desk).note == "by the gate"


def test_another_tag_brings_its_own_note(desk: Desk) -> None:
    tap(desk, "K", "Return")
    QTest.keyClicks(desk.card.note, "by the gate")
    tap(desk.card.note, "Return")
    tap(desk, "Right", "U")
    assert desk.card.note.text() == ""
    tap(desk, "Up")
    assert desk.card.note.text() == "by the gate"


def test_a_note_of_blanks_is_none(desk: Desk) -> None:
    tap(desk, "K", "Return")
    QTest.keyClicks(desk.card.note, " ")
    tap(desk.card.note, "Return")
    assert in_hand(desk).note == ""
    assert desk.card.note.text() == ""


def test_blanks_round_a_note_are_taken_away(desk: Desk) -> None:
    tap(desk, "K", "Return")
    QTest.keyClicks(desk.card.note, " by the gate ")
    tap(desk.card.note, "Return")
    assert in_hand(desk).note == desk.card.note.text() == "by the gate"


def focus_on(desk: Desk, words: str) -> None:
    """Goes by Tab to the button of the card that is called so."""
    wanted = button(desk.card, words)
    for _ in range(30):
        if wanted.hasFocus():
            return
        tap_focused("Tab")
    pytest.fail(f"Tab does not reach {words}")


@pytest.mark.parametrize("reached", ["severity 0", "severity 2", "severity 4", "side left", "side right"])
def test_tab_reaches_each_button_of_the_card(desk: Desk, reached: str) -> None:
    tap(desk, "K", "2")
    focus_on(desk, reached)


def test_an_arrow_on_a_button_of_the_card_changes_nothing(desk: Desk) -> None:
    tap(desk, "K", "2", "Shift+Q")
    for words in ("severity 2", "side left"):
        focus_on(desk, words)
        for arrow in ("Right", "Down", "Left", "Up"):
            tap_focused(arrow)
    assert (in_hand(desk).severity, in_hand(desk).side) == (2, "left")


@pytest.mark.parametrize("key", ["Space", "Return"])
def test_a_key_presses_the_button_that_tab_reached(desk: Desk, key: str) -> None:
    tap(desk, "K", "2")
    focus_on(desk, "severity 4")
    tap_focused(key)
    assert in_hand(desk).severity == 4
    assert [button(desk.card, f"severity {degree}").isChecked() for degree in (2, 4)] == [False, True]


def test_escape_on_a_button_of_the_card_gives_the_keys_back(desk: Desk) -> None:
    tap(desk, "K")
    focus_on(desk, "severity 4")
    tap_focused("Escape")
    assert desk.hasFocus()


def test_a_list_of_stimuli_that_is_closed_again_leaves_the_keys_with_the_desk(desk: Desk, qtbot: QtBot) -> None:
    tap(desk, "K")
    click(desk.card.stimulus)
    qtbot.waitUntil(desk.card.stimulus.view().isVisible)
    QTest.keyClick(desk.card.stimulus.view(), Qt.Key.Key_Escape)
    qtbot.waitUntil(desk.hasFocus)
    tap_focused("W")
    assert [(tag.what, tag.stimulus) for tag in review_of(desk).tags] == [("walk", ""), ("spook", "")]


def test_a_stimulus_is_chosen_from_the_open_list_by_keys(desk: Desk, qtbot: QtBot) -> None:
    tap(desk, "K")
    field = desk.card.stimulus
    field.setFocus()
    tap_focused("Down")
    qtbot.waitUntil(field.view().isVisible)
    assert in_hand(desk).stimulus == ""
    tap(field.view(), "Down", "Return")
    qtbot.waitUntil(desk.hasFocus)
    assert in_hand(desk).stimulus == review_of(desk).stimuli()[0][0]


def test_a_letter_on_the_closed_list_of_stimuli_is_the_desks(desk: Desk) -> None:
    tap(desk, "K")
    desk.card.stimulus.setFocus()
    tap_focused("W")
    assert [(tag.what, tag.stimulus) for tag in review_of(desk).tags] == [("walk", ""), ("spook", "")]


def test_the_wheel_over_the_list_of_stimuli_changes_nothing(desk: Desk) -> None:
    tap(desk, "K")
    field = desk.card.stimulus
    at = field.rect().center()
    there, turn, none = QPointF(field.mapToGlobal(at)), QPoint(0, -120), Qt.MouseButton.NoButton
    turned = QWheelEvent(QPointF(at), there, QPoint(), turn, none, PLAIN, Qt.ScrollPhase.NoScrollPhase, False)
    QApplication.sendEvent(field, turned)
    assert in_hand(desk).stimulus == ""


# -- the note where the card is not seen


@pytest.mark.parametrize("away", ["Ctrl+2", "Ctrl+3"])
def test_a_note_begun_beside_another_list_is_seen(desk: Desk, away: str) -> None:
    tap(desk, "K", away)
    tap(desk, "Return")
    assert desk.card.note.isVisible()
    assert desk.card.note.hasFocus()
    QTest.keyClicks(desk.card.note, "w")
    tap_focused("Return")
    assert in_hand(desk).note == "w"
    assert desk.hasFocus()


def test_a_note_begun_in_full_screen_is_seen(desk: Desk) -> None:
    tap(desk, "K", "F11", "Return")
    assert not desk.is_full_screen
    assert desk.card.note.isVisible()
    assert desk.card.note.hasFocus()
