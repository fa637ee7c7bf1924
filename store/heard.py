"""What is heard of a barn that others change, too."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, slots=True)
class Heard:
    """One thing that was heard.

    changed: somebody else changed something in these tables, of these sessions (0: of none in particular);
    quiet: nothing was heard for a moment; lost: the server cannot be reached; back: it can again.
    """

    kind: Literal["changed", "quiet", "lost", "back"]
    tables: frozenset[str] = frozenset()
    sessions: frozenset[int] = frozenset()
