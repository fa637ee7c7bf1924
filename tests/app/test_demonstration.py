"""The demonstration barn, and the truth of the drawn clips against the numbers."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from annotate.numbers.as_json import to_json
from app.demonstration import make_demonstration
from app.figures import numbers_of
from app.places import SAMPLE_MEDIA
from app.ready import ROOT
from store.barn import Barn


@pytest.fixture(scope="module")
def demonstration(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return make_demonstration(tmp_path_factory.mktemp("demonstration")).barn


def test_demo_without_a_screen_prints_numbers_and_writes_a_highlight_list(tmp_path: Path) -> None:
    bare = {"PATH": os.environ["PATH"], "XDG_DATA_HOME": str(tmp_path), "HOME": str(tmp_path)}
    command = [sys.executable, "-m", "app", "demo"]
    done = subprocess.run(command, cwd=ROOT, env=bare, capture_output=True, text=True, check=True)
    assert "Moving" in done.stdout
    lines = [line for line in done.stdout.splitlines() if line.startswith("Written")]
    written = [Path(line.split(": ", 1)[1]) for line in lines]
    assert {path.suffix for path in written} == {".csv", ".vtt"}
    assert all(path.stat().st_size > 100 for path in written)


def test_a_second_demonstration_keeps_the_one_before(tmp_path: Path) -> None:
    first = make_demonstration(tmp_path).barn
    with Barn.open(first) as barn:
        barn.add_session("Kept", barn.sessions()[0].day, length_ns=10**9)
    make_demonstration(tmp_path)
    with Barn.open(tmp_path / "before-demonstration.barn") as barn:
        assert barn.horse("Kept").name == "Kept"


def test_two_sessions_of_one_filly_lie_three_weeks_apart(demonstration: Path) -> None:
    with Barn.open(demonstration) as barn:
        days = [session.day for session in barn.sessions("Juniper")]
    assert (days[1] - days[0]).days == 21


def test_every_drawn_session_has_its_tags_and_passages(demonstration: Path) -> None:
    with Barn.open(demonstration) as barn:
        for session in barn.sessions():
            assert session.tags > 0
            assert session.clips > 0


def truths() -> list[str]:
    return sorted(path.stem for path in (SAMPLE_MEDIA / "truth").glob("*.json"))


@pytest.mark.parametrize("key", truths())
def test_the_truth_taken_in_as_tags_gives_the_numbers_that_were_drawn(key: str, demonstration: Path) -> None:
    drawn = json.loads((SAMPLE_MEDIA / "truth" / f"{key}.json").read_text())
    horse, day = drawn["session"]["horse"], drawn["session"]["date"]
    with Barn.open(demonstration) as barn:
        counted = to_json(numbers_of(barn, barn.find_session(f"{horse}/{day}")))
    seconds = drawn["seconds"]
    assert counted["seconds"]["length"] == pytest.approx(seconds["length"], abs=1e-6)
    assert counted["seconds"]["out_of_sight"] == pytest.approx(seconds["out_of_sight"], abs=1e-6)
    assert counted["seconds"]["untagged"] == 0
    for gait, told in drawn["gait"].items():
        for figure in ("seconds", "left_s", "right_s"):
            assert counted["gait"][gait][figure] == pytest.approx(told[figure], abs=1e-6)
    assert counted["rein"]["left_s"] == pytest.approx(seconds["left_rein"], abs=1e-6)
    assert counted["rein"]["right_s"] == pytest.approx(seconds["right_rein"], abs=1e-6)
    for turn in ("turn_in", "turn_out", "unseen"):
        assert counted["direction_changes"][turn] == drawn["turns"][turn]
    reactions = counted["reactions"]
    assert reactions["count"] == drawn["reactions"]["count"]
    assert reactions["left"]["count"] == drawn["reactions"]["by_rein"].get("left_rein", 0)
    assert reactions["right"]["count"] == drawn["reactions"]["by_rein"].get("right_rein", 0)
    for sorting in ("by_kind", "by_severity", "by_stimulus"):
        assert {k: n for k, n in reactions[sorting].items() if n} == drawn["reactions"][sorting]
    cut_short = [recovery for recovery in drawn["recoveries"] if recovery["cut_short"]]
    assert counted["recovery"]["count"] == len(drawn["recoveries"])
    assert counted["recovery"]["censored"] == len(cut_short)
