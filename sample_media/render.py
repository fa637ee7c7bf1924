"""From a scenario to files: clips, their truth and the list of sessions."""

from __future__ import annotations

import dataclasses
import json
from collections.abc import Iterator
from datetime import datetime, timedelta
from fractions import Fraction
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from .camera import View
from .counts import numbers_of
from .encode import Quality, read_times, write_clip
from .frame_times import horse_seconds, planned_pts, time_base
from .path import PEN_RADIUS_M, TRACK_M
from .scenario import ClipPlan, Scenario
from .scene import Film, FrameTruth
from .sound import clip_sound
from .truth import FilmedClip, filmed, frames_text, seconds_text, tag_list_text, tags_of


def with_rate(scenario: Scenario, rate: Fraction) -> Scenario:
    """The same session filmed at another rate."""
    clips = tuple(dataclasses.replace(c, rate=rate) for c in scenario.clips)
    return dataclasses.replace(scenario, clips=clips)


def created(scenario: Scenario, plan: ClipPlan) -> datetime:
    """The time of day (UTC) at which the clip's first frame was taken."""
    opening = datetime.fromisoformat(f"{scenario.date}T{scenario.opening}")
    return opening + timedelta(seconds=plan.starts_s)


def render_clip(film: Film, plan: ClipPlan, to: Path, quality: Quality) -> FilmedClip:
    """Draw and encode one clip, then read its times back."""
    scenario = film.scenario
    base, pts = time_base(plan), planned_pts(plan, scenario.seed)
    times = [float(horse_seconds(plan, p * base)) for p in pts]
    truths: list[FrameTruth] = []

    def pixels() -> Iterator[NDArray[np.uint8]]:
        for picture in film.pictures(times):
            truths.append(picture.truth)
            yield picture.pixels

    seconds = float((pts[-1] * base) + 1 / plan.rate)
    metadata = {
        "title": f"{scenario.horse.name}, {scenario.date}: {scenario.title}",
        "comment": "Drawn, not filmed. Horse and place are invented.",
        "creation_time": created(scenario, plan).strftime("%Y-%m-%dT%H:%M:%S.000000Z"),
    }
    sound = clip_sound(film, plan, seconds)
    write_clip(to, pixels(), pts, base, plan.rate, sound, metadata, quality)
    got = read_times(to)
    if [p * got.time_base for p in got.pts] != [p * base for p in pts]:
        raise ValueError(f"{to.name}: the file's frame times are not those that were asked for.")
    return filmed(plan, got.time_base, got.pts, got.end, truths)


def render_session(
    scenario: Scenario, view: View, to: Path, quality: Quality | None = None
) -> list[FilmedClip]:
    """All clips of a session into to/clips and their truth into to/truth."""
    (to / "clips").mkdir(parents=True, exist_ok=True)
    film = Film(scenario, view)
    clips = [
        render_clip(film, plan, to / "clips" / f"{plan.name}.mp4", quality or Quality())
        for plan in scenario.clips
    ]
    write_truth(scenario, clips, to / "truth")
    return clips


def write_truth(scenario: Scenario, clips: list[FilmedClip], folder: Path) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    for clip in clips:
        name = f"{clip.plan.name}.frames.csv"
        (folder / name).write_text(frames_text(scenario, clip), encoding="utf-8", newline="")
    tags = tag_list_text(tags_of(scenario, clips))
    (folder / f"{scenario.key}.csv").write_text(tags, encoding="utf-8", newline="")
    numbers = json.dumps(numbers_of(scenario, clips), indent=1)
    (folder / f"{scenario.key}.json").write_text(numbers + "\n", encoding="utf-8")


def sessions_text(scenarios: list[Scenario]) -> str:
    """The list of sessions as TOML."""
    lines = ["# Written by python -m sample_media. Drawn, not filmed; horses and place invented."]
    for s in scenarios:
        lines += [
            "",
            "[[session]]",
            f'key = "{s.key}"',
            f'horse = "{s.horse.name}"',
            f'coat = "{s.horse.coat}"',
            f"date = {s.date}",
            f'title = "{s.title}"',
            f'goal = "{s.goal}"',
            f'note = "{s.note}"',
            "drawn = true",
            f'tags = "truth/{s.key}.csv"',
            f'numbers = "truth/{s.key}.json"',
        ]
        if s.mark_deg is not None:
            lines += [
                "",
                "[session.ground]",
                f'pen_diameter_m = "{2 * PEN_RADIUS_M:g}"',
                f'rail_distance_m = "{PEN_RADIUS_M - TRACK_M:g}"',
                f'hip_height_m = "{s.horse.height_m:g}"',
            ]
        for c in s.clips:
            lines += [
                "",
                "[[session.clip]]",
                f'file = "clips/{c.name}.mp4"',
                f'starts_s = "{seconds_text(c.starts_s * 1_000_000_000)}"',
                f"capture_speed = {c.capture_speed}",
                f"created = {created(s, c).isoformat()}Z",
                f'frames = "truth/{c.name}.frames.csv"',
            ]
    return "\n".join(lines) + "\n"
