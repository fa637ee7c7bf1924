"""Whether a figure falls or rises from session to session, and how much of that chance can do.

Sessions without the figure are left out and counted as missing; below five there is no trend to speak of.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from annotate.numbers.session_numbers import SessionNumbers
from annotate.numbers.trend import ENOUGH_FOR_A_TREND, Trend, trend


@dataclass(frozen=True, slots=True)
class SessionTrend:
    """One figure over the sessions that have it; `missing` do not."""

    title: str
    trend: Trend
    missing: int


def _one_sided(numbers: SessionNumbers) -> Fraction | None:
    balance = numbers.rein.balance
    return None if balance is None else abs(balance)


_FIGURES: Mapping[str, tuple[str, Callable[[SessionNumbers], int | Fraction | None]]] = {
    "seconds.moving": ("Time moving", lambda numbers: numbers.moving_ns),
    "reactions.per_min": ("Reactions a minute", lambda numbers: numbers.reactions.seen.per_min),
    "recovery.median_s": ("Time to settle", lambda numbers: numbers.recovery.curve.median_ns),
    "rein.one_sided": ("One-sidedness", _one_sided),
}


def session_trends(sessions: Sequence[SessionNumbers]) -> dict[str, SessionTrend]:
    """The trends over sessions in their order, by the path of the figure."""
    found: dict[str, SessionTrend] = {}
    for key, (title, figure_of) in _FIGURES.items():
        figures = [figure for numbers in sessions if (figure := figure_of(numbers)) is not None]
        found[key] = SessionTrend(title, trend(figures), len(sessions) - len(figures))
    return found


def trend_words(found: SessionTrend) -> str:
    """In plain words: 'Reactions a minute: falling over 6 sessions, but chance alone can do that'."""
    trend = found.trend
    if not trend.is_enough:
        return f"{found.title}: {trend.count} of the {ENOUGH_FOR_A_TREND} sessions that a trend needs"
    over = f"over {trend.count} sessions"
    left_out = f", {found.missing} without it" if found.missing else ""
    if not trend.s:
        return f"{found.title}: neither falling nor rising {over}{left_out}"
    word, p = ("falling", trend.p_falling) if trend.s < 0 else ("rising", trend.p_rising)
    chance = "chance would seldom do that" if p < 0.05 else "but chance alone can do that"
    return f"{found.title}: {word} {over}{left_out}, {chance}"
