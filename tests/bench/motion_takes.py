"""The drawn clips on which the motion help is judged, drawn by lot: each seed gives another one.

The lot decides on picture size, frame rate, sensor noise, shake, pan, zoom, a camera on a stand, the horse, its
gaits and their speeds, the rein, reactions, cues, what passes by. The drawn pen and the way a drawn horse goes are
those of the demonstration, so they say nothing of real footage. The method was tuned on seeds 1001 to 1032; 1033 to
1056 were looked at while it was.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Final, Literal

import numpy as np

from sample_media.camera import View
from sample_media.gaits import GAITS
from sample_media.scenario import ClipPlan, Exposure, Horse, Mark, Reaction, Scenario, Spell

JUDGED: Final = range(3001, 3021)

_SIZES: Final = ((640, 360), (480, 270), (854, 480), (1280, 720), (960, 540), (360, 640), (640, 360), (640, 480))
_RATES: Final = (10, 15, 24, 25, 30, 30, 30, 50, 60)
_SHARES: Final = {"walk": 0.3, "trot": 0.28, "lope": 0.22, "gallop": 0.07, "stand": 0.13}
_DRAWN_AS: Final = {"walk": "walk", "trot": "trot", "lope": "lope_left", "gallop": "gallop_left"}
_REACTIONS: Final = {
    "spook": 0.4, "shy": 0.2, "buck": 0.12, "kick_out": 0.1, "crow_hop": 0.1, "rear": 0.04, "bolt": 0.04
}  # fmt: skip
_SEVERITIES: Final = (0.15, 0.4, 0.35, 0.1)
_UPRIGHT_ZOOM: Final = 1.4


@dataclass(frozen=True)
class Take:
    """One clip to render: what happens, and how it is filmed."""

    name: str
    view: View
    plan: ClipPlan
    horse: Horse
    spells: tuple[Spell, ...]
    first_rein: Literal["left_rein", "right_rein"]
    angle: float
    reactions: tuple[Reaction, ...]
    exposures: tuple[Exposure, ...]
    cues: tuple[Mark, ...]
    passers: tuple[tuple[float, str], ...]

    def scenario(self) -> Scenario:
        """The same as the renderer wants it."""
        return Scenario(
            key=self.name,
            horse=self.horse,
            date="2026-06-01",
            opening="08:00:00",
            title="Drawn for measuring",
            goal="",
            note="",
            clips=(self.plan,),
            spells=self.spells,
            first_rein=self.first_rein,
            start_angle_deg=self.angle,
            reactions=self.reactions,
            exposures=self.exposures,
            cues=self.cues,
            passers=self.passers,
            seed=self.view.seed,
        )


def drawn_by_lot(seed: int) -> Take:
    """The take of a seed."""
    lot = np.random.default_rng([seed, 4242])
    width, height = _SIZES[lot.integers(len(_SIZES))]
    rate = Fraction(int(_RATES[lot.integers(len(_RATES))]))
    on_a_stand = bool(lot.random() < 0.15)
    pan = 0.0 if on_a_stand else float(lot.uniform(0.7, 1.3))
    shake = 0.0 if on_a_stand else float(lot.uniform(0.4, 2.2))
    zoom = float(lot.uniform(0.75, 1.5)) if width > height else _UPRIGHT_ZOOM + float(lot.uniform(0, 0.4))
    slowly = bool(lot.random() < 0.1)
    seconds = 8.0 if slowly else 24.0
    spells = _spells(lot, seconds, 2.5 if slowly else 5.0)
    reactions = () if slowly else _reactions(lot, seconds)
    asked = [
        Mark(spell.start_s - 0.8, "cluck" if spell.gait in ("walk", "trot") else "kiss")
        for spell in spells[1:]
        if spell.speed_mps is not None
    ]
    return Take(
        name=f"lot_{seed}",
        view=View(width, height, float(lot.uniform(0.8, 4)), shake, pan, zoom, seed),
        plan=ClipPlan(f"lot_{seed}", 0, seconds, rate, 4 if slowly else 1),
        horse=Horse("By lot", str(lot.choice(["bay", "sorrel", "buckskin"])), float(lot.uniform(1.35, 1.6))),
        spells=spells,
        first_rein="left_rein" if lot.random() < 0.5 else "right_rein",
        angle=float(lot.uniform(180, 360)),
        reactions=reactions,
        exposures=(Exposure(1.5, 4, "flag", "left", 0.8),) if spells[0].gait == "stand" else (),
        cues=tuple(asked),
        passers=((float(lot.uniform(2, 12)), str(lot.choice(["dog", "bird"]))),) if lot.random() < 0.25 else (),
    )


def _spells(lot: np.random.Generator, seconds: float, shortest_s: float) -> tuple[Spell, ...]:
    spells: list[Spell] = []
    at_s = 0.0
    while at_s < seconds - 3:
        gait = str(lot.choice(list(_SHARES), p=list(_SHARES.values())))
        if spells and gait == spells[-1].gait:
            continue
        usual = GAITS[_DRAWN_AS[gait]].speed_mps if gait in _DRAWN_AS else None
        spells.append(Spell(round(at_s, 2), gait, None if usual is None else usual * float(lot.uniform(0.82, 1.2))))
        at_s += shortest_s + float(lot.uniform(0, 1.2 * shortest_s))
    return tuple(spells)


def _reactions(lot: np.random.Generator, seconds: float) -> tuple[Reaction, ...]:
    out: list[Reaction] = []
    at_s = float(lot.uniform(3, 9))
    while at_s < seconds - 3:
        kind = str(lot.choice(list(_REACTIONS), p=list(_REACTIONS.values())))
        severity = 1 + int(lot.choice(4, p=_SEVERITIES))
        calm_s = round(at_s + 2.5, 2) if lot.random() < 0.7 else None
        away: Literal["in", "out"] = "in" if lot.random() < 0.5 else "out"
        side: Literal["left", "right"] = "left" if lot.random() < 0.5 else "right"
        out.append(Reaction(round(at_s, 2), kind, severity, "", calm_s, away, side))
        at_s += float(lot.uniform(7, 14))
    return tuple(out)
