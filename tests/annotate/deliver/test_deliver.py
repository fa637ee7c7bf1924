from __future__ import annotations

import csv
from dataclasses import replace
from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest

from annotate.behaviours import default_sheet
from annotate.deliver.deliver import KINDS, deliver, possible_kinds
from annotate.deliver.highlights import ClipFile, Material
from annotate.deliver.webvtt import one_line
from annotate.errors import Trouble
from annotate.passages import Passage
from annotate.sessions import PlacedClip, Session
from annotate.taglist import plain_text
from annotate.tags import Tag
from tests.annotate.deliver.test_webvtt import WICKED
from tests.annotate.deliver.vtt_grammar import strict_cues
from tests.annotate.rfc4180 import strict_records

S = 1_000_000_000
SESSION = Session(1, "Bramble", date(2026, 5, 4), length_ns=600 * S)
PLAIN = Material(
    SESSION, (Passage(59 * S + 999_600_000, 70 * S, "Spook"),), (Tag("walk", 0, 65 * S),), default_sheet()
)


def with_clips(*starts_s: int, names: str = "clip{}.mp4", passages: tuple[Passage, ...]) -> Material:
    clips = tuple(
        PlacedClip(n, start * S, Fraction(1, 1000), 0, 10_000) for n, start in enumerate(starts_s, 1)
    )
    files = tuple(ClipFile(clip, names.format(clip.id)) for clip in clips)
    return Material(replace(SESSION, clips=clips, length_ns=0), passages, (), default_sheet(), files)


def test_the_list_is_written_as_csv(tmp_path: Path) -> None:
    (path,) = deliver(PLAIN, ["csv"], tmp_path)
    assert path == tmp_path / "highlights.csv"
    assert strict_records(path.read_bytes()) == [
        ["number", "clip", "start_s", "end_s", "clip_start_s", "clip_end_s", "length_s", "caption", "tags"],
        ["1", "", "59.9996", "70", "", "", "10.0004", "Spook", "walk 5 s"],
    ]


def test_without_clips_the_subtitles_are_on_the_sessions_clock(tmp_path: Path) -> None:
    (path,) = deliver(PLAIN, ["vtt"], tmp_path)
    assert path.name == "highlights.vtt"
    assert strict_cues(path.read_bytes()) == [(60_000, 70_000, "Spook")]
    assert path.read_text().startswith("WEBVTT Bramble/2026-05-04\n")


def test_one_clip_has_one_file_of_subtitles_on_its_own_clock(tmp_path: Path) -> None:
    material = with_clips(5, passages=(Passage(6 * S, 8 * S, "lope"),))
    (path,) = deliver(material, ["vtt"], tmp_path)
    assert path.name == "highlights.vtt"
    assert strict_cues(path.read_bytes()) == [(1000, 3000, "lope")]
    assert path.read_text().startswith("WEBVTT Bramble/2026-05-04, clip1.mp4\n")


def test_several_clips_have_a_file_each_numbered_by_their_place(tmp_path: Path) -> None:
    passages = (Passage(42 * S, 43 * S, "third"), Passage(1 * S, 2 * S, "first", 1))
    written = deliver(with_clips(0, 20, 40, passages=passages), ["vtt"], tmp_path)
    assert [path.name for path in written] == ["highlights-1.vtt", "highlights-3.vtt"]
    assert [strict_cues(path.read_bytes())[0] for path in written] == [
        (1000, 2000, "first"),
        (2000, 3000, "third"),
    ]


def test_both_kinds_are_written_in_the_order_asked_for_and_once(tmp_path: Path) -> None:
    written = deliver(PLAIN, ["vtt", "csv", "vtt"], tmp_path / "new" / "folder")
    assert [path.name for path in written] == ["highlights.vtt", "highlights.csv"]
    assert sorted(written) == sorted((tmp_path / "new" / "folder").iterdir())


def test_every_known_kind_can_be_written(tmp_path: Path) -> None:
    kinds = possible_kinds(PLAIN)
    assert set(KINDS) - set(kinds) == {"reel"}
    written = deliver(PLAIN, kinds, tmp_path)
    assert all(path.is_file() for path in written)
    assert len(written) >= len(kinds)


def test_each_clip_and_the_reel_have_chapters(tmp_path: Path) -> None:
    passages = (Passage(42 * S, 43 * S, "third"), Passage(1 * S, 2 * S, "first", 1))
    written = deliver(with_clips(0, 20, 40, passages=passages), ["chapters", "srt"], tmp_path)
    assert [path.name for path in written] == [
        "chapters-1.txt",
        "chapters-1.vtt",
        "chapters-3.txt",
        "chapters-3.vtt",
        "reel-chapters.txt",
        "reel-chapters.vtt",
        "highlights-1.srt",
        "highlights-3.srt",
    ]
    reel = strict_cues((tmp_path / "reel-chapters.vtt").read_bytes())
    assert reel == [(0, 1000, "third"), (1000, 2000, "first")]


def test_a_reel_without_clips_is_refused_and_nothing_written(tmp_path: Path) -> None:
    with pytest.raises(Trouble, match="no clip to make a reel from"):
        deliver(PLAIN, ["csv", "reel"], tmp_path / "new")
    assert not (tmp_path / "new").exists()


@pytest.mark.parametrize(("kinds", "asked"), [(["csv", "doc"], "'doc'"), (["CSV"], "'CSV'"), ([], "nothing")])
def test_a_kind_that_is_not_known_is_refused_and_nothing_written(
    tmp_path: Path, kinds: list[str], asked: str
) -> None:
    with pytest.raises(Trouble, match=f"written as {', '.join(KINDS)}, not as {asked}"):
        deliver(PLAIN, kinds, tmp_path / "new")
    assert not (tmp_path / "new").exists()


def test_an_empty_list_is_refused(tmp_path: Path) -> None:
    with pytest.raises(Trouble, match="no passage to show"):
        deliver(replace(PLAIN, passages=()), ["csv"], tmp_path / "new")
    assert not (tmp_path / "new").exists()


@pytest.mark.parametrize("text", WICKED)
def test_a_wicked_caption_survives_in_every_file(tmp_path: Path, text: str) -> None:
    table, subtitles = deliver(
        replace(PLAIN, passages=(Passage(0, S, text),)), ["csv", "vtt"], tmp_path
    )
    assert plain_text(strict_records(table.read_bytes())[1][7]) == text.strip()
    with table.open(encoding="utf-8", newline="") as file:
        assert plain_text(list(csv.reader(file, strict=True))[1][7]) == text.strip()
    assert [cue.text for cue in strict_cues(subtitles.read_bytes())] == [one_line(text)]


def test_a_wicked_file_name_survives_in_every_file(tmp_path: Path) -> None:
    material = with_clips(0, names='=a, "b" --> {}\n.mp4', passages=(Passage(0, S, "x"),))
    table, subtitles = deliver(material, ["csv", "vtt"], tmp_path)
    assert plain_text(strict_records(table.read_bytes())[1][1]) == '=a, "b" --> 1\n.mp4'
    assert len(strict_cues(subtitles.read_bytes())) == 1


def test_no_cell_is_taken_for_a_formula(tmp_path: Path) -> None:
    material = replace(PLAIN, passages=(Passage(0, S, "=1+1"), Passage(0, S, "@x"), Passage(0, S, "-x")))
    (path,) = deliver(material, ["csv"], tmp_path)
    cells = [cell for row in strict_records(path.read_bytes()) for cell in row]
    assert not [cell for cell in cells if cell.startswith(("=", "+", "-", "@", "\t", "\r"))]


def test_a_folder_that_is_a_file_is_said(tmp_path: Path) -> None:
    (tmp_path / "here").write_text("")
    with pytest.raises(Trouble, match="is a file"):
        deliver(PLAIN, ["csv"], tmp_path / "here")
