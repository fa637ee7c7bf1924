"""The demonstration barn, and the truth of the drawn clips against the numbers."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from app.demonstration import make_demonstration
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


def test_the_truth_files_are_named_by_the_listing() -> None:
    known = {path.stem for path in (SAMPLE_MEDIA / "truth").glob("*.json")}
    assert known
    for path in (SAMPLE_MEDIA / "truth").glob("*.json"):
        json.loads(path.read_text())
