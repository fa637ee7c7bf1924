"""The picture under the hand: closer, followed, brighter, over and over, to and fro, alone on the screen."""

from __future__ import annotations

import itertools

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QColor, QImage, QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from annotate.clock import NS_PER_S
from app.bringing_in import bring_in
from app.desk import Desk
from app.desk_state import DeskState, kept_state
from app.picture_view import BRIGHTEST, DARKEST, brighter
from store.barn import Barn
from tests.app.conftest import OpenDesk
from tests.app.hands import LEFT, button, click, drag, review_of, tap, texts, window_of
from tests.app.pixels import number_in
from tests.made_clips import ClipBox

S = NS_PER_S
SHIFT = Qt.KeyboardModifier.ShiftModifier


@pytest.fixture
def filmed(desk_on: OpenDesk, clips: ClipBox) -> Desk:
    """The desk on three seconds of film, 25 frames a second."""
    return desk_on(clips.get("constant_25").path).desk


def go_to(desk: Desk, number: int, qtbot: QtBot) -> None:
    desk.showing.go_to(number * S // 25)
    qtbot.waitUntil(lambda: desk.showing.shown.number == number)


def at(desk: Desk, across: float, down: float) -> QPoint:
    """A point of the picture by its shares."""
    rect = desk.picture.image_rect()
    return QPoint(rect.left() + round(across * rect.width()), rect.top() + round(down * rect.height()))


def turn_wheel(desk: Desk, point: QPoint, notches: int) -> None:
    there = QPointF(desk.picture.mapToGlobal(point))
    none = Qt.MouseButton.NoButton
    event = QWheelEvent(
        QPointF(point),
        there,
        QPoint(),
        QPoint(0, 120 * notches),
        none,
        Qt.KeyboardModifier.NoModifier,
        Qt.ScrollPhase.NoScrollPhase,
        False,
    )
    QApplication.sendEvent(desk.picture, event)


# -- closer


def test_keys_go_closer_and_back_to_the_whole_picture(filmed: Desk) -> None:
    tap(filmed, "Shift+PgUp", "Shift+PgUp")
    assert filmed.picture.part.zoom == pytest.approx(2.25)
    tap(filmed, "Shift+PgDown")
    assert filmed.picture.part.zoom == pytest.approx(1.5)
    tap(filmed, "Shift+Home")
    assert filmed.picture.part.zoom == 1


def test_keys_look_further_to_a_side(filmed: Desk) -> None:
    tap(filmed, "Shift+PgUp", "Shift+PgUp")
    middle = filmed.picture.part.middle
    tap(filmed, "Alt+Shift+Right", "Alt+Shift+Down")
    x, y = filmed.picture.part.middle
    assert x > middle[0]
    assert y > middle[1]


def test_the_wheel_goes_closer_to_what_is_under_it(filmed: Desk) -> None:
    point = at(filmed, 0.25, 0.25)
    before = filmed.picture.place_at(QPointF(point))
    turn_wheel(filmed, point, 3)
    assert filmed.picture.part.zoom > 1.9
    assert filmed.picture.place_at(QPointF(point)) == pytest.approx(before, abs=0.01)


def test_dragging_moves_the_picture_and_does_not_play(filmed: Desk) -> None:
    tap(filmed, "Shift+PgUp", "Shift+PgUp")
    x, _ = filmed.picture.part.middle
    drag(filmed.picture, at(filmed, 0.5, 0.5), at(filmed, 0.6, 0.5), at(filmed, 0.7, 0.5))
    assert filmed.picture.part.middle[0] < x
    assert not filmed.showing.is_playing


def test_a_click_still_plays_when_it_is_closer(filmed: Desk) -> None:
    tap(filmed, "Shift+PgUp")
    click(filmed.picture)
    assert filmed.showing.is_playing


def test_what_is_seen_closer_is_that_part_of_the_picture(filmed: Desk) -> None:
    """The upper left corner of every made picture is white, the upper right one black."""
    turn_wheel(filmed, at(filmed, 0, 0), 12)
    middle = filmed.picture.rect().center()
    assert filmed.picture.grab().toImage().pixelColor(middle).lightness() > 200
    tap(filmed, "Shift+Home")
    turn_wheel(filmed, at(filmed, 1, 0), 12)
    assert filmed.picture.grab().toImage().pixelColor(middle).lightness() < 60


# -- followed


def test_the_picture_follows_two_points_evenly(filmed: Desk, qtbot: QtBot) -> None:
    QTest.mouseClick(filmed.picture, LEFT, SHIFT, at(filmed, 0.3, 0.5))
    assert filmed.picture.part.zoom == 2
    assert not filmed.showing.is_playing
    go_to(filmed, 50, qtbot)
    filmed.picture.part_asked.emit(filmed.picture.part.moved(0.8, 0))
    assert filmed.picture.part.middle[0] == pytest.approx(0.7, abs=0.02)
    go_to(filmed, 25, qtbot)
    assert filmed.picture.part.middle[0] == pytest.approx(0.5, abs=0.02)


def test_points_come_back_with_the_session(filmed: Desk, barn: Barn, qtbot: QtBot) -> None:
    QTest.mouseClick(filmed.picture, LEFT, SHIFT, at(filmed, 0.3, 0.5))
    filmed.open(barn, 1)
    tap(filmed, "Shift+PgUp", "Shift+PgUp")
    assert filmed.picture.part.middle[0] == pytest.approx(0.3, abs=0.02)


def test_the_nearest_point_is_forgotten_by_a_key(filmed: Desk, qtbot: QtBot) -> None:
    tap(filmed, "Shift+X")
    assert window_of(filmed).words.words.startswith("One point")
    tap(filmed, "Shift+C")
    assert window_of(filmed).words.words == "Nothing is followed on this clip any more."
    tap(filmed, "Shift+C")
    assert window_of(filmed).words.words == "Nothing is followed on this clip."


# -- brighter


def test_keys_make_it_brighter_up_to_a_limit_and_as_it_was(filmed: Desk) -> None:
    tap(filmed, *["Alt+PgUp"] * 9)
    assert filmed.picture.brightness == BRIGHTEST
    tap(filmed, *["Alt+PgDown"] * 12)
    assert filmed.picture.brightness == DARKEST
    tap(filmed, "Alt+Home")
    assert filmed.picture.brightness == 0


def test_dusk_is_lifted_and_black_and_white_stay() -> None:
    image = QImage(7, 3, QImage.Format.Format_RGB32)
    seen = []
    for grey in (0, 40, 255):
        image.fill(QColor(grey, grey, grey))
        seen.append(brighter(image, 3).pixelColor(6, 2).red())
    assert (seen[0], seen[2]) == (0, 255)
    assert seen[1] == round(255 * (40 / 255) ** (1 / 1.25**3))


def test_a_brighter_picture_is_still_the_same_picture(filmed: Desk) -> None:
    tap(filmed, "Alt+PgUp", "Alt+PgUp")
    rect = filmed.picture.image_rect()
    assert number_in(filmed.picture.grab(rect).toImage()) == 0


# -- as it was left


def test_the_part_of_the_picture_and_its_brightness_come_back_with_the_session(filmed: Desk, qtbot: QtBot) -> None:
    window, session_id = window_of(filmed), review_of(filmed).session.id
    tap(filmed, "Shift+PgUp", "Shift+PgUp", "Alt+Shift+Right", "Alt+PgUp", "Alt+PgUp")
    part = filmed.picture.part
    tap(filmed, "Ctrl+B")
    window.open_session(session_id)
    qtbot.waitUntil(lambda: filmed.showing.has_picture)
    assert filmed.picture.part == part
    assert part.zoom > 2
    assert filmed.picture.brightness == 2
    assert "2.2 x closer, brightness +2" in texts(filmed)


def test_points_are_followed_at_once_where_a_session_was_left_closer(filmed: Desk, qtbot: QtBot) -> None:
    window, session_id = window_of(filmed), review_of(filmed).session.id
    QTest.mouseClick(filmed.picture, LEFT, SHIFT, at(filmed, 0.3, 0.5))
    go_to(filmed, 50, qtbot)
    drag(filmed.picture, at(filmed, 0.9, 0.5), at(filmed, 0.7, 0.5), at(filmed, 0.1, 0.5))
    there = filmed.picture.part.middle[0]
    tap(filmed, "Ctrl+B")
    window.open_session(session_id)
    qtbot.waitUntil(lambda: filmed.showing.has_picture)
    assert filmed.picture.part.middle[0] == pytest.approx(there)
    go_to(filmed, 0, qtbot)
    assert filmed.picture.part.middle[0] == pytest.approx(0.3, abs=0.02)


def test_a_session_that_was_never_left_closer_opens_with_the_whole_picture_as_it_was_filmed(
    filmed: Desk, barn: Barn, clips: ClipBox, qtbot: QtBot
) -> None:
    other = bring_in(barn, [clips.get("constant_30").path], horse="Thistle")
    tap(filmed, "Shift+PgUp", "Alt+PgUp", "Ctrl+B")
    window_of(filmed).open_session(other)
    assert (filmed.picture.part.zoom, filmed.picture.brightness) == (1, 0)
    assert filmed.watching.words == ""


@pytest.mark.parametrize(
    ("kept", "place"),
    [
        ('{"place_ns": 1000000000, "view_ns": null, "speed": 1.0}', 1),
        ('{"place_ns": 1000000000, "part": {"centre": [0.5, 7], "zoom": 2}}', 0),
        ('{"place_ns": 1000000000, "part": {"centre": [0.5], "zoom": 2}}', 0),
        ('{"place_ns": 1000000000, "part": {"centre": [0.5, 0.5], "zoom": 99}}', 0),
    ],
)
def test_what_earlier_versions_kept_is_read_and_what_makes_no_sense_is_not(
    barn: Barn, kept: str, place: int
) -> None:
    barn.keep_setting("desk.state.7", kept)
    assert kept_state(barn, 7) == DeskState(place * S)


# -- over and over


def test_the_tag_in_hand_plays_over_and_over(filmed: Desk, qtbot: QtBot) -> None:
    tap(filmed, "W")
    go_to(filmed, 10, qtbot)
    tap(filmed, "W")
    seen: list[int] = []
    filmed.showing.moved.connect(lambda: seen.append(filmed.showing.shown.number))
    tap(filmed, "F5")
    qtbot.waitUntil(lambda: _turns(seen) >= 2)
    assert max(seen) <= 12
    tap(filmed, "F5")
    assert filmed.watching.repeating.span is None


def test_a_stretch_that_ends_with_the_clip_plays_again(filmed: Desk, qtbot: QtBot) -> None:
    go_to(filmed, 65, qtbot)
    tap(filmed, "W")
    filmed.showing.go_to(74 * S // 25)
    qtbot.waitUntil(lambda: filmed.showing.shown.number == 74)
    tap(filmed, "Shift+Q", "F5")
    seen: list[int] = []
    filmed.showing.moved.connect(lambda: seen.append(filmed.showing.shown.number))
    qtbot.waitUntil(lambda: _turns(seen) >= 2)
    assert min(seen) >= 64


def test_escape_ends_the_loop(filmed: Desk) -> None:
    tap(filmed, "K", "F5")
    assert filmed.watching.repeating.span is not None
    tap(filmed, "Escape")
    assert filmed.watching.repeating.span is None


def test_a_loop_needs_something_to_see(filmed: Desk) -> None:
    tap(filmed, "F5")
    assert "over and over" in window_of(filmed).words.words
    assert filmed.watching.repeating.span is None


def test_the_passage_one_is_in_plays_over_and_over(filmed: Desk, qtbot: QtBot) -> None:
    tap(filmed, "F2")
    go_to(filmed, 10, qtbot)
    tap(filmed, "F3")
    go_to(filmed, 5, qtbot)
    tap(filmed, "F5")
    span = filmed.watching.repeating.span
    assert span is not None
    assert (span.start_ns, span.end_ns) == (0, 11 * S // 25)


def test_a_stretch_that_a_step_stopped_does_not_stop_what_plays_over_and_over(filmed: Desk, qtbot: QtBot) -> None:
    tap(filmed, "F2")
    go_to(filmed, 10, qtbot)
    tap(filmed, "F3")
    go_to(filmed, 50, qtbot)
    tap(filmed, "K", "Ctrl+2")
    listed = filmed.highlights.list
    qtbot.waitUntil(listed.isVisible)
    click(listed.viewport(), listed.visualItemRect(listed.item(0)).center())
    click(button(filmed.highlights, "Play"))
    qtbot.waitUntil(lambda: 2 < filmed.showing.shown.number < 10)
    filmed.setFocus()
    tap(filmed, "Right", "F5")
    seen: list[int] = []
    filmed.showing.moved.connect(lambda: seen.append(filmed.showing.shown.number))
    qtbot.waitUntil(lambda: _turns(seen) >= 1)
    assert filmed.showing.is_playing


def _turns(seen: list[int]) -> int:
    """How often it went back."""
    return sum(after < before for before, after in itertools.pairwise(seen))


# -- to and fro


def test_the_last_two_seconds_go_back_and_forth(filmed: Desk, qtbot: QtBot) -> None:
    go_to(filmed, 8, qtbot)
    seen: list[int] = []
    filmed.showing.moved.connect(lambda: seen.append(filmed.showing.shown.number))
    tap(filmed, "F6")
    qtbot.waitUntil(lambda: 0 in seen and seen[-1] > 4)
    assert max(seen) <= 8
    down = seen[: seen.index(0)]
    assert down == sorted(down, reverse=True)
    assert filmed.picture.image is not None
    assert number_in(filmed.picture.image) == filmed.showing.shown.number
    tap(filmed, "F6")
    assert filmed.watching.swaying.span is None


def test_a_tag_made_to_and_fro_has_the_frame_that_is_seen(filmed: Desk, qtbot: QtBot) -> None:
    go_to(filmed, 20, qtbot)
    tap(filmed, "F6")
    qtbot.waitUntil(lambda: filmed.showing.shown.number < 15)
    tap(filmed, "K")
    [spook] = review_of(filmed).tags
    assert spook.start_ns <= 15 * S // 25


@pytest.mark.parametrize(("key", "further"), [("Right", 1), ("Left", -1), ("Shift+Right", 25)])
def test_a_step_or_a_jump_ends_the_to_and_fro_and_counts_from_the_frame_that_is_seen(
    filmed: Desk, key: str, further: int, qtbot: QtBot
) -> None:
    go_to(filmed, 30, qtbot)
    tap(filmed, "F6")
    qtbot.waitUntil(lambda: filmed.showing.shown.number < 25)
    seen = filmed.showing.shown.number
    tap(filmed, key)
    assert filmed.watching.swaying.span is None
    qtbot.waitUntil(lambda: filmed.showing.shown.number == seen + further)
    assert filmed.watching.words == ""


def test_playing_ends_the_to_and_fro(filmed: Desk, qtbot: QtBot) -> None:
    go_to(filmed, 20, qtbot)
    tap(filmed, "F6", "Space")
    assert filmed.watching.swaying.span is None
    assert filmed.showing.is_playing


# -- alone on the screen


def test_a_key_leaves_the_picture_and_the_work_line_alone(filmed: Desk, qtbot: QtBot) -> None:
    window = window_of(filmed)
    tap(filmed, "F11")
    qtbot.waitUntil(window.isFullScreen)
    assert filmed.picture.isVisible()
    assert filmed.work_line.isVisible()
    assert not any(part.isVisible() for part in (filmed.key_strip, filmed.tabs, filmed.card, window.words))
    tap(filmed, "K")
    assert [tag.what for tag in review_of(filmed).tags] == ["spook"]
    tap(filmed, "Escape")
    qtbot.waitUntil(lambda: not window.isFullScreen())
    assert filmed.key_strip.isVisible()
    assert filmed.tabs.isVisible()


def test_trouble_is_said_on_the_full_screen_too(filmed: Desk) -> None:
    tap(filmed, "F11", "Delete")
    assert window_of(filmed).words.isVisible()


def test_the_line_under_the_picture_says_what_is_out_of_the_usual(filmed: Desk) -> None:
    tap(filmed, "Shift+PgUp", "Alt+PgUp")
    assert filmed.watching.words == "1.5 x closer, brightness +1"
    tap(filmed, "Shift+Home", "Alt+Home")
    assert filmed.watching.words == ""
