"""A machine that proposes what a test says, for clips that a test says were watched. No clip is decoded."""

from __future__ import annotations

import threading
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any

import pytest

from annotate.clock import NS_PER_S
from annotate.errors import Cancelled
from annotate.motion.asking import Click
from annotate.motion.gaits import Bands
from annotate.motion.proposals import Asked, Proposal
from annotate.motion.seen import Seen
from annotate.sessions import PlacedClip
from app import watched
from tests.annotate.motion.made_motion import seen

Said = tuple[str, float, float | None, float]


@dataclass
class Machine:
    """`says`: what it proposes in every clip, in seconds of the clip; `may_end` lets what is watched end."""

    says: list[Said] = field(default_factory=list)
    lost: tuple[float, float] | None = None
    asked: list[Asked] = field(default_factory=list)
    bands: list[Bands] = field(default_factory=list)
    clicks: list[list[Click]] = field(default_factory=list)
    may_end: threading.Event = field(default_factory=threading.Event)

    def watch(
        self,
        facts: Any,
        capture_speed: Any,
        *,
        clicks: Sequence[Click],
        on_progress: Callable[[int, int], None] | None,
        cancelled: Callable[[], bool] | None,
    ) -> Seen:
        """In place of the worker process."""
        self.clicks.append(list(clicks))
        while not self.may_end.wait(0.01):
            if on_progress is not None:
                on_progress(1, len(facts.table))
            if cancelled is not None and cancelled():
                raise Cancelled
        return seen(12, lost=self.lost)

    def propose(self, clip: PlacedClip, what: Seen, asked: Asked, bands: Bands) -> list[Proposal]:
        """In place of what is read from what was seen."""
        self.asked.append(asked)
        self.bands.append(bands)
        return [
            Proposal(clip.starts_ns + _ns(start), None if end is None else clip.starts_ns + _ns(end), what, sure)
            for what, start, end, sure in self.says
        ]


@pytest.fixture
def machine(monkeypatch: pytest.MonkeyPatch) -> Machine:
    """It ends at once what it watches, unless a test makes it wait."""
    made = Machine()
    made.may_end.set()
    monkeypatch.setattr(watched, "have_watched", made.watch)
    monkeypatch.setattr(watched, "proposals_of", made.propose)
    return made


def _ns(seconds: float) -> int:
    return round(seconds * NS_PER_S)
