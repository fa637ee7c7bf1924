"""Fetches things a little ahead of their use, in a thread: while one picture is looked at, the next is decoded."""

from __future__ import annotations

import queue
import threading
from collections.abc import Generator
from typing import Final, TypeVar

Item = TypeVar("Item")

_LOOK_UP_S: Final = 0.1


class _End:
    """Nothing follows; or a failure does."""

    def __init__(self, failure: BaseException | None = None) -> None:
        self.failure = failure


def ahead(items: Generator[Item, None, None], most: int) -> Generator[Item, None, None]:
    """Gives what `items` gives, in order, fetched up to `most` items ahead; its failure is raised here.

    `items` is begun, run and closed in the thread. Whoever does not read on to the end closes what this returns.
    """
    waiting: queue.Queue[Item | _End] = queue.Queue(most)
    unwanted = threading.Event()

    def put(one: Item | _End) -> None:
        while not unwanted.is_set():
            try:
                waiting.put(one, timeout=_LOOK_UP_S)
                return
            except queue.Full:
                continue

    def fetch() -> None:
        failure = None
        try:
            for item in items:
                put(item)
                if unwanted.is_set():
                    break
        except BaseException as raised:
            failure = raised
        finally:
            items.close()
            put(_End(failure))

    thread = threading.Thread(target=fetch, daemon=True)
    thread.start()
    try:
        while True:
            one = waiting.get()
            if isinstance(one, _End):
                if one.failure is not None:
                    raise one.failure
                return
            yield one
    finally:
        unwanted.set()
        thread.join()
