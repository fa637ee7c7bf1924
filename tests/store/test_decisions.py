"""What was decided about proposals and where the trainer pointed, kept with the clips."""

from __future__ import annotations

import gzip
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import pytest

from annotate.errors import BarnTrouble
from annotate.kept_clips import KeptClip
from annotate.motion.suggestions import Decision, Pointed
from store.barn import Barn
from store.rows import NewClip
from store.versions import recognise
from tests.annotate.motion.made_motion import seen
from tests.store.made_barns import BOTH, FIRST_PTS, MAY_4

engines = BOTH


@pytest.fixture
def kept(barn: Barn, clip: Callable[..., NewClip]) -> KeptClip:
    """A clip of the first session."""
    barn.add_session("Juniper", MAY_4, [clip()])
    (kept,) = barn.clips(1)
    return kept


def test_decisions_are_kept_and_taken_back(barn: Barn, kept: KeptClip) -> None:
    walk = Decision(kept.id, "walk", FIRST_PTS, 91_000, "changed", "trot")
    spook = Decision(kept.id, "spook", 5_000, None, "refused")
    barn.keep_decision(walk)
    barn.keep_decision(spook)
    assert sorted(barn.decisions(1), key=lambda one: one.start_pts) == [walk, spook]
    barn.drop_decision(walk)
    assert [(one, one.id) for one in barn.decisions(1)] == [(spook, spook.id)]


def test_a_decision_needs_a_clip_of_the_barn(barn: Barn, kept: KeptClip) -> None:
    with pytest.raises(BarnTrouble):
        barn.keep_decision(Decision(99, "walk", 0, 1, "taken", "walk"))


def test_decisions_go_with_their_session(barn: Barn, kept: KeptClip) -> None:
    barn.keep_decision(Decision(kept.id, "lap", FIRST_PTS, None, "taken", "lap"))
    barn.point(kept, Pointed(FIRST_PTS, 0.5, 0.5))
    barn.delete_session(1)
    assert barn.decisions(1) == []
    assert barn.pointed(kept) == []


def test_they_stay_where_the_clip_is_placed_elsewhere(barn: Barn, kept: KeptClip) -> None:
    made = Decision(kept.id, "walk", FIRST_PTS, 91_000, "taken", "walk")
    barn.keep_decision(made)
    barn.place_clip(kept.id, 7_000_000_000, Fraction(2))
    assert barn.decisions(1) == [made]


def test_pointing_again_at_the_same_frame_takes_the_later_place(barn: Barn, kept: KeptClip) -> None:
    barn.point(kept, Pointed(FIRST_PTS, 0.1, 0.2))
    barn.point(kept, Pointed(FIRST_PTS, 0.3, 0.4))
    assert barn.pointed(kept) == [Pointed(FIRST_PTS, 0.3, 0.4)]


def test_help_that_came_while_the_clip_was_watched_is_still_to_be_heeded(barn: Barn, kept: KeptClip) -> None:
    early, late = Pointed(FIRST_PTS, 0.1, 0.2), Pointed(46_000, 0.3, 0.4)
    barn.point(kept, early)
    barn.point(kept, late)
    barn.keep_seen(kept, seen(60), [early])
    assert [there.heeded for there in barn.pointed(kept)] == [True, False]


def test_a_barn_of_the_first_version_learns_to_keep_them(tmp_path: Path) -> None:
    """The file was written by the version before there were decisions."""
    first = Path(__file__).with_name("fixtures") / "0001.barn.gz"
    path = tmp_path / "old.barn"
    path.write_bytes(gzip.decompress(first.read_bytes()))
    assert recognise(path) == "0001"
    with Barn.open(path) as barn:
        clip = barn.clips(1)[0]
        made = Decision(clip.id, "walk", clip.placed.first_pts, clip.placed.end_pts, "taken", "walk")
        tags = barn.tags(1)
        barn.keep_decision(made)
        assert barn.decisions(1) == [made]
        assert barn.tags(1) == tags
