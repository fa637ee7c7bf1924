"""No verb: the window."""

from __future__ import annotations

import argparse
import gc
import os
import sys

from annotate.errors import Trouble
from store.address import Place


def has_screen() -> bool:
    """Whether a window can be shown here."""
    if not sys.platform.startswith("linux"):
        return True
    return bool(
        os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY") or os.environ.get("QT_QPA_PLATFORM")
    )


def open_window(asked: argparse.Namespace) -> None:
    """Opens the window on the barn; ends when it is closed."""
    if not has_screen():
        raise Trouble(
            "There is no screen here to open the window on. Every verb works without one: see --help."
        )
    show(asked.barn)


def show(barn: Place, playing: int | None = None) -> None:
    """Opens the window on a barn, and plays the session numbered `playing` at once."""
    # Qt's media parts tell the terminal about every missing decoder, already when they are loaded. What
    # matters arrives as a signal.
    os.environ.setdefault("QT_LOGGING_RULES", "qt.multimedia.*=false")
    # Looking for garbage among all that is being loaded costs a twentieth of the start. `app.collecting` begins it.
    gc.disable()
    from app.plain_import import import_plainly

    import_plainly()
    from app.start import run

    run(barn, playing)
