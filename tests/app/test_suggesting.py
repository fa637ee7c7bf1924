"""The machine proposes, the trainer decides, by real keys and a real mouse."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import date

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from annotate.agreement.again import Again, SecondLook
from annotate.agreement.kept_looks import KeptLook
from annotate.clock import NS_PER_S, Span
from annotate.errors import BarnTrouble
from annotate.motion.suggestions import Decision, Pointed
from annotate.tagging import Change
from annotate.tags import Tag
from app.bringing_in import bring_in
from app.command import main
from app.desk import Desk
from app.main_window import MainWindow
from app.second_looks import SECOND, keep_look
from app.watched import CAMERA
from store.barn import Barn
from tests.annotate.motion.made_motion import seen
from tests.app.conftest import OpenSession
from tests.app.hands import LEFT, button, click, in_hand, in_seconds, placed_session, review_of, tap, window_of
from tests.app.made_suggestions import Machine, machine
from tests.made_clips import ClipBox

__all__ = ["machine"]

S = NS_PER_S
WALK, TROT, SPOOK = ("walk", 1.0, 4.0, 0.9), ("trot", 4.0, 8.0, 0.6), ("spook", 6.0, None, 0.3)
CTRL = Qt.KeyboardModifier.ControlModifier


@pytest.fixture
def session_id(barn: Barn, clips: ClipBox) -> int:
    """Twelve seconds of film; nothing of it was watched."""
    return bring_in(barn, [clips.get("far_keyframes").path], horse="Thistle")


@pytest.fixture
def watched(barn: Barn, session_id: int, machine: Machine) -> int:
    """The session, watched, with a walk, a trot and a spook to decide; the camera stands outside."""
    machine.says = [WALK, TROT, SPOOK]
    stand_camera(barn, session_id, "outside")
    watch_all(barn, session_id)
    return session_id


@pytest.fixture
def desk(open_desk: OpenSession, watched: int, qtbot: QtBot) -> Desk:
    """The desk on it, with the suggestions shown."""
    opened = open_desk(watched)
    show(opened, qtbot, 3)
    return opened


def stand_camera(barn: Barn, session_id: int, where: str) -> None:
    barn.change_session(session_id, details={**barn.session(session_id).details, CAMERA: where})


def watch_all(barn: Barn, session_id: int) -> None:
    for clip in barn.clips(session_id):
        barn.keep_seen(clip, seen(12))


def show(desk: Desk, qtbot: QtBot, count: int) -> None:
    tap(desk, "F10")
    wait_for(desk, qtbot, count)


def wait_for(desk: Desk, qtbot: QtBot, count: int) -> None:
    """Until so many are open and nothing more is worked out."""
    suggesting = desk.suggesting
    parts = (suggesting.look.watching, suggesting.look.telling)
    qtbot.waitUntil(
        lambda: len(suggesting.open_ones) == count and not any(part.is_running for part in parts)
    )


def next_one(desk: Desk, qtbot: QtBot, what: str) -> None:
    """Presses for the next until this one is in hand and seen."""
    for _ in range(5):
        tap(desk, "9")
        one = desk.suggesting.in_hand
        assert one is not None
        if one.what == what:
            wait_at(desk, qtbot, one.start_ns)
            return
    raise AssertionError(f"{what} did not come")


def wait_at(desk: Desk, qtbot: QtBot, ns: int) -> None:
    qtbot.waitUntil(lambda: desk.showing.shown.moment.ns <= ns < (desk.showing.shown.moment.next_ns or 0))


def whats(desk: Desk) -> list[str]:
    return [one.what for one in desk.suggesting.open_ones]


def held(desk: Desk) -> str:
    one = desk.suggesting.in_hand
    return one.what if one is not None else ""


# -- the machine's look


@pytest.mark.parametrize(("key", "where"), [("O", "outside"), ("I", "inside")])
def test_the_first_look_asks_in_place_where_the_camera_stands(
    open_desk: OpenSession, session_id: int, machine: Machine, barn: Barn, qtbot: QtBot, key: str, where: str
) -> None:
    machine.says = [WALK]
    desk = open_desk(session_id)
    tap(desk, "F10")
    assert desk.suggesting.line.asks
    assert "camera" in desk.suggesting.line.words
    tap(desk, key)
    wait_for(desk, qtbot, 1)
    assert barn.session(session_id).details[CAMERA] == where
    assert machine.asked[-1].camera == where
    assert review_of(desk).tags == ()
    tap(desk, "F10", "F10")
    assert not desk.suggesting.line.asks


def test_the_question_is_answered_by_its_buttons_too(
    open_desk: OpenSession, session_id: int, machine: Machine, barn: Barn, qtbot: QtBot
) -> None:
    desk = open_desk(session_id)
    tap(desk, "F10")
    click(button(desk, "I  Inside the ring"))
    wait_for(desk, qtbot, 0)
    assert barn.session(session_id).details[CAMERA] == "inside"


def test_escape_puts_the_question_off_and_nothing_is_watched(
    open_desk: OpenSession, session_id: int, machine: Machine
) -> None:
    desk = open_desk(session_id)
    tap(desk, "F10", "Escape")
    assert not desk.suggesting.line.isVisible()
    assert not desk.suggesting.look.watching.is_running
    tap(desk, "O")
    assert [tag.what for tag in review_of(desk).tags] == ["turn_out"]


def two_clips(barn: Barn, clips: ClipBox) -> int:
    """A session of two clips, of which the first was watched."""
    paths = [clips.get(name).path for name in ("b_frames", "far_keyframes")]
    session_id = placed_session(barn, (paths[0], 0), (paths[1], 20))
    stand_camera(barn, session_id, "outside")
    barn.keep_seen(barn.clips(session_id)[0], seen(4))
    return session_id


def test_what_was_watched_appears_at_once_and_the_rest_clip_by_clip(
    open_desk: OpenSession, barn: Barn, clips: ClipBox, machine: Machine, qtbot: QtBot
) -> None:
    session_id = two_clips(barn, clips)
    machine.says = [("walk", 0.5, 2.5, 0.9)]
    machine.may_end.clear()
    desk = open_desk(session_id)
    tap(desk, "F10")
    qtbot.waitUntil(lambda: len(desk.suggesting.open_ones) == 1)
    assert desk.suggesting.look.watching.is_running
    assert button(window_of(desk), "Cancel").isVisible()
    machine.may_end.set()
    wait_for(desk, qtbot, 2)
    assert all(barn.seen(clip) is not None for clip in barn.clips(session_id))


def test_cancel_leaves_no_half_result(
    open_desk: OpenSession, barn: Barn, clips: ClipBox, machine: Machine, qtbot: QtBot
) -> None:
    session_id = two_clips(barn, clips)
    machine.says = [("walk", 0.5, 2.5, 0.9)]
    machine.may_end.clear()
    desk = open_desk(session_id)
    tap(desk, "F10")
    qtbot.waitUntil(lambda: bool(machine.clicks))
    click(button(window_of(desk), "Cancel"))
    wait_for(desk, qtbot, 1)
    first, second = barn.clips(session_id)
    assert barn.seen(first) is not None
    assert barn.seen(second) is None


def test_a_clip_that_is_gone_is_named_and_the_others_are_watched(
    open_desk: OpenSession, barn: Barn, clips: ClipBox, machine: Machine, qtbot: QtBot, tmp_path: object
) -> None:
    session_id = two_clips(barn, clips)
    gone = clips.get("far_keyframes").path
    away = gone.with_name("away.mp4")
    gone.rename(away)
    try:
        desk = open_desk(session_id)
        tap(desk, "F10")
        told = "far_keyframes.mp4 is not where it was. Find it first: Lost clips… on the barn's page"
        qtbot.waitUntil(lambda: told in window_of(desk).words.words)
    finally:
        away.rename(gone)


def test_a_session_without_clips_says_so(open_desk: OpenSession, barn: Barn) -> None:
    desk = open_desk(barn.add_session("Thistle", date(2026, 5, 4), length_ns=60 * S))
    tap(desk, "F10")
    assert "no clips" in window_of(desk).words.words


def test_the_key_puts_suggestions_away_and_they_stay_so(desk: Desk, watched: int, qtbot: QtBot) -> None:
    tap(desk, "F10")
    assert desk.suggesting.open_ones == ()
    assert not desk.suggesting.line.isVisible()
    window_of(desk).open_session(watched)
    assert not desk.suggesting.look.telling.is_running
    show(desk, qtbot, 3)


def test_what_was_shown_is_shown_again_on_reopening(desk: Desk, watched: int, qtbot: QtBot) -> None:
    window_of(desk).open_session(watched)
    wait_for(desk, qtbot, 3)
    assert desk.suggesting.line.isVisible()


def test_how_many_sudden_moments_is_set_in_plain_words(desk: Desk, machine: Machine, barn: Barn, qtbot: QtBot) -> None:
    usual = machine.asked[-1].sensitivity
    tap(desk, "Shift+F10")
    wait_for(desk, qtbot, 3)
    assert machine.asked[-1].sensitivity > usual
    click(button(desk, "Sudden moments: many"))
    wait_for(desk, qtbot, 3)
    assert machine.asked[-1].sensitivity < usual
    assert barn.setting("desk.sudden_moments") == "few"


# -- never counted


def test_suggestions_are_in_no_number(
    desk: Desk, watched: int, barn: Barn, qtbot: QtBot, capsys: pytest.CaptureFixture[str]
) -> None:
    """Not in the desk's figures, not in the tags, not in what the command line says."""

    def told() -> tuple[object, object, object, str]:
        assert main(["--barn", str(barn.path), "numbers", str(watched), "--json"]) == 0
        numbers = review_of(desk).numbers()
        return numbers, barn.tags(watched), review_of(desk).untagged(), capsys.readouterr().out

    shown = told()
    next_one(desk, qtbot, "spook")
    assert told() == shown
    tap(desk, "F10")
    assert desk.suggesting.open_ones == ()
    assert told() == shown
    assert json.loads(shown[3])["reactions"]["count"] == 0


def test_a_suggestion_that_is_taken_counts(
    desk: Desk, watched: int, barn: Barn, qtbot: QtBot, capsys: pytest.CaptureFixture[str]
) -> None:
    next_one(desk, qtbot, "walk")
    tap(desk, "6")
    assert main(["--barn", str(barn.path), "numbers", str(watched), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["gait"]["walk"]["seconds"] == 3


# -- deciding


def test_the_next_one_shows_its_frame_and_its_words(desk: Desk, qtbot: QtBot) -> None:
    next_one(desk, qtbot, "walk")
    assert desk.suggesting.line.words == "Walk, 0:01.0 to 0:04.0, quite sure"
    next_one(desk, qtbot, "trot")
    assert desk.suggesting.line.words == "Trot, 0:04.0 to 0:08.0, fairly sure"
    next_one(desk, qtbot, "spook")
    assert desk.suggesting.line.words == "Spook, 0:06.0, a guess"
    tap(desk, "5")
    assert held(desk) == "trot"
    tap(desk, "9", "9")
    assert held(desk) == "walk"


def test_one_key_takes_it_and_goes_on_to_the_next(desk: Desk, qtbot: QtBot, watched: int, barn: Barn) -> None:
    next_one(desk, qtbot, "walk")
    tap(desk, "6")
    assert held(desk) == "trot"
    tap(desk, "6")
    assert in_seconds(barn.tags(watched)) == [("walk", 1, 4), ("trot", 4, 8)]
    first = barn.tags(watched)[0]
    assert first.start_frame is not None
    assert whats(desk) == ["spook"]


def test_taking_is_undone_and_done_again_like_any_step(desk: Desk, qtbot: QtBot, watched: int, barn: Barn) -> None:
    next_one(desk, qtbot, "walk")
    tap(desk, "6", "Ctrl+Z")
    assert barn.tags(watched) == ()
    assert barn.decisions(watched) == []
    assert whats(desk) == ["walk", "trot", "spook"]
    tap(desk, "Ctrl+Shift+Z")
    assert [tag.what for tag in barn.tags(watched)] == ["walk"]
    assert [one.verdict for one in barn.decisions(watched)] == ["taken"]


def test_no_tag_is_made_where_the_decision_cannot_be_kept(
    desk: Desk, qtbot: QtBot, watched: int, barn: Barn, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(made: Decision) -> None:
        raise BarnTrouble("The barn is busy.")

    monkeypatch.setattr(barn, "keep_decision", refuse)
    next_one(desk, qtbot, "walk")
    tap(desk, "6")
    assert window_of(desk).words.words == "The barn is busy."
    assert barn.tags(watched) == review_of(desk).tags == ()
    assert held(desk) == "walk"
    assert review_of(desk).undo_list.done == ()


def test_the_key_of_another_behaviour_takes_it_as_that(desk: Desk, qtbot: QtBot, watched: int, barn: Barn) -> None:
    next_one(desk, qtbot, "trot")
    tap(desk, "L")
    assert in_seconds(barn.tags(watched)) == [("lope", 4, 8)]
    assert [(one.what, one.verdict, one.became) for one in barn.decisions(watched)] == [("trot", "changed", "lope")]
    assert held(desk) == "spook"


def test_a_key_of_the_other_kind_tags_where_one_stands(desk: Desk, qtbot: QtBot, watched: int, barn: Barn) -> None:
    next_one(desk, qtbot, "trot")
    tap(desk, "K")
    assert in_seconds(barn.tags(watched)) == [("spook", 4, None)]
    assert "trot" in whats(desk)


def test_taken_with_a_change_it_is_in_hand_for_the_correction_keys(
    desk: Desk, qtbot: QtBot, watched: int, barn: Barn
) -> None:
    next_one(desk, qtbot, "walk")
    tap(desk, "7")
    assert held(desk) == ""
    assert in_hand(desk).what == "walk"
    tap(desk, "Alt+Right")
    assert in_seconds(barn.tags(watched)) == [("walk", 1.04, 4)]
    assert [one.verdict for one in barn.decisions(watched)] == ["changed"]


def test_a_reaction_that_was_taken_gets_its_severity_by_a_digit(
    desk: Desk, qtbot: QtBot, watched: int, barn: Barn
) -> None:
    next_one(desk, qtbot, "spook")
    tap(desk, "6", "3")
    assert [(tag.what, tag.severity) for tag in barn.tags(watched)] == [("spook", 3)]
    assert held(desk) == "walk"


def test_refused_it_is_gone_and_no_tag_is_made(desk: Desk, qtbot: QtBot, watched: int, barn: Barn) -> None:
    next_one(desk, qtbot, "walk")
    tap(desk, "8")
    assert (held(desk), whats(desk)) == ("trot", ["trot", "spook"])
    assert barn.tags(watched) == ()
    tap(desk, "Ctrl+Z")
    assert whats(desk) == ["walk", "trot", "spook"]


def test_take_and_refuse_are_remembered_and_their_shares_shown(desk: Desk, qtbot: QtBot, watched: int) -> None:
    next_one(desk, qtbot, "walk")
    tap(desk, "6", "L", "8")
    assert desk.suggesting.line.decided == "taken 1, changed 1, refused 1 of 3"
    window_of(desk).open_session(watched)
    wait_for(desk, qtbot, 0)
    assert desk.suggesting.line.decided == "taken 1, changed 1, refused 1 of 3"


def test_what_is_tagged_by_hand_is_not_suggested(desk: Desk, barn: Barn) -> None:
    desk.showing.go_to(4 * S)
    review_of(desk).correct(lambda tags: Change((), (Tag("trot", 4 * S, 8 * S),)))
    assert whats(desk) == ["walk", "spook"]


@pytest.mark.parametrize("key", ["Escape", "End"])
def test_a_suggestion_is_let_go(desk: Desk, qtbot: QtBot, watched: int, barn: Barn, key: str) -> None:
    """By Escape, and by going elsewhere; then the keys tag as they do."""
    next_one(desk, qtbot, "walk")
    tap(desk, key)
    qtbot.waitUntil(lambda: held(desk) == "")
    tap(desk, "L")
    assert [tag.what for tag in barn.tags(watched)] == ["lope"]
    assert barn.decisions(watched) == []


def test_a_tag_that_is_chosen_takes_its_place(desk: Desk, qtbot: QtBot) -> None:
    review_of(desk).correct(lambda tags: Change((), (Tag("calm", 9 * S),)))
    next_one(desk, qtbot, "walk")
    tap(desk, "Down")
    assert held(desk) == ""
    assert in_hand(desk).what == "calm"


def test_the_keys_for_a_suggestion_are_told_while_it_is_in_hand(desk: Desk, qtbot: QtBot) -> None:
    next_one(desk, qtbot, "walk")
    assert desk.now.text().startswith("6  take it as a tag")
    tap(desk, "Escape")
    assert "take it as a tag" not in desk.now.text()


def test_a_click_on_its_shape_brings_it_into_hand(desk: Desk, qtbot: QtBot) -> None:
    line = desk.work_line
    point = QPoint(line.bands.left + line.scale.x(5 * S), line.bands.axis - line.bands.rise(1))
    assert line.words_at(point) == "Trot, 0:04.0 to 0:08.0, lasts 0:04.0 (suggested)"
    click(line, point)
    assert held(desk) == "trot"
    wait_at(desk, qtbot, 4 * S)


def test_what_this_horses_tags_had_a_part_in_is_said(
    open_desk: OpenSession, barn: Barn, watched: int, qtbot: QtBot
) -> None:
    barn.apply(watched, Change((), (Tag("walk", 9 * S, 12 * S),)))
    desk = open_desk(watched)
    show(desk, qtbot, 3)
    next_one(desk, qtbot, "walk")
    assert desk.suggesting.line.words.endswith("quite sure; calibrated to this horse from tags confirmed")
    next_one(desk, qtbot, "trot")
    assert "calibrated" not in desk.suggesting.line.words


def test_another_round_goes_by_the_tags_confirmed_in_this_one(desk: Desk, machine: Machine, qtbot: QtBot) -> None:
    assert not machine.bands[-1].is_calibrated
    next_one(desk, qtbot, "walk")
    tap(desk, "6", "9", "9")
    assert held(desk) == "trot"
    qtbot.waitUntil(lambda: machine.bands[-1].is_calibrated)


# -- a horse that was lost


def test_where_the_horse_is_lost_a_click_is_asked_for_and_helps(
    open_desk: OpenSession, barn: Barn, session_id: int, machine: Machine, qtbot: QtBot
) -> None:
    stand_camera(barn, session_id, "outside")
    (clip,) = barn.clips(session_id)
    barn.keep_seen(clip, seen(12, lost=(4, 8)))
    desk = open_desk(session_id)
    show(desk, qtbot, 0)
    desk.showing.go_to(5 * S)
    qtbot.waitUntil(lambda: "lost the horse" in desk.suggesting.line.words)
    wait_at(desk, qtbot, 5 * S)
    rect = desk.picture.image_rect()
    point = QPoint(rect.left() + rect.width() // 4, rect.top() + rect.height() // 2)
    QTest.mouseClick(desk.picture, LEFT, CTRL, point)
    (there,) = barn.pointed(clip)
    assert there == Pointed(clip.placed.pts_at(5 * S), pytest.approx(0.25, abs=0.01), pytest.approx(0.5, abs=0.01))
    assert not desk.showing.is_playing
    tap(desk, "F10")
    qtbot.waitUntil(lambda: bool(machine.clicks) and not desk.suggesting.look.watching.is_running)
    ((given,),) = machine.clicks
    assert (given.at_s, given.x, given.y) == (5.0, there.x, there.y)
    assert [one.heeded for one in barn.pointed(clip)] == [True]


# -- the second look


def test_what_the_second_look_says_otherwise_is_shown_hollow(open_desk: OpenSession, barn: Barn, qtbot: QtBot) -> None:
    session_id = barn.add_session("Thistle", date(2026, 5, 4), length_ns=100 * S)
    barn.replace_tags(session_id, [Tag("walk", 0, 100 * S), Tag("spook", 30 * S, severity=2)])
    gaits = [Tag("walk", 0, 60 * S), Tag("trot", 60 * S, 100 * S)]
    barn.replace_tags(session_id, [*gaits, Tag("spook", 30 * S, severity=3), Tag("calm", 40 * S)], look=2)
    desk = open_desk(session_id)
    numbers = review_of(desk).numbers()
    tap(desk, "F12")
    line = desk.work_line

    def at_the_trot() -> str:
        bands = line.bands
        return line.words_at(QPoint(bands.left + line.scale.x(80 * S), bands.axis - bands.rise(2) + 2))

    qtbot.waitUntil(lambda: "Trot" in at_the_trot())
    assert at_the_trot() == "Trot, 1:00.0 to 1:40.0, lasts 0:40.0 (second look)"
    assert review_of(desk).numbers() == numbers
    assert window_of(desk).words.words == "The second look says 3 things otherwise; F12 puts that away."
    tap(desk, "F12")
    assert "second look" not in at_the_trot()
    assert window_of(desk).words.words == "What the second look says is put away; F12 shows it again."


def test_one_thing_that_the_second_look_says_otherwise_is_one(open_desk: OpenSession, barn: Barn, qtbot: QtBot) -> None:
    session_id = barn.add_session("Thistle", date(2026, 5, 4), length_ns=100 * S)
    barn.replace_tags(session_id, [Tag("walk", 0, 100 * S)])
    barn.replace_tags(session_id, [Tag("walk", 0, 100 * S), Tag("calm", 40 * S)], look=2)
    desk = open_desk(session_id)
    tap(desk, "F12")
    qtbot.waitUntil(lambda: bool(desk.suggesting.second.tags))
    assert window_of(desk).words.words == "The second look says 1 thing otherwise; F12 puts that away."


def test_without_a_second_look_that_is_said(open_desk: OpenSession, barn: Barn, qtbot: QtBot) -> None:
    desk = open_desk(barn.add_session("Thistle", date(2026, 5, 4), length_ns=100 * S))
    tap(desk, "F12")
    qtbot.waitUntil(lambda: "no second look yet" in window_of(desk).words.words)


def test_a_second_look_is_blind(
    barn: Barn, watched: int, windows: Callable[[], MainWindow], qtbot: QtBot
) -> None:
    """Nothing is suggested to who tags again."""
    barn.keep_setting(f"desk.suggestions.{watched}", "shown")
    passage = SecondLook(1, (Again(Span(0, 10 * S)),))
    keep_look(barn, watched, KeptLook(SECOND, "Kim", date(2026, 5, 11), passage))
    window = windows()
    window.again.show_second_look(watched)
    click(window.again.second_look_page.start.go_on)
    desk = window.again.second_look_page.desk
    qtbot.waitUntil(desk.hasFocus)
    tap(desk, "F10", "9", "6", "F12")
    assert "blind" in window.words.words
    assert desk.suggesting.open_ones == ()
    assert not desk.suggesting.line.isVisible()
