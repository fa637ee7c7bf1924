"""The truth lists beside the clips: whether they agree with each other and with the files."""

import csv
import itertools
import json
import math
import tomllib
from collections import defaultdict
from datetime import UTC, datetime
from fractions import Fraction
from pathlib import Path

import av
import pytest

import sample_media

HOME = Path(sample_media.__file__).parent
SESSIONS = tomllib.loads((HOME / "sessions.toml").read_text(encoding="utf-8"))["session"]
CLIPS = [c for s in SESSIONS for c in s["clip"]]
KEYS = [s["key"] for s in SESSIONS]
FILES = [c["file"] for c in CLIPS]
GAITS = {"stand", "walk", "trot", "lope", "gallop", "back"}
REACTIONS = {
    "spook", "shy", "bolt", "buck", "crow_hop", "kick_out", "strike", "rear", "balk",
}  # fmt: skip
each_session = pytest.mark.parametrize("session", SESSIONS, ids=KEYS)
each_clip = pytest.mark.parametrize("clip", CLIPS, ids=FILES)


def ns(text: str) -> int:
    exact = Fraction(text) * 1_000_000_000
    assert exact.denominator == 1
    return int(exact)


def frames_of(clip: dict[str, str]) -> list[dict[str, str]]:
    with (HOME / clip["frames"]).open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def tags_of(session: dict[str, str]) -> list[dict[str, str]]:
    with (HOME / session["tags"]).open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def test_all_clips_together_are_small_enough_to_keep() -> None:
    assert sum((HOME / f).stat().st_size for f in FILES) < 12_000_000


@each_clip
def test_a_clip_has_exactly_the_frames_of_its_truth(clip: dict[str, str]) -> None:
    with av.open(str(HOME / clip["file"])) as container:
        stream = container.streams.video[0]
        packets = [p for p in container.demux(stream) if p.pts is not None]
        base = stream.time_base
    pts = sorted(p.pts for p in packets)
    rows = frames_of(clip)
    assert pts == [int(r["pts"]) for r in rows]
    assert [r["frame"] for r in rows] == [str(n) for n in range(len(rows))]
    assert [round(p * base * 1_000_000_000) for p in pts] == [int(r["pts_ns"]) for r in rows]
    assert any(p.pts != p.dts for p in packets)
    assert [p.pts for p in packets] != pts  # B-frames: stored in another order than shown


@each_clip
def test_a_clip_is_h264_high_with_mono_sound_and_says_that_it_is_drawn(
    clip: dict[str, str],
) -> None:
    with av.open(str(HOME / clip["file"])) as container:
        video, audio = container.streams.video[0], container.streams.audio[0]
        assert (video.codec_context.name, video.profile) == ("h264", "High")
        assert video.codec_context.pix_fmt == "yuv420p"
        assert (audio.codec_context.name, audio.codec_context.channels) == ("aac", 1)
        assert "Drawn, not filmed" in container.metadata["comment"]
        taken = datetime.fromisoformat(container.metadata["creation_time"])
        assert taken == datetime.fromisoformat(str(clip["created"])).astimezone(UTC)


@each_session
def test_clips_are_placed_by_time_of_day(session: dict[str, list[dict[str, object]]]) -> None:
    clips = session["clip"]
    for c in clips:
        apart = c["created"] - clips[0]["created"]  # type: ignore[operator]
        assert apart.total_seconds() == float(str(c["starts_s"]))


@each_clip
def test_session_times_follow_from_clip_times(clip: dict[str, str]) -> None:
    with av.open(str(HOME / clip["file"])) as container:
        base = container.streams.video[0].time_base
    rows = frames_of(clip)
    first = int(rows[0]["pts"])
    for r in rows:
        time = Fraction(clip["starts_s"]) + (int(r["pts"]) - first) * base / int(
            clip["capture_speed"]
        )
        assert int(r["session_ns"]) == round(time * 1_000_000_000)


@each_session
def test_tag_boundaries_are_frame_times_and_rows_are_well_formed(
    session: dict[str, str],
) -> None:
    text = (HOME / session["tags"]).read_bytes()
    assert text.count(b"\n") == text.count(b"\r\n")
    starts = {int(r["session_ns"]) for c in session["clip"] for r in frames_of(c)}  # type: ignore[arg-type]
    tags = tags_of(session)
    last = max(ns(t["end_s"]) for t in tags if t["end_s"])
    ends_of_clips = {
        ns(t["end_s"]) for t in tags if t["what"] in GAITS | {"out_of_sight"} and t["end_s"]
    }
    for t in tags:
        assert ns(t["start_s"]) in starts
        if t["end_s"]:
            end = ns(t["end_s"])
            assert end > ns(t["start_s"])
            assert end in starts or end in ends_of_clips
            assert end <= last
        assert (t["severity"] in {"1", "2", "3", "4"}) == (t["what"] in REACTIONS)


@each_session
def test_the_tag_list_says_what_the_frames_say(session: dict[str, object]) -> None:
    tags = tags_of(session)  # type: ignore[arg-type]
    states = [(t["what"], ns(t["start_s"]), ns(t["end_s"])) for t in tags if t["end_s"]]
    for clip in session["clip"]:  # type: ignore[attr-defined]
        for r in frames_of(clip):
            at = int(r["session_ns"])
            now = {what for what, start, end in states if start <= at < end}
            seen = r["visible"] == "1"
            assert now & (GAITS | {"out_of_sight"}) == {r["gait"] if seen else "out_of_sight"}
            reins = {r["rein"]} if seen and r["rein"] else set()
            assert now & {"left_rein", "right_rein"} == reins
            leads = {r["lead"]} if seen and r["lead"] else set()
            assert now & {"left_lead", "right_lead", "disunited"} == leads


@each_session
def test_a_turn_is_where_the_rein_flips(session: dict[str, str]) -> None:
    tags = tags_of(session)
    turns = [t["start_s"] for t in tags if t["what"] in ("turn_in", "turn_out")]
    reins = [t for t in tags if t["what"] in ("left_rein", "right_rein")]
    flips = [
        b["start_s"]
        for a, b in itertools.pairwise(reins)
        if a["what"] != b["what"] and a["end_s"] == b["start_s"]
    ]
    assert turns == flips


@each_session
def test_the_numbers_add_up_from_the_tag_list(session: dict[str, str]) -> None:
    numbers = json.loads((HOME / session["numbers"]).read_text(encoding="utf-8"))
    spent: dict[str, int] = defaultdict(int)
    tags = tags_of(session)
    for t in tags:
        if t["end_s"]:
            spent[t["what"]] += ns(t["end_s"]) - ns(t["start_s"])
    for gait, told in numbers["gait"].items():
        assert told["seconds"] == pytest.approx(spent[gait] / 1e9, abs=1e-9)
    seconds = numbers["seconds"]
    assert seconds["out_of_sight"] == pytest.approx(spent["out_of_sight"] / 1e9, abs=1e-9)
    assert seconds["left_rein"] == pytest.approx(spent["left_rein"] / 1e9, abs=1e-9)
    assert seconds["right_rein"] == pytest.approx(spent["right_rein"] / 1e9, abs=1e-9)
    assert numbers["reactions"]["count"] == sum(t["what"] in REACTIONS for t in tags)
    calm = sum(not r["cut_short"] for r in numbers["recoveries"])
    assert calm == sum(t["what"] == "calm" for t in tags)


def test_the_two_sessions_of_the_filly_tell_the_story() -> None:
    first, second = (
        json.loads((HOME / f"truth/juniper_2026-05-{day}.json").read_text(encoding="utf-8"))
        for day in ("04", "25")
    )

    def balance(n: dict[str, dict[str, float]]) -> float:
        left, right = n["seconds"]["left_rein"], n["seconds"]["right_rein"]
        return (left - right) / (left + right)

    assert balance(first) > 0.3
    assert abs(balance(second)) < 0.15
    assert first["reactions"]["count"] >= 6
    assert set(first["reactions"]["by_severity"]) == {"1", "2", "3", "4"}
    assert any(r["cut_short"] for r in first["recoveries"])
    assert second["reactions"]["count"] < first["reactions"]["count"]


def test_a_round_is_once_along_the_track() -> None:
    [session] = [s for s in SESSIONS if "ground" in s]
    numbers = json.loads((HOME / session["numbers"]).read_text(encoding="utf-8"))
    pen, inside = (float(session["ground"][key]) for key in ("pen_diameter_m", "rail_distance_m"))
    assert [lap["gait"] for lap in numbers["laps"]] == ["trot", "trot", "lope"]
    for lap in numbers["laps"]:
        assert lap["metres"] == pytest.approx(math.pi * (pen - 2 * inside), rel=2e-3)
    passings = [t["start_s"] for t in tags_of(session) if t["what"] == "lap"]
    assert [float(at) for at in passings[:-1]] == [lap["start_s"] for lap in numbers["laps"]]


def test_each_tapped_stride_is_one_stride_of_the_drawn_phase() -> None:
    [session] = [s for s in SESSIONS if "ground" in s]
    numbers = json.loads((HOME / session["numbers"]).read_text(encoding="utf-8"))
    rows = [r for clip in session["clip"] for r in frames_of(clip)]
    for series in numbers["strides"]:
        inside = [r for r in rows if series["start_s"] <= int(r["session_ns"]) / 1e9 <= series["end_s"]]
        rolled = sum((float(b["stride_phase"]) - float(a["stride_phase"])) % 1 for a, b in itertools.pairwise(inside))
        assert series["taps"] - 1 == pytest.approx(rolled, abs=0.08)
        assert {r["gait"] for r in inside} == {series["gait"]}
