from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from fractions import Fraction
from pathlib import Path

import pytest

from annotate.clock import NS_PER_S
from annotate.errors import BarnTrouble, ClipTrouble
from annotate.sessions import PlacedClip
from store.barn import Barn
from store.rows import NewClip
from tests.store.made_barns import BOTH, FIRST_PTS, MAY_4, TICKS_PER_S

engines = BOTH

MakeClip = Callable[..., NewClip]


@pytest.mark.parametrize("sound", [True, False])
def test_a_clip_comes_back_with_every_fact(barn: Barn, clip: MakeClip, sound: bool) -> None:
    new = clip(sound=sound, starts_s=5, speed=Fraction(8))
    kept = barn.clips(barn.add_session("Juniper", MAY_4, [new]))[0]
    assert kept.facts == new.facts
    assert (kept.fingerprint, kept.size) == (new.fingerprint, new.facts.path.stat().st_size)
    assert kept.placed == PlacedClip(
        *(kept.id, 5 * NS_PER_S, Fraction(1, TICKS_PER_S)),
        *(FIRST_PTS, FIRST_PTS + 60 * TICKS_PER_S, Fraction(8)),
    )


def test_facts_that_a_file_does_not_tell_stay_untold(barn: Barn, clip: MakeClip) -> None:
    new = clip()
    facts = replace(new.facts, recorded_at=None, capture_rate=None, stated_rate=None)
    kept = barn.clips(barn.add_session("Juniper", MAY_4, [replace(new, facts=facts)]))[0]
    assert kept.facts == facts


def test_a_time_of_day_without_a_zone_stays_without(barn: Barn, clip: MakeClip) -> None:
    new = clip()
    facts = replace(new.facts, recorded_at=datetime(2026, 5, 4, 9, 30))
    kept = barn.clips(barn.add_session("Juniper", MAY_4, [replace(new, facts=facts)]))[0]
    assert kept.recorded_at == facts.recorded_at


def test_the_clips_of_a_session_are_in_the_order_of_its_clock(barn: Barn, clip: MakeClip) -> None:
    clips = [clip("b.mp4", starts_s=100), clip("a.mp4")]
    kept = barn.add_session("Juniper", MAY_4, clips)
    assert [one.path.name for one in barn.clips(kept)] == ["a.mp4", "b.mp4"]
    assert [one.id for one in barn.session(kept).clips] == [one.id for one in barn.clips(kept)]


def test_clips_can_be_added_later(barn: Barn, session_id: int, clip: MakeClip) -> None:
    added = barn.add_clips(session_id, [clip("a.mp4"), clip("b.mp4", starts_s=60)])
    assert [one.id for one in barn.clips(session_id)] == added


def test_a_recording_that_the_barn_has_is_refused_by_its_content(barn: Barn, clip: MakeClip) -> None:
    barn.add_session("Juniper", MAY_4, [clip("a.mp4", content=b"one")])
    with pytest.raises(BarnTrouble, match=r"b.mp4 is already .* session 1 \(Juniper, 4 May 2026\)"):
        barn.add_session("Alder", MAY_4, [clip("b.mp4", content=b"one")])
    assert [horse.name for horse in barn.horses()] == ["Juniper"]


def test_a_recording_given_twice_at_once_is_refused(barn: Barn, clip: MakeClip) -> None:
    with pytest.raises(BarnTrouble, match="already in this barn, in this session"):
        barn.add_session("Juniper", MAY_4, [clip(content=b"one"), clip("b.mp4", content=b"one")])
    assert barn.sessions() == []


def test_a_clip_that_vanished_before_it_was_kept_is_refused(barn: Barn, clip: MakeClip) -> None:
    new = clip()
    new.facts.path.unlink()
    with pytest.raises(ClipTrouble, match="cannot be found any more"):
        barn.add_session("Juniper", MAY_4, [new])


@pytest.mark.parametrize(
    ("where", "words"),
    [
        ({"starts_ns": -1}, "begin before its session"),
        ({"starts_ns": 86_400 * NS_PER_S}, "more than a day after"),
        ({"capture_speed": Fraction(0)}, "above 0"),
    ],
)
def test_a_place_that_no_clip_can_have_is_refused(
    barn: Barn, clip: MakeClip, where: dict[str, object], words: str
) -> None:
    with pytest.raises(BarnTrouble, match=words):
        barn.add_session("Juniper", MAY_4, [replace(clip(), **where)])  # type: ignore[arg-type]


def test_whether_a_file_is_missing_is_asked_of_the_disk(barn: Barn, clip: MakeClip) -> None:
    kept = barn.clips(barn.add_session("Juniper", MAY_4, [clip()]))[0]
    assert not kept.missing
    kept.path.unlink()
    assert kept.missing


def test_a_missing_clip_is_found_again_elsewhere(barn: Barn, clip: MakeClip, tmp_path: Path) -> None:
    session_id = barn.add_session("Juniper", MAY_4, [clip()])
    kept = barn.clips(session_id)[0]
    moved = kept.path.rename(tmp_path / "moved.mp4")
    barn.clip_found(kept.id, moved)
    assert barn.clips(session_id)[0].path == moved


def test_another_recording_is_not_taken_for_a_missing_clip(
    barn: Barn, clip: MakeClip, tmp_path: Path
) -> None:
    kept = barn.clips(barn.add_session("Juniper", MAY_4, [clip()]))[0]
    other = tmp_path / "other.mp4"
    other.write_bytes(b"another horse")
    with pytest.raises(ClipTrouble, match=r"other.mp4 is another recording than a.mp4"):
        barn.clip_found(kept.id, other)


def test_a_file_name_that_is_no_text_is_refused(barn: Barn, clip: MakeClip) -> None:
    new = clip()
    path = new.facts.path.rename(new.facts.path.with_name("caf\udce9.mp4"))
    with pytest.raises(ClipTrouble, match="Rename it first"):
        barn.add_session("Juniper", MAY_4, [replace(new, facts=replace(new.facts, path=path))])
