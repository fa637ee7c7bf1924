"""Lead, ground covered, doubts and work load, in plain lines."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from annotate.clock import clock_text
from annotate.numbers.doubts import Doubt
from annotate.numbers.ground import GaitGround
from annotate.numbers.lead import LeadTime
from annotate.numbers.lengths import METRES, LengthUnit
from annotate.numbers.limits import limit_title
from annotate.numbers.load import Load, Over
from annotate.numbers.rates import NS_PER_MIN
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
    if not load.gait_ns:
        return
    metres = load.metres("moving")
    covered = "" if metres is None else f", {unit.length(metres)}"
    reins = ", ".join(f"{side} {duration_text(load.time_ns(side))}" for side in ("left", "right"))
    yield Line(
        "load.by.moving",
        "Work on the circle",
        f"{duration_text(load.time_ns('moving'))}{covered}",
        joined(reins, _within(load)),
    )
    for place, over in enumerate(load.over):
        yield _over(f"load.over.{place}", over, numbers, unit)


def amount_text(over: Over, amount: float, unit: LengthUnit = METRES) -> str:
    """An amount of what a limit is set for: '5 min 10 s', '2 500 m'."""
    return duration_text(Fraction(amount) * NS_PER_MIN) if over.unit == "minutes" else unit.length(amount)


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
    """Said to be background: neither is measured on this horse."""
    if covered.lean_deg is None:
        return ""
    lean = f"that fast on this circle a body leans in by about {covered.lean_deg:.0f}°, worked out, not measured"
    if covered.froude is None:
        return lean
    number = f"Froude number {covered.froude:.2f}"
    return joined(lean, f"{number}: speed for the height of the hip; horses tend to trot from about 0.35")


def _doubt(doubt: Doubt, gait: str, unit: LengthUnit) -> str:
    how = "slow" if doubt.figure < doubt.usual[0] else "quick"
    if doubt.measure == "stride_rate":
        figure, (low, high) = f"{doubt.figure:.2f} strides a second", doubt.usual
    else:
        figure = f"{unit.speed(doubt.figure)} by the lap"
        low, high = (round(unit.of(end), 1) for end in doubt.usual)
    return f"{figure} is {how} for {gait}, usually {low:g} to {high:g}; you decide"


def _over(key: str, over: Over, numbers: SessionNumbers, unit: LengthUnit) -> Line:
    titles = {gait: numbers.sheet[gait].title for gait in numbers.gaits}
    figure, limit = (amount_text(over, amount, unit) for amount in (over.figure, over.limit))
    return Line(key, "Over your limit", f"{limit_title(over.name, titles)} {figure}", f"your limit is {limit}")


def _within(load: Load) -> str:
    set_ = load.limits.minutes or load.limits.metres
    return "within the limits" if set_ and not load.over else ""
