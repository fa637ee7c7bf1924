"""How loud sound is, after ITU-R BS.1770-4: filtered as the ear hears, in blocks, the quiet ones left out.

Sound is float32 of the shape (channels, samples) at 48 kHz, full scale 1. The filters are the ones that the
recommendation tables for that rate (annex 1, tables 1 and 2).
"""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.signal import sosfilt

RATE: Final = 48_000
Sound = NDArray[np.float32]

_EAR: Final = np.array(
    [
        [1.53512485958697, -2.69169618940638, 1.19839281085285, 1.0, -1.69065929318241, 0.73248077421585],
        [1.0, -2.0, 1.0, 1.0, -1.99004745483398, 0.99007225036621],
    ]
)
_STEP: Final = RATE // 10
_STEPS_A_BLOCK: Final = 4
_SILENT_LUFS: Final = -70.0
_QUIETER_LU: Final = -10.0

COMMON_LUFS: Final = -16.0
"""What the passages of a reel are levelled to: usual for listening on a phone."""

_MOST_GAIN_DB: Final = 20.0
_KNEE: Final = 0.7
_CEILING: Final = 0.95


def loudness(sound: Sound) -> float | None:
    """LUFS of the whole; None for silence and for less than a block of 0.4 s."""
    heard = sosfilt(_EAR, sound, axis=1)
    steps = heard.shape[1] // _STEP
    if steps < _STEPS_A_BLOCK:
        return None
    energy = np.square(heard[:, : steps * _STEP]).reshape(len(heard), steps, _STEP).mean(axis=2).sum(axis=0)
    blocks = np.convolve(energy, np.full(_STEPS_A_BLOCK, 1 / _STEPS_A_BLOCK), "valid")
    blocks = blocks[blocks > _energy(_SILENT_LUFS)]
    if not len(blocks):
        return None
    blocks = blocks[blocks > _energy(_lufs(float(blocks.mean())) + _QUIETER_LU)]
    return _lufs(float(blocks.mean()))


def levelled(sound: Sound) -> Sound:
    """The sound at the common loudness, but never made more than ten times as large: wind is no speech.

    Peaks that would leave the scale are bent in, without delay.
    """
    found = loudness(sound)
    if found is None:
        return sound
    gain_db = min(COMMON_LUFS - found, _MOST_GAIN_DB)
    louder = sound * np.float32(10 ** (gain_db / 20))
    size = np.abs(louder)
    room = _CEILING - _KNEE
    bent = _KNEE + room * np.tanh((size - _KNEE) / room)
    return np.where(size > _KNEE, np.copysign(bent, louder), louder).astype(np.float32)


def _lufs(energy: float) -> float:
    return -0.691 + 10 * math.log10(energy)


def _energy(lufs: float) -> float:
    return float(10 ** ((lufs + 0.691) / 10))
