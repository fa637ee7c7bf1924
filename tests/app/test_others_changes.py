"""Somebody else tags in the same barn on a server: it is seen, nothing is lost, and the place stays."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from annotate.clock import NS_PER_S
from annotate.passages import Passage
from annotate.tagging import Change
from annotate.tags import Tag
from app.desk import Desk
from app.main_window import MainWindow
from app.others_changes import LOST
from store.barn import Barn
from tests.app.conftest import OpenSession
from tests.app.hands import in_seconds, review_of, tap, window_of
from tests.postgres import Server

S = NS_PER_S
_SOON_MS = 20_000


@pytest.fixture
def barn(server: Server) -> Iterator[Barn]:
    with Barn.create(server.new_database()) as made:
        yield made


@pytest.fixture
def desk(barn: Barn, server: Server, open_desk: OpenSession, qtbot: QtBot) -> Desk:
    """The desk on a session of ten minutes without clips; its window listens."""
    opened = open_desk(barn.add_session("Thistle", date(2026, 5, 4), length_ns=600 * S))
    asked = "SELECT 1 FROM pg_stat_activity WHERE query LIKE 'LISTEN%%' AND datname = %s"
    qtbot.waitUntil(lambda: bool(server.run(asked, given=(barn.path.stem,))), timeout=_SOON_MS)
    return opened


@pytest.fixture
def other(barn: Barn, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Barn]:
    """The same barn, as somebody else on another machine has it open."""
    with monkeypatch.context() as elsewhere:
        elsewhere.setenv("XDG_DATA_HOME", str(tmp_path / "other machine"))
        opened = Barn.open(barn.place)
    yield opened
    opened.close()


@pytest.fixture
def down(server: Server) -> Iterator[Server]:
    """The server, which a test may stop; it runs again afterwards."""
    yield server
    if not server.answers():
        server.start()


def put(barn: Barn, *tags: Tag) -> None:
    barn.apply(1, Change((), tags))


def wait_for(qtbot: QtBot, true: Callable[[], bool]) -> None:
    qtbot.waitUntil(true, timeout=_SOON_MS)


def tags_on(desk: Desk) -> list[tuple[str, float, float | None]]:
    return in_seconds(review_of(desk).tags)


def test_a_tag_of_somebody_else_is_seen_within_two_seconds(desk: Desk, other: Barn, qtbot: QtBot) -> None:
    began = time.monotonic()
    put(other, Tag("spook", 3 * S))
    wait_for(qtbot, lambda: bool(review_of(desk).tags))
    assert time.monotonic() - began < 2
    assert tags_on(desk) == [("spook", 3, None)]
    assert "1 reaction" in desk.work_line.accessibleDescription()


def test_the_place_the_tag_in_hand_and_the_steps_stay(desk: Desk, other: Barn, qtbot: QtBot) -> None:
    tap(desk, "W", "Shift+Right", "K")
    place, in_hand = desk.showing.shown.moment.ns, review_of(desk).selected
    assert in_hand is not None
    put(other, Tag("calm", 300 * S))
    wait_for(qtbot, lambda: ("calm", 300, None) in tags_on(desk))
    assert desk.showing.shown.moment.ns == place
    assert review_of(desk).selected == in_hand
    assert len(review_of(desk).undo_list.done) == 2
    tap(desk, "Ctrl+Z")
    assert {what for what, _, _ in tags_on(desk)} == {"walk", "calm"}


def test_a_key_counts_on_top_of_what_somebody_else_pressed_at_the_same_moment(
    desk: Desk, barn: Barn, other: Barn, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    tap(desk, "W", "PgDown")
    at = desk.showing.shown.moment.ns
    [walk] = barn.tags(1)
    trot = Tag("trot", at - S, at, running=True)
    # Their key arrives between two turns of this window's loop: nothing has been heard of it yet.
    other.apply(1, Change((walk,), (replace(walk, end_ns=at - S, running=False), trot)))
    tap(desk, "L")
    kept = [(tag.what, tag.start_ns, tag.running) for tag in other.tags(1)]
    assert kept == [("walk", 0, False), ("trot", at - S, False), ("lope", at, True)]


def test_who_comes_second_to_the_same_fact_is_told_and_can_do_it_again(
    desk: Desk, barn: Barn, other: Barn, qtbot: QtBot
) -> None:
    tap(desk, "K")
    [spook] = barn.tags(1)
    other.apply(1, Change((spook,), (replace(spook, severity=4),)))
    tap(desk, "2")
    assert "was changed by somebody else just now" in window_of(desk).words.words
    assert [tag.severity for tag in other.tags(1)] == [4]
    assert [tag.severity for tag in review_of(desk).tags] == [4]
    tap(desk, "Ctrl+Shift+Z")
    assert [tag.severity for tag in other.tags(1)] == [2]


def test_going_back_on_what_somebody_else_altered_is_asked_for_twice(
    desk: Desk, barn: Barn, other: Barn, qtbot: QtBot
) -> None:
    tap(desk, "K")
    [spook] = barn.tags(1)
    other.apply(1, Change((spook,), (replace(spook, note="at the flag"),)))
    wait_for(qtbot, lambda: review_of(desk).tags[0].note == "at the flag")
    tap(desk, "Ctrl+Z")
    assert "was changed by somebody else since then" in window_of(desk).words.words
    assert len(other.tags(1)) == 1
    tap(desk, "Ctrl+Z")
    assert other.tags(1) == ()


def test_undoing_leaves_the_facts_that_somebody_else_wrote(
    desk: Desk, barn: Barn, other: Barn, qtbot: QtBot
) -> None:
    tap(desk, "K", "3")
    [spook] = barn.tags(1)
    other.apply(1, Change((spook,), (replace(spook, note="at the flag"),)))
    wait_for(qtbot, lambda: review_of(desk).tags[0].note == "at the flag")
    tap(desk, "Ctrl+Z")
    assert [(tag.severity, tag.note) for tag in other.tags(1)] == [(None, "at the flag")]
    tap(desk, "Ctrl+Shift+Z")
    assert [(tag.severity, tag.note) for tag in other.tags(1)] == [(3, "at the flag")]


def test_a_passage_of_somebody_else_stays_when_one_is_marked(
    desk: Desk, other: Barn, qtbot: QtBot
) -> None:
    other.keep_passages(1, [Passage(20 * S, 30 * S, "theirs")])
    tap(desk, "F2", "PgDown", "F3")
    assert {one.caption for one in other.passages(1)} == {"theirs", "From 0:00.0"}
    tap(desk, "Ctrl+Z")
    assert [one.caption for one in other.passages(1)] == ["theirs"]


def test_the_barns_page_shows_what_somebody_else_adds(
    barn: Barn, other: Barn, server: Server, windows: Callable[[], MainWindow], qtbot: QtBot
) -> None:
    barn.add_session("Thistle", date(2026, 5, 4), length_ns=600 * S)
    page = windows().barn_page
    other.add_session("Thistle", date(2026, 5, 5), length_ns=600 * S)
    wait_for(qtbot, lambda: len(page.cards()) == 2)
    put(other, Tag("spook", 3 * S))
    wait_for(qtbot, lambda: page.cards()[0].row.tags == 1)


def test_a_sheet_that_somebody_else_changed_holds_at_once(desk: Desk, other: Barn, qtbot: QtBot) -> None:
    other.keep_sheet(other.sheet_text().replace('key = "W"', 'key = "F9"'))
    wait_for(qtbot, lambda: "F9" in review_of(desk).sheet.by_key)


def test_a_session_that_somebody_else_made_longer_is_opened_anew_at_its_place(
    desk: Desk, other: Barn, qtbot: QtBot
) -> None:
    tap(desk, "PgDown")
    place = desk.showing.shown.moment.ns
    other.change_session(1, length_ns=900 * S)
    wait_for(qtbot, lambda: review_of(desk).session.end_ns == 900 * S)
    assert desk.showing.shown.moment.ns == place


def test_what_is_tagged_while_the_server_is_away_is_shown_said_and_written_later(
    desk: Desk, barn: Barn, other: Barn, down: Server, qtbot: QtBot
) -> None:
    tap(desk, "W")
    down.stop()
    wait_for(qtbot, lambda: window_of(desk).words.words == LOST)
    tap(desk, "PgDown", "K", "3")
    assert {what for what, _, _ in tags_on(desk)} == {"walk", "spook"}
    waiting = barn.waiting
    assert waiting >= 2
    down.start()
    wait_for(qtbot, lambda: "are written" in window_of(desk).words.words)
    assert window_of(desk).words.words == f"The server is back. {waiting} changes that waited are written."
    assert [(tag.what, tag.severity) for tag in other.tags(1)] == [("walk", None), ("spook", 3)]
    assert in_seconds(other.tags(1)) == tags_on(desk)
