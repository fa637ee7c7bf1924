"""Lead, ground covered, doubts and work load, in plain lines."""

from __future__ import annotations

from collections.abc import Iterator

from annotate.clock import clock_text
from annotate.numbers.doubts import Doubt
from annotate.numbers.ground import GaitGround
from annotate.numbers.lead import LeadTime
from annotate.numbers.lengths import METRES, LengthUnit
from annotate.numbers.load import Load, Over
from annotate.numbers.session_numbers import SessionNumbers
from annotate.numbers.wording import (
    NOT_KNOWN,
    Line,
    duration_text,
    joined,
    percent_text,
    several,
)


def lead_lines(numbers: SessionNumbers) -> Iterator[Line]:
    """Which lead the horse was on at lope."""
    leads = numbers.leads
    share = leads.whole.share
    if share is None:
        return
    whole = leads.whole
    parts = (("wrong", whole.wrong_ns), ("disunited", whole.disunited_ns), ("untagged", whole.untagged_ns))
    reins = [_on(side, lead) for side, lead in (("left", leads.left), ("right", leads.right))]
    yield Line(
        "lead.share_correct",
        "Lead at lope",
        f"{percent_text(share)} correct",
        joined(
            ", ".join(words for words in reins if words),
            ", ".join(f"{duration_text(time_ns)} {name}" for name, time_ns in parts if time_ns),
        ),
    )


def ground_lines(numbers: SessionNumbers, unit: LengthUnit = METRES) -> Iterator[Line]:
    """Speed, distance and stride, gait by gait."""
    for name, covered in numbers.ground.by_gait.items():
        title = f"{numbers.sheet[name].title.capitalize()} on the circle"
        path = f"ground.gait.{name}"
        if covered.speed_m_s is not None and covered.metres is not None:
            figure = f"{unit.speed(covered.speed_m_s)}, {unit.length(covered.metres)}"
            note = joined(_laps(covered), _strides(covered, unit), _background(covered))
            yield Line(f"{path}.speed_m_s", title, figure, note)
        elif covered.strides_per_s is not None:
            figure = f"{float(covered.strides_per_s):.2f} strides a second"
            yield Line(f"{path}.strides_per_s", title, figure)
        else:
            yield Line(f"{path}.speed_m_s", title, NOT_KNOWN, joined(covered.track.why, _laps(covered)))


def doubt_lines(numbers: SessionNumbers, unit: LengthUnit = METRES) -> Iterator[Line]:
    """Where a tag does not fit what was tapped or lapped."""
    for place, doubt in enumerate(numbers.doubts):
        gait = numbers.sheet[doubt.gait].title
        yield Line(
            f"doubts.{place}",
            f"Look again at {clock_text(doubt.start_ns, decimals=0)}",
            f"{gait}?",
            _doubt(doubt, gait, unit),
        )


def load_lines(numbers: SessionNumbers, unit: LengthUnit = METRES) -> Iterator[Line]:
    """How much work on the circle, against the trainer's limits."""
    load = numbers.load
    if not load.parts:
        return
    metres = load.metres("moving")
    covered = "" if metres is None else f", {unit.length(metres)}"
    reins = ", ".join(f"{side} {duration_text(load.time_ns(side))}" for side in ("left", "right"))
    yield Line(
        "load.by.moving",
        "Work on the circle",
        f"{duration_text(load.time_ns('moving'))}{covered}",
        joined(reins, *(_over(over) for over in load.over), _within(load)),
    )


def _on(side: str, lead: LeadTime) -> str:
    return f"{side} rein {percent_text(lead.share)}" if lead.share is not None else ""


def _laps(covered: GaitGround) -> str:
    mean_ns = covered.laps.mean_ns
    if mean_ns is None:
        return ""
    return f"{several(len(covered.laps.each), 'lap')} of {duration_text(mean_ns)}"


def _strides(covered: GaitGround, unit: LengthUnit) -> str:
    if covered.strides_per_s is None or covered.stride_m is None:
        return ""
    return f"{float(covered.strides_per_s):.2f} strides a second of {unit.length(covered.stride_m, 1)}"


def _background(covered: GaitGround) -> str:
    lean = "" if covered.lean_deg is None else f"the circle asks for a lean of {covered.lean_deg:.0f}°"
    return joined(lean, "" if covered.froude is None else f"Froude number {covered.froude:.2f}")


def _doubt(doubt: Doubt, gait: str, unit: LengthUnit) -> str:
    how = "slow" if doubt.figure < doubt.usual[0] else "quick"
    if doubt.measure == "stride_rate":
        figure, (low, high) = f"{doubt.figure:.2f} strides a second", doubt.usual
    else:
        figure = f"{unit.speed(doubt.figure)} by the lap"
        low, high = (round(unit.of(end), 1) for end in doubt.usual)
    return f"{figure} is {how} for {gait}, usually {low:g} to {high:g}; you decide"


def _over(over: Over) -> str:
    return f"over your limit: {over.name.replace('_', ' ')} {over.figure:.1f} of {over.limit:g} {over.unit}"


def _within(load: Load) -> str:
    set_ = load.limits.minutes or load.limits.metres
    return "within your limits" if set_ and not load.over else ""
