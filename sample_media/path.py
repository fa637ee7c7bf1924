"""Where the horse's body is at every instant, from the scenario. Sampled STEP_HZ times a second.

World: metres, origin in the middle of the pen, z up, angles anticlockwise, so the left rein has a
growing angle. Left and right of the horse follow its heading.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .gaits import GAITS, Gait
from .scenario import Reaction, Scenario, Spell

STEP_HZ = 240
PEN_RADIUS_M = 9.144  # 60 ft across
TRACK_M = 7.9
BLEND_S = 0.6
HALT_S = 0.8
LEAD_IN_S = 3.0

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Path:
    """Arrays over time; index i is at start_s + i / STEP_HZ."""

    start_s: float
    x: Floats
    y: Floats
    heading: Floats
    bend: Floats
    speed: Floats
    stride_hz: Floats
    phase: Floats
    offsets: Floats
    duty: Floats
    lift: Floats
    stride_start: Floats
    weights: dict[str, Floats]
    rein: NDArray[np.int8]
    standing: NDArray[np.bool_]

    def index(self, time_s: float) -> float:
        return (time_s - self.start_s) * STEP_HZ

    def at(self, values: Floats, time_s: float) -> float:
        """Linear reading of one of the arrays."""
        i = min(max(self.index(time_s), 0.0), len(values) - 1.001)
        k = int(i)
        return float(values[k] + (values[k + 1] - values[k]) * (i - k))


def _smooth(values: Floats, seconds: float) -> Floats:
    n = max(3, int(seconds * STEP_HZ) | 1)
    kernel = np.hanning(n + 2)[1:-1]
    kernel /= kernel.sum()
    padded = np.pad(values, n // 2, mode="edge")
    return np.convolve(padded, kernel, mode="valid")


def _gait_name(spell: Spell, rein: int) -> str:
    if spell.gait not in ("lope", "gallop"):
        return spell.gait
    lead = spell.lead or ("left" if rein > 0 else "right")
    return f"{spell.gait}_{lead}"


def surge(reaction: Reaction, time_s: float) -> float:
    """Extra speed of a frightened horse, m/s, fading in about a second."""
    age = time_s - reaction.at_s
    if age < 0 or reaction.kind in ("balk", "rear"):
        return 0.0
    return 0.35 * reaction.severity * math.exp(-age / 0.9) * min(1.0, age / 0.15)


def _lateral(reaction: Reaction, time_s: float) -> float:
    """Sideways speed (m/s, towards `away`) of a spook or shy."""
    if reaction.kind not in ("spook", "shy", "bolt"):
        return 0.0
    length = 0.34 if reaction.kind != "shy" else 0.7
    age = (time_s - reaction.at_s - 0.06) / length
    if not 0.0 < age < 1.0:
        return 0.0
    metres = 0.10 + 0.20 * reaction.severity
    return metres / length * 2.0 * math.sin(math.pi * age) ** 2


def _wrap(angle: float) -> float:
    return (angle + math.pi) % (2 * math.pi) - math.pi


def walk_the_path(scenario: Scenario) -> Path:
    """Steer the horse through the whole scenario."""
    count = int((scenario.length_s + 2 * LEAD_IN_S) * STEP_HZ)
    times = -LEAD_IN_S + np.arange(count) / STEP_HZ
    spells = [scenario.spell_at(float(t)) for t in times[:: STEP_HZ // 60]]
    per_step = [s for s in spells for _ in range(STEP_HZ // 60)][:count]
    track = _steer(scenario, times, _pace(per_step), per_step[0].gait == "stand")
    return _with_strides(times, track, per_step)


def _pace(per_step: list[Spell]) -> Floats:
    """Speed that the spells ask for, blended from one to the next and eased into halts."""
    count = len(per_step)
    steps = np.arange(count)
    standing = np.array([s.gait == "stand" for s in per_step])
    reverse = np.array([s.gait == "back" for s in per_step])
    usual = [s.speed_mps or GAITS[_gait_name(s, 1)].speed_mps for s in per_step]
    wanted = np.where(reverse, -1.0, 1.0) * np.array(usual)
    moving = np.flatnonzero(~standing)
    if len(moving):
        # A standing horse is given its neighbours' speed, so that only the halt slows them.
        ahead = np.minimum(np.searchsorted(moving, steps), len(moving) - 1)
        behind = np.maximum(ahead - 1, 0)
        nearer = np.abs(moving[ahead] - steps) < np.abs(moving[behind] - steps)
        near = np.where(nearer, moving[ahead], moving[behind])
        wanted = np.where(standing, wanted[near], wanted)
    ramp = np.ones(count)
    for edge in np.flatnonzero(np.diff(standing.astype(int))):
        outward = edge - steps if standing[edge + 1] else steps - edge
        ease = np.clip(outward / (HALT_S * STEP_HZ), 0.0, 1.0)
        within = ~standing & (outward >= 0) & (outward < HALT_S * STEP_HZ)
        ramp[within] = np.minimum(ramp[within], ease[within])
    ramp[standing] = 0.0
    ramp = np.sin(ramp * math.pi / 2) ** 1.2
    blended = np.where(reverse, wanted, _smooth(np.where(reverse, 0.5, wanted), BLEND_S))
    result: Floats = blended * ramp
    return result


@dataclass(frozen=True)
class _Track:
    x: Floats
    y: Floats
    heading: Floats
    bend: Floats
    speed: Floats
    rein: NDArray[np.int8]


def _steer(scenario: Scenario, times: Floats, pace: Floats, from_stand: bool) -> _Track:
    """Along the rail, round the turns, aside in a fright."""
    count = len(times)
    x, y, heading, bend, speed = (np.empty(count) for _ in range(5))
    rein = np.empty(count, np.int8)
    way = 1 if scenario.first_rein == "left_rein" else -1
    angle = math.radians(scenario.start_angle_deg)
    if not from_stand:
        # On the move already: set off earlier on the track, to be there when the clip begins.
        angle -= way * float(pace[0]) * LEAD_IN_S / TRACK_M
    px, py = TRACK_M * math.cos(angle), TRACK_M * math.sin(angle)
    psi = angle + way * math.pi / 2
    turns = list(scenario.turns)
    turning, tight = 0, 0.0
    kappa = way / TRACK_M
    dt = 1.0 / STEP_HZ
    for i in range(count):
        t, v = float(times[i]), float(pace[i])
        if turns and turning == 0 and t >= turns[0].start_s:
            turn = turns.pop(0)
            turning = way if turn.kind == "turn_in" else -way
            tight = 1.75 if turn.kind == "turn_in" else 0.72
            way = -way
        radius = math.hypot(px, py)
        goal = TRACK_M
        if turns and turns[0].kind == "turn_out" and -2.6 < t - turns[0].start_s < 0:
            goal -= 1.3  # room to turn towards the rail
        error = max(-0.7, min(0.7, 0.5 * (radius - goal)))
        off = _wrap(math.atan2(py, px) + way * (math.pi / 2 + error) - psi)
        if v > 0:
            v += sum(surge(r, t) for r in scenario.reactions)
        if turning:
            want = turning / tight
            v = min(v, 2.3 if tight > 1 else 1.15)
            if off * turning < 0.12 and abs(off) < 1.0:
                turning = 0
        elif v < 0:
            want = way / max(radius, 3.0)
        else:
            want = max(-0.7, min(0.7, way / max(radius, 3.0) + 1.1 * off))
        kappa += (want - kappa) * min(1.0, dt / 0.22)
        inward = sum(_lateral(r, t) * (1 if r.away == "in" else -1) for r in scenario.reactions)
        lateral = inward * way
        x[i], y[i], heading[i], bend[i], speed[i] = px, py, psi, kappa, v
        rein[i] = 1 if px * math.sin(psi) - py * math.cos(psi) > 0 else -1
        px += (v * math.cos(psi) - lateral * math.sin(psi)) * dt
        py += (v * math.sin(psi) + lateral * math.cos(psi)) * dt
        reach = max(1.0, math.hypot(px, py) / (PEN_RADIUS_M - 0.55))
        px, py = px / reach, py / reach
        psi += kappa * v * dt
    return _Track(x, y, heading, bend, speed, rein)


def _with_strides(times: Floats, track: _Track, per_step: list[Spell]) -> Path:
    """Adds the strides that carry the body along its track."""
    gaits: list[Gait] = []
    for s, way in zip(per_step, track.rein, strict=True):
        gaits.append(GAITS[_gait_name(s, int(way))])
    kinds = np.array([s.gait for s in per_step])
    standing, reverse = kinds == "stand", kinds == "back"
    # A turn limits the speed at once; soften that for the body.
    speed = np.where(standing | reverse, track.speed, _smooth(track.speed, 0.3))
    hz = np.array([g.hz_at(v) for g, v in zip(gaits, speed, strict=True)])
    hz = _smooth(hz, BLEND_S)
    hz[standing] = 0.0
    phase = np.concatenate([[0.0], np.cumsum(hz)[:-1]]) / STEP_HZ
    # Offsets run round the circle, so blend them as unwrapped angles.
    raw = np.array([g.offsets for g in gaits])
    unwrapped = np.unwrap(raw, axis=0, period=1.0)
    offsets = np.stack([_smooth(unwrapped[:, k], 0.9) for k in range(4)], axis=1)
    duty = np.array([(g.duty_hind, g.duty_fore, g.duty_hind, g.duty_fore) for g in gaits])
    duty = np.stack([_smooth(duty[:, k], BLEND_S) for k in range(4)], axis=1)
    starts = np.unwrap(np.array([g.stride_start for g in gaits]), period=1.0)
    weights = {
        k: _smooth((kinds == k).astype(float), BLEND_S)
        for k in ("stand", "walk", "trot", "lope", "gallop", "back")
    }
    return Path(
        start_s=float(times[0]),
        x=track.x,
        y=track.y,
        heading=track.heading,
        bend=_smooth(track.bend, 0.3),
        speed=speed,
        stride_hz=hz,
        phase=phase,
        offsets=offsets,
        duty=duty,
        lift=_smooth(np.array([g.lift_m for g in gaits]), BLEND_S),
        stride_start=_smooth(starts, BLEND_S),
        weights=weights,
        rein=track.rein,
        standing=standing,
    )
