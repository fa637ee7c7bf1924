"""The small pictures that are looked at: upright, as large as asked, in colour where that was asked for."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from annotate.media.clip import ClipFacts, look
from annotate.motion.greys import FINE, Colours, Grey, fine_size, greys, working_size
from tests.annotate.motion.made_motion import write_clip
from tests.made_clips import ClipBox, read_number

NUMBERS = np.array([3, 20, 41])


@pytest.fixture(scope="module")
def clips(tmp_path_factory: pytest.TempPathFactory) -> ClipBox:
    return ClipBox(tmp_path_factory.mktemp("clips"))


def seen(facts: ClipFacts, coloured: list[int], long_side: int = 512) -> dict[int, tuple[Grey, Colours | None]]:
    """The grey picture and the one in colour of each of `NUMBERS`."""
    got = greys(facts, NUMBERS, np.array(coloured, dtype=np.int64), long_side)
    return {number: (grey, colours) for number, grey, colours in got}


@pytest.mark.parametrize("name", ["constant_25", "turned_90", "turned_180", "turned_270", "mirrored", "photos_in_avi"])
def test_both_pictures_are_upright_and_of_the_frame_that_was_asked_for(clips: ClipBox, name: str) -> None:
    """However the camera was held: each made frame says its number, and which way is up."""
    for number, (grey, colours) in seen(look(clips.get(name).path), NUMBERS.tolist()).items():
        assert colours is not None
        assert read_number(np.repeat(grey[..., None], 3, axis=2)) == number
        assert read_number(colours) == number


@pytest.mark.parametrize("name", ["constant_25", "turned_90", "wide_pixels", "wide_pixels_turned"])
def test_a_picture_in_colour_has_the_shape_of_what_is_shown(clips: ClipBox, name: str) -> None:
    """Its pixels are square, and its longer side is as long as asked."""
    facts = look(clips.get(name).path)
    width, height = facts.shown_size
    for _, colours in seen(facts, NUMBERS.tolist(), long_side=100).values():
        assert colours is not None
        assert max(colours.shape[:2]) == 100
        assert colours.shape[1] / colours.shape[0] == pytest.approx(width / height, rel=0.01)


def test_a_small_clip_is_not_made_larger(clips: ClipBox) -> None:
    facts = look(clips.get("constant_25").path)
    shapes = {colours.shape for _, colours in seen(facts, NUMBERS.tolist()).values() if colours is not None}
    assert shapes == {(120, 160, 3)}


def test_only_what_is_asked_for_comes_in_colour(clips: ClipBox) -> None:
    """A frame that is not wanted at all does not come for its colour."""
    got = seen(look(clips.get("constant_25").path), [20, 33])
    assert {number: colours is not None for number, (_, colours) in got.items()} == {3: False, 20: True, 41: False}


def test_colours_come_as_blue_green_and_red(tmp_path: Path) -> None:
    """A red barn door."""
    door = np.zeros((90, 160, 3), np.uint8) + np.array([200, 40, 30], np.uint8)
    [(_, colours)] = seen(look(write_clip(tmp_path / "door.mp4", [door] * 6)), [3]).values()
    assert colours is not None
    assert colours.reshape(-1, 3).mean(axis=0) == pytest.approx([30, 40, 200], abs=12)


def test_grey_pictures_are_fine_and_the_working_picture_is_half_as_large(clips: ClipBox) -> None:
    facts = look(clips.get("turned_90").path)
    width, height = fine_size(facts)
    assert (width // FINE, height // FINE) == working_size(facts)
    assert {grey.shape for grey, _ in seen(facts, []).values()} == {(height, width)}
