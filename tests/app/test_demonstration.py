"""The demonstration barn, and the truth of the drawn clips against the numbers."""

from __future__ import annotations

import json
import math
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from annotate.agreement.comparing import compare_looks
from annotate.agreement.differences import differences
from annotate.numbers.as_json import to_json
from app.demonstration import make_demonstration
from app.figures import numbers_of
from app.places import SAMPLE_MEDIA
from app.ready import ROOT
from app.second_looks import looks_at
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


def test_the_first_session_was_looked_at_again_by_an_invented_helper(demonstration: Path) -> None:
    with Barn.open(demonstration) as barn:
        found = differences(compare_looks(looks_at(barn, barn.sessions("Juniper")[0].id)))
    assert [(one.first_says, one.second_says) for one in found if one.span is None] == [
        ("spook", "nothing"),
        ("spook, severity 3", "spook, severity 2"),
        ("calm", "nothing"),
        ("head toss", "nothing"),
        ("nothing", "calm"),
    ]


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


@pytest.fixture(scope="module")
def rounds(demonstration: Path) -> dict[str, Any]:
    """The session with laps and tapped strides."""
    with Barn.open(demonstration) as barn:
        return to_json(numbers_of(barn, barn.find_session("Clover/2026-05-26")))


@pytest.fixture(scope="module")
def drawn_rounds() -> dict[str, Any]:
    drawn: dict[str, Any] = json.loads((SAMPLE_MEDIA / "truth" / "clover_2026-05-26.json").read_text())
    return drawn


def test_laps_are_those_that_were_drawn(rounds: dict[str, Any], drawn_rounds: dict[str, Any]) -> None:
    told = [(lap["start_s"], lap["seconds"], lap["gait"], lap["rein"]) for lap in rounds["laps"]["each"]]
    drawn = [(lap["start_s"], lap["seconds"], lap["gait"], lap["rein"]) for lap in drawn_rounds["laps"]]
    assert [lap[2:] for lap in told] == [lap[2:] for lap in drawn]
    for one, other in zip(told, drawn, strict=True):
        assert one[:2] == pytest.approx(other[:2], abs=1e-6)


def test_speed_and_metres_are_those_of_the_drawn_path(rounds: dict[str, Any], drawn_rounds: dict[str, Any]) -> None:
    # The horse does not keep to the track to the centimetre: its path is within 0.2 % of it.
    for gait, told in rounds["ground"]["gait"].items():
        laps = [lap for lap in drawn_rounds["laps"] if lap["gait"] == gait]
        went, took = (sum(lap[key] for lap in laps) for key in ("metres", "seconds"))
        assert told["speed_m_s"] == pytest.approx(went / took, rel=2e-3)
        assert told["metres"] == pytest.approx(told["speed_m_s"] * told["seconds"])
        assert told["froude"] == pytest.approx(told["speed_m_s"] ** 2 / (9.80665 * 1.44))
        # tan(lean) = v^2 / (g r) on the 7.9 m track that is drawn.
        assert math.tan(math.radians(told["lean_deg"])) == pytest.approx(told["speed_m_s"] ** 2 / (9.80665 * 7.9))


def test_stride_rates_are_those_that_were_drawn(rounds: dict[str, Any], drawn_rounds: dict[str, Any]) -> None:
    # A tap is the first frame after the landing, up to 1/24 s late at either end of five seconds.
    for gait, told in rounds["ground"]["gait"].items():
        series = [one for one in drawn_rounds["strides"] if one["gait"] == gait]
        took = sum(one["end_s"] - one["start_s"] for one in series)
        drawn = sum(one["drawn_per_s"] * (one["end_s"] - one["start_s"]) for one in series) / took
        assert told["strides_per_s"] == pytest.approx(drawn, rel=0.01)
        assert told["strides"] == sum(one["taps"] - 1 for one in series)


def test_the_hurried_trot_is_warned_of_twice_and_stays_a_trot(rounds: dict[str, Any]) -> None:
    warned = [(one["gait"], one["measure"]) for one in rounds["doubts"]]
    assert warned == [("trot", "speed"), ("trot", "stride_rate")]
    assert rounds["gait"]["trot"]["seconds"] > 25


def test_work_is_held_against_the_demonstrations_limits(demonstration: Path) -> None:
    with Barn.open(demonstration) as barn:
        figures = to_json(numbers_of(barn, barn.find_session("Juniper/2026-05-04")))
    assert [(one["name"], one["limit"]) for one in figures["load"]["over"]] == [("fast", 0.35)]
    seconds = figures["gait"]["lope"]["seconds"] + figures["gait"]["gallop"]["seconds"]
    assert figures["load"]["over"][0]["figure"] == pytest.approx(seconds / 60)
