"""Two views of the same work on one clock: by their sound, or by a frame that shows the same instant.

Sound needs 29 ms for ten metres: two cameras at different distances from what is heard are lined up that much
wrong, about a frame. A frame that both show, such as a foot that lands, is better and corrects it.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Final

import numpy as np
import scipy
from numpy.typing import NDArray

from annotate.clock import NS_PER_S, round_half_up
from annotate.errors import Trouble
from annotate.media.sound import Sound
from annotate.sessions import PlacedClip

STEPS_PER_S: Final = 1000
_LEAST_SURENESS: Final = 1.3
_APART_S: Final = 0.1
_LEAST_COMMON_S: Final = 2


@dataclass(frozen=True, slots=True)
class Lag:
    """How much later on its own clock the first sound has what the second has; seconds.

    `sureness`: how far the best fit stands above the next one elsewhere; 1 is no better than chance.
    """

    seconds: Fraction
    sureness: float


def lag_by_sound(first: Sound, second: Sound) -> Lag:
    """The lag at which two sounds fit best: cross-correlation of how suddenly they become loud.

    Raises `Trouble` where no lag stands out, or the sounds are too short.
    """
    least = _LEAST_COMMON_S * STEPS_PER_S
    if any(len(sound.samples) < _LEAST_COMMON_S * sound.rate for sound in (first, second)):
        raise Trouble("A clip is too short to be lined up by its sound. Line it up by hand.")
    rises, others = _rises(first), _rises(second)
    fits = scipy.signal.correlate(rises, others, mode="full", method="fft")
    lags = scipy.signal.correlation_lags(len(rises), len(others), mode="full")
    # A lag at which hardly anything of the two lies together says nothing.
    common = np.minimum(len(rises), lags + len(others)) - np.maximum(0, lags)
    fits = np.where(common >= least, fits, 0.0)
    best = int(np.argmax(fits))
    elsewhere = np.abs(lags - lags[best]) > _APART_S * STEPS_PER_S
    next_best = float(fits[elsewhere].max(initial=0.0))
    sureness = float(fits[best]) / next_best if next_best > 0 else (np.inf if fits[best] > 0 else 0.0)
    if sureness < _LEAST_SURENESS:
        raise Trouble("The two sounds do not fit anywhere for certain. Line the clips up by hand.")
    lag = Fraction(int(lags[best]), STEPS_PER_S) + first.first - second.first
    return Lag(lag, sureness)


def start_by_lag(first: PlacedClip, second: PlacedClip, lag: Lag) -> int:
    """Where the second clip begins on the session's clock if its sound is to fit; may be before zero.

    The lag is between the clips' own clocks, on which sound and picture run together.
    """
    if first.capture_speed != 1 or second.capture_speed != 1:
        raise Trouble("Slow motion cannot be lined up by sound. Line it up by hand.")
    began_first = first.first_pts * first.time_base
    began_second = second.first_pts * second.time_base
    return first.starts_ns + round_half_up((began_second + lag.seconds - began_first) * NS_PER_S)


def start_by_frame(first: PlacedClip, first_pts: int, second: PlacedClip, second_pts: int) -> int:
    """Where the second clip begins if two frames show the same instant; may be before zero."""
    return first.session_ns(first_pts) - (second.session_ns(second_pts) - second.starts_ns)


def _rises(sound: Sound) -> NDArray[np.float64]:
    """How much louder it becomes, a thousand times a second; quiet and loud rises count alike."""
    step = sound.rate // STEPS_PER_S
    whole = len(sound.samples) // step * step
    power = np.square(sound.samples[:whole].astype(np.float64)).reshape(-1, step).mean(axis=1)
    floor = max(float(np.median(power)), 1e-9)
    loudness = np.log(np.maximum(power, floor))
    smooth = np.convolve(loudness, np.ones(5) / 5, mode="same")
    rises = np.clip(np.diff(smooth, prepend=smooth[:1]), 0, None)
    rises -= rises.mean() if len(rises) else 0
    length = float(np.linalg.norm(rises))
    return rises / length if length else rises
