"""The bones of the legs: where the joints are when a hoof is in a given place.

Hind legs bend as in the living animal, where stifle and hock can only open and close together:
thigh and cannon stay parallel, which leaves a triangle with one solution for any hoof.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from .footfalls import ROOTS
from .pose import Kick, Pose

Floats = NDArray[np.float64]

HIP = (-0.50, 1.17)
THIGH, GASKIN, HIND_CANNON = 0.29, 0.41, 0.37
SHOULDER = (0.43, 1.20)
UPPER_ARM, FOREARM, FORE_CANNON = 0.36, 0.40, 0.29
PASTERN, HOOF = 0.105, 0.075
REACH_FORE = UPPER_ARM + FOREARM + FORE_CANNON + 0.06
GIVE_M = 0.08


def _rotate(angle: float, x: float, z: float) -> tuple[float, float]:
    c, s = math.cos(angle), math.sin(angle)
    return c * x - s * z, s * x + c * z


def joints(
    leg: int, pose: Pose, forward: Floats, s: float, in_world: Callable[[Floats, Pose], Floats]
) -> list[Floats]:
    """Six points from the top of the limb to the sole, in the world.

    s is the horse's size against the pattern; in_world takes points of the horse to the world.
    """
    hind = leg in (0, 2)
    foot, kick = pose.feet[leg], pose.kicks[leg]
    sole = np.array([foot.x, foot.y, foot.z])
    sole = sole - forward * kick.back + np.array([0, 0, kick.up])
    fold = _fold(foot.swing, hind, kick)
    # Pastern and hoof turn together about the fetlock; 0 is flat on the ground.
    px, pz = _rotate(-fold, 0.62 * PASTERN, -0.80 * PASTERN)
    hx, hz = _rotate(-fold * 1.15, 0.30 * HOOF, -HOOF)
    up = np.array([0.0, 0.0, 1.0])
    coronet = sole - (forward * hx + up * hz) * s
    fetlock = coronet - (forward * px + up * pz) * s
    top_x, top_z = HIP if hind else SHOULDER
    root_left = ROOTS[leg][1] * (0.95 if hind else 0.85)
    root = in_world(np.array([top_x, root_left, top_z]), pose)
    line = fetlock - root
    reach = float(line @ forward)
    root = root + forward * reach * (0.14 if hind else 0.10)
    length = (THIGH + HIND_CANNON + GASKIN) * 0.985 if hind else REACH_FORE
    line = fetlock - root
    far = float(np.linalg.norm(line))
    if far > length * s:
        # The girdle gives a little; a foot in the air that is still too far is drawn in.
        over = line / far * (far - length * s)
        give = over * min(1.0, GIVE_M / float(np.linalg.norm(over)))
        root = root + (over if foot.swing is None else give)
        rest = 0.0 if foot.swing is None else over - give
        fetlock, coronet, sole = fetlock - rest, coronet - rest, sole - rest
    if hind:
        return [*_hind_limb(root, fetlock, forward, s), fetlock, coronet, sole]
    return [*_fore_limb(root, fetlock, forward, s), fetlock, coronet, sole]


def _fold(swing: float | None, hind: bool, kick: Kick) -> float:
    """How far pastern and hoof are turned back, radians; slightly forward before landing."""
    if swing is None:
        return 0.0
    most = 1.15 if hind else 1.45
    rise = math.sin(math.pi * min(1.0, swing / 0.72)) if swing < 0.72 else 0.0
    reach = -0.22 * math.sin(math.pi * (swing - 0.72) / 0.28) if swing >= 0.72 else 0.0
    return most * math.pow(rise, 1.1) + reach + 0.5 * min(1.0, kick.up)


def _bent(line: Floats, forward: Floats, a: float, b: float) -> Floats:
    """Direction of the first of two bones of lengths a and b that span line, bent forward."""
    far = max(float(np.linalg.norm(line)), abs(a - b) * 1.05, 1e-6)
    e1 = line / np.linalg.norm(line)
    e2 = forward - (forward @ e1) * e1
    e2 /= np.linalg.norm(e2) + 1e-9
    cos = min(1.0, max(-1.0, (a * a + far * far - b * b) / (2 * a * far)))
    direction: Floats = e1 * cos + e2 * math.sqrt(1 - cos * cos)
    return direction


def _hind_limb(root: Floats, fetlock: Floats, forward: Floats, s: float) -> list[Floats]:
    """Hip, stifle, hock."""
    thigh = _bent(fetlock - root, forward, (THIGH + HIND_CANNON) * s, GASKIN * s)
    return [root, root + thigh * THIGH * s, fetlock - thigh * HIND_CANNON * s]


def _fore_limb(root: Floats, fetlock: Floats, forward: Floats, s: float) -> list[Floats]:
    """Shoulder, elbow, knee."""
    a, b = FOREARM * s, FORE_CANNON * s
    line = fetlock - root
    elbow = root + line / np.linalg.norm(line) * UPPER_ARM * s - forward * 0.05 * s
    line = fetlock - elbow
    far = float(np.linalg.norm(line))
    limit = (a + b) * 0.998
    if far > limit:
        elbow = elbow + line * (1 - limit / far)
        line = fetlock - elbow
    return [root, elbow, elbow + _bent(line, forward, a, b) * a]
