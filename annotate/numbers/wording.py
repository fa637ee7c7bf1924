"""How a figure is written for a person: rounded, with its unit, never with more than it can bear."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

from annotate.clock import NS_PER_S, clock_text, round_half_up

if TYPE_CHECKING:
    # The window writes durations before it loads SciPy.
    from annotate.numbers.proportions import Proportion
    from annotate.numbers.rates import Rate, RateRatio
    from annotate.numbers.survival import Curve
    from annotate.numbers.trend import Trend

NOT_KNOWN = "not known"
TOO_FEW = "too few to say more"

# Below this many events an interval is so wide that a person reads more into it than it says.
ENOUGH_EVENTS = 5


@dataclass(frozen=True, slots=True)
class Line:
    """One figure as a person reads it. An undefined one reads 'not known' and the note says why."""

    key: str
    label: str
    figure: str
    note: str = ""


def duration_text(ns: int | Fraction) -> str:
    """'45.2 s', '4 min 30 s', '1 h 2 min'; rounded to the nearest of its last unit."""
    tenths = round_half_up(Fraction(ns) * 10 / NS_PER_S)
    if tenths < 600:
        return f"{tenths // 10} s" if tenths % 10 == 0 else f"{tenths // 10}.{tenths % 10} s"
    minutes, secs = divmod(round_half_up(Fraction(ns) / NS_PER_S), 60)
    if minutes < 60:
        return f"{minutes} min {secs} s" if secs else f"{minutes} min"
    hours, minutes = divmod(round_half_up(Fraction(ns) / (60 * NS_PER_S)), 60)
    return f"{hours} h {minutes} min" if minutes else f"{hours} h"


def number_text(value: float) -> str:
    """A whole number with a space between thousands: '1 250'."""
    return f"{round(value):,}".replace(",", " ")


def percent_text(share: Fraction) -> str:
    """'39 %'; what is less than half a percent but not nothing is '<1 %'."""
    percent = round_half_up(share * 100)
    return "<1 %" if share and not percent else f"{percent} %"


def rate_text(rate: Rate) -> str:
    """'6, 0.67 a minute'; the count alone where there was no time to count in."""
    if rate.per_min is None:
        return str(rate.count)
    return f"{rate.count}, {float(rate.per_min):.2f} a minute"


def rate_note(rate: Rate, *, at_random: bool = True) -> str:
    """How far off a rate may be. `at_random` is False where the events came in runs."""
    if rate.per_min_95 is None:
        return ""
    if rate.count < ENOUGH_EVENTS:
        return TOO_FEW + (f": at {in_a_list([clock_text(at_ns) for at_ns in rate.at_ns])}" if rate.at_ns else "")
    low, high = rate.per_min_95
    note = f"could be as low as {low:.2f} or as high as {high:.2f} a minute"
    return note if at_random else f"{note}, or further off, since they came in runs"


def ratio_line(key: str, label: str, ratio: RateRatio, *, why: str, at_random: bool) -> Line:
    """One rate in terms of another; `why` is the reason where the ratio is undefined."""
    figure = NOT_KNOWN if ratio.ratio is None else f"{float(ratio.ratio):.2f} times as often"
    if ratio.ratio_95 is None or ratio.p is None:
        return Line(key, label, figure, why)
    if ratio.one.count + ratio.other.count < ENOUGH_EVENTS:
        return Line(key, label, figure, TOO_FEW)
    low, high = ratio.ratio_95
    verdict = chance_note(ratio.p)
    if not at_random:
        verdict = "or further off, since they came in runs"
    if high is None:
        return Line(key, label, figure, f"{why} It could be as low as {low:.2f} times; {verdict}")
    bounds = f"could be as low as {low:.2f} or as high as {high:.2f} times"
    return Line(key, label, figure, f"{bounds}; {verdict}")


def chance_note(p: float) -> str:
    """What a p value says, for who never heard of one."""
    return "chance would seldom do that" if p < 0.05 else "chance alone can do that"


def trend_note(trend: Trend, step: str, size_text: Callable[[Fraction], str]) -> str:
    """Which way a row goes, by how much from one `step` to the next, and what chance can do.

    Empty where the figures are too few to speak of a trend. `size_text` writes the size of a slope.
    """
    if not trend.is_enough or trend.slope is None:
        return ""
    if not trend.s:
        return "neither falling nor rising"
    word, p = ("falling", trend.p_falling) if trend.s < 0 else ("rising", trend.p_rising)
    chance = chance_note(p) if p < 0.05 else f"but {chance_note(p)}"
    if not trend.slope:
        return f"{word}, {chance}"
    by = f"by about {size_text(abs(trend.slope))} {step}"
    if trend.slope_95 is not None and len(set(trend.slope_95)) > 1:
        low, high = (_signed(end, size_text) for end in trend.slope_95)
        by += f" (could be as low as {low} or as high as {high})"
    return f"{word} {by}, {chance}"


def _signed(slope: Fraction, size_text: Callable[[Fraction], str]) -> str:
    """'-0.50', '+0.25', '0' for no change."""
    sign = "-" if slope < 0 else "+"
    return f"{sign}{size_text(abs(slope))}" if slope else "0"


def proportion_note(proportion: Proportion) -> str:
    """How far off a share may be."""
    if proportion.share_95 is None:
        return ""
    if proportion.of < ENOUGH_EVENTS:
        return TOO_FEW
    low, high = (percent_text(Fraction(end)) for end in proportion.share_95)
    return f"could be as few as {low} or as many as {high}"


def median_note(curve: Curve) -> str:
    """How far off the median of some times may be."""
    if curve.count < ENOUGH_EVENTS:
        return TOO_FEW
    interval = curve.median_95_ns
    if interval is None:
        return ""
    low, high = interval
    if high is None:
        return f"could be as low as {duration_text(low)}, and these are too few to say how high"
    return f"could be as low as {duration_text(low)} or as high as {duration_text(high)}"


def listed(counts: Mapping[str, int]) -> str:
    """'4 spook, 2 kick out', the most frequent first."""
    ordered = sorted(counts.items(), key=lambda item: (-item[1], item[0]))
    return ", ".join(f"{count} {name}" for name, count in ordered)


def joined(*notes: str) -> str:
    """The notes that say something, as one."""
    return "; ".join(note for note in notes if note)


def in_a_list(words: Sequence[str]) -> str:
    """'a, b and c'."""
    return " and ".join(part for part in (", ".join(words[:-1]), *words[-1:]) if part)


def several(count: int, one: str, more: str = "") -> str:
    """'1 bout', '3 bouts'."""
    return f"{count} {one if count == 1 else more or one + 's'}"
