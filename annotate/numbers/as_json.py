"""The numbers of a session as one JSON object.

Times in seconds and rates a minute, unrounded; an undefined figure is null and `reasons` says why, by its
path. The keys are a promise to whoever reads them with a program: add, never rename.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from annotate.numbers.budget import Bouts, GaitTime
from annotate.numbers.first_and_last import FirstAndLast, Part
from annotate.numbers.json_figures import in_seconds, of_curve, of_rate, of_ratio, plain, survival
from annotate.numbers.json_of_ground import of_doubts, of_ground, of_leads, of_load, of_sides
from annotate.numbers.json_of_work import of_exposures, of_laps, of_responses
from annotate.numbers.rates import Rate
from annotate.numbers.reactions import Reactions
from annotate.numbers.reasons import reasons
from annotate.numbers.recovery import Recoveries
from annotate.numbers.session_numbers import SessionNumbers


def to_json(numbers: SessionNumbers) -> dict[str, Any]:
    """Everything, ready for `json.dumps(..., allow_nan=False)`."""
    return {
        "session": {
            "id": numbers.session_id,
            "horse": numbers.horse,
            "date": numbers.day.isoformat(),
            "number": numbers.number,
        },
        "seconds": {
            "length": in_seconds(numbers.length_ns),
            "out_of_sight": in_seconds(numbers.out_of_sight_ns),
            "visible": in_seconds(numbers.visible_ns),
            "moving": in_seconds(numbers.moving_ns),
            "untagged": in_seconds(numbers.untagged_ns),
            "gaps": in_seconds(numbers.gaps_ns),
        },
        "gait": {name: _gait(gait) for name, gait in numbers.gaits.items()},
        "transitions": {
            "count": numbers.transitions.count,
            "up": numbers.transitions.up,
            "down": numbers.transitions.down,
            "left": numbers.transitions.left,
            "right": numbers.transitions.right,
            "per_min": plain(numbers.transition_rate.per_min),
            "by_pair": _pairs(numbers.transitions.by_pair),
            "left_by_pair": _pairs(numbers.transitions.on_left),
            "right_by_pair": _pairs(numbers.transitions.on_right),
        },
        "rein": {
            "left_s": in_seconds(numbers.rein.left_ns),
            "right_s": in_seconds(numbers.rein.right_ns),
            "balance": plain(numbers.rein.balance),
            "visible_left_s": in_seconds(numbers.rein.visible_left_ns),
            "visible_right_s": in_seconds(numbers.rein.visible_right_ns),
        },
        "direction_changes": {
            "total": numbers.direction_changes.total,
            "turn_in": numbers.direction_changes.turn_in,
            "turn_out": numbers.direction_changes.turn_out,
            "unseen": numbers.direction_changes.unseen,
            "unmarked": numbers.direction_changes.unmarked,
        },
        "reactions": _reactions(numbers.reactions),
        "recovery": _recovery(numbers.recovery),
        "responses": of_responses(numbers.responses),
        "exposures": {
            name: of_exposures(shown, numbers.load.limits.severity)
            for name, shown in numbers.exposures.items()
        },
        "laps": of_laps(numbers.laps),
        "lead": of_leads(numbers.leads),
        "ground": of_ground(numbers.ground),
        "doubts": of_doubts(numbers.doubts),
        "load": of_load(numbers.load),
        "sides": of_sides(numbers.sides),
        "first_and_last": _first_and_last(numbers.first_and_last),
        "not_on_sheet": dict(numbers.not_on_sheet),
        "reasons": reasons(numbers),
    }


def _pairs(changes: Mapping[tuple[str, str], int]) -> dict[str, int]:
    return {f"{one}_to_{other}": count for (one, other), count in sorted(changes.items())}


def _gait(gait: GaitTime) -> dict[str, Any]:
    return {
        **_bouts(gait),
        "left_s": in_seconds(gait.left_ns),
        "right_s": in_seconds(gait.right_ns),
        "balance": plain(gait.balance),
        "left": _bouts(gait.left),
        "right": _bouts(gait.right),
    }


def _bouts(gait: Bouts) -> dict[str, Any]:
    return {
        "seconds": in_seconds(gait.time_ns),
        "share": plain(gait.share),
        "bouts": gait.bouts,
        "cut_bouts": gait.cut_bouts,
        "ended_with_session": gait.ended_with_session,
        "began_unseen": gait.began_unseen,
        "mean_bout_s": in_seconds(gait.mean_bout_ns),
        "longest_bout_s": in_seconds(gait.longest_bout_ns),
    }


def _reactions(reactions: Reactions) -> dict[str, Any]:
    whole = of_rate(reactions.seen)
    return {
        "count": reactions.count,
        "out_of_sight": reactions.out_of_sight,
        "per_min": whole["per_min"],
        "per_min_95": whole["per_min_95"],
        "at_s": whole["at_s"],
        "left": of_rate(reactions.left),
        "right": of_rate(reactions.right),
        "no_rein": reactions.no_rein,
        "left_right": of_ratio(reactions.left_right),
        "by_kind": dict(reactions.by_kind),
        "by_stimulus": dict(reactions.by_stimulus),
        "by_severity": dict(reactions.by_severity),
        "by_gait": _rates(reactions.by_gait),
        "by_tack": _rates(reactions.by_tack),
        "rates": {
            "by_kind": _rates(reactions.kinds),
            "by_stimulus": _rates(reactions.while_shown),
            "by_severity": _rates(reactions.severities),
            "by_side": _rates(reactions.sides),
        },
        "runs": reactions.runs,
    }


def _rates(rates: Mapping[str, Rate]) -> dict[str, Any]:
    return {name: of_rate(rate) for name, rate in rates.items()}


def _recovery(recovery: Recoveries) -> dict[str, Any]:
    sortings = {
        "by_rein": recovery.by_rein,
        "by_stimulus": recovery.by_stimulus,
        "by_severity": recovery.by_severity,
    }
    compared = recovery.left_right
    return {
        **of_curve(recovery.curve),
        "survival": survival(recovery.curve),
        **{
            name: {key: of_curve(part.curve) for key, part in parts.items()}
            for name, parts in sortings.items()
        },
        "left_right": {"chi2": plain(compared.chi2), "p": compared.p},
        "each": [
            {
                "at_s": in_seconds(each.reaction.start_ns),
                "seconds": in_seconds(each.time_ns),
                "ended_by": each.ending,
            }
            for each in recovery.each
        ],
    }


def _first_and_last(parts: FirstAndLast | None) -> dict[str, Any] | None:
    if parts is None:
        return None
    return {
        "first": _part(parts.first),
        "last": _part(parts.last),
        "first_last": of_ratio(parts.reactions),
    }


def _part(part: Part) -> dict[str, Any]:
    return {
        "moving_s": in_seconds(part.moving_ns),
        "gait": {name: {"seconds": in_seconds(time_ns)} for name, time_ns in part.gait_ns.items()},
        "reactions": of_rate(part.reactions),
        "recovery": of_curve(part.recovery.curve),
    }
