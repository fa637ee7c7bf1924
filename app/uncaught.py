"""What nobody caught: a trouble is said in the window's line of words, anything else goes to the log.

Qt calls the window's methods from its own loop, so that what they raise ends up in `sys.excepthook`.
"""

from __future__ import annotations

import logging
import sys
from collections.abc import Callable
from types import TracebackType

from PySide6.QtCore import QCoreApplication

from annotate.errors import Trouble

log = logging.getLogger(__name__)


def say_uncaught(say: Callable[[str, bool], None]) -> None:
    """From now on `say(words, is_trouble)` tells what was raised and not caught."""

    def tell(kind: type[BaseException], error: BaseException, trace: TracebackType | None) -> None:
        if isinstance(error, Trouble):
            say(str(error), True)
        elif issubclass(kind, Exception):
            log.error("nobody caught this", exc_info=(kind, error, trace))
            words = QCoreApplication.translate(
                "uncaught", "That failed for a reason that was not foreseen. The log has the details."
            )
            say(words, True)
        else:
            sys.__excepthook__(kind, error, trace)

    sys.excepthook = tell
