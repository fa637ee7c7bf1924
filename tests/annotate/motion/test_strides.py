"""From beats in windows to stride rates over time."""

from __future__ import annotations

import pytest

from annotate.motion.rhythm import Beat, Pace
from annotate.motion.seen import Stretch
from annotate.motion.strides import Window, strides, usual_hz


def row(hz: float, count: int, speed: float, *, start_s: float = 0.0, stir: float = 0.4) -> list[Window]:
    """Half-second windows with the same beat."""
    beat = Beat(hz, 0.5, 0.0, stir)
    return [
        Window(start_s + k / 2, start_s + k / 2 + 0.5, beat, Pace(speed, 1.0)) for k in range(count)
    ]


def test_a_standing_horse_has_no_stride_rate_however_clear_the_beat() -> None:
    """A tail or a flag may swing in a rhythm; the horse does not get on."""
    assert all(stretch.hz is None for stretch in strides(row(0.9, 12, 0.02, stir=0.5)))


def test_a_trotting_horse_has_half_the_beat() -> None:
    """2.8 beats are 1.4 strides."""
    told = strides(row(2.8, 8, 1.5))
    assert [stretch.hz for stretch in told] == [1.4] * 8
    assert all(stretch.two_beats for stretch in told)


def test_a_horse_that_comes_straight_at_the_camera_keeps_its_rhythm_between_like_ones() -> None:
    """It hardly seems to move, but had the beat before and has it after."""
    windows = [*row(2.8, 4, 1.5), *row(2.78, 4, 0.05, start_s=2), *row(2.8, 4, 1.5, start_s=4)]
    assert all(stretch.hz == pytest.approx(1.4, rel=0.02) for stretch in strides(windows))


def test_a_stop_between_two_trots_has_no_rhythm_without_a_like_beat() -> None:
    """What beats otherwise while the horse stands is not its stride."""
    windows = [*row(2.8, 4, 1.5), *row(0.9, 4, 0.05, start_s=2), *row(2.8, 4, 1.5, start_s=4)]
    middle = [stretch for stretch in strides(windows) if 2 <= stretch.start_s < 4]
    assert middle
    assert all(stretch.hz is None for stretch in middle)


def test_half_a_second_alone_is_no_rhythm() -> None:
    """Nothing is told from one short glimpse."""
    assert [stretch.hz for stretch in strides(row(2.8, 1, 1.5))] == [None]


def test_where_walk_and_lope_are_equally_likely_nothing_is_told() -> None:
    """Rather no figure than a wrong one: a beat of 1.8 at a speed between the two."""
    windows = [
        Window(k / 2, k / 2 + 0.5, Beat(1.8, 0.3, 0.0, 0.33), Pace(1.16, 1.0)) for k in range(4)
    ]
    assert all(stretch.hz is None for stretch in strides(windows))


def test_the_usual_rate_is_that_of_most_of_the_time_not_one_between_two_gaits() -> None:
    """Six seconds of trot and two of lope."""
    rhythm = (Stretch(0, 6, 1.4, 0.8), Stretch(6, 8, 1.7, 0.8))
    assert usual_hz(rhythm, 8.0) == pytest.approx(1.4, rel=1e-6)


def test_a_clip_has_no_usual_rate_if_hardly_any_of_it_has_one() -> None:
    """One second of twenty."""
    assert usual_hz((Stretch(0, 1, 1.4, 0.8), Stretch(1, 20, None, 0.0)), 20.0) is None
