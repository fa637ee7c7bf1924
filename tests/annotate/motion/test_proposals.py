"""Proposals on the session's clock, and the words of the command line."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest

from annotate.behaviours import default_sheet
from annotate.errors import ClipTrouble
from annotate.motion.proposals import Asked, clip_json, proposal_json, proposals_of
from annotate.motion.seen import Seen, Sound, Stretch
from annotate.sessions import PlacedClip
from tests.annotate.motion.made_motion import seen, times

S = 1_000_000_000


def trotter() -> Seen:
    """Stands for ten seconds, trots for twenty, is lost for five; a cluck before the trot."""
    t = times(35)
    return seen(
        35,
        along=np.where(t < 10, 0.0, 1.3),
        stir=np.where(t < 10, 0.04, 0.4),
        lost=(30, 35),
        rhythm=(Stretch(10, 30, 1.4, 0.8, True),),
        cuts=(30.0,),
        sounds=(Sound(9.0, "cluck", 0.8),),
    )


CLIP = PlacedClip(3, 100 * S, Fraction(1, 1000), 500, 35_500)


def test_everything_is_on_the_sessions_clock_and_within_the_clip() -> None:
    """The clip begins at 100 s."""
    found = proposals_of(CLIP, trotter(), Asked())
    assert found
    assert all(100 * S <= one.start_ns < (one.end_ns or 135 * S) <= 135 * S for one in found)
    assert found == sorted(found, key=lambda one: (one.start_ns, one.what))
    cluck = next(one for one in found if one.what == "cluck")
    assert (cluck.start_ns, cluck.end_ns) == (109 * S, None)


def test_gaits_and_out_of_sight_are_proposed() -> None:
    """In their order."""
    states = [one.what for one in proposals_of(CLIP, trotter(), Asked()) if one.end_ns is not None]
    assert [what for what in states if not what.endswith("rein")] == ["stand", "trot", "out_of_sight"]


def test_every_proposal_can_be_tagged() -> None:
    """Its word is on the default sheet, and it has a confidence."""
    sheet = default_sheet()
    for one in proposals_of(CLIP, trotter(), Asked(camera="inside", sensitivity=1.0)):
        assert one.what in sheet
        assert sheet[one.what].is_state == (one.end_ns is not None)
        assert 0 < one.confidence <= 1


def test_the_camera_that_was_asked_for_decides_the_rein() -> None:
    """To the right all the time: right rein from inside; from outside that alone does not tell."""
    reins = {one.what for one in proposals_of(CLIP, trotter(), Asked(camera="inside")) if "rein" in one.what}
    assert reins == {"right_rein"}


def test_the_clip_in_json() -> None:
    """The keys that scripts read."""
    told = clip_json("a.mp4", trotter(), Asked())
    assert told["clip"] == "a.mp4"
    assert told["stride_hz"] == 1.4
    assert told["stride_hz_over_time"] == [[10, 30, 1.4]]
    assert told["travel"] == "left_to_right"
    assert told["cuts"] == [30.0]
    assert told["lost"][-1] == pytest.approx([30, 35], abs=0.4)
    assert told["camera"] == "outside"


def test_a_proposal_in_json_is_in_seconds() -> None:
    """An event has no end."""
    found = {one.what: proposal_json(one) for one in proposals_of(CLIP, trotter(), Asked())}
    assert found["cluck"] == {"start_s": 109.0, "end_s": None, "what": "cluck", "confidence": 0.8}
    assert found["trot"]["end_s"] == pytest.approx(130, abs=1)


def test_what_was_seen_comes_back_from_its_bytes() -> None:
    """Every number of it; damaged bytes are told as a trouble."""
    what = trotter()
    back = Seen.from_bytes(what.to_bytes())
    assert (back.length_s, back.cuts, back.rhythm, back.sounds) == (35, what.cuts, what.rhythm, what.sounds)
    assert all(np.array_equal(back.tracks[name], row, equal_nan=True) for name, row in what.tracks.items())
    with pytest.raises(ClipTrouble):
        Seen.from_bytes(what.to_bytes()[:-20])
    with pytest.raises(ClipTrouble):
        Seen.from_bytes(b"nothing")
