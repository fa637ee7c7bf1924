"""The window as a whole: what is kept, what is said when the barn cannot be written, and how it closes."""

from __future__ import annotations

import os
import sqlite3
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import closing
from datetime import date
from pathlib import Path

import pytest
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot
from sqlalchemy import Connection, Engine, event

from annotate.clock import NS_PER_S
from app.desk import Desk
from app.desk_state import kept_state
from app.jobs import Job
from app.main_window import MainWindow
from app.places import log_file
from app.ready import ROOT
from store.barn import Barn
from tests.app.conftest import OpenSession
from tests.app.hands import button, click, in_seconds, placed_session, review_of, tap, texts, window_of
from tests.made_clips import ClipBox

S = NS_PER_S


@pytest.fixture
def barn(tmp_path: Path) -> Iterator[Barn]:
    """A barn that does not wait long for another program."""
    path = tmp_path / "test.barn"
    Barn.create(path).close()
    with Barn.open(path, patience_ms=20) as opened:
        yield opened


@pytest.fixture
def another_program(barn: Barn) -> Iterator[sqlite3.Connection]:
    """It has the barn open and can begin to write."""
    with closing(sqlite3.connect(barn.path, isolation_level=None)) as connection:
        yield connection


def said(desk: Desk) -> str:
    return window_of(desk).words.words


# -- what is kept


def test_a_session_opens_where_it_was_left(desk: Desk) -> None:
    window, session_id = window_of(desk), review_of(desk).session.id
    tap(desk, "PgDown", "PgDown", "Shift+Right", "Ctrl+B")
    assert window.page is window.barn_page
    window.open_session(session_id)
    assert desk.showing.shown.moment.ns == 21 * S


def test_the_barn_shows_the_horse_that_was_on_the_desk(desk: Desk, barn: Barn) -> None:
    window, horse = window_of(desk), review_of(desk).session.horse
    barn.add_session("Aster", date(2026, 5, 1), length_ns=60 * S)
    window.barn_page.refresh("Aster")
    tap(desk, "Ctrl+B")
    assert window.barn_page.chosen_horse() == horse


def test_the_place_is_kept_when_the_window_closes(desk: Desk, barn: Barn) -> None:
    session_id, path = review_of(desk).session.id, barn.path
    tap(desk, "PgDown")
    window_of(desk).close()
    with Barn.open(path) as again:
        assert kept_state(again, session_id).place_ns == 10 * S


def test_a_state_that_runs_is_kept_as_far_as_it_was_watched(desk: Desk, barn: Barn) -> None:
    path = barn.path
    tap(desk, "W", "Shift+Right", "Shift+Right", "Shift+Right")
    window_of(desk).close()
    with Barn.open(path) as again:
        [walk] = again.tags(1)
    assert (walk.end_ns, walk.running) == (3 * S, True)


def test_a_state_that_runs_goes_on_after_reopening(desk: Desk, barn: Barn) -> None:
    session_id = review_of(desk).session.id
    tap(desk, "W", "PgDown", "Ctrl+B")
    window_of(desk).open_session(session_id)
    tap(desk, "PgDown", "T")
    assert in_seconds(barn.tags(session_id)) == [("walk", 0, 20), ("trot", 20, None)]


def test_a_note_being_written_is_kept_when_the_window_closes(desk: Desk, barn: Barn) -> None:
    path = barn.path
    tap(desk, "K", "Return")
    QTest.keyClicks(desk.card.note, "at the gate")
    window_of(desk).close()
    with Barn.open(path) as again:
        assert [tag.note for tag in again.tags(1)] == ["at the gate"]


def test_the_barn_page_counts_the_new_tags(desk: Desk) -> None:
    tap(desk, "K", "Right", "K", "Ctrl+B")
    assert any(text.endswith(", 2 tags") for text in texts(window_of(desk)))


# -- when the barn cannot be written


def test_a_tag_that_a_locked_barn_refuses_is_not_shown(
    desk: Desk, barn: Barn, another_program: sqlite3.Connection
) -> None:
    tap(desk, "W", "PgDown")
    another_program.execute("BEGIN IMMEDIATE")
    tap(desk, "T")
    assert said(desk) == (
        "test.barn is being written by another program; nothing was changed. Try again shortly."
    )
    assert [tag.what for tag in review_of(desk).tags] == ["walk"]
    another_program.execute("ROLLBACK")
    tap(desk, "T")
    assert in_seconds(barn.tags(1)) == [("walk", 0, 10), ("trot", 10, None)]


@pytest.mark.parametrize("key", ["K", "3", "Shift+Q", "Delete", "F3", "Ctrl+Z"])
def test_whatever_a_locked_barn_refuses_leaves_the_screen_as_the_barn_is(
    key: str, desk: Desk, barn: Barn, another_program: sqlite3.Connection
) -> None:
    tap(desk, "K", "F2", "Right")
    another_program.execute("BEGIN IMMEDIATE")
    tap(desk, key)
    assert "another program" in said(desk)
    another_program.execute("ROLLBACK")
    assert review_of(desk).tags == barn.tags(1)
    assert review_of(desk).passages == barn.passages(1)


def test_a_severity_that_a_locked_barn_refuses_is_not_shown_on_the_card(
    desk: Desk, another_program: sqlite3.Connection
) -> None:
    tap(desk, "K", "2")
    another_program.execute("BEGIN IMMEDIATE")
    click(button(desk.card, "severity 4"))
    assert [button(desk.card, f"severity {n}").isChecked() for n in (2, 4)] == [True, False]


def test_a_caption_that_a_locked_barn_refuses_is_not_shown_in_the_list(
    desk: Desk, another_program: sqlite3.Connection
) -> None:
    tap(desk, "F2", "PgDown", "F3")
    another_program.execute("BEGIN IMMEDIATE")
    desk.highlights.list.item(0).setText("Walks off")
    assert "another program" in said(desk)
    assert desk.highlights.list.item(0).text() == "From 0:00.0"


def test_an_undo_that_failed_can_be_tried_again(
    desk: Desk, barn: Barn, another_program: sqlite3.Connection
) -> None:
    tap(desk, "K")
    another_program.execute("BEGIN IMMEDIATE")
    tap(desk, "Ctrl+Z")
    another_program.execute("ROLLBACK")
    tap(desk, "Ctrl+Z")
    assert barn.tags(1) == ()
    tap(desk, "Ctrl+Shift+Z")
    assert len(barn.tags(1)) == 1


@pytest.fixture
def read_only() -> Iterator[Callable[[], None]]:
    """From when it is called, SQLite may only read: as when a disk is taken over read-only after a fault."""

    def refuse(connection: Connection) -> None:
        connection.exec_driver_sql("PRAGMA query_only=ON")

    yield lambda: event.listen(Engine, "begin", refuse)
    event.remove(Engine, "begin", refuse)


def test_a_barn_that_turns_read_only_while_tagging_is_said_in_a_sentence(
    desk: Desk, barn: Barn, read_only: Callable[[], None]
) -> None:
    tap(desk, "W", "PgDown")
    read_only()
    tap(desk, "T")
    assert said(desk) == "test.barn can only be read, not written. Allow writing to it and its folder."
    assert review_of(desk).tags == barn.tags(1)
    assert [tag.what for tag in review_of(desk).tags] == ["walk"]


def test_the_window_closes_although_the_barn_is_locked(
    desk: Desk, another_program: sqlite3.Connection
) -> None:
    tap(desk, "W", "PgDown")
    another_program.execute("BEGIN IMMEDIATE")
    assert window_of(desk).close()
    assert not desk.isVisible()


def test_a_sheet_that_cannot_be_read_is_said_when_a_session_opens(barn: Barn, qtbot: QtBot) -> None:
    session_id = barn.add_session("Thistle", date(2026, 5, 4), length_ns=S)
    barn.sheet_path.write_text("walk = ")
    barn.close()
    with Barn.open(barn.path) as again:
        window = MainWindow(again)
        qtbot.addWidget(window)
        window.open_session(session_id)
        assert window.words.words == again.sheet_trouble
        assert window.words.words
        window.close()


# -- pages


def test_f1_shows_all_keys_and_escape_goes_back_to_the_desk(desk: Desk) -> None:
    window = window_of(desk)
    tap(desk, "Space", "F1")
    assert window.page is window.help_page
    assert not desk.showing.is_playing
    tap(window.help_page, "Escape")
    assert window.page is desk
    tap(desk, "W")
    assert [tag.what for tag in review_of(desk).tags] == ["walk"]


# -- closing


def test_closing_while_it_plays_and_while_jobs_run_leaves_no_thread_behind(
    barn: Barn, open_desk: OpenSession, clips: ClipBox, qtbot: QtBot
) -> None:
    before = set(threading.enumerate())
    desk = open_desk(placed_session(barn, (clips.get("constant_25").path, 0)))
    tick, running = threading.Event(), threading.Event()

    def work(job: Job) -> None:
        running.set()
        while not job.is_cancelled():
            tick.wait(0.001)

    def ignore(_: object) -> None:
        pass

    window_of(desk).jobs.start("Looking", work, ignore, ignore)
    tap(desk, "Space")
    qtbot.waitUntil(lambda: desk.showing.shown.number > 3 and running.is_set())
    window_of(desk).close()
    assert set(threading.enumerate()) - before == set()


def test_closing_twice_does_no_harm(desk: Desk) -> None:
    window = window_of(desk)
    assert window.close()
    assert window.close()


# What Qt says on a machine without a sound card or a sound server.
_WITHOUT_SOUND = ("PulseAudioService:", "No audio device detected")

_PLAY_AND_CLOSE = """
import faulthandler
import sys
from pathlib import Path
from PySide6.QtCore import QTimer
from app import main_window, start

faulthandler.dump_traceback_later(40, exit=True)
usual_show = main_window.MainWindow.show

def show(window):
    usual_show(window)
    timer = QTimer(window)
    def look():
        showing = window.desk.showing
        if showing.shown.number > 5:
            timer.stop()
            window.close()
        elif not showing.is_playing:
            showing.play()
    timer.timeout.connect(look)
    timer.start(10)

main_window.MainWindow.show = show
raise SystemExit(start.run(Path(sys.argv[1]), 1))
"""


def _play_and_close(barn: Barn, clips: ClipBox) -> subprocess.CompletedProcess[str]:
    """The program opens the barn with its session playing, and is closed while it plays."""
    placed_session(barn, (clips.get("constant_25").path, 0))
    barn.close()
    command = [sys.executable, "-c", _PLAY_AND_CLOSE, str(barn.path)]
    environment = {**os.environ, "QT_LOGGING_RULES": "qt.multimedia.*=false"}
    return subprocess.run(command, cwd=ROOT, env=environment, capture_output=True, text=True, timeout=60)


def test_the_program_that_is_closed_while_it_plays_ends_without_a_word(barn: Barn, clips: ClipBox) -> None:
    done = _play_and_close(barn, clips)
    said = [line for line in done.stderr.splitlines() if not line.startswith(_WITHOUT_SOUND)]
    assert (done.returncode, done.stdout, said) == (0, "", [])


def test_the_program_that_plays_at_once_keeps_its_log_as_well(barn: Barn, clips: ClipBox) -> None:
    _play_and_close(barn, clips)
    assert log_file().exists()


def test_the_window_s_process_never_holds_opencv_nor_the_network() -> None:
    code = "import app.main_window, sys; assert not {'cv2', 'onnxruntime'} & set(sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
