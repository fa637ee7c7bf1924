"""Exposures over days in plain lines: each series, and the first exposure of each day by itself."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from annotate.clock import NS_PER_S
from annotate.numbers.exposures import Exposures
from annotate.numbers.habituation import History, history, stimuli
from annotate.numbers.limits import Limits
from annotate.numbers.session_numbers import SessionNumbers
from annotate.numbers.wording import joined, several
from annotate.numbers.words_of_work import settling_note, severity_note


def habituation_lines(sessions: Sequence[SessionNumbers], limits: Limits) -> Iterator[str]:
    """A line for each series of exposures, and under it one for the first of each day."""
    for stimulus in stimuli(sessions):
        for part in history(sessions, stimulus).series:
            yield series_line(part, limits)
            if len(part.first_of_each_day.each) > 1:
                firsts = part.first_of_each_day
                words = f"first of each day: severity {severities(firsts)}"
                note = severity_note(firsts, "a day")
                yield f"    {joined(words, note)}"


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
        severity_note(past.exposures),
        _settled(past.exposures),
        settling_note(past.exposures),
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
    latest = times[-12:]
    longer = " (+ is longer than was watched)" if any(time.endswith("+") for time in latest) else ""
    return f"settled in {' '.join(latest)} s{longer}" if times else ""
