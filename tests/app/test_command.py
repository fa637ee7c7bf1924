"""The command line, run as a person runs it, in this process."""

from __future__ import annotations

import argparse
import json
import subprocess
import sys
from importlib import import_module
from pathlib import Path
from typing import Any

import pytest

from annotate.media.clip import look
from app.command import ROOMS, main
from app.ready import ROOT
from tests.made_clips import ClipBox

WORKED = """start_s,end_s,what,severity,stimulus,side,note
0,60,stand,,,,
60,180,walk,,,,
180,300,trot,,,,
300,330,walk,,,,
330,390,out_of_sight,,,,
390,480,trot,,,,
480,540,lope,,,,
540,600,walk,,,,
60,330,left_rein,,,,
390,600,right_rein,,,,
100,,spook,,,,
210,,spook,,,,
250,,spook,,,,
400,,spook,,,,
430,,spook,,,,
500,,spook,,,,
108,,calm,,,,
222,,calm,,,,
265,,calm,,,,
450,,calm,,,,
"""


class Line:
    """The command line on one barn."""

    def __init__(self, barn: Path, capsys: pytest.CaptureFixture[str]) -> None:
        self.barn = barn
        self._capsys = capsys

    def run(self, *words: object) -> str:
        """Runs a verb that must succeed; what it printed."""
        assert main(["--barn", str(self.barn), *map(str, words)]) == 0
        return self._capsys.readouterr().out

    def json(self, *words: object) -> Any:
        """The same with --json, read."""
        return json.loads(self.run(*words, "--json"))

    def refused(self, *words: object) -> str:
        """Runs a verb that must be refused; its one sentence."""
        assert main(["--barn", str(self.barn), *map(str, words)]) == 1
        return self._capsys.readouterr().err


@pytest.fixture
def line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Line:
    return Line(tmp_path / "cli.barn", capsys)


@pytest.fixture
def worked(line: Line, tmp_path: Path) -> Line:
    """A barn with the worked session in it."""
    tags = tmp_path / "worked.csv"
    tags.write_text(WORKED)
    line.run("add", "--length", 600, "--horse", "Thistle", "--date", "2026-05-01")
    line.run("tags", 1, "--from", tags)
    return line


def test_the_worked_session_gives_its_numbers(worked: Line) -> None:
    # Worked by hand from rates, exact Poisson intervals (Garwood 1936) and Kaplan-Meier (1958).
    told = worked.json("numbers", "Thistle/2026-05-01")
    assert told["session"] == {"id": 1, "horse": "Thistle", "date": "2026-05-01", "number": 1}
    assert told["seconds"]["visible"] == 540
    assert told["gait"]["walk"]["left_s"] == 150
    assert told["rein"]["balance"] == pytest.approx(0.125)
    assert told["reactions"]["per_min_95"] == pytest.approx([0.245, 1.451], abs=5e-4)
    assert told["recovery"]["median_s"] == 15


def test_a_table_for_a_person_says_the_same(worked: Line) -> None:
    table = worked.run("numbers", 1)
    assert "6, 0.67 a minute" in table
    assert "could be as low as 0.24 or as high as 1.45" in table


def test_the_barn_lists_horses_and_their_sessions(worked: Line) -> None:
    listed = worked.json("barn")
    session = {"id": 1, "date": "2026-05-01", "clips": 0, "tags": 20}
    assert listed == {"horses": [{"name": "Thistle", "sessions": [session]}]}


def test_tags_go_out_and_in_without_loss(worked: Line, tmp_path: Path) -> None:
    worked.run("tags", 1, "--to", tmp_path / "out.csv")
    worked.run("add", "--length", 600, "--horse", "Thistle", "--date", "2026-05-02")
    worked.run("tags", 2, "--from", tmp_path / "out.csv")
    worked.run("tags", 2, "--to", tmp_path / "again.csv")
    assert (tmp_path / "again.csv").read_bytes() == (tmp_path / "out.csv").read_bytes()


def test_a_wrong_tag_list_names_its_line_and_changes_nothing(worked: Line, tmp_path: Path) -> None:
    wrong = tmp_path / "wrong.csv"
    wrong.write_text("start_s,end_s,what,severity,stimulus,side,note\r\n0,10,amble,,,,\r\n")
    assert "2" in worked.refused("tags", 1, "--from", wrong)
    assert worked.json("barn")["horses"][0]["sessions"][0]["tags"] == 20


def test_sessions_of_a_horse_are_compared(worked: Line) -> None:
    worked.run("add", "--length", 300, "--horse", "Thistle", "--date", "2026-05-08")
    compared = worked.json("compare", "Thistle")
    assert [row["session"]["date"] for row in compared["sessions"]] == ["2026-05-01", "2026-05-08"]
    assert "2026-05-08" in worked.run("compare", "Thistle")


def test_highlights_are_written_as_asked(worked: Line, tmp_path: Path) -> None:
    worked.run("highlights", 1, "--to", tmp_path / "for owner", "--as", "csv,vtt")
    written = sorted(path.name for path in (tmp_path / "for owner").iterdir())
    assert written == ["highlights.csv", "highlights.vtt"]


def test_a_backup_comes_back(worked: Line, tmp_path: Path) -> None:
    worked.run("backup", "--to", tmp_path / "safe.barn")
    worked.run("add", "--length", 60, "--horse", "Bramble")
    worked.run("restore", tmp_path / "safe.barn")
    assert [horse["name"] for horse in worked.json("barn")["horses"]] == ["Thistle"]


def test_check_finds_a_sound_barn_sound(worked: Line) -> None:
    assert "sound" in worked.run("check")


def test_a_clip_is_added_and_a_second_time_refused(line: Line, clips: ClipBox) -> None:
    clip = clips.get("constant_25").path
    line.run("add", clip, "--horse", "Thistle", "--date", "2026-05-01")
    assert line.json("numbers", 1)["seconds"]["length"] == 3
    assert "session" in line.refused("add", clip, "--horse", "Bramble", "--date", "2026-05-02")


def test_a_session_of_a_day_to_come_is_kept_and_it_is_said(line: Line, capsys: pytest.CaptureFixture[str]) -> None:
    words = ("add", "--horse", "Juniper", "--date", "2099-05-04", "--length", "600")
    assert main(["--barn", str(line.barn), *words]) == 0
    told = capsys.readouterr()
    assert told.err.startswith("2099-05-04 is still to come")
    assert told.err.count("\n") == 1
    assert "Juniper/2099-05-04" in told.out


def test_slow_motion_counts_as_the_horse_lived_it(line: Line, clips: ClipBox) -> None:
    line.run("add", clips.get("constant_25").path, "--horse", "Thistle", "--capture-speed", "240/30")
    assert line.json("numbers", 1)["seconds"]["length"] == pytest.approx(3 / 8)


def test_look_tells_every_frame_as_an_exact_fraction(line: Line, clips: ClipBox) -> None:
    clip = clips.get("constant_29_97").path
    table = look(clip).table
    told = line.json("look", clip, "--frames")["frame_times"]
    assert told == [f"{table.time(n).numerator}/{table.time(n).denominator}" for n in range(90)]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("add", "--horse", "Thistle"), "length"),
        (("add", "--horse", " ", "--length", "60"), "name"),
        (("add", "--horse", "Thistle", "--length", "0"), "longer than 0"),
        (("add", "--horse", "Thistle", "--length", "nan"), "number"),
        (("add", "--horse", "Thistle", "--length", "60", "--date", "2026-02-30"), "2026-02-30"),
        (("add", "nowhere.mp4", "--horse", "Thistle"), "nowhere.mp4"),
        (("add", "x.mp4", "--horse", "Thistle", "--capture-speed", "0"), "capture speed"),
        (("look", "nowhere.mp4"), "nowhere.mp4"),
        (("numbers", "1"), "barn"),
        (("restore", "nowhere.barn"), "nowhere.barn"),
    ],
)
def test_a_wrong_call_is_answered_in_one_sentence(line: Line, words: tuple[str, ...], said: str) -> None:
    answer = line.refused(*words)
    assert said in answer
    assert answer.count("\n") == 1


@pytest.mark.parametrize("words", [("numbers", "9"), ("numbers", "Nobody/2026-05-01"), ("compare", "Nobody")])
def test_what_is_not_in_the_barn_is_said(worked: Line, words: tuple[str, ...]) -> None:
    assert worked.refused(*words).count("\n") == 1


def test_a_file_that_is_no_barn_is_left_alone(line: Line) -> None:
    line.barn.write_text("hay")
    assert "barn" in line.refused("barn")
    assert line.barn.read_text() == "hay"


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        ("gallop", "There is no verb 'gallop'."),
        ("look", "Missing: CLIP."),
        ("still a.mp4 --to a.png", "Missing: one of --frame --at."),
        ("still a.mp4 --to a.png --frame x", "--frame is a whole number, not 'x'."),
        ("still a.mp4 --frame 1 --at 2 --to a.png", "--at does not go with --frame."),
        ("highlights 1 --to out --severity 9", "--severity is one of 1, 2, 3, 4, not 9."),
        ("still a.mp4 --frame", "Something is missing after --frame."),
        ("barn hay", "Not understood: hay."),
        ("agree", "Name a SESSION, or two tag lists after --files."),
    ],
)
def test_misuse_ends_with_2_and_a_plain_sentence(
    words: str, sentence: str, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as ended:
        main(words.split())
    assert ended.value.code == 2
    assert capsys.readouterr().err.startswith(sentence)


def test_without_a_screen_the_window_says_so(tmp_path: Path) -> None:
    command = [sys.executable, "-m", "app", "--barn", str(tmp_path / "x.barn")]
    done = subprocess.run(command, cwd=ROOT, env={"PATH": "/usr/bin:/bin"}, capture_output=True, text=True)
    assert done.returncode == 1
    assert "no screen" in done.stderr


@pytest.mark.parametrize("room", ROOMS)
def test_each_room_has_the_verbs_that_it_is_found_by(room: str) -> None:
    verbs = argparse.ArgumentParser().add_subparsers()
    import_module(f"app.verbs.{room}").add_verbs(verbs)
    assert tuple(verbs.choices) == ROOMS[room]


def test_the_window_loads_nothing_that_its_first_picture_does_not_need() -> None:
    heavy = ("sqlalchemy", "alembic", "numpy", "scipy", "av", "PySide6.QtMultimedia", "cv2", "onnxruntime")
    code = f"import sys, app.command, app.main_window; print(*[one for one in {heavy} if one in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True)
    assert done.stdout.split() == []
