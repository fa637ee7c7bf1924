"""What others change is heard, and when."""

from __future__ import annotations

import queue
import threading
import time
from collections.abc import Iterator

import pytest

from store.barn import Barn
from store.heard import Heard
from tests.postgres import Server
from tests.store.made_barns import event, put

_PATIENCE_S = 20.0


class Ear:
    """Listens to a barn in a thread; `next` waits for what is heard."""

    def __init__(self, barn: Barn) -> None:
        self._stop = threading.Event()
        self._heard: queue.Queue[Heard] = queue.Queue()
        self._thread = threading.Thread(target=self._listen, args=(barn,))
        self._thread.start()

    def _listen(self, barn: Barn) -> None:
        for heard in barn.hear(self._stop):
            if heard.kind != "quiet":
                self._heard.put(heard)

    def next(self) -> Heard:
        return self._heard.get(timeout=_PATIENCE_S)

    def end(self) -> None:
        self._stop.set()
        self._thread.join()


@pytest.fixture
def ear(barn: Barn, other: Barn, server: Server, session_id: int) -> Iterator[Ear]:
    """What `barn` hears; it listens already."""
    listens = Ear(barn)
    waits_until = time.monotonic() + _PATIENCE_S
    asked = "SELECT 1 FROM pg_stat_activity WHERE query LIKE 'LISTEN%%' AND datname = %s"
    while not server.run(asked, given=(barn.path.stem,)):
        assert time.monotonic() < waits_until
    yield listens
    listens.end()


def test_a_tag_of_somebody_else_is_heard_within_two_seconds(ear: Ear, other: Barn, session_id: int) -> None:
    began = time.monotonic()
    put(other, session_id, event("spook", 3))
    heard = ear.next()
    assert time.monotonic() - began < 2
    assert heard == Heard("changed", frozenset({"tag"}), frozenset({session_id}))


def test_what_one_wrote_oneself_is_not_heard(ear: Ear, barn: Barn, other: Barn, session_id: int) -> None:
    put(barn, session_id, event("spook", 3))
    other.keep_setting("a", "b")
    assert ear.next().tables == {"setting"}


def test_every_kind_of_change_is_heard(ear: Ear, other: Barn, session_id: int) -> None:
    other.change_session(session_id, title="Flag")
    assert ear.next() == Heard("changed", frozenset({"session"}), frozenset({session_id}))
    other.delete_session(session_id)
    assert "session" in ear.next().tables
    other.add_horse("Alder")
    assert ear.next() == Heard("changed", frozenset({"horse"}), frozenset({0}))


def test_nothing_is_heard_of_what_was_not_kept_after_all(ear: Ear, other: Barn, session_id: int) -> None:
    tag = event("spook", 3)
    put(other, session_id, tag)
    assert ear.next().tables == {"tag"}
    with pytest.raises(Exception, match="changed meanwhile"):
        put(other, session_id, event("calm", 4), tag)
    other.keep_setting("a", "b")
    assert ear.next().tables == {"setting"}


def test_a_lost_server_is_heard_once_and_so_is_its_return(
    ear: Ear, server: Server, barn: Barn, other: Barn, session_id: int
) -> None:
    server.stop()
    assert ear.next().kind == "lost"
    server.start()
    assert ear.next().kind == "back"
    put(other, session_id, event("spook", 3))
    assert ear.next().tables == {"tag"}
