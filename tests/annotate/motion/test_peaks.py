"""Where the peaks of a curve of likeness are."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from annotate.motion.peaks import sharpened, unfaded


def test_peaks_that_all_come_too_soon_do_not_make_the_rate_too_quick() -> None:
    """Likeness that fades with the lag pulls every peak to the front."""
    lags = np.arange(46) / 15
    fading = np.cos(2 * np.pi * 1.6 * lags) * np.exp(-lags / 0.5)
    assert sharpened(fading, 1 / 15, 1.6, halves=False) == pytest.approx(1.6, rel=0.03)


@settings(max_examples=30, deadline=None)
@given(st.floats(1.4, 2.5), st.floats(0.5, 4.0))
def test_a_peak_that_comes_too_soon_as_likeness_fades_is_put_where_it_belongs(hz: float, fade_s: float) -> None:
    """The highest point of a fading wave is up to 3 % early; what is told is within half a percent."""
    lags = np.arange(0, 3, 1 / 200)
    likeness = np.exp(-lags / fade_s) * np.cos(2 * np.pi * hz * lags)
    near = np.abs(lags * hz - 1) < 0.2
    soon = float(lags[near][np.argmax(likeness[near])])
    assert unfaded(likeness, 1 / 200, 1 / soon) == pytest.approx(hz, rel=0.005 + 1 / (200 * soon))


def test_a_rate_stays_as_it_is_where_no_peak_is_seen() -> None:
    """Nothing tells how it fades."""
    assert unfaded(np.zeros(45), 1 / 15, 1.6) == 1.6
