"""Long work on the command line is stopped as in the window: between two frames, so that nothing half is left."""

from __future__ import annotations

import signal
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from types import FrameType

from annotate.errors import Cancelled


@contextmanager
def stoppable() -> Iterator[Callable[[], bool]]:
    """Gives whether Ctrl-C was pressed, or the system asked to end, since the block began.

    Work that stopped for it leaves the block as `KeyboardInterrupt`, as a person expects of Ctrl-C.
    """
    asked = threading.Event()

    def note(_number: int, _frame: FrameType | None) -> None:
        asked.set()

    before = {number: signal.signal(number, note) for number in (signal.SIGINT, signal.SIGTERM)}
    try:
        yield asked.is_set
    except Cancelled:
        raise KeyboardInterrupt from None
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
