"""How the body is held at an instant: height, pitch, neck, tail, and what a reaction adds.

Angles are radians; pitch is positive with the forehand up, elevations are above the horizontal.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from .footfalls import Foot, Footfalls, buck_starts, kicking_leg
from .path import Path
from .scenario import Reaction, Scenario

TAU = 2 * math.pi


@dataclass(frozen=True)
class Kick:
    """Hind hoof drawn away from its swing: back and up in the horse's frame, metres."""

    back: float = 0.0
    up: float = 0.0


@dataclass(frozen=True)
class Pose:
    time_s: float
    x: float
    y: float
    z: float
    heading: float
    pitch: float
    roll: float
    bend: float
    neck: float
    neck_yaw: float
    head: float
    ears: float
    tail_up: float
    tail_swing: float
    mane_lift: float
    speed: float
    alarm: float
    feet: tuple[Foot, Foot, Foot, Foot]
    kicks: tuple[Kick, Kick, Kick, Kick]


def alarm(scenario: Scenario, time_s: float) -> float:
    """0 calm to 1: how tense the horse is carried, from a reaction until it is calm again."""
    level = 0.0
    for r in scenario.reactions:
        age = time_s - r.at_s
        if age < 0:
            continue
        height = 0.3 + 0.175 * r.severity
        if r.calm_s is not None:
            left = r.calm_s - time_s
            fade = 0.35 + 0.65 * max(0.0, min(1.0, left / max(r.calm_s - r.at_s, 0.1)))
            fade *= max(0.0, min(1.0, (left + 0.6) / 1.2))
        else:
            fade = 0.35 + 0.65 * math.exp(-age / 6.0)
            fade *= max(0.0, min(1.0, (16.0 - age) / 4.0))
        level = max(level, height * fade * min(1.0, age / 0.12))
    return level


def _bump(age: float, length: float) -> float:
    """0 to 1 and back over length seconds."""
    return math.sin(math.pi * age / length) ** 2 if 0.0 < age < length else 0.0


def _jumps(r: Reaction) -> list[float]:
    return buck_starts(r.at_s, r.severity)


def _outburst(r: Reaction, t: float) -> tuple[float, float, float]:
    """(z, pitch, neck elevation) that a reaction adds to the gait."""
    age, s = t - r.at_s, r.severity
    if not -0.1 < age < 6.0:
        return 0.0, 0.0, 0.0
    if r.kind in ("spook", "bolt"):
        crouch = _bump(age, 0.22)
        leap = _bump(age - 0.10, 0.30)
        return -0.05 * s * crouch * 0.5 + 0.05 * s * leap, 0.03 * s * _bump(age, 0.5), 0.0
    if r.kind == "shy":
        return 0.0, 0.0, 0.08 * s * _bump(age, 0.9)
    if r.kind == "buck":
        z = pitch = neck = 0.0
        for start in _jumps(r):
            e = _bump(t - start, 0.60)
            up = _bump(t - start + 0.16, 0.44)
            z += (0.04 + 0.035 * s) * e
            pitch += -(0.10 + 0.085 * s) * e + 0.06 * s * 0.5 * up
        bout = 0.62 * s + 0.3
        neck = -(0.45 + 0.17 * s) * min(1.0, max(0.0, age / 0.2)) * max(
            0.0, min(1.0, (bout - age) / 0.4)
        )
        return z, pitch, neck
    if r.kind == "crow_hop":
        z = sum((0.08 + 0.04 * s) * _bump(t - start - 0.06, 0.36) for start in _jumps(r))
        bout = 0.62 * s + 0.2
        neck = -0.35 * min(1.0, max(0.0, age / 0.2)) * max(0.0, min(1.0, (bout - age) / 0.4))
        return z, 0.0, neck
    if r.kind == "kick_out":
        return 0.0, -(0.03 + 0.03 * s) * _bump(age, 0.6), -0.12 * _bump(age, 0.7)
    if r.kind == "rear":
        length = 1.1 + 0.2 * s
        e = _bump(age, length)
        return 0.10 * s * e, (0.18 + 0.13 * s) * e, 0.1 * e
    return 0.0, 0.0, 0.0


def _kick(scenario: Scenario, leg: int, t: float) -> Kick:
    back = up = 0.0
    for r in scenario.reactions:
        if r.kind == "buck":
            for n, start in enumerate(_jumps(r)):
                e = _bump(t - start - 0.10, 0.40) * (1.0 if (n + leg // 2) % 2 == 0 else 0.75)
                back += (0.20 + 0.11 * r.severity) * e
                up += (0.20 + 0.13 * r.severity) * e
        elif r.kind == "kick_out" and (r.severity >= 3 or leg == kicking_leg(r.side)):
            e = _bump(t - r.at_s - 0.08, 0.45)
            back += (0.40 + 0.12 * r.severity) * e
            up += (0.30 + 0.12 * r.severity) * e
    return Kick(back, up)


def pose_at(scenario: Scenario, path: Path, footfalls: Footfalls, t: float) -> Pose:
    """The whole carriage of the horse at time t."""
    at = path.at
    phase = at(path.phase, t)
    w = {k: at(v, t) for k, v in path.weights.items()}
    canter = w["lope"] + w["gallop"]
    beat = TAU * (phase - at(path.stride_start, t))
    speed = at(path.speed, t)
    tense = alarm(scenario, t)

    z = -0.028 * w["trot"] * math.cos(2 * TAU * (phase - 0.20))
    z += 0.045 * canter * math.cos(beat - TAU * 0.93) - 0.02 * canter
    z += 0.010 * (w["walk"] + w["back"]) * math.cos(2 * TAU * (phase - 0.1))
    pitch = 0.085 * canter * math.cos(beat - TAU * 0.06) + 0.008 * w["walk"] * math.cos(
        2 * TAU * phase
    )
    nod = 0.07 * w["walk"] * math.cos(2 * TAU * (phase - 0.40))
    nod += -0.14 * canter * math.cos(beat - TAU * 0.10) + 0.012 * w["trot"] * math.cos(
        2 * TAU * phase
    )
    idle = 0.03 * math.sin(t * 0.9) + 0.02 * math.sin(t * 2.3 + 1)
    neck = 0.42 * w["walk"] + 0.60 * w["trot"] + 0.55 * canter + 0.50 * w["stand"]
    neck += 0.55 * w["back"] + idle * w["stand"] + nod + 0.55 * tense
    head = -0.92 + 0.30 * tense - 0.4 * nod
    mane = min(1.0, 0.25 * w["trot"] + 0.55 * canter + 0.3 * tense)
    yaw = 0.0
    for r in scenario.reactions:
        dz, dp, dn = _outburst(r, t)
        z, pitch, neck = z + dz, pitch + dp, neck + dn
        if r.kind in ("spook", "shy", "bolt"):
            look = 1.0 if (r.away == "in") != (at(path.rein.astype(float), t) > 0) else -1.0
            yaw += look * (0.10 + 0.06 * r.severity) * _bump(t - r.at_s, 1.6)
    for mark in scenario.signs:
        age = t - mark.at_s
        if mark.what == "head_low":
            neck -= 0.75 * _bump(age, 3.5)
            head -= 0.1 * _bump(age, 3.5)
        elif mark.what == "head_toss":
            neck += 0.30 * _bump(age, 0.45) + 0.22 * _bump(age - 0.45, 0.4)
            head += 0.5 * _bump(age, 0.45) + 0.4 * _bump(age - 0.45, 0.4)
        elif mark.what == "snort":
            neck -= 0.12 * _bump(age, 0.5)
        elif mark.what == "lick_chew":
            head += 0.03 * math.sin(TAU * 2.0 * age) if 0 < age < 2.5 else 0.0
    flick = sum(_bump(t - m.at_s, 0.5) for m in scenario.signs if m.what == "tail_wring")
    bend = max(-0.22, min(0.22, at(path.bend, t)))
    lean = math.atan(speed * speed * at(path.bend, t) / 9.80665) * 0.8
    lean = max(-0.26, min(0.26, lean))
    pinned = any(m.what == "ears_pinned" and 0 < t - m.at_s < 1.6 for m in scenario.signs)
    bucking = any(
        r.kind in ("buck", "kick_out", "crow_hop") and 0 < t - r.at_s < 0.6 * r.severity + 0.3
        for r in scenario.reactions
    )
    ears = -1.0 if pinned or bucking else (0.25 * math.sin(t * 0.7) * (1 - tense) + tense)
    swing = 0.16 * math.sin(TAU * (phase if speed > 0.1 else t * 0.35)) + 0.06 * math.sin(t * 1.7)
    swing += flick * math.sin(t * 18) * 0.7
    feet = tuple(footfalls.foot(leg, t) for leg in range(4))
    kicks = (_kick(scenario, 0, t), Kick(), _kick(scenario, 2, t), Kick())
    return Pose(
        time_s=t,
        x=at(path.x, t),
        y=at(path.y, t),
        z=z,
        heading=at(path.heading, t),
        pitch=pitch,
        roll=-lean,
        bend=bend,
        neck=neck,
        neck_yaw=max(-0.5, min(0.5, bend * 0.9 + yaw)),
        head=head,
        ears=ears,
        tail_up=min(1.0, 0.12 * w["trot"] + 0.3 * canter + 0.75 * tense),
        tail_swing=swing,
        mane_lift=mane,
        speed=speed,
        alarm=tense,
        feet=(feet[0], feet[1], feet[2], feet[3]),
        kicks=kicks,
    )
