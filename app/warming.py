"""Loads beside the window what the first numbers will need, so that neither the start nor they wait for it.

SciPy loads its parts when they are first named; that takes a fifth of a second.
"""

from __future__ import annotations

import threading
from importlib import import_module

_PARTS = ("scipy.special", "scipy.optimize")


def warm() -> threading.Thread:
    """Begins to load, in a thread that holds nothing up."""
    thread = threading.Thread(target=_load, name="warming", daemon=True)
    thread.start()
    return thread


def _load() -> None:
    for part in _PARTS:
        import_module(part)
