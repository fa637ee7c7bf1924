"""Days as a person reads and writes them: '4 May 2026'. In files, in file names and on the command line they are ISO.

Work that is kept lies behind, so a day to come is a slip or a wrong clock.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

MONTHS = (
    *("January", "February", "March", "April", "May", "June", "July", "August", "September", "October"),
    *("November", "December"),
)
WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


def day_text(day: date) -> str:
    """'4 May 2026', whatever the machine's language is."""
    return f"{day.day} {MONTHS[day.month - 1]} {day.year}"


def short_day_text(day: date) -> str:
    """'28 Sep', where many days stand beside each other on an axis."""
    return f"{day.day} {MONTHS[day.month - 1][:3]}"


def weekday_text(day: date) -> str:
    """'Monday 4 May 2026'."""
    return f"{WEEKDAYS[day.weekday()]} {day_text(day)}"


def read_day(text: str) -> date:
    """A day written as `day_text` writes it, its month cut short or not. Raises `ValueError` for any other text."""
    parts = text.replace(".", " ").lower().split()
    if len(parts) == 3 and len(parts[1]) >= 3 and len(parts[2]) == 4:
        day, month, year = parts
        digits = day + year
        named = [place for place, name in enumerate(MONTHS, 1) if name.lower().startswith(month)]
        if len(named) == 1 and digits.isascii() and digits.isdecimal():
            return date(int(year), named[0], int(day))
    raise ValueError(f"{text!r} is not a day")


def to_come(day: date, today: date, told: Callable[[date], str] = day_text) -> str:
    """What to say of a session's day that is still to come; empty for today and every day before it."""
    if day <= today:
        return ""
    return f"{told(day)} is still to come: today is {told(today)}."
