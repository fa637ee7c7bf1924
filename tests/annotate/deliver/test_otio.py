from __future__ import annotations

from fractions import Fraction
from pathlib import Path
from typing import Any

import opentimelineio as otio
import pytest

from annotate.deliver.otio import OWN, timeline_text
from annotate.passages import Passage
from tests.annotate.deliver.hostile import HOSTILE
from tests.annotate.deliver.some_cuts import S, cut, facts, material, steady

NTSC = Fraction(30000, 1001)


def read(text: str, folder: Path) -> Any:
    """The timeline as the library reads it from a file."""
    path = folder / "list.otio"
    path.write_text(text, encoding="utf-8", newline="")
    return otio.adapters.read_from_file(str(path))


def ranges(timeline: Any) -> list[tuple[float, float, float]]:
    """Start, length and rate of each clip."""
    return [
        (c.source_range.start_time.value, c.source_range.duration.value, c.source_range.duration.rate)
        for c in timeline.find_clips()
    ]


def test_a_clip_of_constant_rate_is_counted_in_frames(tmp_path: Path) -> None:
    some = material(steady(NTSC, 4000), passages=[])
    placed = some.files[0].placed
    passage = Passage(placed.session_ns(1799), placed.session_ns(3598), "Spook")
    timeline = read(timeline_text("Bramble", cut(material(steady(NTSC, 4000), passages=[passage]))), tmp_path)
    assert timeline.name == "Bramble"
    assert ranges(timeline) == [(1799, 1799, pytest.approx(30000 / 1001, abs=1e-12))]
    (clip,) = timeline.find_clips()
    assert clip.media_reference.target_url == "clip1.mp4"
    assert clip.media_reference.available_range.duration.value == 4000
    assert clip.markers[0].name == "Spook"
    assert clip.metadata[OWN]["number"] == 1


def test_a_clip_of_variable_rate_is_counted_in_its_own_ticks(tmp_path: Path) -> None:
    clip = facts([0, 2999, 7000, 9001, 90_000], Fraction(1, 90000), end=93_000)
    passage = Passage(material(clip, passages=[]).files[0].placed.session_ns(2999), S)
    timeline = read(timeline_text("", cut(material(clip, passages=[passage]))), tmp_path)
    assert ranges(timeline) == [(2999, 87_001, 90_000)]


def test_the_timeline_is_as_long_as_the_reel(tmp_path: Path) -> None:
    some = material(
        steady(Fraction(25), 100),
        steady(Fraction(30), 120),
        passages=[Passage(0, 2 * S), Passage(5 * S, 6 * S, position=1)],
    )
    timeline = read(timeline_text("", cut(some)), tmp_path)
    assert timeline.duration().to_seconds() == pytest.approx(3)
    assert [c.name for c in timeline.find_clips()] == ["Passage 1", "Passage 2"]


def test_a_session_without_clips_has_clips_without_media(tmp_path: Path) -> None:
    timeline = read(
        timeline_text("", cut(material(passages=[Passage(10 * S, 11 * S)], length_s=60))), tmp_path
    )
    (clip,) = timeline.find_clips()
    assert clip.media_reference.is_missing_reference
    assert ranges(timeline) == [(10_000, 1000, 1000)]


@pytest.mark.parametrize("text", [*HOSTILE, "a\0b"])
def test_hostile_text_comes_back_whole(text: str, tmp_path: Path) -> None:
    some = material(steady(Fraction(25), 100), passages=[Passage(0, S, text)], names="x" + text + "{}")
    timeline = read(timeline_text(text, cut(some)), tmp_path)
    wanted = text.replace("\0", "\N{REPLACEMENT CHARACTER}")
    (clip,) = timeline.find_clips()
    assert (timeline.name, clip.name, clip.markers[0].name) == (wanted, wanted.strip(), wanted.strip())


def test_no_folder_is_told() -> None:
    some = material(steady(Fraction(25), 100), passages=[Passage(0, S)], names="/home/someone/clip{}.mp4")
    assert "someone" not in timeline_text("", cut(some))
