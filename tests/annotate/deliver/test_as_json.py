from __future__ import annotations

import json
from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest

from annotate.deliver.as_json import json_text
from annotate.deliver.cuts import cuts
from annotate.deliver.highlights import Material, highlights
from annotate.passages import Passage
from annotate.tags import Tag
from tests.annotate.deliver.hostile import HOSTILE
from tests.annotate.deliver.some_cuts import S, facts, material, steady


def told(some: Material) -> Any:
    rows = highlights(some)
    return json.loads(json_text(some, rows, cuts(some, rows)))


def test_a_passage_is_told_on_every_clock_and_by_frame() -> None:
    some = material(steady(Fraction(25), 250), passages=[Passage(S, 3 * S, "Spook")])
    (row,) = told(some)["highlights"]
    assert row == {
        "number": 1,
        "caption": "Spook",
        "start_s": 1.0,
        "end_s": 3.0,
        "length_s": 2.0,
        "clip": "clip1.mp4",
        "clip_start_s": 1.0,
        "clip_end_s": 3.0,
        "first_frame": 25,
        "last_frame": 74,
        "reel_start_s": 0.0,
        "reel_end_s": 2.0,
        "said": "",
    }


def test_every_clip_is_told_without_its_folder() -> None:
    some = material(
        steady(Fraction(30000, 1001), 300, sound=False),
        facts([0, 40, 90], Fraction(1, 1000), end=120),
        passages=[Passage(S, 3 * S)],
        names="/home/someone/clip{}.mp4",
        speed=8,
    )
    first, second = told(some)["clips"]
    assert first == {
        "name": "clip1.mp4",
        "start_s": 0.0,
        "end_s": 1.25125,
        "capture_speed": "8",
        "frames": 300,
        "rate": "30000/1001",
        "constant_rate": True,
        "sound": False,
    }
    assert (second["start_s"], second["frames"], second["constant_rate"]) == (1.25125, 3, False)


def test_without_a_clip_only_the_sessions_clock_is_known() -> None:
    (row,) = told(material(passages=[Passage(S, 3 * S)], length_s=60))["highlights"]
    assert (row["start_s"], row["clip"], row["clip_start_s"], row["first_frame"]) == (1.0, None, None, None)


def test_the_tags_and_the_numbers_go_along_but_no_note() -> None:
    tags = (Tag("walk", 0, 5 * S), Tag("spook", 2 * S, severity=3, stimulus="flag", note="secret"))
    some = replace(material(passages=[Passage(S, 3 * S)], length_s=60), tags=tags)
    whole = told(some)
    assert whole["session"] == {"horse": "Bramble", "date": "2026-05-04", "number": 1, "length_s": 60.0}
    assert [tag["what"] for tag in whole["tags"]] == ["walk", "spook"]
    assert whole["tags"][1]["stimulus"] == "flag"
    assert whole["numbers"]["seconds"]["length"] == 60
    assert "secret" not in json.dumps(whole)


@pytest.mark.parametrize("text", [*HOSTILE, "a\0b\ud800"])
def test_hostile_text_comes_back_whole(text: str) -> None:
    some = material(steady(Fraction(25), 250), passages=[Passage(S, 3 * S, text)])
    wanted = text.replace("\0", "\N{REPLACEMENT CHARACTER}").replace("\ud800", "\N{REPLACEMENT CHARACTER}")
    assert told(some)["highlights"][0]["caption"] == wanted.strip()
