"""Exposures, asks, laps, and the first five minutes against the last, in plain lines."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from annotate.numbers.asks import Responses
from annotate.numbers.exposures import Exposures, Side
from annotate.numbers.limits import Limits
from annotate.numbers.session_numbers import SessionNumbers
from annotate.numbers.wording import (
    NOT_KNOWN,
    Line,
    duration_text,
    joined,
    median_note,
    proportion_note,
    rate_note,
    rate_text,
    ratio_line,
    several,
    trend_note,
)

SIDES: tuple[tuple[Side, str], ...] = (("left", "left"), ("right", "right"), ("", "without a side"))


def exposure_lines(numbers: SessionNumbers) -> Iterator[Line]:
    """A line for each stimulus that was shown."""
    for stimulus, exposures in numbers.exposures.items():
        quiet = exposures.without_reaction
        sides = [
            f"{len(found)} {word}"
            for side, word in SIDES
            if (found := exposures.on(side).each)
        ]
        yield Line(
            f"exposures.{stimulus}.count",
            stimulus.replace("_", " ").capitalize(),
            several(len(exposures.each), "exposure"),
            joined(
                ", ".join(sides),
                f"{quiet.count} of {quiet.of} without a reaction" if quiet.of else "",
                _severities(exposures),
                severity_note(exposures),
                settling_note(exposures),
                _quiet(exposures, numbers.load.limits),
            ),
        )


def _severities(exposures: Exposures) -> str:
    known = [one.severity for one in exposures.each if one.severity is not None]
    if not known or not max(known):
        return ""
    return f"severity {', '.join(map(str, known))}" if len(known) <= 8 else f"worst severity {max(known)}"


def _quiet(exposures: Exposures, limits: Limits) -> str:
    row = exposures.quiet_in_a_row(limits.severity)
    if row < min(2, limits.in_a_row):
        return ""
    words = "without a reaction" if not limits.severity else f"at severity {limits.severity} or less"
    return f"the last {row} {words}, you ask for {limits.in_a_row}"


def severity_note(exposures: Exposures, step: str = "an exposure") -> str:
    """Whether the severity falls, by how much from one to the next, and what chance can do."""
    if not any(one.severity for one in exposures.each):
        return ""
    note = trend_note(exposures.severity_trend, step, lambda size: f"{float(size):.2f}")
    return f"severity {note}" if note else ""


def settling_note(exposures: Exposures) -> str:
    """The same of the time to settle."""
    note = trend_note(exposures.recovery_trend, "an exposure", duration_text)
    return f"time to settle {note}" if note else ""


def response_lines(numbers: SessionNumbers, why: Mapping[str, str]) -> Iterator[Line]:
    """How many requests were answered, at the first cue, and how soon."""
    responses = numbers.responses
    if not responses.each:
        return
    first = responses.at_first_ask
    refused, cut = responses.count("no_answer"), responses.count("cut_short")
    yield Line(
        "responses.answered",
        "Asks answered",
        f"{responses.count('answered')} of {len(responses.each)}",
        joined(
            _cues(responses),
            f"{refused} without an answer" if refused else "",
            f"{cut} cut short" if cut else "",
            f"{responses.already_there} more when it was already there" if responses.already_there else "",
        ),
    )
    if first.of:
        figure = f"{first.count} of {first.of}"
        yield Line("responses.at_first_ask", "At the first cue", figure, proportion_note(first))
    median_ns, key = responses.curve.median_ns, "responses.median_s"
    if median_ns is None:
        yield Line(key, "Half answered after", NOT_KNOWN, why[key])
    else:
        yield Line(key, "Half answered after", duration_text(median_ns), median_note(responses.curve))
    escalated, release = responses.escalated, responses.release
    if escalated.of:
        figure = f"{escalated.count} of {escalated.of}"
        yield Line("responses.escalated", "Pressure had to grow", figure, proportion_note(escalated))
    if release.median_ns is not None:
        key = "responses.release.median_s"
        note = joined(f"half of {several(release.count, 'answer')}", median_note(release))
        yield Line(key, "Pressure was less after", duration_text(release.median_ns), note)


def _cues(responses: Responses) -> str:
    """'3 at one cue, 1 at 2 cues': empty where every answer came at the first."""
    needed = responses.cues_needed
    if set(needed) <= {1}:
        return ""
    return ", ".join(f"{count} at {'one cue' if cues == 1 else f'{cues} cues'}" for cues, count in needed.items())


def lap_lines(numbers: SessionNumbers) -> Iterator[Line]:
    """How long a lap took, gait by gait."""
    laps = numbers.laps
    if laps.mean_ns is None:
        return
    gaits = [
        f"{numbers.sheet[gait].title} {duration_text(part.mean_ns)}"
        for gait, part in laps.by_gait.items()
        if part.mean_ns is not None
    ]
    figure = f"{len(laps.each)}, {duration_text(laps.mean_ns)} each"
    yield Line("laps.count", "Laps", figure, ", ".join(gaits))


def first_and_last_lines(numbers: SessionNumbers, why: Mapping[str, str]) -> Iterator[Line]:
    """The gaits and reactions of the first five minutes in view, of the last five, and the one against the other."""
    parts = numbers.first_and_last
    if parts is None:
        return
    for name, part in (("first", parts.first), ("last", parts.last)):
        gaits = [
            f"{numbers.sheet[gait].title} {duration_text(time_ns)}"
            for gait, time_ns in part.gait_ns.items()
            if time_ns
        ]
        if gaits:
            label = f"{name.capitalize()} five minutes"
            figure = f"{duration_text(part.moving_ns)} moving"
            yield Line(f"first_and_last.{name}.gait", label, figure, ", ".join(gaits))
    if not numbers.reactions.count:
        return
    at_random = numbers.reactions.at_random
    for name, part in (("first", parts.first), ("last", parts.last)):
        yield Line(
            f"first_and_last.{name}.reactions.per_min",
            f"Reactions, {name} five minutes",
            rate_text(part.reactions),
            rate_note(part.reactions, at_random=at_random),
        )
    key = "first_and_last.first_last.ratio"
    yield ratio_line(
        key, "Reactions, first against last", parts.reactions, why=why.get(key, ""), at_random=at_random
    )
