"""Which rolling backups are kept, by age: many of today, few of last year, the first of all for ever.

Moments are aware, in UTC. A clock that was set back makes some backups lie in the future: those are kept.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import Final

EVERY: Final = timedelta(hours=1)
"""How often a backup is due while the barn is in use."""

HOURLY_FOR: Final = timedelta(days=1)
DAILY_FOR: Final = timedelta(days=14)
WEEKLY_FOR: Final = timedelta(weeks=10)


def is_due(last: Iterable[datetime], now: datetime) -> bool:
    """Whether no backup was made within the last hour; one from the future says nothing about that."""
    return not any(now - EVERY < moment <= now for moment in last)


def kept(moments: Iterable[datetime], now: datetime) -> set[datetime]:
    """The moments whose backups stay: the newest of each hour of a day, then of each day, week and month.

    The newest and the oldest of all always stay, and so does whatever lies in the future.
    """
    newest: dict[tuple[str, object], datetime] = {}
    stay: set[datetime] = set()
    every = sorted(moments)
    for moment in every:
        if moment > now:
            stay.add(moment)
        else:
            newest[_stretch(moment, now - moment)] = moment
    return stay | set(newest.values()) | set(every[:1]) | set(every[-1:])


def _stretch(moment: datetime, age: timedelta) -> tuple[str, object]:
    """The stretch of the calendar of which one backup is enough at that age."""
    if age < HOURLY_FOR:
        return "hour", (moment.date(), moment.hour)
    if age < DAILY_FOR:
        return "day", moment.date()
    if age < WEEKLY_FOR:
        return "week", moment.isocalendar()[:2]
    return "month", (moment.year, moment.month)
