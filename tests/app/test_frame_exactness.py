"""What is shown on the picture and what a tag stores is the same frame, for every kind of clip."""

from __future__ import annotations

import random
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtGui import QImage
from pytestqt.qtbot import QtBot

from annotate.media.clip import look
from annotate.media.still import write_still
from app.main_window import MainWindow
from tests.app.conftest import OpenDesk
from tests.app.pixels import number_in
from tests.made_clips import ClipBox, MadeClip


def shown_number(window: MainWindow) -> int:
    image = window.desk.picture.image
    assert image is not None
    return number_in(image)


def go_to_frame(window: MainWindow, number: int, qtbot: QtBot) -> None:
    review = window.desk.review
    assert review is not None
    [clip] = review.clips.values()
    window.desk.showing.go_to(clip.placed.session_ns(clip.table.pts(number)))
    qtbot.waitUntil(lambda: window.desk.showing.shown.number == number)


def test_a_tag_made_on_a_standing_picture_stores_the_frame_that_is_drawn(
    any_clip: MadeClip, desk_on: OpenDesk, qtbot: QtBot, tmp_path: Path
) -> None:
    window = desk_on(any_clip.path)
    review = window.desk.review
    assert review is not None
    table = look(any_clip.path).table
    places = random.Random(any_clip.name).sample(range(len(table)), 5)
    for number in [0, *places, len(table) - 1]:
        go_to_frame(window, number, qtbot)
        qtbot.keyClick(window.desk, Qt.Key.Key_K)
        spook = review.selected
        assert spook is not None
        assert spook.start_frame is not None
        assert shown_number(window) == any_clip.numbers[number]
        assert spook.start_frame.pts == table.pts(number)
    still = tmp_path / "still.png"
    write_still(any_clip.path, still, frame=places[0])
    assert number_in(QImage(str(still))) == any_clip.numbers[places[0]]


def test_the_arrow_keys_step_one_frame_each(desk_on: OpenDesk, clips: ClipBox, qtbot: QtBot) -> None:
    window = desk_on(clips.get("b_frames").path)
    for key, number in ((Qt.Key.Key_Right, 1), (Qt.Key.Key_Right, 2), (Qt.Key.Key_Left, 1)):
        qtbot.keyClick(window.desk, key)
        qtbot.waitUntil(lambda number=number: shown_number(window) == number)
        assert window.desk.showing.shown.number == number


def test_quick_steps_all_count(desk_on: OpenDesk, clips: ClipBox, qtbot: QtBot) -> None:
    window = desk_on(clips.get("far_keyframes").path)
    for _ in range(25):
        qtbot.keyClick(window.desk, Qt.Key.Key_Right)
    qtbot.waitUntil(lambda: shown_number(window) == 25)


def test_every_frame_that_plays_is_told_by_its_own_number(
    any_clip: MadeClip, desk_on: OpenDesk, qtbot: QtBot
) -> None:
    window = desk_on(any_clip.path)
    showing = window.desk.showing
    told: list[tuple[int, int]] = []
    showing.moved.connect(lambda: told.append((showing.shown.number, shown_number(window))))
    qtbot.keyClick(window.desk, Qt.Key.Key_Space)
    qtbot.waitUntil(lambda: len(told) >= 20, timeout=10_000)
    qtbot.keyClick(window.desk, Qt.Key.Key_Space)
    assert [drawn for _, drawn in told] == [any_clip.numbers[number] for number, _ in told]


def test_a_tag_made_while_playing_stores_the_frame_on_the_screen(
    desk_on: OpenDesk, clips: ClipBox, qtbot: QtBot
) -> None:
    clip = clips.get("variable")
    window = desk_on(clip.path)
    review = window.desk.review
    assert review is not None
    table = look(clip.path).table
    qtbot.keyClick(window.desk, Qt.Key.Key_Space)
    for key in (Qt.Key.Key_K, Qt.Key.Key_U, Qt.Key.Key_R):
        before = window.desk.showing.shown.number
        qtbot.waitUntil(lambda before=before: window.desk.showing.shown.number > before + 3)
        qtbot.keyClick(window.desk, key)
        tag = review.selected
        assert tag is not None
        assert tag.start_frame is not None
        assert table.pts(shown_number(window)) == tag.start_frame.pts
    qtbot.keyClick(window.desk, Qt.Key.Key_Space)


def test_pausing_stands_on_the_frame_that_was_played_last(
    desk_on: OpenDesk, clips: ClipBox, qtbot: QtBot
) -> None:
    window = desk_on(clips.get("constant_29_97").path)
    qtbot.keyClick(window.desk, Qt.Key.Key_Space)
    qtbot.waitUntil(lambda: window.desk.showing.shown.number > 10)
    qtbot.keyClick(window.desk, Qt.Key.Key_Space)
    number = window.desk.showing.shown.number
    with qtbot.waitSignal(window.desk.showing.picture):
        pass
    assert (window.desk.showing.shown.number, shown_number(window)) == (number, number)
