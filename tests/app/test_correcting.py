"""Tags corrected by real keys alone: chosen together, moved, cut, joined, renamed, taken back."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from annotate.clock import NS_PER_S
from app.desk import Desk
from store.barn import Barn
from tests.app.conftest import OpenDesk
from tests.app.hands import LEFT, in_hand, in_seconds, review_of, tap, texts, window_of
from tests.made_clips import ClipBox

S = NS_PER_S


@pytest.fixture
def tagged(desk: Desk) -> Desk:
    """Walk from 0, trot from 10, walk again from 20 to 30 s, a spook at 12; the place is at the start."""
    tap(desk, "W", "PgDown", "T", "Shift+Right", "Shift+Right", "K", "PgUp", "Home")
    tap(desk, "PgDown", "PgDown", "W", "PgDown", "W", "Home")
    return desk


def tags(desk: Desk) -> list[tuple[str, float, float | None]]:
    return in_seconds(review_of(desk).tags)


def said(desk: Desk) -> str:
    return window_of(desk).words.words


def test_the_tags_are_as_the_keys_made_them(tagged: Desk) -> None:
    assert tags(tagged) == [("walk", 0, 10), ("trot", 10, 20), ("spook", 12, None), ("walk", 20, 30)]


def test_the_nearest_edge_goes_frame_by_frame_and_the_neighbour_follows(tagged: Desk) -> None:
    tap(tagged, "Down", "Alt+Right", "Alt+Right")
    assert tags(tagged)[:2] == [("walk", 0, 10.02), ("trot", 10.02, 20)]
    tap(tagged, "Alt+Down", "Alt+Left")
    assert tags(tagged)[1] == ("trot", 10.02, 19.99)
    assert tagged.showing.shown.moment.ns == 19.99 * S


def test_an_instant_goes_frame_by_frame_with_the_arrows(tagged: Desk) -> None:
    tap(tagged, "Down", "Down", "Alt+Left")
    assert ("spook", 11.99, None) in tags(tagged)


def test_one_stands_where_the_tag_in_hand_starts_and_ends(tagged: Desk) -> None:
    tap(tagged, "Down", "Alt+Down")
    assert tagged.showing.shown.moment.ns == 20 * S
    tap(tagged, "Alt+Up")
    assert tagged.showing.shown.moment.ns == 10 * S


def test_a_state_is_cut_in_two_and_joined_again(tagged: Desk) -> None:
    tap(tagged, "Down", "Shift+Right", "Ctrl+D")
    assert [tag for tag in tags(tagged) if tag[0] == "trot"] == [("trot", 10, 11), ("trot", 11, 20)]
    tap(tagged, "Shift+Down", "Ctrl+J")
    assert [tag for tag in tags(tagged) if tag[0] == "trot"] == [("trot", 10, 20)]
    assert in_hand(tagged).what == "trot"


def test_chosen_tags_move_together_by_a_frame(tagged: Desk) -> None:
    tap(tagged, "Down", "Shift+Down", "Shift+Down", "Ctrl+Shift+Right")
    assert tags(tagged)[:2] == [("walk", 0, 10.01), ("trot", 10.01, 20.01)]
    assert tags(tagged)[2:] == [("spook", 12.01, None), ("walk", 20.01, 30.01)]


def test_chosen_tags_become_another_behaviour_by_its_key(tagged: Desk) -> None:
    tap(tagged, "Ctrl+A")
    assert len(review_of(tagged).selection) == 4
    tap(tagged, "Escape", "Home", "Down", "Ctrl+R")
    assert "Press the key of what it becomes" in " ".join(texts(tagged))
    tap(tagged, "L")
    assert [what for what, *_ in tags(tagged)] == ["walk", "lope", "spook", "walk"]


def test_escape_leaves_the_tags_what_they_are(tagged: Desk) -> None:
    tap(tagged, "Down", "Ctrl+R", "Escape", "Shift+Right", "L")
    assert tags(tagged)[1:3] == [("trot", 10, 11), ("lope", 11, 20)]


def chosen(desk: Desk) -> list[str]:
    return [tag.what for tag in review_of(desk).selection]


def test_a_row_of_chosen_tags_grows_and_shrinks_from_where_it_began(tagged: Desk) -> None:
    tap(tagged, "Down", "Shift+Down", "Shift+Down")
    assert chosen(tagged) == ["trot", "spook", "walk"]
    tap(tagged, "Shift+Up")
    assert chosen(tagged) == ["trot", "spook"]
    assert in_hand(tagged).what == "spook"
    assert tagged.showing.shown.moment.ns == 12 * S
    tap(tagged, "Shift+Up", "Shift+Up")
    assert chosen(tagged) == ["walk", "trot"]


def test_all_chosen_tags_stay_chosen_while_another_of_them_comes_into_hand(tagged: Desk) -> None:
    tap(tagged, "Ctrl+A", "Shift+Up", "Shift+Up", "Shift+Down")
    assert chosen(tagged) == ["walk", "trot", "spook", "walk"]
    assert in_hand(tagged).what == "spook"


def test_a_click_with_ctrl_chooses_a_tag_too_and_the_next_one_lets_it_go(tagged: Desk) -> None:
    line = tagged.work_line
    tap(tagged, "Down", *["Ctrl+Up"] * 4)

    def click_with_ctrl(seconds: float) -> None:
        y = line.bands.axis - line.bands.rise(1) // 2
        at = QPoint(line.bands.left + line.scale.x(round(seconds * S)), y)
        QTest.mouseClick(line, LEFT, Qt.KeyboardModifier.ControlModifier, at)

    click_with_ctrl(25)
    assert chosen(tagged) == ["trot", "walk"]
    click_with_ctrl(24)
    assert chosen(tagged) == ["trot"]
    assert in_hand(tagged).what == "trot"
    click_with_ctrl(16)
    assert chosen(tagged) == []


def test_a_digit_gives_all_chosen_reactions_its_severity_in_one_step_and_says_so(tagged: Desk) -> None:
    tap(tagged, "End", "K", "Ctrl+A", "3")
    assert [tag.severity for tag in review_of(tagged).tags] == [None, None, 3, None, 3]
    assert said(tagged) == "2 tags: severity 3"
    tap(tagged, "Ctrl+Z")
    assert not any(tag.severity for tag in review_of(tagged).tags)


def test_a_stimulus_goes_to_the_reactions_among_the_chosen_tags(tagged: Desk, qtbot: QtBot) -> None:
    tap(tagged, "Down", "Shift+Down", "Shift+Down", "Z")
    menu = QApplication.activePopupWidget()
    assert menu is not None
    qtbot.waitUntil(menu.isVisible)
    tap(menu, "1")
    stimuli = [tag.stimulus for tag in review_of(tagged).tags]
    assert stimuli[2]
    assert stimuli == ["", "", stimuli[2], ""]
    assert in_hand(tagged).what == "walk"
    assert said(tagged) == f"spook: stimulus {stimuli[2]}"


def test_a_note_is_the_one_s_in_hand_although_several_are_chosen(tagged: Desk) -> None:
    tap(tagged, "Down", "Shift+Down", "Return")
    QTest.keyClicks(tagged.card.note, "high head")
    tap(tagged.card.note, "Return")
    assert [tag.note for tag in review_of(tagged).tags] == ["", "", "high head", ""]


def test_a_side_goes_to_all_chosen_tags_and_says_so(tagged: Desk) -> None:
    tap(tagged, "Down", "Shift+Down", "Shift+Q")
    assert [tag.side for tag in review_of(tagged).tags] == ["", "left", "left", ""]
    assert said(tagged) == "2 tags: side left"


def test_another_tag_that_is_chosen_ends_the_wait_for_what_it_becomes(tagged: Desk) -> None:
    before = tags(tagged)
    tap(tagged, "Down", "Down", "Down", "Ctrl+R", "Up")
    assert not tagged.correcting.is_waiting
    assert said(tagged) == "Another tag was chosen: nothing becomes another behaviour."
    assert tags(tagged) == before
    assert "Press the key of what it becomes" not in " ".join(texts(tagged))


def test_a_nudge_right_after_a_way_to_another_tag_moves_the_edge_that_one_went_to(
    desk_on: OpenDesk, clips: ClipBox, qtbot: QtBot
) -> None:
    desk = desk_on(clips.get("constant_25").path).desk
    tap(desk, *["Right"] * 10, "Shift+Right")
    qtbot.waitUntil(lambda: desk.showing.shown.number == 35)
    tap(desk, "W", *["Right"] * 20)
    qtbot.waitUntil(lambda: desk.showing.shown.number == 55)
    tap(desk, "W", "Up", "Alt+Right")
    assert tags(desk) == [("walk", 36 / 25, 55 / 25)]


def test_what_cannot_be_joined_is_said_and_stays(tagged: Desk) -> None:
    before = tags(tagged)
    tap(tagged, "Down", "Shift+Down", "Ctrl+J")
    assert said(tagged) == "Only stretches of the same behaviour can be joined."
    assert tags(tagged) == before


def test_all_tags_go_and_come_back_in_one_step(tagged: Desk, barn: Barn) -> None:
    before = tags(tagged)
    tap(tagged, "Ctrl+A", "Delete")
    assert barn.tags(review_of(tagged).session.id) == ()
    tap(tagged, "Ctrl+Z")
    assert tags(tagged) == before


def test_without_a_tag_in_hand_the_keys_say_what_to_do(desk: Desk) -> None:
    for key in ("Alt+Left", "Ctrl+D", "Ctrl+J", "Ctrl+R", "Ctrl+Shift+Left"):
        tap(desk, key)
        assert said(desk) == "Tag something, or choose a tag, first."


def test_the_same_tag_again_keeps_what_was_said_of_it(tagged: Desk) -> None:
    tap(tagged, "PgDown", "K", "3", "Shift+Q", "Shift+Right", ".")
    tag = in_hand(tagged)
    assert (tag.what, tag.start_ns, tag.severity, tag.side) == ("spook", 11 * S, 3, "left")


def test_nothing_is_repeated_where_nothing_was_tagged(desk: Desk) -> None:
    tap(desk, ".")
    assert said(desk) == "Nothing to do again: tag something first."


def test_the_next_untagged_stretch_is_found_and_the_hint_tells_how_much_there_is(tagged: Desk) -> None:
    assert "untagged 9:30 in 1" in texts(tagged)
    tap(tagged, ",")
    assert tagged.showing.shown.moment.ns == 30 * S
    assert said(tagged) == "Untagged from 0:30.0 to 10:00.0."


def test_what_was_done_is_listed_and_one_goes_back_in_it_by_keys(tagged: Desk, qtbot: QtBot) -> None:
    tap(tagged, "Ctrl+3")
    steps = tagged.done.list
    qtbot.waitUntil(steps.hasFocus)
    assert [steps.item(i).text() for i in range(steps.count())] == [
        "walk ends at 0:30.0",
        "walk at 0:20.0",
        "spook at 0:12.0",
        "trot at 0:10.0",
        "walk at 0:00.0",
        "The session as it was opened",
    ]
    tap(steps, "Down", "Down", "Return")
    assert [what for what, *_ in tags(tagged)] == ["walk", "trot", "spook"]
    tap(steps, "Up", "Up", "Return")
    assert len(tags(tagged)) == 4
    tap(steps, "Escape")
    assert tagged.hasFocus()


def test_place_zoom_and_speed_come_back_on_reopening(tagged: Desk) -> None:
    window, session_id = window_of(tagged), review_of(tagged).session.id
    tap(tagged, "PgDown", "Ctrl+Up", "Ctrl+Up", "Ctrl+Up", "+")
    view, speed = tagged.work_line.view_ns, tagged.showing.speed
    assert view is not None
    tap(tagged, "Ctrl+B")
    window.open_session(session_id)
    assert tagged.showing.shown.moment.ns == 10 * S
    assert tagged.showing.speed == speed != 1.0
    again = tagged.work_line.view_ns
    assert again is not None
    assert again == pytest.approx(view, abs=S)


def test_a_state_that_makes_no_sense_opens_the_session_at_its_start(tagged: Desk, barn: Barn) -> None:
    window, session_id = window_of(tagged), review_of(tagged).session.id
    tap(tagged, "PgDown", "Ctrl+B")
    barn.keep_setting(f"desk.state.{session_id}", '{"place_ns": -4, "view_ns": [7]}')
    window.open_session(session_id)
    assert (tagged.showing.shown.moment.ns, tagged.showing.speed) == (0, 1.0)
