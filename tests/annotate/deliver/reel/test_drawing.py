from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from annotate.behaviours import default_sheet
from annotate.deliver.reel.drawing import FONT_FILE, Drawn, Scene, drawing, harmless
from annotate.deliver.reel.looks import Colour, Look
from annotate.deliver.reel.reel import write_reel
from annotate.sessions import Session
from annotate.tags import Tag
from annotate.workline import WorkLine, work_line
from tests.annotate.deliver.hostile import HOSTILE
from tests.annotate.deliver.reel.reels import cuts_of
from tests.made_clips import numbered

S = 1_000_000_000
LOOK = Look(320, 240, Colour())


def line() -> WorkLine:
    session = Session(1, "Bramble", date(2026, 5, 4), length_ns=100 * S)
    tags = [
        Tag("left_rein", 0, 50 * S),
        Tag("right_rein", 50 * S, 100 * S),
        Tag("lope", 0, 100 * S),
        Tag("spook", 20 * S, severity=3),
    ]
    return work_line(session, tags, default_sheet())


def dialogues(text: str) -> list[str]:
    return [row for row in text.splitlines() if row.startswith("Dialogue: ")]


@given(st.text())
def test_a_caption_gives_no_orders_and_stays_in_its_line(text: str) -> None:
    said = harmless(text)
    assert len(said.splitlines()) <= 1
    assert not re.search(r"(?<!\\)[{}]", said)
    assert not re.search(r"\\[Nnht]", said)


@pytest.mark.parametrize("text", HOSTILE)
def test_a_short_caption_is_all_there(text: str) -> None:
    shown = harmless(text).replace("\N{WORD JOINER}", "").replace("\\{", "{").replace("\\}", "}")
    wanted = " ".join(text.splitlines()) if len(text) < 100 else "x" * 30
    assert wanted.split() == shown.split()[: len(wanted.split())]
    assert len(shown) < 130


def test_each_scene_lasts_as_long_as_its_frames() -> None:
    scenes = [Scene(0, 30, "one", 0, S), Scene(30, 45, "two", 5 * S, 6 * S)]
    rows = dialogues(drawing(Drawn(), scenes, LOOK, Fraction(30)))
    assert rows == [
        "Dialogue: 2,0:00:00.00,0:00:01.00,Caption,0,0,0,one",
        "Dialogue: 2,0:00:01.00,0:00:01.50,Caption,0,0,0,two",
    ]


@pytest.mark.parametrize("rate", [Fraction(24), Fraction(30000, 1001), Fraction(60)])
def test_a_scene_never_begins_after_its_first_frame_nor_before_the_one_before(rate: Fraction) -> None:
    scenes = [Scene(first, first + 1, "x", 0, S) for first in range(2000)]
    for first, row in enumerate(dialogues(drawing(Drawn(), scenes, LOOK, rate))):
        hours, minutes, seconds = row.split(",")[1].split(":")
        begins = int(hours) * 3600 + int(minutes) * 60 + Fraction(seconds)
        assert (first - 1) / rate < begins <= first / rate


def test_the_work_line_is_drawn_under_the_caption_with_a_stroke_that_moves() -> None:
    text = drawing(Drawn(True, line()), [Scene(0, 50, "a", 10 * S, 20 * S)], LOOK, Fraction(25))
    rows = dialogues(text)
    (stroke,) = [row for row in rows if "\\move" in row]
    strip_left, strip_width = 320 // 28, 320 - 2 * (320 // 28)
    begin, end = (strip_left + round(strip_width * share) for share in (0.1, 0.2))
    assert re.search(rf"\\move\({begin},\d+,{end},\d+,0,2000\)", stroke)
    assert rows[-1].endswith(",Caption,0,0,0,a")


def test_every_line_of_the_file_has_its_fields() -> None:
    text = drawing(Drawn(True, line()), [Scene(0, 50, "a,b,c", 0, S)], LOOK, Fraction(25))
    styles = [row for row in text.splitlines() if row.startswith("Style: ")]
    assert {row.count(",") for row in styles} == {13}
    time = r"\d:\d\d:\d\d\.\d\d"
    form = re.compile(rf"Dialogue: \d,{time},{time},(Line|Caption),0,0,0,")
    assert all(form.match(row) for row in dialogues(text))


def test_a_font_is_always_there() -> None:
    assert FONT_FILE.read_bytes()[:4] == b"\0\1\0\0"


def test_captions_are_seen_in_their_own_passage_and_only_there(tmp_path: Path) -> None:
    clip = numbered(tmp_path / "clip.mp4", 60, size=(320, 240), filters=[("lutyuv", "126")])
    one, other = cuts_of([clip], [(0, 5, 24), (0, 30, 49)])
    some = [
        replace(one, row=replace(one.row, caption="MMMMMM")),
        replace(other, row=replace(other.row, caption=" ")),
    ]
    write_reel(some, tmp_path / "reel.mp4", drawn=Drawn())
    with av.open(str(tmp_path / "reel.mp4")) as container:
        shown = [frame.to_ndarray(format="gray")[190:].astype(int) for frame in container.decode(video=0)]
    bright = [int(np.sum(picture > 200)) for picture in shown]
    assert min(bright[:20]) > 20
    assert max(bright[20:]) == 0


def test_the_work_line_is_seen(tmp_path: Path) -> None:
    clip = numbered(tmp_path / "clip.mp4", 60, size=(320, 240), filters=[("lutyuv", "126")])
    write_reel(cuts_of([clip], [(0, 5, 24)]), tmp_path / "reel.mp4", drawn=Drawn(False, line()))
    with av.open(str(tmp_path / "reel.mp4")) as container:
        picture = next(container.decode(video=0)).to_ndarray(format="rgb24").astype(int)
    strip = picture[-28:]
    red, green, blue = (strip[:, :, channel] for channel in range(3))
    greenish = (green > red + 60) & (green > 120)
    orange = (red > blue + 100) & (red > 150)
    assert greenish[:, :160].sum() > 200
    assert orange[:, 160:].sum() > 200
    assert greenish[:, 165:].sum() == 0
