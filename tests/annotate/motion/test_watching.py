"""A whole clip, watched by the worker process."""

from __future__ import annotations

import csv
import itertools
import subprocess
import sys
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import pytest

from annotate.errors import Cancelled, ClipTrouble
from annotate.media.clip import look
from annotate.motion.asking import Click, have_watched
from annotate.motion.going import LEFT_TO_RIGHT, going_of, lost_stretches, travel_of
from annotate.motion.strides import usual_hz
from tests.annotate.motion.made_motion import Mover, write_clip

SAMPLES = Path(__file__).parents[3] / "sample_media"


@pytest.fixture(scope="module")
def walker(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Something on legs that goes to the right for five seconds while the camera follows, then is gone."""
    mover = Mover(speed=92, hz=1.6)
    pictures = [mover.picture(k / 30, pan=62, gone=k >= 150) for k in range(190)]
    return write_clip(tmp_path_factory.mktemp("clips") / "walker.mp4", pictures)


def test_the_worker_tells_where_it_goes_how_fast_it_steps_and_when_it_is_gone(walker: Path) -> None:
    """1.6 strides a second, left to right, lost after five seconds; progress comes as it goes on."""
    told: list[tuple[int, int]] = []
    seen = have_watched(look(walker), on_progress=lambda done, of: told.append((done, of)))
    going = going_of(seen)
    assert travel_of(going) == LEFT_TO_RIGHT
    assert usual_hz(seen.rhythm, 5.0) == pytest.approx(1.6, rel=0.05)
    assert seen.cuts == ()
    lost = lost_stretches(going, seen.length_s)
    assert lost[-1][1] == pytest.approx(seen.length_s, abs=0.01)
    assert 4.8 < lost[-1][0] < 6.1
    assert told == sorted(told)
    assert told[-1] == (190, 190)


def test_slow_motion_is_told_in_the_horses_time(tmp_path: Path) -> None:
    """Recorded four times as fast as it plays: the strides of the horse, not of the clip."""
    mover = Mover(speed=92, hz=1.6)
    pictures = [mover.picture(k / 120, pan=62) for k in range(480)]
    seen = have_watched(look(write_clip(tmp_path / "slow.mp4", pictures)), Fraction(4))
    assert seen.length_s == pytest.approx(4.0)
    assert usual_hz(seen.rhythm, 4.0) == pytest.approx(1.6, rel=0.05)


def test_nothing_that_moves_means_nothing_found(tmp_path: Path) -> None:
    """An empty pen: lost all the time, no rhythm, no travel."""
    mover = Mover()
    pictures = [mover.picture(0.0, gone=True) for _ in range(75)]
    seen = have_watched(look(write_clip(tmp_path / "empty.mp4", pictures)))
    assert lost_stretches(going_of(seen), seen.length_s) == [(0.0, seen.length_s)]
    assert usual_hz(seen.rhythm, seen.length_s) is None
    assert travel_of(going_of(seen)) is None


def test_one_click_finds_a_horse_that_stands(tmp_path: Path) -> None:
    """It does not move against anything; the trainer points at it."""
    mover = Mover(speed=0, hz=0)
    path = write_clip(tmp_path / "stands.mp4", [mover.picture(0.0) for _ in range(75)])
    seen = have_watched(look(path), clicks=[Click(0.0, 60 / 320, 0.5)])
    assert seen.in_sight.mean() > 0.9
    assert usual_hz(seen.rhythm, seen.length_s) is None


def test_a_horse_that_stands_is_found_by_its_look(tmp_path: Path) -> None:
    """The first seconds of a drawn session: nobody points at it, and it goes nowhere."""
    name = "biscuit_2026-05-20_a"
    with av.open(str(SAMPLES / "clips" / f"{name}.mp4")) as clip:
        frames = itertools.islice(clip.decode(video=0), 75)
        path = write_clip(tmp_path / "stands.mp4", [frame.to_ndarray(format="rgb24") for frame in frames])
    with (SAMPLES / "truth" / f"{name}.frames.csv").open(encoding="utf-8") as rows:
        row = next(csv.DictReader(rows))
    x0, y0, x1, y1 = (int(row[key]) for key in ("x0", "y0", "x1", "y1"))
    seen = have_watched(look(path))
    assert row["gait"] == "stand"
    assert seen.in_sight.mean() > 0.7
    x, y, width, height = (np.nanmedian(seen.tracks[key]) for key in ("x", "y", "width", "height"))
    assert [x, y] == pytest.approx([(x0 + x1) / 2 / 640, (y0 + y1) / 2 / 360], abs=0.03)
    assert [width, height] == pytest.approx([(x1 - x0) / 640, (y1 - y0) / 360], rel=0.15)


def test_the_work_can_be_stopped(walker: Path) -> None:
    """At the first word of progress."""
    with pytest.raises(Cancelled):
        have_watched(look(walker), cancelled=lambda: True)


def test_a_clip_that_is_gone_is_told_in_a_sentence(walker: Path, tmp_path: Path) -> None:
    """The worker's trouble arrives as ours."""
    path = tmp_path / "gone.mp4"
    path.write_bytes(walker.read_bytes())
    facts = look(path)
    path.unlink()
    with pytest.raises(ClipTrouble, match=r"gone\.mp4"):
        have_watched(facts)


def test_asking_for_it_never_loads_opencv_nor_the_network() -> None:
    """They belong to the worker's process only."""
    modules = ("asking", "proposals", "seen", "cues", "gaits", "reins", "strides", "sudden", "going")
    code = "import sys; " + "; ".join(f"import annotate.motion.{name}" for name in modules)
    code += "; import store.barn; assert not {'cv2', 'onnxruntime'} & set(sys.modules)"
    subprocess.run([sys.executable, "-c", code], check=True, cwd=Path(__file__).parents[3])
