from __future__ import annotations

import subprocess
from itertools import pairwise
from pathlib import Path

import av
import imageio_ffmpeg
import pytest
from hypothesis import given
from hypothesis import strategies as st

from annotate.deliver.chapters import BEFORE, Chapter, chapters, ffmpeg_chapters, webvtt_chapters
from annotate.deliver.webvtt import Cue, one_line
from tests.annotate.deliver.hostile import HOSTILE
from tests.annotate.deliver.vtt_grammar import strict_cues
from tests.made_clips import numbered

S = 1_000_000_000


def test_a_chapter_lasts_until_the_next_begins() -> None:
    found = chapters([Cue(5 * S, 6 * S, "b"), Cue(S, 2 * S, "a")], 10 * S)
    assert found == (Chapter(0, 1000, BEFORE), Chapter(1000, 5000, "a"), Chapter(5000, 10_000, "b"))


def test_a_passage_at_the_very_beginning_needs_no_chapter_before_it() -> None:
    assert chapters([Cue(0, S, "a")], 2 * S) == (Chapter(0, 2000, "a"),)


def test_passages_that_begin_together_are_one_chapter() -> None:
    assert chapters([Cue(0, S, "a"), Cue(400_000, 3 * S, "b")], 2 * S) == (Chapter(0, 3000, "a; b"),)


def test_no_passage_gives_no_chapter() -> None:
    assert chapters([], S) == ()


def test_every_chapter_says_its_time_base() -> None:
    text = ffmpeg_chapters("Bramble", chapters([Cue(S, 2 * S, "a")], 3 * S))
    assert text == (
        ";FFMETADATA1\ntitle=Bramble\n"
        f"\n[CHAPTER]\nTIMEBASE=1/1000\nSTART=0\nEND=1000\ntitle={BEFORE}\n"
        "\n[CHAPTER]\nTIMEBASE=1/1000\nSTART=1000\nEND=3000\ntitle=a\n"
    )


cues = st.lists(st.builds(Cue, st.integers(0, 10**12), st.integers(0, 10**12), st.text()), max_size=8)


@given(cues, st.integers(0, 10**12))
def test_chapters_follow_each_other_without_hole_or_overlap(some: list[Cue], end_ns: int) -> None:
    found = chapters(some, end_ns)
    assert bool(found) == bool(some)
    assert all(one.end_ms == other.start_ms for one, other in pairwise(found))
    assert all(one.start_ms < one.end_ms for one in found)
    assert not found or found[0].start_ms == 0


@pytest.fixture(scope="module")
def clip(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return numbered(tmp_path_factory.mktemp("chapters") / "clip.mp4", 250)


def muxed(clip: Path, text: str, folder: Path) -> list[dict[str, object]]:
    """The chapters as ffmpeg has put them into a file."""
    (folder / "chapters.txt").write_text(text, encoding="utf-8", newline="")
    to = folder / "out.mkv"
    command = [imageio_ffmpeg.get_ffmpeg_exe(), "-nostdin", "-v", "error", "-i", str(clip)]
    command += ["-i", str(folder / "chapters.txt"), "-map_metadata", "1", "-codec", "copy", str(to)]
    subprocess.run(command, check=True)
    with av.open(str(to)) as container:
        return [dict(chapter) for chapter in container.chapters()]


def test_ffmpeg_reads_times_and_titles_back(clip: Path, tmp_path: Path) -> None:
    found = chapters([Cue(1_234_000_000, 2 * S, "Lope #1 = right; \\o/"), Cue(5 * S, 6 * S, "b")], 10 * S)
    read = muxed(clip, ffmpeg_chapters("Bramble", found), tmp_path)
    assert [
        (float(c["start"] * c["time_base"]), float(c["end"] * c["time_base"]), c["metadata"]["title"])  # type: ignore[operator, index]
        for c in read
    ] == [(0, 1.234, BEFORE), (1.234, 5, "Lope #1 = right; \\o/"), (5, 10, "b")]


def test_hostile_titles_come_back_from_ffmpeg(clip: Path, tmp_path: Path) -> None:
    some = [Cue(place * S // 2, S, text) for place, text in enumerate(HOSTILE)]
    found = chapters(some, 10 * S)
    read = muxed(clip, ffmpeg_chapters(HOSTILE[3], found), tmp_path)
    titles = [str(c["metadata"]["title"]) for c in read]  # type: ignore[index]
    assert [title.rstrip() for title in titles] == [one_line(text) for text in HOSTILE]


@pytest.mark.parametrize("text", HOSTILE)
def test_webvtt_chapters_keep_to_the_grammar(text: str) -> None:
    file = webvtt_chapters(text, chapters([Cue(S, 2 * S, text)], 3 * S))
    assert strict_cues(file.encode()) == [(0, 1000, BEFORE), (1000, 3000, one_line(text))]
