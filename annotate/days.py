"""Days that cannot be meant: work that is kept lies behind, so a day to come is a slip or a wrong clock."""

from __future__ import annotations

from datetime import date


def to_come(day: date, today: date) -> str:
    """What to say of a session's day that is still to come; empty for today and every day before it."""
    if day <= today:
        return ""
    return f"{day.isoformat()} is still to come: today is {today.isoformat()}."
