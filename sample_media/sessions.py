"""The demonstration sessions: three invented horses at an invented place, Dry Creek."""

from __future__ import annotations

from fractions import Fraction

from .scenario import ClipPlan, Exposure, Horse, Mark, Reaction, Scenario, Spell, Turn

JUNIPER = Horse("Juniper", "bay", 1.42)
BISCUIT = Horse("Biscuit", "sorrel", 1.46)
CLOVER = Horse("Clover", "buckskin", 1.44)
NTSC = Fraction(30000, 1001)


def _cluck(at_s: float) -> Mark:
    return Mark(at_s, "cluck")


def _kiss(at_s: float) -> Mark:
    return Mark(at_s, "kiss")


FIRST = Scenario(
    key="juniper_2026-05-04",
    horse=JUNIPER,
    date="2026-05-04",
    opening="09:12:00",
    title="First free work, flag",
    goal="Go forward on both reins, stand for the flag",
    note="Much left, little right. Worried by the flag.",
    clips=(ClipPlan("juniper_2026-05-04", 0, 106.0, NTSC),),
    start_angle_deg=248.0,
    seed=4,
    spells=(
        Spell(0.0, "stand"),
        Spell(9.4, "walk"),
        Spell(20.8, "trot"),
        Spell(36.9, "lope"),
        Spell(46.0, "trot"),
        Spell(52.3, "lope"),
        Spell(54.5, "gallop"),
        Spell(57.6, "lope"),
        Spell(59.6, "trot"),
        Spell(62.6, "walk"),
        Spell(73.9, "trot"),
        Spell(77.9, "lope"),
        Spell(80.4, "trot"),
        Spell(92.0, "lope", lead="left"),
        Spell(94.4, "lope", lead="disunited"),
        Spell(96.2, "lope"),
        Spell(97.4, "trot"),
        Spell(99.2, "walk"),
    ),
    turns=(Turn(67.2, "turn_out"), Turn(101.2, "turn_in")),
    reactions=(
        Reaction(4.2, "spook", 2, "flag", 7.9, "out", "left"),
        Reaction(15.2, "spook", 1, "other", 17.6, "in", "right"),
        Reaction(28.0, "shy", 2, "other", 33.2, "in", "right"),
        Reaction(41.4, "buck", 3, "", 47.3),
        Reaction(52.0, "spook", 3, "flag", None, "out", "left"),
        Reaction(54.3, "bolt", 4, "flag", 64.1, "out", "left"),
        Reaction(77.6, "spook", 3, "flag", None, "out", "right"),
        Reaction(87.7, "kick_out", 3, "flag", 90.6, "out", "right"),
    ),
    exposures=(
        Exposure(3.2, 6.4, "flag", "left", 1.0),
        Exposure(51.3, 54.0, "flag", "left", 1.0),
        Exposure(76.9, 79.6, "flag", "right", 1.0),
        Exposure(87.1, 89.0, "flag", "right", 0.5),
    ),
    cues=(_cluck(8.6), _cluck(19.7), _kiss(35.9), _cluck(73.0), _kiss(91.1)),
    signs=(
        Mark(44.9, "tail_wring"),
        Mark(58.3, "snort"),
        Mark(65.0, "head_toss"),
        Mark(93.2, "ears_pinned"),
    ),
    lost=((82.2, 86.0),),
    passers=((12.5, "dog"), (66.0, "bird")),
)

SECOND = Scenario(
    key="juniper_2026-05-25",
    horse=JUNIPER,
    date="2026-05-25",
    opening="08:47:30",
    title="Surcingle on, both reins alike",
    goal="All three gaits on both reins, flag on both sides",
    note="Surcingle on throughout. Settles within seconds.",
    clips=(ClipPlan("juniper_2026-05-25", 0, 100.0, NTSC),),
    start_angle_deg=246.0,
    tack=("surcingle",),
    seed=4,
    spells=(
        Spell(0.0, "stand"),
        Spell(6.3, "walk"),
        Spell(13.6, "trot"),
        Spell(24.7, "lope"),
        Spell(33.6, "trot"),
        Spell(36.4, "walk"),
        Spell(44.2, "stand"),
        Spell(51.4, "walk"),
        Spell(56.2, "trot"),
        Spell(66.6, "lope"),
        Spell(75.0, "trot"),
        Spell(77.4, "walk"),
        Spell(85.4, "trot"),
        Spell(90.4, "walk"),
        Spell(92.8, "stand"),
        Spell(94.2, "back"),
        Spell(96.4, "stand"),
    ),
    turns=(Turn(38.3, "turn_in"), Turn(80.4, "turn_out")),
    reactions=(
        Reaction(3.1, "spook", 1, "flag", 4.3, "out", "left"),
        Reaction(69.2, "spook", 1, "flag", 71.0, "out", "right"),
        Reaction(87.6, "shy", 2, "other", 89.5, "in", "right"),
    ),
    exposures=(
        Exposure(2.4, 5.0, "flag", "left", 1.0),
        Exposure(46.0, 49.2, "flag", "right", 1.0),
        Exposure(68.6, 70.8, "flag", "right", 0.6),
        Exposure(97.0, 99.2, "flag", "left", 1.0),
    ),
    cues=(
        _cluck(5.8),
        _cluck(13.0),
        _kiss(24.1),
        _cluck(50.8),
        _cluck(55.6),
        _kiss(66.0),
        _cluck(84.9),
        Mark(93.8, "body_cue"),
    ),
    signs=(Mark(48.2, "lick_chew"), Mark(78.4, "head_low"), Mark(91.2, "snort")),
    lost=((29.0, 32.0),),
    passers=((28.0, "bird"), (40.0, "dog")),
    wind=0.6,
)

GELDING = Scenario(
    key="biscuit_2026-05-18",
    horse=BISCUIT,
    date="2026-05-18",
    opening="16:05:10",
    title="Bag on a stick",
    goal="Walk on past the bag, right rein first",
    note="The trailer hides part of the track.",
    clips=(ClipPlan("biscuit_2026-05-18", 0, 66.0, Fraction(30)),),
    first_rein="right_rein",
    start_angle_deg=330.0,
    trailer_deg=249.0,
    seed=9,
    spells=(
        Spell(0.0, "trot"),
        Spell(13.0, "walk"),
        Spell(31.0, "trot"),
        Spell(36.5, "lope"),
        Spell(47.0, "trot"),
        Spell(49.5, "walk"),
        Spell(63.4, "stand"),
    ),
    # The second turn is made behind the trailer, where nobody sees it.
    turns=(Turn(23.5, "turn_in"), Turn(55.6, "turn_out")),
    reactions=(
        Reaction(17.8, "crow_hop", 2, "bag", 22.6),
        Reaction(44.5, "spook", 1, "other", 46.4, "in", "right"),
    ),
    exposures=(Exposure(17.0, 20.2, "bag", "right", 0.8),),
    cues=(_cluck(30.2), _kiss(35.7)),
    signs=(Mark(28.0, "head_low"), Mark(46.8, "snort")),
    passers=((9.0, "dog"), (33.0, "bird")),
    wind=1.6,
)

TWO_CLIPS = Scenario(
    key="biscuit_2026-05-20",
    horse=BISCUIT,
    date="2026-05-20",
    opening="15:20:04",
    title="Flag again, a short rest between",
    goal="Flag on the right side at trot and lope",
    note="Two clips with a rest that was not filmed.",
    clips=(
        ClipPlan("biscuit_2026-05-20_a", 0, 34.0, NTSC),
        ClipPlan("biscuit_2026-05-20_b", 105, 34.0, NTSC),
    ),
    start_angle_deg=285.0,
    seed=9,
    spells=(
        Spell(0.0, "stand"),
        Spell(4.1, "walk"),
        Spell(10.6, "trot"),
        Spell(20.2, "walk"),
        Spell(30.0, "trot"),
        Spell(36.0, "walk"),
        Spell(110.4, "trot"),
        Spell(121.3, "lope"),
        Spell(128.6, "trot"),
        Spell(136.6, "walk"),
    ),
    turns=(Turn(23.4, "turn_out"), Turn(132.2, "turn_in")),
    reactions=(
        Reaction(16.0, "spook", 1, "flag", 17.5, "out", "left"),
        Reaction(115.6, "spook", 2, "flag", 119.4, "out", "right"),
    ),
    exposures=(
        Exposure(15.2, 17.6, "flag", "left", 0.6),
        Exposure(114.6, 117.8, "flag", "right", 1.0),
    ),
    cues=(_cluck(3.3), _cluck(9.8), _cluck(29.3), _cluck(109.7), _kiss(120.4)),
    signs=(Mark(21.0, "head_low"), Mark(130.2, "snort")),
    passers=((5.0, "bird"), (112.0, "dog")),
)

SLOW = Scenario(
    key="juniper_slow_2026-05-27",
    horse=JUNIPER,
    date="2026-05-27",
    opening="09:31:15",
    title="Slow motion: trot to lope",
    goal="Look at the lead in the depart",
    note="Recorded at 120 frames a second, written as 30.",
    clips=(ClipPlan("juniper_slow_2026-05-27", 0, 4.5, Fraction(30), capture_speed=4),),
    start_angle_deg=232.0,
    tack=("surcingle",),
    seed=4,
    spells=(Spell(0.0, "trot"), Spell(2.3, "lope")),
    cues=(_kiss(1.6),),
)

PHONE = Scenario(
    key="biscuit_phone_2026-05-27",
    horse=BISCUIT,
    date="2026-05-27",
    opening="17:02:40",
    title="From a phone at the rail",
    goal="Check the trot after a day off",
    note="The phone dropped frames; their times are irregular.",
    clips=(
        ClipPlan("biscuit_phone_2026-05-27", 0, 14.0, Fraction(30), variable_rate=True),
    ),
    first_rein="right_rein",
    start_angle_deg=318.0,
    seed=9,
    spells=(Spell(0.0, "walk"), Spell(4.7, "trot")),
    cues=(_cluck(4.0),),
    reactions=(Reaction(10.6, "spook", 1, "other", 12.4, "in", "left"),),
    passers=((6.0, "bird"),),
)

ROUNDS = Scenario(
    key="clover_2026-05-26",
    horse=CLOVER,
    date="2026-05-26",
    opening="10:03:20",
    title="Rounds and strides",
    goal="Count rounds and strides; do not let the trot be hurried",
    note="Hurried in the second round of trot: that is what the warnings show.",
    clips=(ClipPlan("clover_2026-05-26", 0, 40.0, Fraction(24)),),
    first_rein="right_rein",
    start_angle_deg=282.0,
    mark_deg=270.0,
    seed=6,
    # The lope begins as the mark is passed, so that no round is half trot and half lope.
    spells=(
        Spell(0.0, "trot", 3.3),
        Spell(15.7, "trot", 5.2),
        Spell(25.16, "lope", 4.6),
        Spell(36.3, "trot", 3.0),
    ),
    cues=(_kiss(24.4),),
    signs=(Mark(38.2, "snort"),),
    taps=((2.0, 8.0), (17.0, 23.0), (27.5, 33.5)),
    wind=0.0,
)

SESSIONS = {s.key: s for s in (FIRST, SECOND, GELDING, TWO_CLIPS, SLOW, PHONE, ROUNDS)}
