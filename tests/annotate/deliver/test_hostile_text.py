"""Text that means harm in every field a person can fill in, through every kind of file at once.

Each file is read back by a reader that is not its writer: csv, the WebVTT grammar by hand, the form of SubRip, ffmpeg
itself, OpenTimelineIO, json, a decoder, an HTML parser and pypdf.
"""

from __future__ import annotations

import csv
import json
import re
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

import av
import opentimelineio as otio
import pytest
from pypdf import PdfReader

from annotate.behaviours import Sheet
from annotate.deliver.chapters import BEFORE
from annotate.deliver.deliver import KINDS, Wishes, deliver
from annotate.deliver.highlights import Material
from annotate.deliver.page.choice import PARTS, Choice, Rung, Work
from annotate.deliver.webvtt import one_line
from annotate.passages import Passage
from annotate.taglist import plain_text
from annotate.tags import Tag
from tests.annotate.deliver import test_subrip
from tests.annotate.deliver.hostile import HOSTILE
from tests.annotate.deliver.page.made import HOSTILE as HOSTILE_ON_PAGES
from tests.annotate.deliver.page.made import S, filmed
from tests.annotate.deliver.page.test_folder import Reader, only_harmless
from tests.annotate.deliver.test_chapters import muxed
from tests.annotate.deliver.test_edl import EVENT
from tests.annotate.deliver.vtt_grammar import strict_cues
from tests.annotate.tagged import SHEET
from tests.made_clips import numbered

TEXTS = tuple(dict.fromkeys((*HOSTILE, *HOSTILE_ON_PAGES)))
ALL = "\n".join(TEXTS)
IN_ONE_LINE = " ".join(ALL.split())[:600]
CLIP_NAME = f"{ALL.translate({ord(sign): '|' for sign in '/' + chr(92)})[:300]}.mp4"
FRAMES_EACH = 4


def material(clip: Path) -> Material:
    """A passage of four frames for each text; all of the texts in every other field."""
    step = FRAMES_EACH * S // 25
    passages = tuple(
        Passage(place * step, (place + 1) * step, text, place) for place, text in enumerate(TEXTS)
    )
    tags = (
        Tag("trot", 0, 3 * S, note=ALL),
        Tag("left_rein", 0, 3 * S, note=ALL),
        Tag("spook", S // 2, severity=3, note=ALL, stimulus="flag"),
        Tag("calm", S, note=ALL),
    )
    one = filmed(clip, *passages, tags=tags, horse=IN_ONE_LINE)
    groups = tuple(replace(group, title=ALL) for group in SHEET.groups)
    sheet = Sheet(groups, tuple(replace(behaviour, title=ALL) for behaviour in SHEET.behaviours))
    work = Work(one.session, one.tags)
    return replace(
        one,
        session=replace(one.session, details={"title": ALL, "note": ALL}),
        sheet=sheet,
        files=tuple(replace(file, name=CLIP_NAME) for file in one.files),
        choice=Choice(frozenset(PARTS), ALL, ALL, ALL, ALL),
        earlier=work,
        series=(work, work),
        ladder=(Rung(ALL, ALL), Rung(ALL, ALL, True)),
    )


@pytest.fixture(scope="module")
def clip(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return numbered(tmp_path_factory.mktemp("hostile") / "clip.mp4", FRAMES_EACH * len(TEXTS))


@pytest.fixture(scope="module")
def files(clip: Path, tmp_path_factory: pytest.TempPathFactory) -> Mapping[str, Path]:
    """Every kind, in one writing, by its name."""
    written = deliver(material(clip), KINDS, tmp_path_factory.mktemp("out"), wishes=Wishes(True, True))
    return {path.name if path.suffix not in (".zip", ".pdf") else path.suffix: path for path in written}


def test_no_name_of_a_file_comes_from_the_text(files: Mapping[str, Path]) -> None:
    assert {path.parent.parent for path in files.values() if path.name == "index.html"} == {
        files["reel.mp4"].parent
    }
    assert all(re.fullmatch(r"[A-Za-z0-9.-]{1,80}", path.name) for path in files.values())


def test_the_table_holds_it_and_no_cell_is_a_formula(files: Mapping[str, Path]) -> None:
    with files["highlights.csv"].open(encoding="utf-8", newline="") as file:
        _, *rows = csv.reader(file, strict=True)
    assert [plain_text(row[7]) for row in rows] == [text.strip() for text in TEXTS]
    assert {plain_text(row[1]) for row in rows} == {CLIP_NAME}
    assert not [cell for row in rows for cell in row if cell.startswith(("=", "+", "-", "@", "\t", "\r"))]


@pytest.mark.parametrize("name", ["highlights.vtt", "chapters.vtt", "reel-chapters.vtt"])
def test_webvtt_keeps_to_its_grammar(files: Mapping[str, Path], name: str) -> None:
    said = [cue.text for cue in strict_cues(files[name].read_bytes())]
    assert [text for text in said if text != BEFORE] == [one_line(text) for text in TEXTS]


def test_subrip_keeps_to_its_form(files: Mapping[str, Path]) -> None:
    cues = test_subrip.strict_cues(files["highlights.srt"].read_bytes().decode())
    assert [text.replace("\N{WORD JOINER}", "") for _, _, text in cues] == [one_line(text) for text in TEXTS]


@pytest.mark.parametrize("name", ["chapters.txt", "reel-chapters.txt"])
def test_ffmpeg_reads_every_chapter_back(
    files: Mapping[str, Path], clip: Path, tmp_path: Path, name: str
) -> None:
    read = muxed(clip, files[name].read_text(encoding="utf-8"), tmp_path)
    titles = [str(chapter["metadata"]["title"]).rstrip() for chapter in read]  # type: ignore[index]
    assert titles == [one_line(text) for text in TEXTS]


def test_the_cutting_list_has_its_events_and_comments_and_nothing_else(files: Mapping[str, Path]) -> None:
    lines = files["highlights.edl"].read_bytes().decode().removesuffix("\r\n").split("\r\n")
    title, counting, rate = lines.pop(0), lines.pop(0), lines.pop(3)
    assert title.startswith("TITLE: ")
    assert (counting, rate) == ("FCM: NON-DROP FRAME", "* FRAME RATE: 25 PER SECOND")
    assert all(EVENT.fullmatch(line) for line in lines[0::3])
    assert lines[1::3] == [f"* FROM CLIP NAME: {one_line(CLIP_NAME)}"] * len(TEXTS)
    assert lines[2::3] == [f"* COMMENT: {one_line(text)}" for text in TEXTS]


def test_the_timeline_comes_back_through_its_library(files: Mapping[str, Path]) -> None:
    timeline = otio.adapters.read_from_file(str(files["highlights.otio"]))
    clips = list(timeline.find_clips())
    assert [one.name for one in clips] == [text.strip() for text in TEXTS]
    assert {one.media_reference.target_url for one in clips} == {CLIP_NAME}


def test_the_json_comes_back_without_the_notes(files: Mapping[str, Path]) -> None:
    text = files["highlights.json"].read_text(encoding="utf-8")
    read = json.loads(text)
    assert [row["caption"] for row in read["highlights"]] == [text.strip() for text in TEXTS]
    assert {row["clip"] for row in read["highlights"]} == {CLIP_NAME}
    assert read["session"]["horse"] == IN_ONE_LINE
    assert all("note" not in tag for tag in read["tags"])


def test_the_reel_has_every_frame_under_its_captions(files: Mapping[str, Path]) -> None:
    with av.open(str(files["reel.mp4"])) as container:
        assert sum(1 for _ in container.decode(video=0)) == FRAMES_EACH * len(TEXTS)
        told = "".join(container.metadata.values())
    assert not set(told) & set("<>{}=🐴")


def test_page_and_report_show_it_as_text(files: Mapping[str, Path]) -> None:
    page = Reader(files["index.html"].read_text(encoding="utf-8"))
    said = " ".join("".join(page.text).split())
    for text in TEXTS:
        shown = " ".join(text.replace("\N{RIGHT-TO-LEFT OVERRIDE}", "").split())
        assert said.count(shown) >= 7, shown[:80]
    report = next(path for name, path in files.items() if name.endswith("-sessions.html"))
    for reader in (page, Reader(report.read_text(encoding="utf-8"))):
        assert only_harmless(reader)
        assert all(re.fullmatch(r"[a-z0-9.-]+|data:,", address) for address in reader.addresses)


def test_the_paper_holds_it_in_full(files: Mapping[str, Path]) -> None:
    said = "".join("".join(page.extract_text().split()) for page in PdfReader(files[".pdf"]).pages)
    for text in TEXTS:
        plain = "".join(sign for sign in text if sign.isascii() and sign.isprintable() and not sign.isspace())
        assert plain in said, plain[:80]


def test_nothing_of_notes_and_private_words_goes_out(clip: Path, tmp_path: Path) -> None:
    one = filmed(clip, Passage(0, S, "Trot"), tags=(Tag("trot", 0, 3 * S, note="PRIVATE"),))
    one = replace(one, session=replace(one.session, details={"note": "PRIVATE", "owner": "PRIVATE"}))
    for path in deliver(one, KINDS, tmp_path / "out"):
        data = path.read_bytes()
        assert b"PRIVATE" not in data, path.name
        assert str(clip.parent).encode() not in data, path.name
