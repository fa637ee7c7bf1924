"""Why a figure is undefined, in one sentence each.

A figure that cannot be had is no figure: never 0, never a placeholder. Its path in the JSON leads here to
the reason, which is shown in its place.
"""

from __future__ import annotations

from annotate.numbers.asks import Responses
from annotate.numbers.exposures import Exposure, Exposures
from annotate.numbers.first_and_last import FirstAndLast
from annotate.numbers.habituation import History
from annotate.numbers.proportions import Proportion
from annotate.numbers.rates import Rate, RateRatio
from annotate.numbers.reasons_of_ground import reasons_of_ground
from annotate.numbers.recovery import Recoveries
from annotate.numbers.session_numbers import SessionNumbers
from annotate.numbers.survival import Curve
from annotate.numbers.trend import ENOUGH_FOR_A_TREND, Trend

NOTHING_VISIBLE = "Nothing was visible."


def reasons(numbers: SessionNumbers) -> dict[str, str]:
    """The reason of every undefined figure of a session, by its path: `gait.trot.mean_bout_s`."""
    found = reasons_of_a_row(numbers)
    found |= _of_parted_recovery(numbers.recovery)
    found |= _of_first_and_last(numbers.first_and_last)
    found |= _of_responses(numbers.responses)
    for stimulus, exposures in numbers.exposures.items():
        found |= _of_exposures(f"exposures.{stimulus}", exposures)
    return found


def reasons_of_a_row(numbers: SessionNumbers) -> dict[str, str]:
    """The same for the figures that stand beside those of other sessions: the cheap ones."""
    found: dict[str, str] = {}
    for name, gait in numbers.gaits.items():
        title = numbers.sheet[name].title.capitalize()
        if gait.share is None:
            found[f"gait.{name}.share"] = NOTHING_VISIBLE
        if gait.mean_bout_ns is None:
            found[f"gait.{name}.mean_bout_s"] = f"{title} was not seen."
        for rein, on in (("left", gait.left), ("right", gait.right)):
            if on.share is None:
                found[f"gait.{name}.{rein}.share"] = f"Nothing of the {rein} rein was visible."
            if on.mean_bout_ns is None:
                found[f"gait.{name}.{rein}.mean_bout_s"] = f"{title} was not seen on the {rein} rein."
        if gait.balance is None:
            found[f"gait.{name}.balance"] = f"{title} was not seen on a tagged rein."
    if numbers.rein.balance is None:
        found["rein.balance"] = "The horse was not seen moving on a tagged rein."
    if numbers.transition_rate.per_min is None:
        found["transitions.per_min"] = NOTHING_VISIBLE
    reactions = numbers.reactions
    found |= _of_rate("reactions", reactions.seen, NOTHING_VISIBLE)
    for rein, rate in (("left", reactions.left), ("right", reactions.right)):
        found |= _of_rate(f"reactions.{rein}", rate, f"Nothing of the {rein} rein was visible.")
    found |= _of_ratio("reactions.left_right", reactions.left_right, "on either rein", "on the right rein")
    found |= _of_median("recovery", numbers.recovery.curve)
    found |= reasons_of_ground(numbers)
    return found


def reasons_of_history(past: History) -> dict[str, str]:
    """The same for the exposures to one stimulus over all sessions."""
    found = _of_trend("severity_trend", past.severity_trend)
    found |= _of_trend("first_of_day_trend", past.first_of_day_trend)
    found |= _of_trend("recovery_trend", past.recovery_trend, "exposures that came to calm")
    for place, showing in enumerate(past.each):
        found |= _of_severity(f"each.{place}.severity", showing.exposure)
        if showing.exposure.recovery is None:
            found[f"each.{place}.recovery_s"] = "No reaction was seen in it."
    return found


def _of_rate(path: str, rate: Rate, why: str) -> dict[str, str]:
    if rate.per_min is not None:
        return {}
    return {f"{path}.per_min": why, f"{path}.per_min_95": why}


def _of_ratio(path: str, ratio: RateRatio, either: str, other: str) -> dict[str, str]:
    if ratio.is_defined:
        if ratio.other.count:
            return {}
        why = f"There was no reaction {other}, so there is no upper end."
        return {f"{path}.ratio": why, f"{path}.ratio_95.1": why}
    if not (ratio.one.time_ns and ratio.other.time_ns):
        why = "Only where both reins were visible can they be compared."
    else:
        why = f"There was no reaction {either}."
    return {f"{path}.{figure}": why for figure in ("ratio", "ratio_95", "p")}


def _of_parted_recovery(recovery: Recoveries) -> dict[str, str]:
    found: dict[str, str] = {}
    for sorting, parts in (
        ("by_rein", recovery.by_rein),
        ("by_stimulus", recovery.by_stimulus),
        ("by_severity", recovery.by_severity),
    ):
        for key, part in parts.items():
            found |= _of_median(f"recovery.{sorting}.{key}", part.curve)
    if recovery.left_right.chi2 is None:
        why = "Too few recoveries on the two reins to compare them."
        found |= {"recovery.left_right.chi2": why, "recovery.left_right.p": why}
    return found


def _of_median(path: str, curve: Curve) -> dict[str, str]:
    if not curve.count:
        return dict.fromkeys(_curve_paths(path), "No reaction was seen.")
    return _of_curve(path, curve, "Too few had settled before watching them ended.")


def _curve_paths(path: str) -> tuple[str, ...]:
    return (f"{path}.median_s", f"{path}.median_s_95", f"{path}.restricted_mean_s")


def _of_curve(path: str, curve: Curve, why: str) -> dict[str, str]:
    """For a curve that has times at all."""
    found = {f"{path}.median_s": why} if curve.median_ns is None else {}
    interval = curve.median_95_ns
    if interval is None:
        found[f"{path}.median_s_95"] = why
    elif interval[1] is None:
        found[f"{path}.median_s_95.1"] = "They are too few for an upper end."
    return found


def _of_first_and_last(parts: FirstAndLast | None) -> dict[str, str]:
    path = "first_and_last"
    if parts is None:
        return {path: "Less than ten minutes were visible."}
    return {
        **_of_median(f"{path}.first.recovery", parts.first.recovery.curve),
        **_of_median(f"{path}.last.recovery", parts.last.recovery.curve),
        **_of_ratio(f"{path}.first_last", parts.reactions, "in either", "in the last five minutes"),
    }


def _of_responses(responses: Responses) -> dict[str, str]:
    if not (responses.each or responses.already_there or responses.asks_nothing):
        return {}
    found = _of_outcomes("responses", responses)
    for cue, part in responses.by_cue.items():
        found |= _of_outcomes(f"responses.by_cue.{cue}", part)
    for place, one in enumerate(responses.each):
        if one.release is None:
            found[f"responses.each.{place}.release_s"] = (
                "No pressure was tagged at its answer." if one.answer else "It was not answered."
            )
    return found


def _of_outcomes(path: str, responses: Responses) -> dict[str, str]:
    found = _of_proportion(
        f"{path}.at_first_ask", responses.at_first_ask, "No request was watched to its end."
    )
    why = "No pressure was tagged at the first cue."
    found |= _of_proportion(f"{path}.escalated", responses.escalated, why)
    if not responses.each:
        found |= dict.fromkeys(_curve_paths(path), "No cue asked for anything new.")
    else:
        why = "Too few were answered while they were waited for."
        found |= _of_curve(path, responses.curve, why)
    if not responses.release.count:
        why = "No pressure was tagged at an answer."
        found |= dict.fromkeys(_curve_paths(f"{path}.release"), why)
    else:
        why = "Too few were seen to be released."
        found |= _of_curve(f"{path}.release", responses.release, why)
    return found


def _of_exposures(path: str, exposures: Exposures) -> dict[str, str]:
    found = _of_proportion(
        f"{path}.without_reaction",
        exposures.without_reaction,
        "No exposure was visible to its end.",
    )
    found |= _of_trend(f"{path}.severity_trend", exposures.severity_trend)
    found |= _of_trend(f"{path}.recovery_trend", exposures.recovery_trend, "exposures that came to calm")
    for place, one in enumerate(exposures.each):
        found |= _of_severity(f"{path}.each.{place}.severity", one)
        if one.recovery is None:
            found[f"{path}.each.{place}.recovery_s"] = "No reaction was seen in it."
    return found


def _of_severity(path: str, exposure: Exposure) -> dict[str, str]:
    if exposure.severity is not None:
        return {}
    if exposure.reactions:
        return {path: "A reaction in it has no severity."}
    return {path: "Part of it was not visible."}


def _of_proportion(path: str, proportion: Proportion, why: str) -> dict[str, str]:
    return {} if proportion.of else {f"{path}.share": why, f"{path}.share_95": why}


def _of_trend(path: str, trend: Trend, of: str = "exposures of known severity") -> dict[str, str]:
    if not trend.is_enough:
        why = f"A trend needs at least {ENOUGH_FOR_A_TREND} {of}."
        return {f"{path}.{word}": why for word in ("p_falling", "p_rising", "slope", "slope_95")}
    if trend.slope_95 is None:
        return {f"{path}.slope_95": "Too few exposures for an interval."}
    return {}
