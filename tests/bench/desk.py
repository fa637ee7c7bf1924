"""The desk under a scripted hand: keystrokes a tag, minutes an hour of footage, the longest block.

The first drawn session is tagged anew, from its truth, by real key events on the real window; no mouse. The
footage is brought to each frame where something happens, as a person at 2 x would see it come.

The minutes are an estimate after the keystroke-level model (Card, Moran and Newell 1980, Communications of
the ACM 23:396): 0.28 s for a keystroke of an average person who is no typist, 1.35 s to prepare mentally;
values from memory. Modifiers count as keystrokes of their own. A thing that is said of a tag (severity,
stimulus, side) is prepared anew. The picture runs on meanwhile; where the next moment comes before the hand
is free, the person is taken to stand until it is.
"""

from __future__ import annotations

import sys
import tempfile
from datetime import date
from pathlib import Path
from typing import Any

from PySide6.QtWidgets import QApplication

from annotate.behaviours import STIMULUS, Sheet
from annotate.clock import NS_PER_S
from annotate.numbers.as_json import to_json
from annotate.numbers.session_numbers import session_numbers
from annotate.taglist import read_tag_list
from annotate.tags import Tag
from app.bringing_in import bring_in
from app.collecting import Collecting
from app.main_window import MainWindow
from app.places import SAMPLE_MEDIA
from app.review import Review
from app.warming import Warming, favour_window
from store.barn import Barn
from tests.bench.desk_hand import STRAY_NS, BareLoop, Count, Watchdog, run, whole

SESSION = "juniper_2026-05-04"
KEYSTROKE_S, PREPARE_S = 0.28, 1.35
QUIET_S = 20  # of the session: who sees a horse that goes on evenly hurries on
TAGS_AN_HOUR = 210  # 140 tags in 40 minutes, as an ordinary session has


def main() -> int:
    """Prints the table."""
    app = QApplication.instance() or QApplication([])
    favour_window()
    collecting = Collecting(app)
    warming = Warming()
    warming.begin()
    warming.join()
    with tempfile.TemporaryDirectory() as folder, Barn.create(Path(folder) / "bench.barn") as barn:
        session_id = bring_in(
            barn, [SAMPLE_MEDIA / "clips" / f"{SESSION}.mp4"], horse="Juniper", day=date(2026, 5, 4)
        )
        truth = read_tag_list(
            (SAMPLE_MEDIA / "truth" / f"{SESSION}.csv").read_bytes(),
            barn.sheet(),
            barn.session(session_id).end_ns,
        )
        window = MainWindow(barn)
        window.resize(1280, 720)
        window.show()
        count, dog, bare = Count(), Watchdog(), BareLoop()
        run(whole(window, session_id, truth, count, dog))
        dog.stop()
        bare_ms = bare.stop()
        review = window.desk.review
        assert review is not None
        wrong = _differences(review, truth)
        tags = len(review.tags)
        window.close()
        collecting.stop()
    app.processEvents()
    _tell(count, tags, wrong, dog, bare_ms)
    return 0


# -- what came of it


def _differences(review: Review, truth: tuple[Tag, ...]) -> list[str]:
    """Where tags or numbers differ from the truth."""
    made = review.tags_as_seen()
    wrong = []
    left = list(made)
    for tag in truth:
        twin = next((one for one in left if _alike(review.sheet, one, tag)), None)
        if twin is None:
            wrong.append(f"{tag.what} at {tag.start_ns / NS_PER_S:.3f} s")
        else:
            left.remove(twin)
    wrong += [f"{tag.what} at {tag.start_ns / NS_PER_S:.3f} s, which is not in the truth" for tag in left]
    ours, theirs = (to_json(session_numbers(review.session, tags, review.sheet)) for tags in (made, truth))
    wrong += _apart(ours, theirs)
    return wrong


def _alike(sheet: Sheet, one: Tag, other: Tag) -> bool:
    said = (one.what, one.severity, one.side) == (other.what, other.severity, other.side)
    said = said and (sheet[one.what].group == STIMULUS or one.stimulus == other.stimulus)
    ends = one.end_ns is other.end_ns is None or abs((one.end_ns or 0) - (other.end_ns or 0)) <= STRAY_NS
    return said and abs(one.start_ns - other.start_ns) <= STRAY_NS and ends


def _apart(ours: Any, theirs: Any, path: str = "") -> list[str]:
    """The figures that differ by more than the nine decimals of the list can make."""
    if isinstance(ours, dict) and isinstance(theirs, dict):
        keys = sorted({*ours, *theirs})
        return [one for key in keys for one in _apart(ours.get(key), theirs.get(key), f"{path}.{key}".lstrip("."))]
    if isinstance(ours, list) and isinstance(theirs, list) and len(ours) == len(theirs):
        return [one for i, pair in enumerate(zip(ours, theirs, strict=True)) for one in _apart(*pair, f"{path}.{i}")]
    if isinstance(ours, int | float) and isinstance(theirs, int | float):
        near = abs(ours - theirs) <= max(1e-5, abs(theirs) / 1e6)
        return [] if near else [f"{path}: {ours} for {theirs}"]
    return [] if ours == theirs else [f"{path}: {ours} for {theirs}"]


def minutes(moments: list[tuple[int, list[int]]], length_ns: int, speed: float) -> float:
    """The minutes it takes to tag a session at a speed, after the keystroke-level model."""
    free_s = late_s = 0.0
    for ns, said in moments:
        comes_s = ns / NS_PER_S / speed + late_s
        late_s += max(0.0, free_s - comes_s)
        begun_s = max(comes_s, free_s)
        free_s = begun_s + sum(PREPARE_S + strokes * KEYSTROKE_S for strokes in said)
    return max(length_ns / NS_PER_S / speed + late_s, free_s) / 60


def minutes_hurrying(moments: list[tuple[int, list[int]]], length_ns: int, speed: float, faster: float) -> float:
    """The same where the person hurries on, by one key, once the hand is free and nothing happens for a while.

    The next tag's own key takes the speed back. A hand that is busy with the hurrying key is not free for the next.
    """
    now_s = film_s = 0.0
    ends = [*(ns / NS_PER_S for ns, _ in moments[1:]), length_ns / NS_PER_S]
    now_s, film_s = moments[0][0] / NS_PER_S / speed, moments[0][0] / NS_PER_S
    for (_, said), next_s in zip(moments, ends, strict=True):
        busy_s = sum(PREPARE_S + strokes * KEYSTROKE_S for strokes in said)
        if next_s - film_s >= QUIET_S:
            busy_s += PREPARE_S + 2 * KEYSTROKE_S  # Shift counts
            left_s = max(0.0, next_s - film_s - busy_s * speed)
            now_s += busy_s + left_s / faster
        else:
            now_s += max(busy_s, (next_s - film_s) / speed)
        film_s = next_s
    return now_s / 60


def an_hour(count: Count, tags: int, tags_an_hour: float, speed: float, faster: float | None = None) -> float:
    """The minutes for an hour with so many tags: the session's own moments, again and again, further apart."""
    hour_ns = 3600 * NS_PER_S
    session_ns = max(ns for ns, _ in count.moments)
    times = round(tags_an_hour / tags)
    step_ns = hour_ns // times
    spread = [
        (round(n * step_ns + ns * step_ns / session_ns), said)
        for n in range(times)
        for ns, said in count.moments
    ]
    return minutes(spread, hour_ns, speed) if faster is None else minutes_hurrying(spread, hour_ns, speed, faster)


def _tell(count: Count, tags: int, wrong: list[str], dog: Watchdog, bare_ms: float) -> None:
    say = sys.stdout.write
    say(f"tagged anew from the truth of {SESSION}: {tags} tags, {len(wrong)} differences\n")
    for one in wrong:
        say(f"  {one}\n")
    session_s = max(ns for ns, _ in count.moments) / NS_PER_S
    dense = tags / session_s * 3600
    _line("key presses a tag", count.chords / tags, "", 1.6)
    _line("keystrokes a tag, modifiers counted", count.strokes / tags, "", None)
    _line("mouse", 0, "", 0)
    for speed in (2, 3):
        name = f"an hour of footage, {TAGS_AN_HOUR} tags an hour, {speed} x"
        _line(name, an_hour(count, tags, TAGS_AN_HOUR, speed), "min", 30 if speed == 2 else None)
    hurrying = an_hour(count, tags, TAGS_AN_HOUR, 2, 3)
    _line(f"the same, 2 x, and 3 x by one key where {QUIET_S} s are quiet", hurrying, "min", 30)
    _line(f"the same, as dense as drawn ({dense:.0f} an hour), 2 x", an_hour(count, tags, dense, 2), "min", None)
    _line(f"longest block of the window ({dog.during})", dog.longest_ms, "ms", 50)
    _line(f"of its own work ({dog.at_work_during})", dog.at_work_ms, "ms", 50)
    _line("of a bare event loop in a process beside it", bare_ms, "ms", None)


def _line(name: str, figure: float, unit: str, aim: float | None) -> None:
    told = "no aim" if aim is None else f"aim {aim:g}: {'met' if round(figure, 2) <= aim else 'MISSED'}"
    sys.stdout.write(f"{name:<72} {figure:9.2f} {unit:<4} {told}\n")


if __name__ == "__main__":
    raise SystemExit(main())
