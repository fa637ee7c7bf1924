"""The sound of the desk: the strip under the work line, and how loud it plays."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint
from PySide6.QtGui import QColor, QImage
from pytestqt.qtbot import QtBot

from annotate.clock import NS_PER_S
from app.bringing_in import look_at_clips
from app.desk import Desk
from app.palette import worn
from app.places import sound_folder
from store.barn import Barn
from tests.annotate.media.test_sound_peaks import clip_with_bang
from tests.app.conftest import OpenDesk, OpenSession
from tests.app.hands import button, click, tap
from tests.made_clips import ClipBox, numbered

S = NS_PER_S


def wait_for_sound(desk: Desk, qtbot: QtBot) -> None:
    qtbot.waitUntil(lambda: bool(desk.sounding.reading.peaks) and not desk.sounding.reading.is_reading)


def loud_columns(desk: Desk) -> list[int]:
    """The columns of the time axis in which the strip is drawn over nearly all its height."""
    strip, left = desk.sounding.strip, desk.work_line.bands.left
    image = strip.grab().toImage().convertToFormat(QImage.Format.Format_RGB32)
    y = 3
    colour = QColor(worn().sign)
    return [x - left for x in range(left, image.width()) if image.pixelColor(x, y) == colour]


@pytest.fixture
def bang_desk(tmp_path: Path, desk_on: OpenDesk, qtbot: QtBot) -> Desk:
    """Three seconds of clip with a bang at 2.0 s, in sound that begins 0.5 s after the picture."""
    facts = clip_with_bang(tmp_path, bang_s=1.5, sound_from="0.5")
    desk = desk_on(facts.path).desk
    wait_for_sound(desk, qtbot)
    return desk


def test_the_strip_shows_a_bang_where_it_was_although_the_sound_starts_late(bang_desk: Desk) -> None:
    scale = bang_desk.work_line.scale
    assert scale.x(2 * S) - 1 <= min(loud_columns(bang_desk)) <= max(loud_columns(bang_desk))
    assert max(loud_columns(bang_desk)) <= scale.x(2 * S + S // 50)


def test_the_strip_follows_the_zoom_of_the_work_line(bang_desk: Desk) -> None:
    line = bang_desk.work_line
    whole = line.scale
    line.zoom_by(4, line.scale.x(2 * S))
    assert line.scale.ns_per_px < whole.ns_per_px
    loud = loud_columns(bang_desk)
    assert abs(min(loud) - line.scale.x(2 * S)) <= 1
    assert abs(max(loud) - line.scale.x(2 * S + S // 100)) <= 1


def test_slow_motion_is_drawn_in_the_horses_time(
    tmp_path: Path, barn: Barn, open_desk: OpenSession, qtbot: QtBot
) -> None:
    facts = clip_with_bang(tmp_path, bang_s=2)
    [looked] = look_at_clips([facts.path])
    slow = replace(looked, capture_speed=Fraction(4))
    desk = open_desk(barn.add_session("Thistle", date(2026, 5, 4), [slow]))
    wait_for_sound(desk, qtbot)
    assert abs(min(loud_columns(desk)) - desk.work_line.scale.x(S // 2)) <= 1


def test_a_click_on_the_strip_moves_the_place(bang_desk: Desk, qtbot: QtBot) -> None:
    line = bang_desk.work_line
    click(bang_desk.sounding.strip, QPoint(line.bands.left + line.scale.x(2 * S) + 2, 10))
    qtbot.waitUntil(lambda: bang_desk.showing.shown.number == 50)


def test_a_session_without_sound_leaves_the_room_to_the_picture(tmp_path: Path, desk_on: OpenDesk) -> None:
    desk = desk_on(numbered(tmp_path / "silent.mp4", 30)).desk
    assert not desk.sounding.strip.isVisible()
    assert not desk.sounding.volume.isEnabled()


@pytest.mark.parametrize("key", ["Shift+M", "Ctrl+PgUp", "Ctrl+PgDown", "F8"])
def test_a_key_of_the_sound_says_that_there_is_none(tmp_path: Path, desk_on: OpenDesk, key: str) -> None:
    window = desk_on(numbered(tmp_path / "silent.mp4", 30))
    volume = window.desk.sounding.volume
    before = volume.percent
    tap(window.desk, key)
    assert (volume.is_muted, volume.percent) == (False, before)
    assert window.words.words == "This session has no sound."


def test_a_key_hides_the_strip_and_it_stays_hidden(
    bang_desk: Desk, windows: Callable[[], object], barn: Barn
) -> None:
    assert bang_desk.sounding.strip.height() <= 36
    tap(bang_desk, "F8")
    assert not bang_desk.sounding.strip.isVisible()
    bang_desk.open(barn, 1)
    assert not bang_desk.sounding.strip.isVisible()
    tap(bang_desk, "F8")
    assert bang_desk.sounding.strip.isVisible()


def test_what_was_read_is_kept_and_not_read_again(bang_desk: Desk, barn: Barn, qtbot: QtBot) -> None:
    [kept] = sound_folder().iterdir()
    made = kept.stat().st_mtime_ns
    started: list[object] = []
    bang_desk.sounding.reading._jobs.started.connect(started.append)
    bang_desk.open(barn, 1)
    wait_for_sound(bang_desk, qtbot)
    assert started == []
    assert kept.stat().st_mtime_ns == made


def test_a_session_that_is_left_is_read_no_further(
    tmp_path: Path, desk_on: OpenDesk, barn: Barn, qtbot: QtBot
) -> None:
    window = desk_on(clip_with_bang(tmp_path, bang_s=1).path)
    window.show_barn()
    qtbot.waitUntil(lambda: not window.jobs.running)
    assert not window.desk.sounding.reading.is_reading


# -- how loud


def test_keys_turn_the_volume_and_silence_it(bang_desk: Desk) -> None:
    volume = bang_desk.sounding.volume
    volume.set_level(50, muted=False)
    tap(bang_desk, "Ctrl+PgUp", "Ctrl+PgUp", "Ctrl+PgDown")
    assert volume.level == 0.6
    tap(bang_desk, "Shift+M")
    assert (volume.level, volume.percent) == (0.0, 60)
    tap(bang_desk, "Ctrl+PgUp")
    assert volume.level == 0.7


def test_the_button_says_that_it_is_muted(bang_desk: Desk) -> None:
    click(button(bang_desk, "Mute"))
    assert bang_desk.sounding.volume.is_muted
    click(button(bang_desk, "Muted"))
    assert not bang_desk.sounding.volume.is_muted


def test_how_loud_it_was_comes_back(bang_desk: Desk, barn: Barn) -> None:
    bang_desk.sounding.volume.set_level(30, muted=True)
    bang_desk.leave()
    bang_desk.sounding.volume.set_level(90, muted=False)
    bang_desk.open(barn, 1)
    assert (bang_desk.sounding.volume.percent, bang_desk.sounding.volume.is_muted) == (30, True)


@pytest.mark.parametrize(
    ("speed", "sounds"), [(0.25, False), (0.5, True), (1, True), (2, True), (3, False), (8, False)]
)
@pytest.mark.parametrize("made_first", [True, False])
def test_sound_plays_from_half_to_twice_the_speed_with_its_pitch(
    desk_on: OpenDesk, clips: ClipBox, speed: float, sounds: bool, made_first: bool
) -> None:
    showing = desk_on(clips.get("constant_25").path).desk.showing
    if made_first:
        assert showing.player.machine.playbackRate() == 1
    showing.set_speed(speed)
    assert showing.player.machine.playbackRate() == speed
    assert showing.player.has_sound_now is sounds
    assert showing.player.keeps_pitch


def test_a_desk_that_only_looks_has_made_no_player(desk_on: OpenDesk, clips: ClipBox) -> None:
    desk = desk_on(clips.get("constant_25").path).desk
    tap(desk, "Right")
    desk.leave()
    assert "machine" not in vars(desk.showing.player)
