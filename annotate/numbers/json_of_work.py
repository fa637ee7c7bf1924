"""Exposures, responses and laps as they stand in JSON."""

from __future__ import annotations

from typing import Any

from annotate.behaviours import LEFT_REIN, RIGHT_REIN
from annotate.numbers.asks import Request, Responses
from annotate.numbers.exposures import Exposure, Exposures
from annotate.numbers.json_figures import in_seconds, of_curve, of_proportion, of_trend, survival
from annotate.numbers.laps import Laps


def of_exposures(exposures: Exposures, at_most: int = 0) -> dict[str, Any]:
    """The exposures to one stimulus; a severity of `at_most` counts as quiet."""
    return {
        "count": len(exposures.each),
        "left": len(exposures.on("left").each),
        "right": len(exposures.on("right").each),
        "without_reaction": of_proportion(exposures.without_reaction),
        "quiet_in_a_row": exposures.quiet_in_a_row(at_most),
        "quiet_severity": at_most,
        "severity_trend": of_trend(exposures.severity_trend),
        "recovery_trend": of_trend(exposures.recovery_trend),
        "each": [_exposure(one) for one in exposures.each],
    }


def of_responses(responses: Responses) -> dict[str, Any]:
    """The requests of a session; empty where there was no cue at all."""
    if not (responses.each or responses.already_there or responses.asks_nothing):
        return {}
    return {
        **_outcomes(responses),
        "survival": survival(responses.curve),
        "already_there": responses.already_there,
        "asks_nothing": responses.asks_nothing,
        "cues_needed": {str(cues): count for cues, count in responses.cues_needed.items()},
        "by_cue": {name: _outcomes(part) for name, part in responses.by_cue.items()},
        "each": [
            {
                "at_s": in_seconds(one.cue.start_ns),
                "cue": one.cue.what,
                "cues": one.cues,
                "seconds": in_seconds(one.time_ns),
                "outcome": one.outcome,
                "answer": one.answer or "none",
                "rein": one.rein or "none",
                "asked_with": one.asked_with or "none",
                "strongest": one.strongest or "none",
                **_release(one),
            }
            for one in responses.each
        ],
    }


def of_laps(laps: Laps) -> dict[str, Any]:
    """Whole rounds; empty where none was tagged."""
    if not laps.each:
        return {}
    return {
        "count": len(laps.each),
        "left": len(laps.on(LEFT_REIN).each),
        "right": len(laps.on(RIGHT_REIN).each),
        "mean_s": in_seconds(laps.mean_ns),
        "by_gait": {
            gait: {"count": len(part.each), "mean_s": in_seconds(part.mean_ns)}
            for gait, part in laps.by_gait.items()
        },
        "each": [
            {
                "start_s": in_seconds(lap.start_ns),
                "seconds": in_seconds(lap.time_ns),
                "rein": lap.rein,
                "gait": lap.gait or "mixed",
            }
            for lap in laps.each
        ],
    }


def _outcomes(responses: Responses) -> dict[str, Any]:
    return {
        **of_curve(responses.curve),
        "answered": responses.count("answered"),
        "no_answer": responses.count("no_answer"),
        "cut_short": responses.count("cut_short"),
        "at_first_ask": of_proportion(responses.at_first_ask),
        "escalated": of_proportion(responses.escalated),
        "release": of_curve(responses.release),
    }


def _release(one: Request) -> dict[str, Any]:
    if one.release is None:
        return {"release_s": None, "release": "none"}
    ended = "seen" if one.release.ended else "cut_short"
    return {"release_s": in_seconds(one.release.time_ns), "release": ended}


def _exposure(one: Exposure) -> dict[str, Any]:
    recovery = one.recovery
    return {
        "start_s": in_seconds(one.span.start_ns),
        "end_s": in_seconds(one.span.end_ns),
        "side": one.side or "none",
        "place": one.place or "none",
        "colour": one.colour or "none",
        "grade": "not_given" if one.grade is None else one.grade,
        "order": one.order,
        "order_on_side": one.order_on_side,
        "wholly_visible": one.wholly_visible,
        "reactions": len(one.reactions),
        "severity": one.severity,
        "recovery_s": None if recovery is None else in_seconds(recovery.time_ns),
        "recovery_ended_by": "none" if recovery is None else recovery.ending,
    }
