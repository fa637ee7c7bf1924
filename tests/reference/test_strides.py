"""Stride rate and stride length, against printed strides and against arithmetic."""

from __future__ import annotations

from dataclasses import replace

import pytest

from annotate.circle import circumference_m
from annotate.clock import NS_PER_S
from annotate.numbers.doubts import STRIDES_PER_S
from annotate.numbers.ground import GaitGround, Track
from annotate.numbers.laps import Lap, Laps
from annotate.numbers.strides import StrideSeries


def of_rate(per_s: float, gait: str) -> StrideSeries:
    """A hundred strides at a rate."""
    return StrideSeries(0, round(100 / per_s * NS_PER_S), 101, gait)


def of_speed(speed_m_s: float, series: StrideSeries) -> GaitGround:
    """Whole laps of a 100 m circle at a speed."""
    track = Track(diameter_m=100.0)
    lap = Lap(0, round(circumference_m(100.0) / speed_m_s * NS_PER_S), "left_rein", series.gait)
    return GaitGround(lap.time_ns, Laps((lap,)), (series,), track)


@pytest.mark.parametrize(("speed", "rate", "stride"), [(9, 2.02, 4.46), (17, 2.39, 7.12)])
def test_racehorses_at_gallop(speed: float, rate: float, stride: float) -> None:
    # Witte, Hirst and Wilson 2006, J Exp Biol 209:4389 (authors from memory): stance and protraction make
    # 2.02 strides a second at 9 m/s and 2.39 at 17 m/s; the stride is speed over rate.
    covered = of_speed(speed, of_rate(rate, "gallop"))
    assert covered.speed_m_s == pytest.approx(speed)
    assert covered.stride_m == pytest.approx(stride, abs=0.01)
    low, high = STRIDES_PER_S["gallop"]
    assert low <= rate <= high


@pytest.mark.parametrize(("stance", "swing", "rate"), [(0.131, 0.364, 2.02), (0.077, 0.342, 2.39)])
def test_a_stride_is_stance_and_protraction(stance: float, swing: float, rate: float) -> None:
    # The same paper, fore limb at 9 and at 17 m/s.
    assert float(of_rate(1 / (stance + swing), "gallop").per_s) == pytest.approx(rate, abs=5e-3)


def test_five_laps_of_a_sixty_foot_pen_three_feet_in() -> None:
    # Arithmetic: 16.46 m across, 51.71 m round; five laps in 75 s are 3.45 m/s.
    track = Track(diameter_m=18.288 - 2 * 0.9144, hip_height_m=1.2)
    laps = Laps(tuple(Lap(n * 15 * NS_PER_S, 15 * NS_PER_S, "left_rein", "trot") for n in range(5)))
    covered = GaitGround(120 * NS_PER_S, laps, (), track)
    assert covered.speed_m_s == pytest.approx(3.45, abs=5e-3)
    assert covered.metres == pytest.approx(5 * 51.71 * 120 / 75, abs=0.05)
    # tan(lean) = v^2 / (g r), r = 8.23 m; Froude number v^2 / (g L), L = 1.2 m.
    assert covered.lean_deg == pytest.approx(8.4, abs=0.05)
    assert covered.froude == pytest.approx(1.01, abs=5e-3)
    assert replace(covered, track=replace(track, hip_height_m=None)).froude is None
