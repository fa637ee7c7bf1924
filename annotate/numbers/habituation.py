"""Whether a horse gets used to a stimulus: its exposures over all sessions, in order.

A falling row within a day may be back at its beginning the next morning. The first exposure of each day is
therefore kept as a row of its own: it shows what held overnight.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property

from annotate.numbers.exposures import Exposure, Exposures, Side
from annotate.numbers.session_numbers import SessionNumbers
from annotate.numbers.trend import Trend


@dataclass(frozen=True, slots=True)
class Showing:
    """One exposure in a horse's history: `order` counts over all sessions, `order_of_day` through the day."""

    day: date
    session_id: int
    exposure: Exposure
    order: int
    order_of_day: int


@dataclass(frozen=True)
class History:
    """One stimulus, on one side or on all, over the sessions of a horse."""

    stimulus: str
    each: tuple[Showing, ...]

    @property
    def exposures(self) -> Exposures:
        """All of them as one row."""
        return Exposures(tuple(showing.exposure for showing in self.each))

    @property
    def first_of_each_day(self) -> Exposures:
        """The row of the first ones of a day."""
        return Exposures(tuple(showing.exposure for showing in self.each if showing.order_of_day == 1))

    @cached_property
    def severity_trend(self) -> Trend:
        """From exposure to exposure over all days."""
        return self.exposures.severity_trend

    @cached_property
    def first_of_day_trend(self) -> Trend:
        """From one day's first exposure to the next day's."""
        return self.first_of_each_day.severity_trend


def in_time(sessions: Iterable[SessionNumbers]) -> list[SessionNumbers]:
    """Sessions by day, number of the day, and id."""
    return sorted(sessions, key=lambda one: (one.day, one.number, one.session_id))


def history(sessions: Iterable[SessionNumbers], stimulus: str, side: Side | None = None) -> History:
    """The exposures of one horse's sessions to a stimulus; `side` keeps those on that side only."""
    showings: list[Showing] = []
    order_of_day = 0
    for numbers in in_time(sessions):
        shown = numbers.exposures.get(stimulus, Exposures(()))
        for exposure in shown.each if side is None else shown.on(side).each:
            same_day = bool(showings) and showings[-1].day == numbers.day
            order_of_day = order_of_day + 1 if same_day else 1
            order = len(showings) + 1
            showings.append(Showing(numbers.day, numbers.session_id, exposure, order, order_of_day))
    return History(stimulus, tuple(showings))


def stimuli(sessions: Sequence[SessionNumbers]) -> tuple[str, ...]:
    """What was shown in any of the sessions, in the order in which it first was."""
    return tuple(dict.fromkeys(name for numbers in in_time(sessions) for name in numbers.exposures))
