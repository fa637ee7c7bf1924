"""The line at the foot of the window."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator

import pytest
from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QProgressBar
from pytestqt.qtbot import QtBot

from annotate.errors import Cancelled, Trouble
from app import words_line
from app.jobs import Job, Jobs
from app.words_line import WordsLine
from tests.app.hands import button, click, texts


@pytest.fixture
def jobs(qtbot: QtBot) -> Iterator[Jobs]:
    made = Jobs()
    yield made
    made.close()


@pytest.fixture
def line(jobs: Jobs, qtbot: QtBot) -> WordsLine:
    widget = WordsLine(jobs)
    qtbot.addWidget(widget)
    widget.resize(1000, 40)
    with qtbot.waitExposed(widget):
        widget.show()
    return widget


Begin = Callable[[str], threading.Event]


@pytest.fixture
def begin(jobs: Jobs) -> Begin:
    """Starts work that goes on until its event is set or it is cancelled."""

    def start(title: str) -> threading.Event:
        done = threading.Event()

        def work(job: Job) -> None:
            job.report(1, 4)
            while not job.is_cancelled() and not done.wait(0.001):
                pass

        jobs.start(title, work, _ignore, _ignore)
        return done

    return start


def _ignore(_: object) -> None:
    pass


def test_what_was_said_last_is_shown(line: WordsLine) -> None:
    line.say("One.")
    line.say("Two.")
    assert line.words == "Two."


def test_ordinary_words_fade(line: WordsLine, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(words_line, "_STAYS_MS", 1)
    line.say("Written.")
    qtbot.waitUntil(lambda: line.words == "")


def test_trouble_stays_even_if_ordinary_words_were_about_to_fade(
    line: WordsLine, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(words_line, "_STAYS_MS", 1)
    line.say("Written.")
    line.say("The disk is full.", is_trouble=True)
    tick = QTimer()
    tick.setSingleShot(True)
    with qtbot.waitSignal(tick.timeout):
        tick.start(5)
    assert line.words == "The disk is full."


def test_words_are_never_taken_for_markup(line: WordsLine) -> None:
    line.say("<b>Thistle</b> & co")
    assert texts(line)[0] == "<b>Thistle</b> & co"


def test_work_shows_its_name_and_how_far_it_is(line: WordsLine, begin: Begin, qtbot: QtBot) -> None:
    done = begin("Looking at the clips")
    assert "Looking at the clips" in texts(line)
    [bar] = line.findChildren(QProgressBar)
    qtbot.waitUntil(lambda: (bar.value(), bar.maximum()) == (1, 4))
    done.set()
    qtbot.waitUntil(lambda: "Looking at the clips" not in texts(line))


def test_cancel_stops_the_work_that_is_shown(line: WordsLine, begin: Begin, jobs: Jobs, qtbot: QtBot) -> None:
    begin("Looking at the clips")
    click(button(line, "Cancel"))
    qtbot.waitUntil(lambda: jobs.running == ())
    assert "Looking at the clips" not in texts(line)


def test_when_the_latest_work_has_ended_what_still_runs_is_shown_and_can_be_cancelled(
    line: WordsLine, begin: Begin, jobs: Jobs, qtbot: QtBot
) -> None:
    begin("Looking at the clips")
    quick = begin("Reading the sessions")
    assert "Reading the sessions" in texts(line)
    quick.set()
    qtbot.waitUntil(lambda: "Looking at the clips" in texts(line))
    click(button(line, "Cancel"))
    qtbot.waitUntil(lambda: jobs.running == ())


def test_work_that_was_stopped_says_what_it_changed(line: WordsLine, jobs: Jobs, qtbot: QtBot) -> None:
    tick = threading.Event()

    def work(job: Job) -> None:
        while not job.is_cancelled():
            tick.wait(0.001)
        raise Cancelled

    jobs.start("Copying", work, _ignore, _ignore, "Stopped. Two copies stay.")
    click(button(line, "Cancel"))
    assert line.words == "Stopping…"
    qtbot.waitUntil(lambda: line.words == "Stopped. Two copies stay.")


def test_work_that_fails_while_it_is_stopped_does_not_say_that_it_was(
    line: WordsLine, jobs: Jobs, qtbot: QtBot
) -> None:
    tick = threading.Event()

    def work(job: Job) -> None:
        while not job.is_cancelled():
            tick.wait(0.001)
        raise Trouble("The disk is full.")

    jobs.start("Copying", work, _ignore, lambda words: line.say(words, is_trouble=True))
    click(button(line, "Cancel"))
    qtbot.waitUntil(lambda: jobs.running == ())
    assert line.words == "The disk is full."


def test_trouble_that_was_read_is_not_said_on_the_next_page(line: WordsLine, monkeypatch: pytest.MonkeyPatch) -> None:
    line.say("Watch the passage to its end first.", is_trouble=True)
    line.turn_page()
    assert line.words
    monkeypatch.setattr(words_line, "_READ_MS", 0)
    line.turn_page()
    assert not line.words


def test_trouble_of_the_whole_barn_is_said_on_every_page(line: WordsLine, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(words_line, "_READ_MS", 0)
    line.say("No backup could be kept: the disk is full", is_trouble=True, stays=True)
    line.turn_page()
    assert line.words
