"""The troubles of a server that pass by themselves."""

from __future__ import annotations

from annotate.errors import BarnTrouble


class LostServer(BarnTrouble):
    """The server cannot be reached, or went away in the middle; what was being done may be there or not."""


class BusyServer(BarnTrouble):
    """Somebody else writes for longer than one would wait; nothing was changed."""
