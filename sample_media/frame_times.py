"""When the frames of a clip are: whole numbers of ticks of the clip's time base, from 0.

A clip counts its own time; the horse's time on the session clock is
starts_s + pts x time base / capture speed.
"""

from __future__ import annotations

from fractions import Fraction

import numpy as np

from .scenario import ClipPlan

PHONE_BASE = Fraction(1, 600)


def time_base(plan: ClipPlan) -> Fraction:
    return PHONE_BASE if plan.variable_rate else Fraction(1, plan.rate.numerator)


def planned_pts(plan: ClipPlan, seed: int) -> list[int]:
    """Presentation times in ticks. A phone's are uneven, with frames missing now and then."""
    length = Fraction(plan.length_s).limit_denominator(1000) * plan.capture_speed
    if not plan.variable_rate:
        count = int(length * plan.rate)
        return [n * plan.rate.denominator for n in range(count)]
    rng = np.random.default_rng([seed, 21])
    ticks, out = 0, []
    end = int(length / PHONE_BASE)
    while ticks < end:
        out.append(ticks)
        draw = rng.random()
        step = 20 + int(rng.integers(-1, 2))
        if draw < 0.035:
            step += 20 * int(rng.integers(1, 4))
        elif draw < 0.12:
            step += int(rng.integers(-6, 8))
        ticks += step
    return out


def horse_seconds(plan: ClipPlan, clip_time: Fraction) -> Fraction:
    """Clip time to the session clock, exactly."""
    return plan.starts_s + clip_time / plan.capture_speed


def to_ns(seconds: Fraction) -> int:
    """Nearest whole nanosecond."""
    return round(seconds * 1_000_000_000)
