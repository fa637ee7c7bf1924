"""How a horse puts its feet down. Phases are fractions of a stride, counted from the left hind.

Footfall order: walk LH, LF, RH, RF; trot LH+RF then RH+LF; lope on the right lead LH, RH+LF, RF
and on the left lead RH, LH+RF, LF (from memory; three beats and the lead named for the last fore
are in any gait textbook); transverse gallop with the diagonal pair split (Hildebrand 1965).
Duty factors: walk 0.60-0.70, trot 0.30-0.45, lope 0.25-0.40 (from memory); trot by Froude number
after Bullimore & Burn 2006, J Exp Biol 209:455; gallop after Witte, Hirst & Wilson 2006, J Exp
Biol 209:4389.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

LEGS = ("LH", "LF", "RH", "RF")


@dataclass(frozen=True)
class Gait:
    """One gait at its usual speed for a young horse in a pen.

    offsets: touchdown of LH, LF, RH, RF as a fraction of the stride. duty_*: share of the stride
    a foot is down. lift_m: how high a hoof is carried. stride_start: phase of the first beat.
    """

    offsets: tuple[float, float, float, float]
    duty_fore: float
    duty_hind: float
    stride_hz: float
    speed_mps: float
    lift_m: float
    stride_start: float = 0.0

    def hz_at(self, speed_mps: float) -> float:
        """Strides a second at another speed: both rate and length give (rate as v ** 0.45)."""
        return self.stride_hz * math.pow(max(abs(speed_mps), 0.05) / self.speed_mps, 0.45)


def _mirror(gait: Gait) -> Gait:
    """The same gait on the other lead, still counted from the left hind."""
    lh, lf, rh, rf = gait.offsets
    left, start = rh % 1.0, (lh - rh) % 1.0
    turned = tuple((x - left) % 1.0 for x in (rh, rf, lh, lf))
    return Gait(
        (turned[0], turned[1], turned[2], turned[3]),
        gait.duty_fore,
        gait.duty_hind,
        gait.stride_hz,
        gait.speed_mps,
        gait.lift_m,
        start,
    )


_LOPE_RIGHT = Gait((0.0, 0.27, 0.27, 0.53), 0.33, 0.34, 1.60, 4.3, 0.17)
_LOPE_LEFT = _mirror(_LOPE_RIGHT)
_GALLOP_RIGHT = Gait((0.0, 0.36, 0.17, 0.52), 0.27, 0.29, 1.95, 6.6, 0.20)

GAITS: dict[str, Gait] = {
    "stand": Gait((0.0, 0.25, 0.5, 0.75), 0.64, 0.64, 0.90, 1.45, 0.06),
    "walk": Gait((0.0, 0.25, 0.5, 0.75), 0.63, 0.64, 0.92, 1.45, 0.09),
    "trot": Gait((0.0, 0.5, 0.5, 0.0), 0.40, 0.41, 1.38, 3.0, 0.14),
    "lope_right": _LOPE_RIGHT,
    "lope_left": _LOPE_LEFT,
    # Hind legs on the left lead, fore legs on the right.
    "lope_disunited": Gait(
        (
            _LOPE_LEFT.offsets[0],
            _LOPE_RIGHT.offsets[1] - 0.27,
            _LOPE_LEFT.offsets[2],
            _LOPE_RIGHT.offsets[3] - 0.27,
        ),
        0.33,
        0.34,
        1.60,
        4.0,
        0.16,
        _LOPE_LEFT.stride_start,
    ),
    "gallop_right": _GALLOP_RIGHT,
    "gallop_left": _mirror(_GALLOP_RIGHT),
    "back": Gait((0.0, 0.5, 0.5, 0.0), 0.60, 0.60, 0.75, 0.7, 0.05),
}
