"""Whether a figure falls or rises from session to session, and how much of that chance can do.

Sessions without the figure are left out and counted as missing; below five there is no trend to speak of.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from annotate.numbers.session_numbers import SessionNumbers
from annotate.numbers.trend import ENOUGH_FOR_A_TREND, Trend, trend
from annotate.numbers.wording import duration_text, trend_note


@dataclass(frozen=True, slots=True)
class SessionTrend:
    """One figure over the sessions that have it; `missing` do not. `size_text` writes an amount of it."""

    title: str
    trend: Trend
    missing: int
    size_text: Callable[[Fraction], str]


def _one_sided(numbers: SessionNumbers) -> Fraction | None:
    balance = numbers.rein.balance
    return None if balance is None else abs(balance)


def _half_settled_ns(numbers: SessionNumbers) -> int | None:
    return numbers.recovery.curve.median_ns


def _plain(size: Fraction) -> str:
    return f"{float(size):.2f}"


_FigureOf = Callable[[SessionNumbers], int | Fraction | None]
_FIGURES: Mapping[str, tuple[str, _FigureOf, Callable[[Fraction], str]]] = {
    "seconds.moving": ("Time moving", lambda numbers: numbers.moving_ns, duration_text),
    "reactions.per_min": ("Reactions a minute", lambda numbers: numbers.reactions.seen.per_min, _plain),
    "recovery.median_s": ("Time until half had settled", _half_settled_ns, duration_text),
    "rein.one_sided": ("One-sidedness, from 0 even to 1 all on one rein", _one_sided, _plain),
}


def session_trends(sessions: Sequence[SessionNumbers]) -> dict[str, SessionTrend]:
    """The trends over sessions in their order, by the path of the figure."""
    found: dict[str, SessionTrend] = {}
    for key, (title, figure_of, size_text) in _FIGURES.items():
        figures = [figure for numbers in sessions if (figure := figure_of(numbers)) is not None]
        found[key] = SessionTrend(title, trend(figures), len(sessions) - len(figures), size_text)
    return found


def trend_words(found: SessionTrend) -> str:
    """'Reactions a minute over 6 sessions: falling by about 0.10 a session, but chance alone can do that'."""
    trend = found.trend
    if not trend.is_enough:
        return f"{found.title}: {trend.count} of the {ENOUGH_FOR_A_TREND} sessions that a trend needs"
    left_out = f", {found.missing} without it" if found.missing else ""
    note = trend_note(trend, "a session", found.size_text)
    return f"{found.title} over {trend.count} sessions{left_out}: {note}"
