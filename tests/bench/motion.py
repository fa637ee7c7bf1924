"""How far the motion help can be trusted, on drawn clips with known truth; and how fast it is.

The clips are drawn by lot (`motion_takes.py`), with seeds that nothing was tuned on: the camera's hand, the sensor's
noise, the shake, the pan, the picture's size and rate and what happens are others; the drawn pen and the way a drawn
horse goes are the same. Printed figures are what they are, misses included.

Calibration is judged as it is used: what is confirmed of a clip's first half calibrates its second half.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from collections import Counter
from dataclasses import dataclass, field, replace
from fractions import Fraction
from pathlib import Path

import av
import numpy as np

from annotate.clock import NS_PER_S
from annotate.media.clip import look
from annotate.motion.asking import have_watched
from annotate.motion.gaits import GENERAL, gaits_of
from annotate.motion.going import GRID_S, going_of
from annotate.motion.proposals import REACTION, Asked, bands_from, proposals_of
from annotate.motion.seen import Seen
from annotate.sessions import PlacedClip
from annotate.tags import Tag
from sample_media.encode import Quality
from sample_media.render import render_clip
from sample_media.scene import Film
from sample_media.truth import FilmedClip
from tests.bench.motion_takes import JUDGED, Take, drawn_by_lot
from tests.bench.row import Row

_NEAR_S = 1.0
_USUAL = (640, 360)
_TIMES_LONGER = 4
# The peak that Linux keeps for a process from its start; getrusage would tell that of whoever started it, too.
_PEAK = (
    "import sys; from pathlib import Path; from annotate.media.clip import look;"
    "from annotate.motion.watching import watch; watch(look(Path(sys.argv[1])));"
    "lines = Path('/proc/self/status').read_text().splitlines();"
    "print(next(int(line.split()[1]) // 1024 for line in lines if line.startswith('VmHWM')))"
)


@dataclass
class Marks:
    """Counted seconds and events."""

    seconds: Counter[str] = field(default_factory=Counter)
    events: Counter[str] = field(default_factory=Counter)


@dataclass(frozen=True)
class Watched:
    """A rendered clip, its truth and what was seen in it."""

    take: Take
    film: FilmedClip
    seen: Seen
    placed: PlacedClip


def rows() -> list[Row]:
    """Prints the table of what was right; the rows are the speed beside bare decoding of the same clip."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        watched = [_watch(drawn_by_lot(seed), folder) for seed in JUDGED]
        for line in table(watched):
            sys.stdout.write(line + "\n")
        usual = next(w.take.name for w in watched if _is_usual(w.take))
        short = folder / f"{usual}.mp4"
        large = _enlarged(short, folder / "large.mp4")
        long_ones = [_repeated(path, folder / f"long_{path.name}") for path in (short, large)]
        peaks = [_peak_mb(path) for path in (short, long_ones[0])]
        sys.stdout.write(f"most memory: {peaks[0]} MB, and {peaks[1]} MB for {_TIMES_LONGER} times as long a clip\n")
        return [_speed(path) for path in long_ones]


def table(watched: list[Watched]) -> list[str]:
    """One line for each thing that is proposed."""
    marks = Marks()
    for w in watched:
        _count_seconds(w, marks)
        _count_events(w, marks)
    s, e = marks.seconds, marks.events
    length_min = sum(w.seen.length_s for w in watched) / 60
    lines = [
        f"drawn clips, seeds {JUDGED[0]} to {JUDGED[-1]}, not used for tuning",
        _line("stride rate within 5 %, share of moving seconds", s["hz_right"], s["hz_moving"], 0.95),
        _line("  of those with a rate given", s["hz_right"], s["hz_given"], None),
        _line("standing seconds given a rhythm", s["hz_standing"], s["standing"], 0.0, most=True),
        _line("rein right, where told", s["rein_right"], s["rein_told"], 0.98),
        _line("rein told, of moving seconds in sight", s["rein_told"], s["rein_moving"], None),
        _line("moving or standing right, in sight", s["moving_right"], s["moving_known"], None),
        _line("gait right before calibration", s["gait_plain"], s["gait_known"], 0.90),
        _line("  in the second halves", s["gait_plain_later"], s["gait_later"], None),
        _line("  there, calibrated by the first halves", s["gait_right"], s["gait_later"], 0.90),
        _line("reactions found", e["reactions_found"], e["reactions"], 0.9),
        _line("  found of severity 2 and more", e["strong_found"], e["strong"], None),
        f"{'false reaction candidates a minute':<52} {e['reactions_false'] / length_min:6.2f}         aim at most 1",
        _line("cues found", e["cues_found"], e["cues"], None),
        f"{'false cue candidates a minute':<52} {e['cues_false'] / length_min:6.2f}",
    ]
    for w in watched:
        per = Marks()
        _count_seconds(w, per)
        p = per.seconds
        lines.append(
            f"  {w.take.name:<18} rate {_share(p['hz_right'], p['hz_moving'])} of moving, "
            f"{_share(p['hz_right'], p['hz_given'])} of given; rein {_share(p['rein_right'], p['rein_told'])}; "
            f"gait {_share(p['gait_plain'], p['gait_known'])}; lost {_share(p['lost'], p['visible'])}; "
            f"cuts {len(w.seen.cuts)}"
        )
    return lines


def _is_usual(take: Take) -> bool:
    return (take.view.width, take.view.height) == _USUAL and take.plan.rate == 30 and take.plan.capture_speed == 1


def _watch(take: Take, folder: Path) -> Watched:
    film = Film(take.scenario(), take.view)
    path = folder / f"{take.name}.mp4"
    filmed = render_clip(film, take.plan, path, Quality(crf=27, preset="veryfast"))
    facts = look(path)
    speed = Fraction(take.plan.capture_speed)
    placed = PlacedClip(1, 0, facts.time_base, facts.table.first_pts, facts.table.end_pts, capture_speed=speed)
    return Watched(take, filmed, have_watched(facts, speed), placed)


def _speed(path: Path) -> Row:
    """The whole analysis in its own process beside bare decoding, in the same minute."""
    facts = look(path)
    began = time.perf_counter()
    with av.open(str(path)) as container:
        stream = container.streams.video[0]
        stream.thread_type = "AUTO"
        frames = sum(1 for _ in container.decode(stream))
    bare_s = time.perf_counter() - began
    began = time.perf_counter()
    have_watched(facts)
    took_s = time.perf_counter() - began
    width, height = facts.shown_size
    words = f"watching {float(facts.table.duration) / 60:.1f} min of {width}x{height}"
    return Row(words, took_s * 1e3 / frames, bare_s * 1e3 / frames, 2.0, "ms a frame")


def _repeated(path: Path, to: Path) -> Path:
    """The same pictures one time after the other, not encoded anew."""
    with av.open(str(path)) as source, av.open(str(to), "w") as out:
        stream = source.streams.video[0]
        copy = out.add_stream_from_template(stream)
        packets = [packet for packet in source.demux(stream) if packet.dts is not None]
        length = int(stream.duration or 0)
        data = [(bytes(p), p.pts, p.dts, p.is_keyframe) for p in packets]
        for turn in range(_TIMES_LONGER):
            for content, pts, dts, is_key in data:
                packet = av.Packet(content)
                packet.stream, packet.time_base, packet.is_keyframe = copy, stream.time_base, is_key
                packet.pts, packet.dts = (pts or 0) + turn * length, (dts or 0) + turn * length
                out.mux(packet)
    return to


def _enlarged(path: Path, to: Path) -> Path:
    """The same as a clip of 1920x1080."""
    with av.open(str(path)) as source, av.open(str(to), "w") as out:
        stream = source.streams.video[0]
        large = out.add_stream("libx264", rate=stream.average_rate)
        large.width, large.height, large.pix_fmt = 1920, 1080, "yuv420p"
        large.options = {"crf": "23", "preset": "veryfast"}
        for frame in source.decode(stream):
            out.mux(large.encode(frame.reformat(1920, 1080, format="yuv420p")))
        out.mux(large.encode(None))
    return to


def _peak_mb(path: Path) -> int:
    """The most memory, in MB, that a process needs that watches a clip."""
    command = [sys.executable, "-c", _PEAK, str(path)]
    return int(subprocess.run(command, check=True, capture_output=True, text=True).stdout)


def _truth_at(film: FilmedClip, at_s: float) -> tuple[str, str, float, bool]:
    """(gait, rein, stride rate, in sight) at an instant."""
    times = np.array([frame.truth.time_s for frame in film.frames])
    frame = film.frames[int(np.argmin(np.abs(times - at_s)))]
    return frame.truth.gait, frame.truth.rein, frame.truth.stride_hz, frame.visible


def _count_seconds(w: Watched, marks: Marks) -> None:
    going = going_of(w.seen)
    half_s = w.seen.length_s / 2
    confirmed = [tag for tag in _gait_tags(w.film) if tag.start_ns < half_s * NS_PER_S]
    confirmed = [replace(tag, end_ns=min(tag.end_ns or 0, round(half_s * NS_PER_S))) for tag in confirmed]
    gaits = gaits_of(w.seen, going, bands_from([(w.placed, w.seen, confirmed)]))
    plain = gaits_of(w.seen, going, GENERAL)
    proposals = proposals_of(w.placed, w.seen, Asked())
    reins = [p for p in proposals if p.what in ("left_rein", "right_rein")]
    count = marks.seconds
    for k, at_s in enumerate(going.at_s):
        gait, rein, hz, visible = _truth_at(w.film, float(at_s))
        if not visible:
            continue
        count["visible"] += 1
        count["lost"] += int(not going.known[k])
        given = next((r.hz for r in w.seen.rhythm if r.start_s <= at_s < r.end_s), None)
        if gait == "stand":
            count["standing"] += 1
            count["hz_standing"] += int(given is not None)
        else:
            right = given is not None and abs(given / max(hz, 0.01) - 1) < 0.05
            count["hz_moving"] += 1
            count["hz_given"] += int(given is not None)
            count["hz_right"] += int(right)
            count["rein_moving"] += 1
            told = next((r.what for r in reins if r.start_ns <= at_s * 1e9 < (r.end_ns or 0)), None)
            count["rein_told"] += int(told is not None)
            count["rein_right"] += int(told == rein)
        if going.known[k]:
            count["moving_known"] += 1
            count["moving_right"] += int(bool(going.moving[k]) == (gait != "stand"))
        count["gait_known"] += 1
        mine = next((g.what for g in gaits if g.start_s <= at_s < g.end_s), None)
        before = next((g.what for g in plain if g.start_s <= at_s < g.end_s), None)
        count["gait_plain"] += int(before == gait)
        if at_s > half_s:
            count["gait_later"] += 1
            count["gait_right"] += int(mine == gait)
            count["gait_plain_later"] += int(before == gait)


def _count_events(w: Watched, marks: Marks) -> None:
    proposals = proposals_of(w.placed, w.seen, Asked())
    for kind, wanted, names in (
        ("reactions", [r.at_s for r in w.take.reactions], (REACTION,)),
        ("cues", [c.at_s for c in w.take.cues], ("cluck", "kiss")),
    ):
        found = [p.start_ns / 1e9 for p in proposals if p.what in names]
        used: set[int] = set()
        for at_s in wanted:
            near = [k for k, t in enumerate(found) if k not in used and abs(t - at_s) <= _NEAR_S]
            used.update(near[:1])
            marks.events[f"{kind}_found"] += int(bool(near))
            if any(r.severity > 1 and r.at_s == at_s for r in w.take.reactions) and kind == "reactions":
                marks.events["strong"] += 1
                marks.events["strong_found"] += int(bool(near))
        marks.events[kind] += len(wanted)
        marks.events[f"{kind}_false"] += len(found) - len(used)


def _gait_tags(film: FilmedClip) -> list[Tag]:
    tags: list[Tag] = []
    start = 0
    frames = film.frames
    for n in range(1, len(frames) + 1):
        if n == len(frames) or frames[n].truth.gait != frames[start].truth.gait:
            end_ns = film.end_ns if n == len(frames) else frames[n].session_ns
            tags.append(Tag(frames[start].truth.gait, frames[start].session_ns, end_ns))
            start = n
    return tags


def _line(words: str, part: int, whole: int, aim: float | None, most: bool = False) -> str:
    share = part / whole if whole else float("nan")
    met = "" if aim is None else ("met" if (share <= aim if most else share >= aim) else "MISSED")
    aimed = "" if aim is None else f"aim {'at most ' if most else ''}{aim:g}: {met}"
    unit = (
        f"{part * GRID_S:6.1f} of {whole * GRID_S:6.1f} s"
        if "found" not in words
        else f"{part:6d} of {whole:6d}  "
    )
    return f"{words:<52} {share:6.3f}  {unit}  {aimed}"


def _share(part: int, whole: int) -> str:
    return f"{part / whole:.2f}" if whole else "-"


def main() -> None:
    """Prints everything by itself."""
    for row in rows():
        met = "met" if row.is_met else "MISSED"
        sys.stdout.write(
            f"{row.name:<48} {row.ours:8.3f} bare {row.bare:8.3f} {row.unit}  {row.ratio:.2f} x  {met}\n"
        )


if __name__ == "__main__":
    main()
