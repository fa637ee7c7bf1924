"""Long work beside the window."""

from __future__ import annotations

import threading
from collections.abc import Iterator

import pytest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from annotate.errors import Cancelled, Trouble
from app.jobs import Job, Jobs


@pytest.fixture
def jobs(qtbot: QtBot) -> Iterator[Jobs]:
    made = Jobs()
    yield made
    made.close()


def ignore(_: object) -> None:
    """For answers that do not matter."""


def test_work_runs_beside_the_window_and_its_result_arrives_in_the_windows_thread(
    jobs: Jobs, qtbot: QtBot
) -> None:
    threads: list[int] = []
    results: list[tuple[int, int]] = []

    def work(_: Job) -> int:
        threads.append(threading.get_ident())
        return 42

    def done(result: int) -> None:
        results.append((result, threading.get_ident()))

    jobs.start("Counting", work, done, ignore)
    qtbot.waitUntil(lambda: bool(results))
    assert results == [(42, threading.get_ident())]
    assert threads[0] != threading.get_ident()


def test_a_job_ends_although_its_answer_could_not_be_taken(jobs: Jobs, qtbot: QtBot) -> None:
    def refuse(_: object) -> None:
        raise Trouble("The barn is busy.")

    with qtbot.captureExceptions() as raised:
        jobs.start("Counting", lambda job: 42, refuse, ignore)
        qtbot.waitUntil(lambda: not jobs.running)
    assert [str(one[1]) for one in raised] == ["The barn is busy."]


def test_progress_arrives_in_order(jobs: Jobs, qtbot: QtBot) -> None:
    told: list[int] = []
    ended: list[object] = []

    def work(job: Job) -> None:
        gate.wait()
        for done in range(5):
            job.report(done, 5)

    gate = threading.Event()
    job = jobs.start("Counting", work, ended.append, ignore)
    job.progressed.connect(lambda done, _: told.append(done))
    gate.set()
    qtbot.waitUntil(lambda: bool(ended))
    assert told == [0, 1, 2, 3, 4]


def test_trouble_arrives_as_its_sentence(jobs: Jobs, qtbot: QtBot) -> None:
    said: list[str] = []

    def work(_: Job) -> None:
        raise Trouble("The card is full.")

    jobs.start("Copying", work, ignore, said.append)
    qtbot.waitUntil(lambda: bool(said))
    assert said == ["The card is full."]


def test_an_unforeseen_failure_is_said_without_a_traceback(
    jobs: Jobs, qtbot: QtBot, caplog: pytest.LogCaptureFixture
) -> None:
    said: list[str] = []

    def work(_: Job) -> None:
        raise ZeroDivisionError

    jobs.start("Copying", work, ignore, said.append)
    qtbot.waitUntil(lambda: bool(said))
    assert said[0].startswith("Copying failed")
    assert "ZeroDivisionError" in caplog.text


def test_cancelled_work_gives_no_answer(jobs: Jobs, qtbot: QtBot) -> None:
    answers: list[object] = []

    def work(job: Job) -> None:
        while not job.is_cancelled():
            pause.wait(0.001)
        raise Cancelled

    pause = threading.Event()
    job = jobs.start("Copying", work, answers.append, answers.append)
    with qtbot.waitSignal(job.ended):
        job.cancel()
    assert answers == []
    assert jobs.running == ()


def test_closing_asks_every_job_to_stop_and_waits(qtbot: QtBot) -> None:
    jobs = Jobs()
    begun, stopped = threading.Event(), threading.Event()

    def work(job: Job) -> None:
        begun.set()
        while not job.is_cancelled():
            pause.wait(0.001)
        stopped.set()

    pause = threading.Event()
    jobs.start("Copying", work, ignore, ignore)
    qtbot.waitUntil(begun.is_set)
    jobs.close()
    assert stopped.is_set()


def test_a_job_is_begun_in_the_next_turn_and_not_at_all_once_the_jobs_are_closed(qtbot: QtBot) -> None:
    jobs, begun = Jobs(), threading.Event()
    jobs.start("Copying", lambda job: begun.set(), ignore, ignore)
    assert not begun.wait(0.01)
    jobs.close()
    QApplication.processEvents()
    assert not begun.is_set()


def test_work_that_is_all_done_gives_its_answer_though_it_was_asked_to_stop(jobs: Jobs, qtbot: QtBot) -> None:
    answers: list[object] = []

    def work(job: Job) -> str:
        job.cancel()
        job.all_is_done()
        job.cancel()
        return "kept"

    job = jobs.start("Copying", work, answers.append, answers.append)
    qtbot.waitUntil(lambda: answers == ["kept"])
    assert not job.was_stopped
