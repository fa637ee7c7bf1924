from __future__ import annotations

import dataclasses
import json
from fractions import Fraction

import pytest

from annotate.media.clip import look
from annotate.media.describe import capture_speed_hint, facts_as_json, facts_for_person
from tests.made_clips import ClipBox, MadeClip


def test_frame_times_are_exact_fractions(any_clip: MadeClip) -> None:
    facts = look(any_clip.path)
    told = json.loads(json.dumps(facts_as_json(facts, frames=True)))
    assert len(told["frame_times"]) == told["frames"] == len(any_clip.numbers)
    times = [Fraction(text) for text in told["frame_times"]]
    assert times == [facts.table.time(n) for n in range(len(facts.table))]
    assert (told["first_s"], told["last_s"]) == (float(times[0]), float(times[-1]))


def test_the_json_says_what_the_clip_is(clips: ClipBox) -> None:
    made = clips.get("wide_pixels_turned")
    assert facts_as_json(look(made.path)) == {
        "clip": str(made.path),
        "container": "mp4",
        "codec": "h264",
        "coded_size": [120, 160],
        "shown_size": [160, 160],
        "rotation": 90,
        "mirrored": False,
        "pixel_shape": "4/3",
        "frames": 50,
        "first_s": 0.0,
        "last_s": 1.96,
        "end_s": 2.0,
        "time_base": "1/12800",
        "rate": "constant",
        "frames_per_second": 25.0,
        "sound": None,
        "recorded_at": None,
        "capture_frames_per_second": None,
        "capture_speed": None,
    }


def test_a_time_that_is_no_whole_tick_of_anything_else_is_told_exactly(clips: ClipBox) -> None:
    told = facts_as_json(look(clips.get("constant_29_97").path), frames=True)
    assert told["frame_times"][:3] == ["0/1", "1001/30000", "1001/15000"]


def test_sound_is_told(clips: ClipBox) -> None:
    facts = look(clips.get("constant_25").path)
    sound = {"codec": "aac", "rate": 48000, "channels": 1, "first_s": 0.0}
    assert facts_as_json(facts)["sound"] == sound
    assert dict(facts_for_person(facts))["sound"] == "aac, 48000 Hz, 1 channel"


def test_a_person_reads_plain_words(clips: ClipBox) -> None:
    rows = dict(facts_for_person(look(clips.get("variable").path)))
    assert rows["rate"] == "28.205 frames per second, variable"
    assert rows["rotation"] == "upright"
    assert rows["recorded"] == "not stated"
    assert "slow motion" not in rows


@pytest.mark.parametrize(
    ("filmed", "speed"), [(None, None), ("30", None), ("240", 8), ("239.6", 8), ("60", 2)]
)
def test_slow_motion_is_hinted_at(clips: ClipBox, filmed: str | None, speed: int | None) -> None:
    plain = look(clips.get("constant_30").path)
    facts = dataclasses.replace(plain, capture_rate=Fraction(filmed) if filmed else None)
    assert capture_speed_hint(facts) == speed
    assert ("slow motion" in dict(facts_for_person(facts))) == (speed is not None)
