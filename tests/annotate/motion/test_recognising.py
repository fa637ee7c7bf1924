"""Horses recognised by their look; and what is made of the answers of a network, with one whose answers are made up.

The order of the eighty kinds of things is that of COCO (Lin et al. 2014, "Microsoft COCO: common objects in context",
ECCV; the order from memory): a person is the first, a dog the 17th, a horse the 18th, a chair the 57th.
"""

from __future__ import annotations

import csv
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import av
import cv2
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from annotate.motion import recognising
from annotate.motion.found import Found, Sight
from annotate.motion.recognising import Recogniser, shared
from tests.annotate.motion.made_motion import Pixels, ground

SAMPLES = Path(__file__).parents[3] / "sample_media"
PERSON, DOG, HORSE, CHAIR = 0, 16, 17, 56
# Clips of which the first picture shows the whole horse, seen from its side, from the front, and far off.
CLIPS = ("juniper_2026-05-04", "biscuit_phone_2026-05-27", "clover_2026-05-26", "juniper_slow_2026-05-27")

Doubles = NDArray[np.float64]


def first_picture(name: str) -> tuple[Pixels, Doubles]:
    """The first picture of a drawn clip, and the horse's true box in it: x0, y0, x1, y1 in shares."""
    with av.open(str(SAMPLES / "clips" / f"{name}.mp4")) as clip:
        picture = next(clip.decode(video=0)).to_ndarray(format="bgr24")
    with (SAMPLES / "truth" / f"{name}.frames.csv").open(encoding="utf-8") as rows:
        row = next(csv.DictReader(rows))
    height, width = picture.shape[:2]
    return picture, np.array([int(row[key]) for key in ("x0", "y0", "x1", "y1")]) / [width, height, width, height]


def box(found: Found) -> Doubles:
    """x0, y0, x1, y1 in shares."""
    middle, size = found.extent[:2], found.extent[2:]
    return np.concatenate([middle - size / 2, middle + size / 2])


@pytest.fixture
def recogniser() -> Recogniser:
    """One that has seen nothing yet."""
    return Recogniser()


@pytest.mark.parametrize("name", CLIPS)
def test_a_drawn_horse_is_found_where_it_is(recogniser: Recogniser, name: str) -> None:
    """It is what looks most like a horse there."""
    picture, truth = first_picture(name)
    best = recogniser.look(picture).found[0]
    assert not best.person
    assert shared(box(best), truth) > 0.75


@pytest.mark.parametrize("long_side", [320, 400, 1280])
def test_the_place_does_not_depend_on_the_size_of_the_picture(long_side: int) -> None:
    """It is told in shares of the picture."""
    picture, _ = first_picture("juniper_2026-05-04")
    height, width = picture.shape[:2]
    size = (long_side, round(height * long_side / width))
    other = np.asarray(cv2.resize(picture, size, interpolation=cv2.INTER_AREA), dtype=np.uint8)
    there, here = (Recogniser().look(one).found[0].extent for one in (other, picture))
    assert there == pytest.approx(here, abs=0.02)


def test_in_a_part_of_the_picture_the_horse_is_at_that_place_of_the_part(recogniser: Recogniser) -> None:
    """A part of any shape: here upright, and no multiple of anything."""
    picture, truth = first_picture("juniper_2026-05-04")
    height, width = picture.shape[:2]
    x, wide = 230, 241
    got = box(recogniser.look(np.ascontiguousarray(picture[:, x : x + wide])).found[0])
    assert shared(got * [wide, height, wide, height] + [x, 0, x, 0], truth * [width, height, width, height]) > 0.75


def test_an_empty_pen_under_the_sky_holds_nothing(recogniser: Recogniser) -> None:
    """Soft ground with hoof prints in it, and a sky that grows lighter downwards."""
    picture = np.empty((360, 640, 3), np.uint8)
    picture[:150] = np.linspace([220, 160, 110], [240, 220, 200], 150)[:, None]
    picture[150:] = (85 + ground(210, 640) / 3)[..., None] * [0.5, 0.65, 0.8]
    assert recogniser.look(picture).found == ()


@dataclass(frozen=True)
class Told:
    """What a made-up network says in one cell.

    `sides`: how far the left, upper, right and lower side of the box are from the middle of the cell, in strides.
    """

    stride: int
    row: int
    column: int
    kind: int
    likeness: float
    sides: Sequence[float] = (2, 2, 2, 2)


class MadeUpNetwork:
    """Answers the same to every picture, or to those of one width only; has the names of the true one."""

    def __init__(self, told: Sequence[Told], width: int | None = None) -> None:
        self._told, self._width = told, width

    def get_outputs(self) -> list[Any]:
        return [SimpleNamespace(name=f"{what}_{stride}") for stride in (8, 16, 32) for what in ("sides", "classes")]

    def run(self, names: Sequence[str], given: dict[str, Any]) -> list[Any]:
        _, _, height, width = given["picture"].shape
        answers = {}
        for stride in (8, 16, 32):
            rows, columns = height // stride, width // stride
            sides, classes = np.zeros((rows, columns, 4, 11)), np.zeros((rows, columns, 80))
            for one in self._told:
                if one.stride == stride and self._width in {None, width}:
                    classes[one.row, one.column, one.kind] = one.likeness
                    sides[one.row, one.column] = [distribution(far) for far in one.sides]
            answers[f"sides_{stride}"] = sides.reshape(1, rows * columns, 44).astype(np.float32)
            answers[f"classes_{stride}"] = classes.reshape(1, rows * columns, 80).astype(np.float32)
        return [answers[name] for name in names]


def distribution(far: float) -> list[float]:
    """Logarithms of weights whose mean is `far`: all on one step, or on the two beside it."""
    below = math.floor(far)
    weights = np.full(11, 1e-12)
    weights[below] += 1 - (far - below)
    weights[min(below + 1, 10)] += far - below
    return np.log(weights).tolist()


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch) -> Iterator[Any]:
    """Looks at an empty picture of 320 by 320, or of another shape, with a made-up network."""

    def ask(*told: Told, shape: tuple[int, int] = (320, 320), width: int | None = None) -> tuple[Found, ...]:
        network = MadeUpNetwork(told, width)
        monkeypatch.setattr(recognising.onnxruntime, "InferenceSession", lambda *_, **__: network)
        return Recogniser().look(np.zeros((*shape, 3), np.uint8)).found

    return ask


def test_a_box_lies_round_the_middle_of_its_cell(asked: Any) -> None:
    """Fifth row and sixth column of a stride of 16: the middle is at 88, 72."""
    [found] = asked(Told(16, 4, 5, HORSE, 0.8, (2, 1, 3, 2)))
    assert box(found) * 320 == pytest.approx([88 - 32, 72 - 16, 88 + 48, 72 + 32], abs=1e-6)
    assert found.likeness == pytest.approx(0.8)
    assert not found.person


@pytest.mark.parametrize("stride", [8, 16, 32])
def test_a_side_is_as_far_off_as_the_mean_of_its_distribution(asked: Any, stride: int) -> None:
    """Half on two and half on three strides is two and a half; in strides of any length."""
    [found] = asked(Told(stride, 4, 4, HORSE, 0.8, (2.5, 1.25, 0.5, 3)))
    middle = 4.5 * stride
    sides = [middle - 2.5 * stride, middle - 1.25 * stride, middle + 0.5 * stride, middle + 3 * stride]
    assert box(found) * 320 == pytest.approx(sides, abs=1e-5)


def test_a_box_ends_where_the_picture_ends(asked: Any) -> None:
    [found] = asked(Told(32, 0, 0, HORSE, 0.8, (3, 3, 1, 1)))
    assert box(found) * 320 == pytest.approx([0, 0, 48, 48], abs=1e-5)


def test_what_is_filled_up_beside_the_picture_is_not_part_of_it(asked: Any) -> None:
    """A picture of 200 by 100 is filled up to 224 by 128."""
    [found] = asked(Told(16, 3, 5, HORSE, 0.8, (2, 2, 2, 2)), shape=(100, 200))
    assert box(found) * [200, 100, 200, 100] == pytest.approx([56, 24, 120, 88], abs=1e-5)


def test_two_boxes_of_the_same_thing_give_the_likelier_one(asked: Any) -> None:
    """Two neighbouring cells tell of one horse."""
    [found] = asked(Told(16, 9, 9, HORSE, 0.6, (4, 3, 4, 3)), Told(16, 9, 10, HORSE, 0.7, (5, 3, 3, 3)))
    assert found.likeness == pytest.approx(0.7)


def test_two_that_share_little_are_two_the_likelier_first(asked: Any) -> None:
    """Two horses nose to nose."""
    found = asked(Told(16, 9, 4, HORSE, 0.5, (3, 3, 3, 3)), Told(16, 9, 9, HORSE, 0.7, (3, 3, 3, 3)))
    assert [one.likeness for one in found] == pytest.approx([0.7, 0.5])


def test_another_animal_counts_but_less_than_a_horse_would(asked: Any) -> None:
    """From behind, a horse is taken for one."""
    [horse] = asked(Told(16, 9, 9, HORSE, 0.6))
    [dog] = asked(Told(16, 9, 9, DOG, 0.6))
    assert not dog.person
    assert 0 < dog.likeness < horse.likeness


def test_a_chair_is_nothing(asked: Any) -> None:
    assert asked(Told(16, 9, 9, CHAIR, 0.9)) == ()


def test_a_person_is_told_as_one_after_the_horses(asked: Any) -> None:
    """However clear; and one in front of the horse does not hide it."""
    found = asked(Told(16, 9, 9, PERSON, 0.9, (1, 3, 1, 3)), Told(16, 9, 8, HORSE, 0.5, (1, 3, 1, 3)))
    assert [one.person for one in found] == [False, True]


def test_a_horse_that_is_too_far_off_for_the_usual_size_is_looked_at_more_closely(asked: Any) -> None:
    """The network sees it at the large size only."""
    told = Told(8, 20, 40, HORSE, 0.6, (1, 1, 1, 1))
    [found] = asked(told, shape=(288, 512), width=512)
    assert found.extent[:2] == pytest.approx([40.5 * 8 / 512, 20.5 * 8 / 288])


def test_the_second_look_is_a_close_one_at_where_the_horse_was(recogniser: Recogniser) -> None:
    """It finds the same horse there, and tells where it looked."""
    picture, truth = first_picture("juniper_2026-05-04")
    whole, close = recogniser.look(picture), recogniser.look(picture)
    assert whole.part.tolist() == [0, 0, 1, 1]
    assert (close.part[2:] - close.part[:2] < 0.9).any()
    assert (close.part[:2] < truth[:2]).all()
    assert (close.part[2:] > truth[2:]).all()
    assert box(close.found[0]) == pytest.approx(box(whole.found[0]), abs=0.03)


def test_now_and_then_it_looks_at_the_whole_picture_again(recogniser: Recogniser) -> None:
    """Another horse may have come."""
    picture, _ = first_picture("juniper_2026-05-04")
    whole = [recogniser.look(picture).part.tolist() == [0, 0, 1, 1] for _ in range(11)]
    assert [k for k, one in enumerate(whole) if one] == [0, 5, 10]


def test_a_horse_that_is_no_longer_there_is_looked_for_in_the_whole_picture(recogniser: Recogniser) -> None:
    """At once: the picture was cut, or the camera swung."""
    picture, _ = first_picture("juniper_2026-05-04")
    recogniser.look(picture)
    other = np.ascontiguousarray(np.roll(picture, picture.shape[1] // 2, axis=1))
    sight = recogniser.look(other)
    assert sight.part.tolist() == [0, 0, 1, 1]


def test_a_look_covers_what_lies_in_its_part() -> None:
    """With its rim."""
    sight = Sight((), np.array([0.2, 0.1, 0.6, 0.5]))
    assert sight.covers(0.2, 0.5)
    assert not sight.covers(0.61, 0.3)


BOXES = st.tuples(*[st.floats(0, 100) for _ in range(2)], *[st.floats(1, 100) for _ in range(2)]).map(
    lambda one: np.array([one[0], one[1], one[0] + one[2], one[1] + one[3]])
)


@given(BOXES, BOXES)
def test_what_two_boxes_share_is_the_same_from_both_sides(one: Doubles, other: Doubles) -> None:
    """Nothing to all of it; a box shares all with itself."""
    assert shared(one, other) == pytest.approx(shared(other, one))
    assert 0 <= shared(one, other) <= 1
    assert shared(one, one) == pytest.approx(1)


def test_two_boxes_that_overlap_by_half_share_a_third() -> None:
    """Half of each, of one and a half that they cover together."""
    assert shared(np.array([0.0, 0, 2, 1]), np.array([1.0, 0, 3, 1])) == pytest.approx(1 / 3)
