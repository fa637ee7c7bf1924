"""Whether a horse gets used to a stimulus: its exposures over all sessions, in order.

A falling row within a day may be back at its beginning the next morning. The first exposure of each day is
therefore kept as a row of its own: it shows what held overnight. A changed side, grade, place or colour
begins a series of its own.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
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

    @cached_property
    def exposures(self) -> Exposures:
        """All of them as one row."""
        return Exposures(tuple(showing.exposure for showing in self.each))

    @cached_property
    def first_of_each_day(self) -> Exposures:
        """The row of the first ones of a day."""
        return Exposures(tuple(showing.exposure for showing in self.each if showing.order_of_day == 1))

    @cached_property
    def series(self) -> tuple[History, ...]:
        """Exposures alike in side, grade, place and colour, each series with its own first of each day."""
        rows: dict[tuple[str, int | None, str, str], list[Showing]] = {}
        for showing in self.each:
            rows.setdefault(showing.exposure.alike, []).append(showing)
        return tuple(History(self.stimulus, _counted(row)) for row in rows.values())

    @cached_property
    def recovery_trend(self) -> Trend:
        """Of the time to calm, from exposure to exposure over all days."""
        return self.exposures.recovery_trend

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
    for numbers in in_time(sessions):
        shown = numbers.exposures.get(stimulus, Exposures(()))
        for exposure in shown.each if side is None else shown.on(side).each:
            showings.append(Showing(numbers.day, numbers.session_id, exposure, 0, 0))
    return History(stimulus, _counted(showings))


def _counted(showings: Iterable[Showing]) -> tuple[Showing, ...]:
    """The same in their order, counted from 1 over all and through each day."""
    counted: list[Showing] = []
    for showing in showings:
        same_day = bool(counted) and counted[-1].day == showing.day
        order_of_day = counted[-1].order_of_day + 1 if same_day else 1
        counted.append(replace(showing, order=len(counted) + 1, order_of_day=order_of_day))
    return tuple(counted)


def stimuli(sessions: Sequence[SessionNumbers]) -> tuple[str, ...]:
    """What was shown in any of the sessions, in the order in which it first was."""
    return tuple(dict.fromkeys(name for numbers in in_time(sessions) for name in numbers.exposures))
