"""The drawn clips on which the motion help is judged: seeds from 221, which nothing was tuned on.

Each is filmed otherwise: size, sensor noise, shake, pan, zoom, frame rate, and what happens. The drawn pen and the
way a drawn horse goes are those of the demonstration, so they say nothing of real footage.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Final, Literal

from sample_media.camera import View
from sample_media.scenario import ClipPlan, Exposure, Horse, Mark, Reaction, Scenario, Spell, Turn

_BAY: Final = Horse("Bench bay", "bay", 1.44)
_SORREL: Final = Horse("Bench sorrel", "sorrel", 1.55)
_BUCKSKIN: Final = Horse("Bench buckskin", "buckskin", 1.38)


@dataclass(frozen=True)
class Take:
    """One clip to render: what happens, and how it is filmed."""

    name: str
    view: View
    spells: tuple[Spell, ...]
    seconds: float
    rate: Fraction = Fraction(30)
    capture_speed: int = 1
    first_rein: Literal["left_rein", "right_rein"] = "left_rein"
    angle: float = 250.0
    turns: tuple[Turn, ...] = ()
    reactions: tuple[Reaction, ...] = ()
    exposures: tuple[Exposure, ...] = ()
    cues: tuple[Mark, ...] = ()
    passers: tuple[tuple[float, str], ...] = ()
    horse: Horse = _BAY

    @property
    def plan(self) -> ClipPlan:
        """The one clip."""
        return ClipPlan(self.name, 0, self.seconds, self.rate, self.capture_speed)

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
            turns=self.turns,
            reactions=self.reactions,
            exposures=self.exposures,
            cues=self.cues,
            passers=self.passers,
            seed=self.view.seed,
        )


HELD_OUT: Final = (
    Take(
        "walk_trot_walk",
        View(640, 360, noise=1.5, shake=1.0, pan=1.0, seed=221),
        (Spell(0, "walk"), Spell(10, "trot"), Spell(22, "walk")),
        30,
        angle=205.0,
        reactions=(
            Reaction(6.0, "spook", 2, "", 8.5, "in", "left"),
            Reaction(16.0, "shy", 3, "", 18.5, "in", "right"),
        ),
        cues=(Mark(9.2, "cluck"),),
    ),
    Take(
        "trot_lope_trot",
        View(480, 270, noise=2.5, shake=1.6, pan=0.8, seed=222),
        (Spell(0, "trot"), Spell(10, "lope"), Spell(22, "trot")),
        28,
        first_rein="right_rein",
        angle=330.0,
        reactions=(
            Reaction(14.5, "buck", 3, "", 18.0),
            Reaction(25.0, "spook", 2, "", None, "out", "left"),
        ),
        cues=(Mark(9.1, "kiss"), Mark(21.0, "cluck")),
        horse=_SORREL,
    ),
    Take(
        "stand_only",
        View(640, 360, noise=2.0, shake=1.4, pan=1.0, seed=223),
        (Spell(0, "stand"),),
        16,
        angle=262.0,
        exposures=(Exposure(4, 8, "flag", "left", 0.8),),
        reactions=(Reaction(5.0, "spook", 2, "flag", 7.0, "out", "left"),),
        horse=_BUCKSKIN,
    ),
    Take(
        "stand_walk_stand",
        View(854, 480, noise=1.2, shake=0.7, pan=1.0, seed=224),
        (Spell(0, "stand"), Spell(7, "walk"), Spell(18, "stand"), Spell(24, "trot")),
        31,
        angle=240.0,
        exposures=(Exposure(2, 5, "bag", "left", 0.7),),
        cues=(Mark(6.3, "cluck"), Mark(23.3, "cluck")),
    ),
    Take(
        "on_a_stand",
        View(640, 360, noise=1.0, shake=0.0, pan=0.0, seed=225),
        (Spell(0, "trot"), Spell(11, "walk"), Spell(24, "lope")),
        32,
        angle=225.0,
        reactions=(Reaction(6.5, "spook", 3, "", 9.0, "in", "left"),),
        cues=(Mark(23.1, "kiss"),),
        passers=((4.0, "dog"),),
        horse=_SORREL,
    ),
    Take(
        "gallop_large",
        View(1280, 720, noise=1.2, shake=1.2, pan=1.3, seed=226),
        (Spell(0, "lope"), Spell(7, "gallop"), Spell(13, "lope"), Spell(18, "trot")),
        23,
        first_rein="right_rein",
        angle=300.0,
        reactions=(Reaction(6.8, "bolt", 4, "", 12.5, "out", "right"),),
    ),
    Take(
        "ten_a_second",
        View(640, 360, noise=1.5, shake=0.8, pan=1.0, seed=227),
        (Spell(0, "walk"), Spell(14, "trot"), Spell(22, "stand")),
        27,
        rate=Fraction(10),
        angle=230.0,
        turns=(Turn(7.5, "turn_in"),),
        horse=_BUCKSKIN,
    ),
    Take(
        "upright_picture",
        View(360, 640, noise=1.8, shake=1.3, pan=1.1, zoom=1.6, seed=228),
        (Spell(0, "walk"), Spell(9, "trot"), Spell(19, "lope")),
        27,
        angle=235.0,
        reactions=(
            Reaction(14.0, "kick_out", 3, "", 16.0, "out", "right"),
            Reaction(23.5, "shy", 2, "", 25.5, "in", "right"),
        ),
        cues=(Mark(8.2, "cluck"), Mark(18.2, "kiss")),
    ),
    Take(
        "slow_motion",
        View(640, 360, noise=1.2, shake=0.8, pan=1.0, seed=229),
        (Spell(0, "lope"), Spell(4.5, "trot")),
        8,
        capture_speed=4,
        first_rein="right_rein",
        angle=310.0,
        horse=_SORREL,
    ),
    Take(
        "small_and_noisy",
        View(480, 270, noise=4.5, shake=2.0, pan=0.9, seed=230),
        (Spell(0, "trot"), Spell(9, "walk"), Spell(18, "trot", 3.4)),
        26,
        angle=250.0,
        turns=(Turn(12.0, "turn_out"),),
        reactions=(
            Reaction(22.0, "spook", 3, "", 24.0, "in", "right"),
            Reaction(5.5, "crow_hop", 3, "", 8.0),
        ),
        passers=((3.0, "bird"),),
    ),
    Take(
        "sixty_a_second",
        View(640, 360, noise=1.5, shake=1.0, pan=1.2, seed=231),
        (Spell(0, "trot"), Spell(7, "lope"), Spell(14, "walk")),
        20,
        rate=Fraction(60),
        first_rein="right_rein",
        angle=285.0,
        reactions=(
            Reaction(10.5, "spook", 4, "", 13.0, "out", "left"),
            Reaction(17.0, "spook", 1, "", 18.5, "in", "right"),
        ),
        cues=(Mark(6.2, "kiss"),),
        horse=_BUCKSKIN,
    ),
    Take(
        "loose_hand",
        View(960, 540, noise=1.5, shake=2.4, pan=0.7, zoom=0.8, seed=232),
        (Spell(0, "walk", 1.3), Spell(11, "stand"), Spell(16, "walk", 1.6), Spell(22, "lope")),
        30,
        first_rein="right_rein",
        angle=290.0,
        reactions=(
            Reaction(13.0, "spook", 3, "", 15.0, "out", "left"),
            Reaction(26.5, "buck", 2, "", 29.0),
        ),
        cues=(Mark(15.2, "cluck"), Mark(21.2, "kiss")),
    ),
)
