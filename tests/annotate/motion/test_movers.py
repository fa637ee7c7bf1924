"""Who is followed, of those that look like a horse. A working picture of 160 by 90, looked at three times a second."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pytest
from numpy.typing import NDArray

from annotate.motion.camera import CameraMotion
from annotate.motion.found import Found, Sight
from annotate.motion.movers import Mover, Movers
from annotate.motion.stirring import Blob

SIZE = (160, 90)
PASSED_S = 1 / 3

Doubles = NDArray[np.float64]


def at(x: float, y: float, width: float, height: float) -> Doubles:
    """Centre and size in pixels."""
    return np.array([x, y, width, height], dtype=np.float64)


def found(box: Doubles, likeness: float = 0.6, *, person: bool = False) -> Found:
    """What was recognised at a box in pixels."""
    return Found(box / [*SIZE, *SIZE], likeness, person)


WHOLE = np.array([0.0, 0.0, 1.0, 1.0])
HORSE = at(80, 50, 40, 30)


def along(box: Doubles, pixels: float) -> Doubles:
    """The box so much farther to the right."""
    return box + np.array([pixels, 0, 0, 0])


def looked(movers: Movers, times: int, *here: Found, horse: Mover | None = None) -> Movers:
    """The same was recognised so many times one after the other."""
    for _ in range(times):
        movers.recognise(Sight(here, WHOLE), PASSED_S, horse)
    return movers


def only(movers: Movers) -> Mover:
    [mover] = movers.all
    return mover


def test_what_looks_like_a_horse_is_followed_from_the_first_look_on_though_nothing_moves() -> None:
    mover = only(looked(Movers(SIZE), 1, found(HORSE, 0.4)))
    assert mover.box == pytest.approx(HORSE)
    assert (mover.looks, mover.last_likeness, mover.unlike_s) == (1, 0.4, 0.0)


@pytest.mark.parametrize("there", [at(90, 47, 40, 30), at(80, 50, 56, 42), at(76, 52, 30, 24)])
def test_a_mover_that_is_recognised_somewhere_goes_there(there: Doubles) -> None:
    """It goes some of the way at each look, and is there after three seconds; it stays the same one."""
    movers = looked(Movers(SIZE), 1, found(HORSE))
    mover = only(movers)
    far = [float(np.abs(mover.box - there).max())]
    for _ in range(9):
        looked(movers, 1, found(there))
        far.append(float(np.abs(mover.box - there).max()))
    assert only(movers) is mover
    assert far == sorted(far, reverse=True)
    assert far[-1] < 0.5


def test_what_is_seen_faintly_pulls_less_than_what_is_seen_clearly() -> None:
    there = at(90, 50, 40, 30)
    faint, clear = (looked(looked(Movers(SIZE), 1, found(HORSE)), 1, found(there, like)) for like in (0.15, 0.7))
    assert HORSE[0] < only(faint).box[0] < only(clear).box[0] <= there[0]


def test_half_a_horse_pulls_less_than_a_whole_one() -> None:
    """Its front half is hidden behind the handler."""
    half, whole = at(90, 50, 20, 30), at(90, 50, 40, 30)
    of_half, of_whole = (looked(looked(Movers(SIZE), 1, found(HORSE)), 1, found(there)) for there in (half, whole))
    assert HORSE[0] < only(of_half).box[0] < only(of_whole).box[0]


def test_its_first_looks_tell_which_way_it_goes() -> None:
    """Five pixels to the left in a third of a second."""
    movers = looked(Movers(SIZE), 1, found(HORSE))
    looked(movers, 1, found(along(HORSE, -5)))
    assert only(movers).way == pytest.approx([-15, 0], abs=5)


def test_two_horses_are_each_followed_by_its_own() -> None:
    """They go towards each other."""
    left, right = at(40, 50, 30, 24), at(120, 50, 30, 24)
    movers = looked(Movers(SIZE), 1, found(left), found(right))
    first, second = movers.all
    for step in range(1, 7):
        looked(movers, 1, found(along(right, -4 * step)), found(along(left, 4 * step)))
    assert movers.all == [first, second]
    assert first.box[0] == pytest.approx(64, abs=4)
    assert second.box[0] == pytest.approx(96, abs=4)


def test_what_is_not_recognised_for_long_is_forgotten() -> None:
    """Not at once: a horse that turns is not recognised in each picture."""
    movers = looked(Movers(SIZE), 3, found(HORSE))
    looked(movers, 1)
    assert only(movers).unlike_s == pytest.approx(PASSED_S)
    assert looked(movers, 15).all == []


def test_the_horse_is_not_forgotten_however_long_it_is_not_recognised() -> None:
    movers = looked(Movers(SIZE), 3, found(HORSE))
    horse = only(movers)
    looked(movers, 30, horse=horse)
    assert only(movers) is horse
    assert horse.unlike_s == pytest.approx(10)


def test_what_was_only_seen_to_move_is_not_forgotten_for_its_look() -> None:
    """Whether it is still there is for what moves to say."""
    movers = Movers(SIZE)
    movers.see([Blob(HORSE, np.array([10.0, 0]), 1.0)], 0.2, None)
    assert len(looked(movers, 30).all) == 1


def test_what_looks_like_a_horse_is_not_forgotten_because_it_stands() -> None:
    """Nothing moves for five seconds, but it is recognised."""
    movers = looked(Movers(SIZE), 1, found(HORSE))
    horse = only(movers)
    for _ in range(15):
        movers.see([], PASSED_S, None)
        looked(movers, 1, found(HORSE))
    assert only(movers) is horse


@pytest.mark.parametrize("corner", [(8, 8), (152, 8), (8, 84), (152, 84)])
def test_a_dog_far_smaller_at_the_rim_does_not_outclaim_the_horse(corner: tuple[float, float]) -> None:
    """However much it looks like one, and though it was there before."""
    dog = found(at(*corner, 12, 9), 0.9)
    movers = looked(Movers(SIZE), 6, dog)
    small = only(movers)
    looked(movers, 6, dog, found(HORSE, 0.4))
    [horse] = [mover for mover in movers.all if mover is not small]
    assert horse.likeness > small.likeness


def test_of_two_alike_the_one_in_the_middle_is_the_likelier() -> None:
    """It is the one that the camera is pointed at."""
    movers = looked(Movers(SIZE), 6, found(at(16, 50, 30, 24)), found(at(80, 50, 30, 24)))
    rim, middle = movers.all
    assert middle.likeness > rim.likeness


def test_its_likeness_fades_while_it_is_not_recognised() -> None:
    movers = looked(Movers(SIZE), 6, found(HORSE))
    horse = only(movers)
    told = []
    for _ in range(4):
        told.append(horse.likeness)
        looked(movers, 1, horse=horse)
    assert told == sorted(told, reverse=True)
    assert 0 < horse.likeness < 0.5 * told[0]


def test_a_person_is_not_followed_as_a_horse_is() -> None:
    assert looked(Movers(SIZE), 3, found(HORSE, 0.9, person=True)).all == []


@pytest.mark.parametrize(
    ("box", "is_one"), [((50, 50, 12, 30), True), ((50, 46, 10, 12), True), ((100, 50, 12, 30), False)]
)
def test_what_moves_where_a_person_was_seen_is_that_person(box: Sequence[float], is_one: bool) -> None:
    """All of the handler, or an arm that waves; not what is elsewhere."""
    movers = looked(Movers(SIZE), 1, found(at(50, 50, 14, 34), 0.8, person=True))
    assert movers.is_person(Mover.at(at(*box))) is is_one


def test_a_horse_with_its_rider_is_no_person() -> None:
    """It is much larger."""
    movers = looked(Movers(SIZE), 1, found(at(80, 35, 10, 20), 0.8, person=True))
    assert not movers.is_person(Mover.at(HORSE))


def test_a_person_who_has_left_is_forgotten_at_the_next_look() -> None:
    movers = looked(Movers(SIZE), 1, found(at(50, 50, 14, 34), 0.8, person=True))
    looked(movers, 1)
    assert not movers.is_person(Mover.at(at(50, 50, 12, 30)))


def test_what_was_not_looked_at_is_not_held_against_it() -> None:
    """A close look at the horse says nothing of another one beside it; of the horse itself it does."""
    movers = looked(Movers(SIZE), 2, found(HORSE), found(at(30, 50, 30, 24)))
    horse, other = sorted(movers.all, key=lambda mover: -mover.box[0])
    movers.recognise(Sight((), np.array([0.4, 0.0, 0.8, 1.0])), PASSED_S, horse)
    assert (horse.unlike_s, other.unlike_s) == (pytest.approx(PASSED_S), 0.0)
    movers.recognise(Sight((), np.array([0.0, 0.0, 0.1, 0.1])), PASSED_S, horse)
    assert horse.unlike_s == pytest.approx(2 * PASSED_S)


def test_what_has_left_the_picture_is_forgotten() -> None:
    """No look at the picture can find it there."""
    movers = looked(Movers(SIZE), 2, found(HORSE), found(at(30, 50, 30, 24)))
    horse, other = sorted(movers.all, key=lambda mover: -mover.box[0])
    other.box[0] = -40.0
    looked(movers, 1, found(HORSE), horse=horse)
    assert movers.all == [horse]


def test_the_camera_takes_what_lies_beyond_the_rim_along_with_the_rim() -> None:
    """A turning camera bends the picture; far outside, that would take a thing farther at each step, without end."""
    turning = CameraMotion(1.0, 0.0, -4.0, 0.0, 1.0, p=-1e-3)
    mover = Mover.at(at(-500, 45, 20, 20))
    for _ in range(300):
        mover.go_on(turning, SIZE, PASSED_S, PASSED_S)
    at_the_rim, _ = turning.shift_at(-SIZE[0] / 2, 0.0)
    assert mover.box[0] == pytest.approx(-500 + 300 * at_the_rim)
