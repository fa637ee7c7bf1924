"""Python's own `import`, where PySide has put one of its own in its place.

PySide's reads the source of each module that is loaded after it, to see whether it asks for `__feature__`, which is
another spelling of Qt's names. Nothing here does. It would take a twentieth of the start, and hold the window up for
as long again while the other pages are loaded beside it.
"""

from __future__ import annotations

import builtins

import shiboken6  # noqa: F401  # puts its `import` in place


def import_plainly() -> None:
    """Modules are loaded without their source from now on; where PySide did not leave word how, nothing changes."""
    plain = getattr(builtins, "__orig_import__", None)
    if plain is not None:
        builtins.__import__ = plain
