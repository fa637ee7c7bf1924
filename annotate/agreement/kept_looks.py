"""The looks after the first at a session: who looked again and when, and at which passages.

Looks count from 2; the first is the trainer's own. One that was set aside is kept with its tags and counts in
no figure. A look without passages was made at the whole session.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from random import Random

from annotate.agreement.again import Again, SecondLook
from annotate.clock import Spans
from annotate.days import day_text


@dataclass(frozen=True, slots=True)
class KeptLook:
    """One look: its number, who, the day it was begun, and its passages. `who` and `day` may not be known."""

    number: int
    who: str = ""
    day: date | None = None
    drawn: SecondLook | None = None
    aside: bool = False

    @property
    def name(self) -> str:
        """'Kim, 11 May 2026', or 'look 2' where nobody said who."""
        day = day_text(self.day) if self.day is not None else ""
        return ", ".join(filter(None, (self.who, day))) or f"look {self.number}"

    @property
    def tells(self) -> bool:
        """Whether something of it can be compared: a passage is done, or it was made at the whole session."""
        return not self.aside and (self.drawn is None or bool(self.drawn.done))

    def done_in(self, observed: Spans) -> Spans:
        """What was looked at again by now, of what was observed."""
        return observed if self.drawn is None else observed & Spans(self.drawn.done)


def shuffled_again(drawn: SecondLook, seed: int) -> SecondLook:
    """The same passages, none of them done, in another order: for another person, or the same one later."""
    spans = sorted((again.span for again in drawn.passages), key=lambda span: span.start_ns)
    Random(seed).shuffle(spans)
    return SecondLook(seed, tuple(map(Again, spans)))
