"""The desk under real keys and a real mouse."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLabel, QMenu, QTabWidget
from pytestqt.qtbot import QtBot

from annotate.behaviours import default_sheet
from annotate.changes import Change
from annotate.clock import NS_PER_S
from annotate.tags import Tag
from app.desk import Desk
from store.barn import Barn
from tests.app.conftest import OpenDesk
from tests.app.hands import (
    LEFT,
    PLAIN,
    button,
    click,
    drag,
    in_hand,
    in_seconds,
    review_of,
    tap,
    texts,
    window_of,
)
from tests.app.pixels import number_in
from tests.made_clips import ClipBox

S = NS_PER_S


def kept(desk: Desk, barn: Barn) -> list[tuple[str, float, float | None]]:
    """The tags as the barn has them."""
    return in_seconds(barn.tags(review_of(desk).session.id))


def place_s(desk: Desk) -> float:
    return desk.showing.shown.moment.ns / S


def said(desk: Desk) -> str:
    return window_of(desk).words.words


def drawn_number(desk: Desk) -> int:
    assert desk.picture.image is not None
    return number_in(desk.picture.image)


# -- playing and moving


def test_space_plays_and_space_pauses(desk_on: OpenDesk, clips: ClipBox, qtbot: QtBot) -> None:
    desk = desk_on(clips.get("constant_25").path).desk
    tap(desk, "Space")
    qtbot.waitUntil(lambda: desk.showing.shown.number > 2)
    tap(desk, "Space")
    assert not desk.showing.is_playing


def test_a_click_on_the_picture_plays_and_another_one_pauses(
    desk_on: OpenDesk, clips: ClipBox, qtbot: QtBot
) -> None:
    desk = desk_on(clips.get("constant_30").path).desk
    click(desk.picture)
    qtbot.waitUntil(lambda: desk.showing.shown.number > 2)
    click(desk.picture)
    assert not desk.showing.is_playing


def test_the_closest_view_shows_about_forty_frames_of_the_clip(desk_on: OpenDesk, clips: ClipBox) -> None:
    line = desk_on(clips.get("constant_60").path).desk.work_line
    for _ in range(60):
        line.zoom_in()
    assert line.scale.end_ns - line.scale.start_ns == pytest.approx(40 * S / 60, rel=0.02)


def test_the_button_says_what_it_will_do(desk: Desk) -> None:
    click(button(desk, "Play"))
    assert desk.showing.is_playing
    click(button(desk, "Pause"))
    assert not desk.showing.is_playing


def test_speed_goes_from_a_tenth_to_eight_and_back_to_the_usual(desk: Desk) -> None:
    speeds = []
    for keys in (["-"] * 12, ["+"] * 12, ["="]):
        tap(desk, *keys)
        speeds.append((desk.showing.speed, f"{desk.showing.speed:g} x" in texts(desk)))
    assert speeds == [(0.1, True), (8.0, True), (1.0, True)]


def test_at_a_tenth_of_the_speed_no_frame_is_left_out(
    desk_on: OpenDesk, clips: ClipBox, qtbot: QtBot
) -> None:
    desk = desk_on(clips.get("constant_60").path).desk
    told: list[int] = []
    tap(desk, *["-"] * 5)
    desk.showing.moved.connect(lambda: told.append(desk.showing.shown.number))
    tap(desk, "Space")
    qtbot.waitUntil(lambda: desk.showing.shown.number >= 3)
    tap(desk, "Space")
    assert list(dict.fromkeys(told))[:4] == [0, 1, 2, 3]


def test_at_eight_times_the_speed_twelve_seconds_are_over_in_less_than_six(
    desk_on: OpenDesk, clips: ClipBox, qtbot: QtBot
) -> None:
    desk = desk_on(clips.get("far_keyframes").path).desk
    tap(desk, *["+"] * 6, "Space")
    qtbot.waitUntil(lambda: desk.showing.shown.number == 299 and not desk.showing.is_playing, timeout=6000)


def test_a_jump_goes_by_the_second_the_ten_seconds_and_to_both_ends(
    desk_on: OpenDesk, clips: ClipBox, qtbot: QtBot
) -> None:
    desk = desk_on(clips.get("far_keyframes").path).desk
    for key, number in (
        ("Shift+Right", 25),
        ("PgDown", 275),
        ("Shift+Left", 250),
        ("PgUp", 0),
        ("End", 299),
        ("Home", 0),
    ):
        tap(desk, key)
        qtbot.waitUntil(lambda number=number: desk.showing.shown.number == number)
        assert drawn_number(desk) == number


def test_the_arrows_step_a_frame_across_the_session(desk: Desk) -> None:
    tap(desk, "Right", "Right", "Right", "Left")
    assert place_s(desk) == 0.02


def test_up_and_down_go_from_tag_to_tag_and_take_it_in_hand(desk: Desk) -> None:
    tap(desk, "PgDown", "K", "PgDown", "PgDown", "U", "Home")
    visited = []
    for key in ("Down", "Down", "Up"):
        tap(desk, key)
        visited.append((place_s(desk), in_hand(desk).what))
    assert visited == [(10, "spook"), (30, "buck"), (10, "spook")]


def test_up_and_down_reach_every_one_of_the_tags_at_one_instant(desk: Desk) -> None:
    tap(desk, "PgDown", "W", "Q", "K", "Home")
    visited = []
    for key in ("Down", "Down", "Down", "Down", "Up", "Up"):
        tap(desk, key)
        visited.append(in_hand(desk).what)
    there = visited[:3]
    assert set(there) == {"walk", "left_rein", "spook"}
    assert visited[3:] == [there[2], there[1], there[0]]
    assert place_s(desk) == 10


def test_quick_presses_go_on_tag_by_tag_although_no_picture_came_yet(
    desk_on: OpenDesk, clips: ClipBox, qtbot: QtBot
) -> None:
    desk = desk_on(clips.get("constant_25").path).desk
    for number in (10, 20, 30, 40):
        desk.showing.go_to(number * S // 25)
        qtbot.waitUntil(lambda number=number: desk.showing.shown.number == number)  # type: ignore[misc]
        tap(desk, "K")
    tap(desk, "Home")
    qtbot.waitUntil(lambda: desk.showing.shown.number == 0)
    tap(desk, "Down", "Down", "Down")
    assert in_hand(desk).start_ns == 30 * S // 25
    tap(desk, "Up")
    assert in_hand(desk).start_ns == 20 * S // 25


def test_after_moving_on_up_goes_to_the_last_tag_before_the_place(desk: Desk) -> None:
    tap(desk, "K", "PgDown", "U", "PgDown", "PgDown", "Up")
    assert (in_hand(desk).what, place_s(desk)) == ("buck", 10)


def test_a_click_on_the_work_line_moves_the_place(desk: Desk) -> None:
    line = desk.work_line
    click(line, QPoint(line.bands.left + line.scale.x(300 * S), line.bands.axis - 20))
    assert abs(place_s(desk) - 300) < 1


# -- tagging


def test_a_tag_made_while_it_plays_has_the_frame_that_is_drawn(
    desk_on: OpenDesk, clips: ClipBox, qtbot: QtBot
) -> None:
    desk = desk_on(clips.get("constant_25").path).desk
    tap(desk, "Space")
    qtbot.waitUntil(lambda: desk.showing.shown.number > 5)
    tap(desk, "T")
    number = drawn_number(desk)
    tap(desk, "Space")
    assert in_hand(desk).start_ns == number * S // 25


def test_a_gait_ends_the_gait_before_it(desk: Desk, barn: Barn) -> None:
    tap(desk, "W", "PgDown", "T", "PgDown", "L")
    assert kept(desk, barn) == [("walk", 0, 10), ("trot", 10, 20), ("lope", 20, None)]


def test_the_key_of_the_state_that_is_on_ends_it(desk: Desk, barn: Barn) -> None:
    tap(desk, "W", "PgDown", "W")
    assert kept(desk, barn) == [("walk", 0, 10)]


def test_a_turn_flips_the_rein(desk: Desk, barn: Barn) -> None:
    tap(desk, "Q", "PgDown", "I")
    assert kept(desk, barn) == [("left_rein", 0, 10), ("right_rein", 10, None), ("turn_in", 10, None)]


def test_holding_a_key_down_tags_once(desk: Desk, barn: Barn) -> None:
    for repeats in (False, True, True):
        event = QKeyEvent(QKeyEvent.Type.KeyPress, Qt.Key.Key_W, PLAIN, "w", repeats)
        QApplication.sendEvent(desk, event)
    assert kept(desk, barn) == [("walk", 0, None)]


def test_the_words_under_the_picture_name_what_is_on(desk: Desk) -> None:
    assert "untagged" in texts(desk)
    tap(desk, "W", "Q", "Shift+Right")
    assert "left rein, walk" in texts(desk)


def test_a_digit_right_after_a_reaction_is_its_severity(desk: Desk, barn: Barn) -> None:
    tap(desk, "K", "3")
    [spook] = barn.tags(review_of(desk).session.id)
    assert spook.severity == 3


def test_zero_takes_the_severity_away(desk: Desk) -> None:
    tap(desk, "K", "3", "0")
    assert in_hand(desk).severity is None


@pytest.mark.parametrize("before", ["Home", "W", "C"])
def test_a_digit_after_anything_else_is_refused_in_words(desk: Desk, before: str) -> None:
    tap(desk, before, "3")
    assert said(desk).startswith("Severity belongs to a reaction")


def test_the_menu_of_stimuli_opens_and_answers_by_keys(desk: Desk, qtbot: QtBot) -> None:
    tap(desk, "K", "Z")
    qtbot.waitUntil(lambda: isinstance(QApplication.activePopupWidget(), QMenu))
    menu = QApplication.activePopupWidget()
    assert menu is not None
    tap(menu, "1")
    qtbot.waitUntil(lambda: in_hand(desk).stimulus == review_of(desk).stimuli()[0][0])


def test_the_stimulus_key_with_no_tag_in_hand_says_what_to_do(desk: Desk) -> None:
    tap(desk, "Z")
    assert said(desk) == "Tag a reaction, or choose one, first."


@pytest.mark.parametrize(("key", "side"), [("Shift+Q", "left"), ("Shift+P", "right")])
def test_a_key_says_on_which_side_it_was(desk: Desk, key: str, side: str) -> None:
    tap(desk, "K", key)
    assert in_hand(desk).side == side


@pytest.mark.parametrize("key", ["Shift+Q", "Return", "Delete"])
def test_a_correction_with_no_tag_in_hand_says_what_to_do(desk: Desk, key: str) -> None:
    tap(desk, key)
    assert "hoose" in said(desk)


# -- notes


@pytest.mark.parametrize("done", ["Return", "Escape"])
def test_return_writes_a_note_and_then_the_keys_tag_again(desk: Desk, barn: Barn, done: str) -> None:
    tap(desk, "K", "Return")
    assert desk.card.note.hasFocus()
    QTest.keyClicks(desk.card.note, "at the gate, twice")
    tap(desk.card.note, done)
    assert desk.hasFocus()
    tap(desk, "C")
    assert [tag.note for tag in barn.tags(review_of(desk).session.id)] == ["", "at the gate, twice"]


def test_letters_of_a_note_are_no_tags(desk: Desk, barn: Barn) -> None:
    tap(desk, "K", "Return")
    QTest.keyClicks(desk.card.note, "wtl 3")
    tap(desk.card.note, "Return")
    assert [tag.what for tag in barn.tags(review_of(desk).session.id)] == ["spook"]


def test_a_note_being_written_stays_with_its_tag_when_another_is_chosen(desk: Desk) -> None:
    tap(desk, "PgDown", "K", "PgDown", "U", "Return")
    QTest.keyClicks(desk.card.note, "high")
    tap(desk.card.note, "Up")
    assert [(tag.what, tag.note) for tag in review_of(desk).tags] == [("spook", ""), ("buck", "high")]


def test_a_note_being_written_stays_with_its_tag_when_a_cap_is_clicked(desk: Desk) -> None:
    tap(desk, "K", "Return")
    QTest.keyClicks(desk.card.note, "at the gate")
    click(desk.key_strip, desk.key_strip.cap_rect("buck").center())
    assert sorted((tag.what, tag.note) for tag in review_of(desk).tags) == [
        ("buck", ""),
        ("spook", "at the gate"),
    ]


def test_a_note_being_written_is_kept_on_the_way_to_the_barn(desk: Desk, barn: Barn) -> None:
    session_id = review_of(desk).session.id
    tap(desk, "K", "Return")
    QTest.keyClicks(desk.card.note, "at the gate")
    tap(desk.card.note, "Ctrl+B")
    assert [tag.note for tag in barn.tags(session_id)] == ["at the gate"]


# -- undo, redo, deletion

DONE_AND_UNDONE = {
    "a tag": (["PgDown"], ["K"]),
    "a state that ends another": (["W", "PgDown"], ["T"]),
    "a turn": (["Q", "PgDown"], ["I"]),
    "a severity": (["K"], ["3"]),
    "a side": (["K"], ["Shift+P"]),
    "a deletion": (["K", "2"], ["Delete"]),
    "a start": (["W", "PgDown", "T", "PgDown", "S", "PgUp", "PgUp", "Down", "Shift+Right"], ["Ctrl+Left"]),
    "an end": (["W", "PgDown", "W", "Up", "Shift+Right"], ["Ctrl+Right"]),
    "a passage": (["F2", "PgDown"], ["F3"]),
}


@pytest.mark.parametrize("name", DONE_AND_UNDONE)
def test_undo_takes_back_and_redo_does_again(name: str, desk: Desk, barn: Barn) -> None:
    before_keys, keys = DONE_AND_UNDONE[name]
    session_id = review_of(desk).session.id

    def now() -> tuple[object, object]:
        tags = barn.tags(session_id)
        assert review_of(desk).tags == tags
        described = [(tag.id, tag.severity, tag.side) for tag in tags]
        return (in_seconds(tags), described), barn.passages(session_id)

    tap(desk, *before_keys)
    before = now()
    tap(desk, *keys)
    after = now()
    assert after != before
    tap(desk, "Ctrl+Z")
    assert now() == before
    tap(desk, "Ctrl+Shift+Z")
    assert now() == after


def test_a_note_can_be_undone_and_done_again(desk: Desk) -> None:
    tap(desk, "K", "Return")
    QTest.keyClicks(desk.card.note, "at the gate")
    tap(desk.card.note, "Return")
    notes = []
    for key in ("Ctrl+Z", "Ctrl+Shift+Z"):
        tap(desk, key)
        notes.append((in_hand(desk).note, desk.card.note.text()))
    assert notes == [("", ""), ("at the gate", "at the gate")]


def test_everything_can_be_undone_to_the_very_first_tag(desk: Desk, barn: Barn) -> None:
    keys = [
        "W",
        "Q",
        "PgDown",
        "T",
        "K",
        "4",
        "Shift+Q",
        "Shift+Right",
        "C",
        "PgDown",
        "O",
        "X",
        "PgDown",
        "L",
    ]
    tap(desk, *keys)
    done = barn.tags(review_of(desk).session.id)
    tap(desk, *["Ctrl+Z"] * 12)
    assert kept(desk, barn) == []
    tap(desk, *["Ctrl+Shift+Z"] * 12)
    assert barn.tags(review_of(desk).session.id) == done


def test_undo_says_what_was_undone_and_that_nothing_is_left(desk: Desk) -> None:
    tap(desk, "K", "Ctrl+Z")
    assert said(desk) == "Undone: spook at 0:00.0"
    tap(desk, "Ctrl+Z")
    assert said(desk) == "Nothing to undo."
    tap(desk, "Ctrl+Shift+Z", "Ctrl+Shift+Z")
    assert said(desk) == "Nothing to do again."


def test_delete_takes_the_tag_in_hand_away(desk: Desk, barn: Barn) -> None:
    tap(desk, "K", "PgDown", "U", "Delete")
    assert kept(desk, barn) == [("spook", 0, None)]
    assert review_of(desk).selected is None


def test_a_new_tag_after_an_undo_forgets_what_was_undone(desk: Desk, barn: Barn) -> None:
    tap(desk, "K", "Ctrl+Z", "U", "Ctrl+Shift+Z")
    assert kept(desk, barn) == [("buck", 0, None)]


# -- edges


def test_an_edge_can_be_put_where_one_stands(desk: Desk, barn: Barn) -> None:
    tap(desk, "W", "PgDown", "T", "PgDown", "T", "Up", "Shift+Right", "Ctrl+Left")
    assert kept(desk, barn) == [("walk", 0, 11), ("trot", 11, 20)]
    tap(desk, "Shift+Right", "Ctrl+Right")
    assert kept(desk, barn) == [("walk", 0, 11), ("trot", 11, 12)]


def test_a_dragged_edge_shows_its_frame_and_lands_on_it(
    desk_on: OpenDesk, clips: ClipBox, qtbot: QtBot
) -> None:
    desk = desk_on(clips.get("far_keyframes").path).desk
    for key, number in (("Q", 0), ("W", 0), ("Shift+Right", 25), ("Shift+Right", 50), ("T", 50)):
        tap(desk, key)
        qtbot.waitUntil(lambda number=number: desk.showing.shown.number == number)
    line = desk.work_line
    edge = QPoint(line.bands.left + line.scale.x(2 * S), line.bands.axis - line.bands.rise(1) // 2)
    to = QPoint(line.bands.left + line.scale.x(4 * S), edge.y())
    under_ns = line.scale.ns_at(to.x() - line.bands.left)
    frame = under_ns * 25 // S
    drag(line, edge, edge + QPoint(8, 0), to, drop=False)
    qtbot.waitUntil(lambda: drawn_number(desk) == frame)
    QTest.mouseRelease(line, LEFT, PLAIN, to)
    walk = next(tag for tag in review_of(desk).tags if tag.what == "walk")
    trot = next(tag for tag in review_of(desk).tags if tag.what == "trot")
    assert walk.end_ns == trot.start_ns == frame * S // 25
    assert walk.end_frame == trot.start_frame
    assert trot.start_frame is not None


def test_escape_lets_go_of_a_dragged_edge(desk: Desk, barn: Barn) -> None:
    tap(desk, "Q", "W", *["PgDown"] * 6, "T")
    before = barn.tags(review_of(desk).session.id)
    line = desk.work_line
    edge = QPoint(line.bands.left + line.scale.x(60 * S), line.bands.axis - line.bands.rise(1) // 2)
    drag(line, edge, edge + QPoint(40, 0), drop=False)
    tap(desk, "Escape")
    QTest.mouseRelease(line, LEFT, PLAIN, edge + QPoint(40, 0))
    assert barn.tags(review_of(desk).session.id) == before


def test_an_end_before_the_start_is_refused_in_words(desk: Desk, barn: Barn) -> None:
    tap(desk, "PgDown", "W", "PgDown", "W", "Home", "Ctrl+Right")
    assert said(desk) == "walk starts at 0:10.00 and must end after that."
    assert kept(desk, barn) == [("walk", 10, 20)]


def test_a_start_after_the_end_is_refused_in_words(desk: Desk, barn: Barn) -> None:
    tap(desk, "W", "PgDown", "W", "PgDown", "Ctrl+Left")
    assert said(desk) == "walk ends at 0:10.00 and must start before that."
    assert kept(desk, barn) == [("walk", 0, 10)]


def test_an_edge_dragged_over_the_neighbour_is_refused_in_words(desk: Desk, barn: Barn) -> None:
    tap(desk, "Q", "W", *["PgDown"] * 6, "T", *["PgDown"] * 6, "W")
    before = barn.tags(review_of(desk).session.id)
    line = desk.work_line
    edge = QPoint(line.bands.left + line.scale.x(60 * S), line.bands.axis - line.bands.rise(1) // 2)
    drag(line, edge, edge + QPoint(20, 0), QPoint(line.bands.left + line.scale.x(150 * S), edge.y()))
    assert said(desk) == "trot ends at 2:00.00 and must start before that."
    assert barn.tags(review_of(desk).session.id) == before


# -- numbers and passages


def test_the_numbers_follow_each_tag(desk: Desk, qtbot: QtBot) -> None:
    tap(desk, "W", "PgDown", "W")
    qtbot.waitUntil(lambda: desk.numbers.figure("Moving") == "10 s")
    tap(desk, "Ctrl+Z")
    tap(desk, "PgDown", "W")
    qtbot.waitUntil(lambda: desk.numbers.figure("Moving") == "20 s")


def test_the_hint_and_the_numbers_follow_a_state_that_runs_by_jumps(desk: Desk, qtbot: QtBot) -> None:
    tap(desk, "W", "PgDown", "PgDown")
    qtbot.waitUntil(lambda: "untagged 9:40 in 1" in texts(desk))
    qtbot.waitUntil(lambda: desk.numbers.figure("Moving") == "20 s")


def test_the_hint_and_the_numbers_follow_a_state_that_runs_while_it_plays(desk: Desk, qtbot: QtBot) -> None:
    tap(desk, *["+"] * 6, "W", "Space")
    qtbot.waitUntil(lambda: "untagged 10:00 in 1" not in texts(desk.under_picture))
    qtbot.waitUntil(lambda: place_s(desk) > 8 and desk.numbers.figure("Moving") not in ("", "0 s"))
    assert desk.showing.is_playing


def test_f2_and_f3_mark_a_passage_that_holds_the_frame_that_is_shown(
    desk_on: OpenDesk, clips: ClipBox, qtbot: QtBot
) -> None:
    desk = desk_on(clips.get("constant_25").path).desk
    tap(desk, "F2", "Shift+Right")
    qtbot.waitUntil(lambda: desk.showing.shown.number == 25)
    tap(desk, "F3")
    [passage] = review_of(desk).passages
    assert (passage.start_ns, passage.end_ns) == (0, 26 * S // 25)


def test_a_passage_may_go_to_the_very_end(desk_on: OpenDesk, clips: ClipBox, qtbot: QtBot) -> None:
    desk = desk_on(clips.get("constant_25").path).desk
    tap(desk, "F2", "End")
    qtbot.waitUntil(lambda: desk.showing.shown.number == 74)
    tap(desk, "F3")
    [passage] = review_of(desk).passages
    assert passage.end_ns == review_of(desk).session.end_ns


def test_the_edge_of_a_passage_is_dragged_on_the_work_line(desk: Desk, barn: Barn) -> None:
    tap(desk, "PgDown", "F2", *["PgDown"] * 6, "F3")
    line = desk.work_line
    [passage] = review_of(desk).passages
    edge = QPoint(line.bands.left + line.scale.x(passage.end_ns), line.bands.field_top // 2)
    to = QPoint(line.bands.left + line.scale.x(200 * S), edge.y())
    drag(line, edge, edge + QPoint(20, 0), to)
    [moved] = barn.passages(review_of(desk).session.id)
    assert moved.start_ns == 10 * S
    assert abs(moved.end_ns - 200 * S) <= line.scale.ns_per_px + S // 100
    tap(desk, "Ctrl+Z")
    assert barn.passages(review_of(desk).session.id) == (passage,)


def test_f3_before_f2_is_refused_in_words(desk: Desk) -> None:
    tap(desk, "F3")
    assert said(desk) == "Mark where the passage begins first."


def test_a_passage_that_would_end_before_it_begins_is_refused_in_words(desk: Desk) -> None:
    tap(desk, "PgDown", "F2", "Home", "F3")
    assert said(desk) == "A passage must end after it begins."
    assert review_of(desk).passages == ()


def test_a_passage_is_played_from_its_start_to_its_end(desk: Desk, qtbot: QtBot) -> None:
    tap(desk, "PgDown", "F2", *["Right"] * 20, "F3", "Home", *["+"] * 6)
    desk.highlights.list.setCurrentRow(0)
    desk.highlights.play_asked.emit(desk.highlights.current())
    qtbot.waitUntil(lambda: not desk.showing.is_playing)
    assert 10.2 <= place_s(desk) < 11.5


def play_a_stretch(desk: Desk, qtbot: QtBot) -> None:
    """Plays a passage from 10 to 20 s."""
    tap(desk, "Home", "PgDown", "F2", "PgDown", "F3", "Ctrl+2")
    listed = desk.highlights.list
    qtbot.waitUntil(listed.isVisible)
    click(listed.viewport(), listed.visualItemRect(listed.item(0)).center())
    click(button(desk.highlights, "Play"))
    desk.setFocus()
    qtbot.waitUntil(lambda: desk.showing.is_playing and place_s(desk) > 10)


def test_a_click_further_on_leaves_the_stretch_that_plays(desk: Desk, qtbot: QtBot) -> None:
    play_a_stretch(desk, qtbot)
    line = desk.work_line
    click(line, QPoint(line.bands.left + line.scale.x(300 * S), line.bands.ruler_top + 4))
    qtbot.waitUntil(lambda: place_s(desk) > 300)
    at = place_s(desk)
    qtbot.waitUntil(lambda: place_s(desk) > at)
    assert desk.showing.is_playing


# -- what else is on the desk


def test_a_behaviour_that_left_the_sheet_is_still_shown_and_can_be_deleted(barn: Barn, desk: Desk) -> None:
    session_id = review_of(desk).session.id
    barn.keep_sheet(
        "\n".join(
            line for line in barn.sheet_text().splitlines() if not line.startswith(("gallop =", "strike ="))
        )
    )
    gone = (Tag("gallop", 0, 5 * S), Tag("strike", 2 * S))
    barn.apply(session_id, Change((), gone))
    window_of(desk).open_session(session_id)
    tap(desk, "Down")
    assert in_hand(desk).what == "strike"
    assert "strike" in texts(desk.card)
    tap(desk, "3", "Delete")
    assert kept(desk, barn) == [("gallop", 0, 5)]


def test_tags_that_contradict_each_other_are_said_and_can_be_mended(desk: Desk, barn: Barn, qtbot: QtBot) -> None:
    session_id = review_of(desk).session.id
    barn.apply(session_id, Change((), (Tag("walk", 0, 10 * S), Tag("trot", 5 * S, 20 * S))))
    window_of(desk).open_session(session_id)
    sentence = "walk and trot are both tagged at 0:05.0. Correct one of them first."
    qtbot.waitUntil(lambda: sentence in texts(desk.numbers))
    [tabs] = desk.findChildren(QTabWidget)
    tabs.setCurrentWidget(desk.highlights)
    click(button(desk, "Choose by rule"))
    tabs.setCurrentWidget(desk.numbers)
    assert said(desk) == sentence
    tap(desk, "Down", "Delete")
    qtbot.waitUntil(lambda: desk.numbers.figure("Moving") == "10 s")


def test_holding_alt_shows_its_keys_and_leaving_the_window_forgets_it(desk: Desk) -> None:
    QTest.keyPress(desk, Qt.Key.Key_Alt)
    assert desk.key_strip.layer == "Alt+"
    desk.clearFocus()
    assert desk.key_strip.layer == ""


def test_every_key_of_the_sheet_tags_its_behaviour(desk: Desk) -> None:
    for behaviour in default_sheet().behaviours:
        tap(desk, behaviour.key)
        assert in_hand(desk).what == behaviour.name
        tap(desk, "Ctrl+Z", "Shift+Right")


def test_the_title_names_the_horse_and_the_day(desk: Desk) -> None:
    assert "Thistle, 4 May 2026" in [label.text() for label in desk.findChildren(QLabel)]


def test_after_choosing_a_stimulus_by_mouse_the_keys_tag_again(desk: Desk, qtbot: QtBot) -> None:
    tap(desk, "K")
    listed = desk.card.stimulus.view()
    click(desk.card.stimulus)
    qtbot.waitUntil(listed.isVisible)
    # Qt takes a click in a list that has just opened for the end of the one that opened it, unless the mouse moved.
    rows = [listed.visualRect(listed.model().index(row, 0)).center() for row in range(3)]
    drag(listed.viewport(), rows[2], rows[1])
    stimulus, _ = review_of(desk).stimuli()[0]
    qtbot.waitUntil(lambda: in_hand(desk).stimulus == stimulus)
    qtbot.waitUntil(desk.hasFocus)
    tap(desk, "W")
    assert in_hand(desk).what == "walk"
    assert review_of(desk).tags[-1].stimulus == stimulus


def test_what_was_wrong_is_no_longer_said_after_the_next_key(desk: Desk) -> None:
    words = window_of(desk).words
    tap(desk, "F3")
    assert "passage" in words.words
    tap(desk, "F2")
    assert words.words == ""
