"""What the microphone hears: wind, hooves at the footfalls, the handler's clucks and kisses.

Everything is placed by the horse's time; slow motion stretches it, as a phone does.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray
from scipy.signal import butter, sosfilt

from .camera import STAND
from .scenario import ClipPlan
from .scene import Film

RATE = 24000
Floats = NDArray[np.float64]


def _band(noise: Floats, low: float, high: float) -> Floats:
    sos = butter(2, [low, high], "bandpass", fs=RATE, output="sos")
    result: Floats = sosfilt(sos, noise)
    return result


def _decay(seconds: float, fall: float) -> Floats:
    t = np.arange(int(seconds * RATE)) / RATE
    result: Floats = np.exp(-t / fall) * np.minimum(1.0, t / 0.0015)
    return result


def cluck(rng: np.random.Generator) -> Floats:
    """Two quick clicks of the tongue."""
    one = _band(rng.standard_normal(int(0.05 * RATE)), 1200, 3600) * _decay(0.05, 0.008)
    t = np.arange(len(one)) / RATE
    one = one + 0.5 * np.sin(2 * math.pi * 1900 * t) * _decay(0.05, 0.010)
    out = np.zeros(int(0.30 * RATE))
    for start in (0.0, 0.16):
        k = int(start * RATE)
        out[k : k + len(one)] += one
    return out


def kiss(rng: np.random.Generator) -> Floats:
    """A long smooch that rises."""
    n = int(0.24 * RATE)
    t = np.arange(n) / RATE
    sweep = np.sin(2 * math.pi * (1500 * t + 0.5 * 6500 * t * t))
    hiss = _band(rng.standard_normal(n), 2000, 6000)
    shape = np.minimum(1, t / 0.004) * np.clip((0.24 - t) / 0.06, 0, 1)
    result: Floats = (0.5 * sweep + 0.5 * hiss) * shape * (0.35 + 0.65 * (t > 0.15))
    return result


def hoof(rng: np.random.Generator, hard: float) -> Floats:
    t = np.arange(int(0.14 * RATE)) / RATE
    thud = np.sin(2 * math.pi * (95 - 160 * t) * t) * _decay(0.14, 0.030)
    grit = _band(rng.standard_normal(len(t)), 500, 2600) * _decay(0.14, 0.018)
    result: Floats = (0.9 * thud + 0.25 * grit) * hard
    return result


def snort(rng: np.random.Generator) -> Floats:
    n = int(0.5 * RATE)
    t = np.arange(n) / RATE
    flutter = 0.6 + 0.4 * np.sin(2 * math.pi * 23 * t)
    shape = np.minimum(1, t / 0.05) * np.exp(-t / 0.18)
    result: Floats = _band(rng.standard_normal(n), 180, 1400) * flutter * shape * 1.4
    return result


def clip_sound(film: Film, plan: ClipPlan, seconds: float) -> NDArray[np.int16]:
    """The clip's mono sound, `seconds` of clip time long, at RATE."""
    scenario = film.scenario
    rng = np.random.default_rng([scenario.seed, plan.starts_s, 9])
    n = math.ceil(seconds * RATE)
    gust = np.interp(
        np.arange(n), np.arange(0, n + RATE, RATE // 2), rng.uniform(0.3, 1.0, n // (RATE // 2) + 3)
        [: len(np.arange(0, n + RATE, RATE // 2))],
    )
    track = _band(rng.standard_normal(n), 90, 520) * gust * 0.035 * scenario.wind
    slow = plan.capture_speed

    def put(sound: Floats, at_s: float, volume: float) -> None:
        if slow != 1:
            grid = np.arange(len(sound) * slow) / slow
            sound = np.interp(grid, np.arange(len(sound)), sound)
        k = round((at_s - plan.starts_s) * slow * RATE)
        if 0 <= k < n:
            part = sound[: n - k]
            track[k : k + len(part)] += part * volume

    until = plan.starts_s + seconds / slow
    for on_s, x, y, leg in film.footfalls.landings(plan.starts_s, until):
        away = math.hypot(x - STAND[0], y - STAND[1])
        speed = abs(film.path.at(film.path.speed, on_s))
        put(hoof(rng, 0.5 + 0.12 * speed), on_s, 1.6 / away * (1.0 if leg % 2 else 0.85))
    for cue in scenario.cues:
        if cue.what == "cluck":
            put(cluck(rng), cue.at_s, 0.42)
        elif cue.what == "kiss":
            put(kiss(rng), cue.at_s, 0.34)
    for sign in scenario.signs:
        if sign.what == "snort":
            put(snort(rng), sign.at_s, 0.3)
    return np.clip(np.round(track * 32767 * 0.9), -32767, 32767).astype(np.int16)
