"""Exposures over days in plain lines: each series, and the first exposure of each day by itself."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from annotate.clock import NS_PER_S
from annotate.numbers.exposures import Exposures
from annotate.numbers.habituation import History, history, stimuli
from annotate.numbers.limits import Limits
from annotate.numbers.session_numbers import SessionNumbers
from annotate.numbers.trend import Trend
from annotate.numbers.wording import joined, several


def habituation_lines(sessions: Sequence[SessionNumbers], limits: Limits) -> Iterator[str]:
    """A line for each series of exposures, and under it one for the first of each day."""
    for stimulus in stimuli(sessions):
        for part in history(sessions, stimulus).series:
            yield series_line(part, limits)
            if len(part.first_of_each_day.each) > 1:
                firsts = part.first_of_each_day
                words = f"first of each day: severity {severities(firsts)}"
                yield f"    {joined(words, _falls(firsts.severity_trend))}"


def series_title(past: History) -> str:
    """What a series is: 'flag, left side, grade 2, red, at the gate'."""
    if not past.each:
        return past.stimulus
    one = past.each[0].exposure
    parts = (
        past.stimulus.replace("_", " "),
        f"{one.side} side" if one.side else "",
        "" if one.grade is None else f"grade {one.grade}",
        one.colour,
        one.place,
    )
    return ", ".join(part for part in parts if part)


def series_line(past: History, limits: Limits) -> str:
    """A whole series in one line."""
    return joined(
        f"{series_title(past)}: {several(len(past.each), 'exposure')}, severity {severities(past.exposures)}",
        _settled(past.exposures),
        _falls(past.severity_trend),
        _quiet(past.exposures, limits),
    )


def _quiet(exposures: Exposures, limits: Limits) -> str:
    quiet = exposures.quiet_in_a_row(limits.severity)
    asked = f"you ask for {limits.in_a_row} in a row"
    if not limits.severity:
        return f"the last {quiet} without a reaction, {asked}" if quiet else f"not yet quiet, {asked}"
    words = f"at severity {limits.severity} or less"
    return f"the last {quiet} {words}, {asked}" if quiet else f"not yet {words}, {asked}"


def severities(exposures: Exposures) -> str:
    """'3 2 0 ?' in order; ? where it is not known. Of a long row the latest twelve."""
    known = ["?" if one.severity is None else str(one.severity) for one in exposures.each]
    return " ".join(known if len(known) <= 12 else ["…", *known[-12:]])


def _settled(exposures: Exposures) -> str:
    """How long each took to calm, in whole seconds; + where it was cut short."""
    times = [
        f"{round(one.recovery.time_ns / NS_PER_S)}{'+' if one.recovery.cut_short else ''}"
        for one in exposures.each
        if one.recovery is not None
    ]
    return f"settled in {' '.join(times[-12:])} s" if times else ""


def _falls(trend: Trend) -> str:
    if not trend.is_enough:
        return ""
    if not trend.s:
        return "neither falling nor rising"
    word, p = ("falling", trend.p_falling) if trend.s < 0 else ("rising", trend.p_rising)
    chance = "chance would seldom do that" if p < 0.05 else "but chance alone can do that"
    return f"{word}, {chance}"
