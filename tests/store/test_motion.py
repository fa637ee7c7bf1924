"""What was seen in clips, kept with them."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from fractions import Fraction

import pytest

from annotate.errors import BarnTrouble
from annotate.motion.seen import METHOD
from store.barn import Barn
from store.rows import NewClip
from tests.annotate.motion.made_motion import seen
from tests.store.made_barns import BOTH, MAY_4

engines = BOTH


def test_what_was_seen_is_kept_and_replaced(barn: Barn, clip: Callable[..., NewClip]) -> None:
    """The last one counts."""
    session = barn.add_session("Juniper", MAY_4, [clip()])
    (kept,) = barn.clips(session)
    assert barn.seen(kept) is None
    barn.keep_seen(kept, seen(10))
    barn.keep_seen(kept, seen(20))
    back = barn.seen(kept)
    assert back is not None
    assert back.length_s == 20


def test_another_method_or_capture_speed_counts_as_not_watched(barn: Barn, clip: Callable[..., NewClip]) -> None:
    """It must be watched again."""
    session = barn.add_session("Juniper", MAY_4, [clip()])
    (kept,) = barn.clips(session)
    barn.keep_seen(kept, dataclasses.replace(seen(10), method=METHOD - 1))
    assert barn.seen(kept) is None
    barn.keep_seen(kept, seen(10))
    barn.place_clip(kept.id, 0, Fraction(2))
    (slower,) = barn.clips(session)
    assert barn.seen(slower) is None


def test_it_goes_with_its_session(barn: Barn, clip: Callable[..., NewClip]) -> None:
    """A clip that is no longer in the barn keeps nothing."""
    session = barn.add_session("Juniper", MAY_4, [clip()])
    (kept,) = barn.clips(session)
    barn.keep_seen(kept, seen(10))
    barn.delete_session(session)
    assert barn.seen(kept) is None
    with pytest.raises(BarnTrouble):
        barn.keep_seen(kept, seen(10))
