"""Sessions side by side as one JSON object: figures, intervals, ratios, trends, exposures, gaps."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from annotate.numbers.compare import (
    COLUMNS,
    Row,
    compare,
    first_against_last,
    why_no_ratio,
)
from annotate.numbers.habituation import History, Showing, history, stimuli
from annotate.numbers.json_figures import in_seconds, of_curve, of_ratio, of_trend, plain
from annotate.numbers.json_of_ground import of_sides
from annotate.numbers.rates import RateRatio
from annotate.numbers.reasons import reasons_of_a_row, reasons_of_history
from annotate.numbers.session_numbers import SessionNumbers
from annotate.numbers.session_trends import session_trends, trend_words
from annotate.numbers.survival import LogRank
from annotate.numbers.trend import Trend


def compare_json(
    sessions: Iterable[SessionNumbers], against: int | None = None, *, one_horse: bool = True
) -> dict[str, Any]:
    """The sessions with every stimulus over all of them; undefined figures are null.

    Trends, exposures and first against last are those of one horse; without `one_horse` they are left out.
    """
    rows = compare(sessions, against)
    every = [row.numbers for row in rows]
    answer: dict[str, Any] = {"sessions": [_row_json(row) for row in rows]}
    if one_horse:
        answer["trends"] = {
            key: {
                "missing": found.missing,
                "words": trend_words(found),
                **_trend_json(found.trend, in_time=key.startswith(("seconds", "recovery"))),
            }
            for key, found in session_trends(every).items()
        }
        found = first_against_last(rows)
        answer["last_first"] = {
            "reason": "Two sessions are needed."
        } if found is None else {**_ratio_json(found[0]), "recovery": _log_rank(found[1])}
        answer["exposures"] = {
            name: _history_json(history(every, name), every[-1].load.limits.severity)
            for name in stimuli(every)
        }
    return answer


def before_json(numbers: SessionNumbers, before: SessionNumbers | None) -> dict[str, Any]:
    """The recoveries of a session against those of the session before it; empty where there is none."""
    if before is None:
        return {}
    found = numbers.recovery.against(before.recovery)
    return {"before": {"session": before.session_id, "recovery": _log_rank(found)}}


def _row_json(row: Row) -> dict[str, Any]:
    numbers = row.numbers
    why = reasons_of_a_row(numbers)
    per_min_95 = numbers.reactions.seen.per_min_95
    kept = (*COLUMNS, "reactions.per_min_95", "recovery.median_s_95", "recovery.restricted_mean_s")
    return {
        "session": {
            "id": numbers.session_id,
            "horse": numbers.horse,
            "date": numbers.day.isoformat(),
            "number": numbers.number,
        },
        "seconds": {
            "length": in_seconds(numbers.length_ns),
            "visible": in_seconds(numbers.visible_ns),
            "moving": in_seconds(numbers.moving_ns),
        },
        "missing": {
            "out_of_sight": in_seconds(numbers.out_of_sight_ns),
            "gaps": in_seconds(numbers.gaps_ns),
            "untagged": in_seconds(numbers.untagged_ns),
            "not_on_sheet": sum(numbers.not_on_sheet.values()),
        },
        "gait": {
            name: {"seconds": in_seconds(gait.time_ns), "share": plain(gait.share)}
            for name, gait in numbers.gaits.items()
            if gait.time_ns
        },
        "rein": {
            "left_s": in_seconds(numbers.rein.left_ns),
            "right_s": in_seconds(numbers.rein.right_ns),
            "balance": plain(numbers.rein.balance),
        },
        "reactions": {
            "count": numbers.reactions.count,
            "per_min": plain(numbers.reactions.seen.per_min),
            "per_min_95": None if per_min_95 is None else list(per_min_95),
        },
        "recovery": of_curve(numbers.recovery.curve),
        "sides": of_sides(numbers.sides),
        "against": None
        if row.ratio is None or row.against is None
        else {"session": row.against.session_id, "reactions": _ratio_json(row.ratio)},
        **(before_json(numbers, row.before) or {"before": None}),
        "reasons": {
            key: words for key, words in why.items() if key in kept or key.startswith("sides.")
        },
    }


def _history_json(past: History, at_most: int) -> dict[str, Any]:
    return {
        **_row_of(past, at_most),
        "series": [
            {
                "side": first.exposure.side or "none",
                "grade": "not_given" if first.exposure.grade is None else first.exposure.grade,
                "place": first.exposure.place or "none",
                "colour": first.exposure.colour or "none",
                **_row_of(part, at_most),
            }
            for part in past.series
            for first in part.each[:1]
        ],
        "reasons": reasons_of_history(past),
    }


def _row_of(past: History, at_most: int) -> dict[str, Any]:
    return {
        "count": len(past.each),
        "days": len(past.first_of_each_day.each),
        "quiet_in_a_row": past.exposures.quiet_in_a_row(at_most),
        "quiet_severity": at_most,
        "severity_trend": of_trend(past.severity_trend),
        "recovery_trend": of_trend(past.recovery_trend),
        "first_of_day_trend": of_trend(past.first_of_day_trend),
        "each": [_showing(showing) for showing in past.each],
    }


def _showing(showing: Showing) -> dict[str, Any]:
    exposure = showing.exposure
    recovery = exposure.recovery
    return {
        "date": showing.day.isoformat(),
        "session": showing.session_id,
        "start_s": in_seconds(exposure.span.start_ns),
        "order_of_day": showing.order_of_day,
        "side": exposure.side or "none",
        "severity": exposure.severity,
        "recovery_s": None if recovery is None else in_seconds(recovery.time_ns),
        "recovery_ended_by": "none" if recovery is None else recovery.ending,
    }


def _ratio_json(ratio: RateRatio) -> dict[str, Any]:
    why = why_no_ratio(ratio)
    return {**of_ratio(ratio), **({"reason": why} if why else {})}


def _log_rank(found: LogRank) -> dict[str, Any]:
    told = {
        "observed": found.observed,
        "expected": plain(found.expected),
        "chi2": plain(found.chi2),
        "p": found.p,
        "means": "a description; the recoveries of one horse hang together",
    }
    return told if found.chi2 is not None else {**told, "reason": "Too few recoveries to compare."}


def _trend_json(found: Trend, *, in_time: bool) -> dict[str, Any]:
    """The slope a session, of times in seconds."""
    told = of_trend(found)
    if in_time and found.is_enough:
        told["slope"] = in_seconds(found.slope)
        told["slope_95"] = None if found.slope_95 is None else [in_seconds(end) for end in found.slope_95]
    return told
