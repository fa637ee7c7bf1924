"""Footfalls of the drawn horse against the figures of the trade and of print."""

import itertools

import numpy as np
import pytest

from sample_media.coats import COATS
from sample_media.figure import HorseFigure
from sample_media.footfalls import Footfalls
from sample_media.gaits import GAITS, LEGS
from sample_media.limbs import joints
from sample_media.path import STEP_HZ, Path, walk_the_path
from sample_media.pose import pose_at
from sample_media.scenario import ClipPlan, Horse, Scenario, Spell

# Order and beats: walk LH LF RH RF; trot in diagonal pairs; lope in three beats, the lead named
# for the last fore foot. All from memory of the trade; the gallop after Hildebrand 1965.
BEATS = {
    "walk": [{"LH"}, {"LF"}, {"RH"}, {"RF"}],
    "trot": [{"LH", "RF"}, {"RH", "LF"}],
    "lope_right": [{"LH"}, {"RH", "LF"}, {"RF"}],
    "lope_left": [{"RH"}, {"LH", "RF"}, {"LF"}],
    "gallop_right": [{"LH"}, {"RH"}, {"LF"}, {"RF"}],
    "gallop_left": [{"RH"}, {"LH"}, {"RF"}, {"LF"}],
}
# Duty factors: walk 0.60-0.70, trot 0.30-0.45, lope 0.25-0.40 (from memory); gallop at 9 m/s fore
# 0.265, hind 0.287 (Witte, Hirst & Wilson 2006, J Exp Biol 209:4389).
DUTY = {"walk": (0.60, 0.70), "trot": (0.30, 0.45), "lope": (0.25, 0.40), "gallop": (0.26, 0.30)}
# Strides a second: walk 0.8-1.0, trot 1.2-1.6, lope 1.4-1.8 (from memory).
STRIDE_HZ = {"walk": (0.8, 1.0), "trot": (1.2, 1.6), "lope": (1.4, 1.8)}


def walked(gait: str, lead: str = "") -> tuple[Scenario, Path, Footfalls]:
    scenario = Scenario(
        "t", Horse("T", "bay", 1.42), "2026-01-01", "00:00:00", "", "", "",
        (ClipPlan("t", 0, 12.0),), (Spell(0.0, gait, lead=lead),),
    )  # fmt: skip
    path = walk_the_path(scenario)
    return scenario, path, Footfalls(scenario, path)


def split(name: str) -> tuple[str, str]:
    gait, _, lead = name.partition("_")
    return gait, lead


@pytest.mark.parametrize("name", BEATS)
def test_feet_come_down_in_the_order_of_the_gait(name: str) -> None:
    _, _, falls = walked(*split(name))
    order = [(t, LEGS[leg]) for t, _, _, leg in falls.landings(2.0, 8.0)]
    beats: list[tuple[float, set[str]]] = []
    for t, leg in order:
        if beats and t - beats[-1][0] < 0.02:
            beats[-1][1].add(leg)
        else:
            beats.append((t, {leg}))
    found = [b for _, b in beats]
    first = found.index(BEATS[name][0])
    cycle = itertools.cycle(BEATS[name])
    assert all(got == want for got, want in zip(found[first:-1], cycle, strict=False))


@pytest.mark.parametrize("name", BEATS)
def test_duty_factor_is_that_of_the_gait(name: str) -> None:
    _, _, falls = walked(*split(name))
    low, high = DUTY[split(name)[0]]
    for row in falls.stances:
        for here, following in itertools.pairwise(row[2:-2]):
            duty = (here.off_s - here.on_s) / (following.on_s - here.on_s)
            assert low - 0.01 <= duty <= high + 0.01


@pytest.mark.parametrize("name", ["walk", "trot", "lope_left", "lope_right"])
def test_stride_rate_is_that_of_the_gait(name: str) -> None:
    low, high = STRIDE_HZ[split(name)[0]]
    _, path, falls = walked(*split(name))
    ons = [s.on_s for s in falls.stances[0][2:-2]]
    rate = (len(ons) - 1) / (ons[-1] - ons[0])
    assert low <= rate <= high
    assert rate == pytest.approx(float(np.median(path.stride_hz)), rel=0.02)


def test_a_walking_horse_always_has_two_or_three_feet_down() -> None:
    _, _, falls = walked("walk")
    for t in np.arange(2.0, 8.0, 0.01):
        down = sum(falls.foot(leg, float(t)).swing is None for leg in range(4))
        assert 2 <= down <= 3


@pytest.mark.parametrize("gait", ["trot", "lope"])
def test_trot_and_lope_have_suspension(gait: str) -> None:
    _, _, falls = walked(gait)
    aloft = [
        all(falls.foot(leg, float(t)).swing is not None for leg in range(4))
        for t in np.arange(2.0, 8.0, 0.01)
    ]
    assert 0.05 < np.mean(aloft) < 0.30


@pytest.mark.parametrize("gait", ["walk", "trot", "lope", "back"])
def test_feet_do_not_slide_and_a_stride_carries_the_body(gait: str) -> None:
    _, path, falls = walked(gait)
    for leg, row in enumerate(falls.stances):
        for stance in row[2:-2]:
            times = np.linspace(stance.on_s + 0.002, stance.off_s - 0.002, 7)
            places = {(f.x, f.y, f.z) for f in (falls.foot(leg, float(t)) for t in times)}
            assert len(places) == 1
    # Speed is stride rate x stride length: body distance over a stride against foot to foot.
    here, there = falls.stances[0][4], falls.stances[0][5]
    a, b = (round(path.index(s.on_s)) for s in (here, there))
    body = float(np.sum(np.hypot(np.diff(path.x[a : b + 1]), np.diff(path.y[a : b + 1]))))
    assert body == pytest.approx(abs(float(path.speed[a])) * (b - a) / STEP_HZ, rel=0.02)
    foot = float(np.hypot(there.x - here.x, there.y - here.y))
    assert foot == pytest.approx(body, rel=0.12)


def test_the_two_leads_mirror_each_other() -> None:
    right, left = GAITS["lope_right"], GAITS["lope_left"]
    lh, lf, rh, rf = left.offsets
    mirrored = [(x - rh) % 1.0 for x in (rh, rf, lh, lf)]
    assert mirrored == pytest.approx(list(right.offsets))


@pytest.mark.parametrize("gait", ["walk", "trot", "lope"])
def test_the_drawn_hoof_stays_on_its_footprint_in_stance(gait: str) -> None:
    scenario, path, falls = walked(gait)
    horse = HorseFigure(COATS["bay"], 1.42)
    for t in np.arange(3.0, 5.0, 0.05):
        pose = pose_at(scenario, path, falls, float(t))
        forward = np.array([np.cos(pose.heading), np.sin(pose.heading), 0.0])
        for leg, foot in enumerate(pose.feet):
            if foot.swing is None:
                sole = joints(leg, pose, forward, horse.scale, horse.in_world)[-1]
                assert sole == pytest.approx([foot.x, foot.y, 0.0], abs=1e-9)
