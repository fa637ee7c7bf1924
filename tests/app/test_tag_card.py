"""The tag in hand, corrected by mouse."""

from __future__ import annotations

import pytest
from PySide6.QtTest import QTest

from app.desk import Desk
from tests.app.hands import button, click, in_hand, review_of, tap, texts


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
