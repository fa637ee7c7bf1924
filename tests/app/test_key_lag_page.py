"""The exercise that measures how late a person presses, and the tags from which that is taken."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from PySide6.QtCore import QTimer
from pytestqt.qtbot import QtBot

from annotate.clock import NS_PER_S
from annotate.footage import Footage
from app.key_lag_page import KeyLagPage
from app.key_lags import (
    KeyLags,
    PersonsLag,
    keep_key_lags,
    kept_key_lags,
    seen_when_pressed,
)
from app.main_window import MainWindow
from store.barn import Barn
from tests.annotate.numbers.worked_session import of_length
from tests.app.conftest import OpenDesk
from tests.app.hands import in_hand, review_of, tap, texts
from tests.made_clips import ClipBox

S = NS_PER_S
LATE_MS = 130


@pytest.fixture
def page(windows: Callable[[], MainWindow], monkeypatch: pytest.MonkeyPatch) -> KeyLagPage:
    """The exercise at a pace that no person could follow."""
    monkeypatch.setattr(KeyLagPage, "waits_ms", lambda self: [220] * 8)
    window = windows()
    window.again.show_key_lag()
    return window.again.key_lag_page


def run(page: KeyLagPage, qtbot: QtBot, answered: int) -> None:
    """Presses Space a fixed time after each of the first flashes, and waits for the end."""

    def answer() -> None:
        if len(page.circle.shown_ns) <= answered:
            QTimer.singleShot(LATE_MS, lambda: tap(page, "Space"))

    page.circle.flashed.connect(answer)
    tap(page.begin, "Space")
    with qtbot.waitSignal(page.circle.ended, timeout=8000):
        pass


def test_it_measures_how_late_a_person_presses_and_keeps_it(
    page: KeyLagPage, barn: Barn, qtbot: QtBot
) -> None:
    page.who.setEditText("Kim")
    run(page, qtbot, answered=8)
    lags = kept_key_lags(barn)
    assert LATE_MS - 10 <= lags.people["Kim"].late_ns / 1_000_000 < LATE_MS + 60
    assert lags.lag_ns() == lags.people["Kim"].late_ns
    assert page.result.text().startswith("Kim presses 0.1")
    assert page.takes_out.isChecked()


def test_too_few_answers_change_nothing(
    page: KeyLagPage, barn: Barn, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(KeyLagPage, "waits_ms", lambda self: [220] * 3)
    page.who.setEditText("Kim")
    run(page, qtbot, answered=2)
    assert page.result.text() == (
        "Only 2 moments were answered in time; it takes 8. 1 flash missed. Nothing was changed."
    )
    assert kept_key_lags(barn) == KeyLags()


def test_it_is_for_somebody(page: KeyLagPage) -> None:
    tap(page.begin, "Space")
    assert not page.circle.is_running


def test_nothing_is_taken_out_of_anybodys_tags_before_it_was_measured() -> None:
    assert KeyLags().lag_ns() == KeyLags().lag_ns("Kim") == 0


def test_it_can_be_switched_off_and_on_again(page: KeyLagPage, barn: Barn) -> None:
    keep_key_lags(barn, KeyLags().measured("Kim", S // 4))
    page.open()
    tap(page.takes_out, "Space")
    assert kept_key_lags(barn).lag_ns() == 0
    tap(page.takes_out, "Space")
    assert kept_key_lags(barn).lag_ns() == S // 4


def test_each_person_has_a_lag_of_their_own(page: KeyLagPage, barn: Barn) -> None:
    keep_key_lags(barn, KeyLags({"Kim": PersonsLag(S // 4), "Sam": PersonsLag(S // 2)}, "Kim"))
    page.open()
    page.who.setCurrentText("Sam")
    assert page.result.text() == "Sam presses 0.50 s late."
    tap(page.sits_here, "Space")
    assert kept_key_lags(barn).lag_ns() == S // 2


# -- tagging


def test_a_tag_made_while_it_plays_takes_the_frame_that_was_seen_and_says_so(
    desk_on: OpenDesk, clips: ClipBox, barn: Barn, qtbot: QtBot
) -> None:
    keep_key_lags(barn, KeyLags().measured("Kim", S // 5))
    desk = desk_on(clips.get("far_keyframes").path).desk
    tap(desk, "Space")
    qtbot.waitUntil(lambda: desk.showing.shown.number > 8)
    number = desk.showing.shown.number
    tap(desk, "K")
    assert desk.showing.shown.number >= number
    assert desk.showing.is_playing
    tap(desk, "Space")
    tag = in_hand(desk)
    assert tag.start_ns == (number - 5) * S // 25
    assert tag.start_frame == review_of(desk).footage.at(tag.start_ns).moment.frame
    assert tag.note == "key lag of 0.20 s taken out"
    assert "1 x, key lag of 0.20 s taken out" in texts(desk)


def test_a_tag_made_on_a_standing_picture_is_not_moved(
    desk_on: OpenDesk, clips: ClipBox, barn: Barn, qtbot: QtBot
) -> None:
    keep_key_lags(barn, KeyLags().measured("Kim", S // 5))
    desk = desk_on(clips.get("constant_25").path).desk
    tap(desk, "Shift+Right")
    qtbot.waitUntil(lambda: desk.showing.shown.number == 25)
    tap(desk, "K")
    assert (in_hand(desk).start_ns, in_hand(desk).note) == (S, "")


@pytest.mark.parametrize(("speed", "seen_s"), [(0.1, 9.97), (1.0, 9.7), (2.0, 9.4), (8.0, 9.0)])
def test_it_goes_by_the_play_speed_and_never_beyond_where_playing_began(speed: float, seen_s: float) -> None:
    footage = Footage(of_length(60), {})
    seen = seen_when_pressed(footage, footage.at(10 * S), 3 * S // 10, speed, 9 * S)
    assert seen.ns == round(seen_s * 100) * (S // 100)


def test_a_moment_later_than_where_playing_was_sent_to_stays(barn: Barn) -> None:
    footage = Footage(of_length(60), {})
    shown = footage.at(10 * S)
    assert seen_when_pressed(footage, shown, S, 1.0, 20 * S) == shown.moment
