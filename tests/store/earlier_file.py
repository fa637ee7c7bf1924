"""`python -m tests.store.earlier_file`: a file of today's version for `test_earlier_versions.py`, made once.

Run it with the code that landed, before the next migration is written. A file that is there is never made anew.
"""

from __future__ import annotations

import gzip
import shutil
import sqlite3
import tempfile
from contextlib import closing
from dataclasses import replace
from datetime import date
from fractions import Fraction
from pathlib import Path

import numpy as np

from annotate.agreement.again import Again, SecondLook, second_look_text
from annotate.clock import NS_PER_S, Span
from annotate.horses import Horse
from annotate.motion.seen import TRACKS, Seen, Sound, Stretch
from annotate.motion.suggestions import Decision, Pointed
from annotate.passages import Passage
from annotate.tagging import Change
from annotate.tags import Tag
from store.barn import Barn
from store.versions import NEWEST
from tests.store.made_barns import event, new_clip, put, state

FIXTURES = Path(__file__).with_name("fixtures")
DETAILS = {
    "title": "Flag",
    "place": "Lower barn",
    "pen": "round pen, 18 m",
    "footing": "sand",
    "weather": "wind",
    "handler": "me",
    "goal": "stand",
    "ended_on": "left rein",
    "soundness": "even",
    "next_step": "bag",
    "note": "quiet",
    "step": "quiet_flag",
    "pen_diameter": "18",
}


def main() -> int:
    """Makes both files, unless they are there."""
    to = FIXTURES / f"{NEWEST}.barn.gz"
    if to.exists():
        raise SystemExit(f"{to.name} is there. It stays as it was made.")
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        fill(folder / "made.barn", folder)
        with closing(sqlite3.connect(folder / "made.barn")) as bare:
            bare.execute("PRAGMA journal_mode=DELETE")
            bare.execute("UPDATE clip SET path = replace(path, ?, '/card')", (name,))
            bare.commit()
            bare.execute("VACUUM")
        to.write_bytes(gzip.compress((folder / "made.barn").read_bytes(), mtime=0))
        shutil.copy(folder / "made.horse", FIXTURES / f"{NEWEST}.horse")
    return 0


def fill(path: Path, folder: Path) -> None:
    """Makes a small barn with something of everything, and hands one of its horses over to 'made.horse'."""
    with Barn.create(path) as barn:
        barn.add_owner("R. Hollow", contact="at the mill", note="rings in the evening")
        juniper = Horse(0, "Juniper", "mare", "bay", date(2023, 4, 1), "worried by bags", "R. Hollow")
        heights = {"height_cm": Fraction("157.48"), "hip_height_cm": Fraction(120)}
        barn.keep_horse(replace(juniper, **heights, weight_kg=420))
        barn.keep_horse(Horse(0, "Alder", "gelding", "grey", date(2022, 1, 1), year_only=True))
        clips = [
            new_clip(folder / "a.mp4"),
            new_clip(folder / "b.mp4", starts_s=100, speed=Fraction(8), sound=False),
        ]
        first = barn.add_session("Juniper", date(2026, 5, 4), clips, details=DETAILS)
        barn.add_session("Juniper", date(2026, 5, 6), length_ns=600 * NS_PER_S)
        barn.put_session(barn.add_session("Alder", date(2026, 5, 6), length_ns=60 * NS_PER_S), "archive")
        barn.put_session(barn.add_session("Alder", date(2026, 5, 7), length_ns=61 * NS_PER_S), "bin")
        _tag(barn, first)
        tracks = {name: np.linspace(0, 1, 5, dtype=np.float32) for name in TRACKS}
        rhythm, sounds = (Stretch(0, 30, 1.4, 0.9, True),), (Sound(3.0, "cluck", 0.5),)
        barn.keep_seen(barn.clips(first)[0], Seen(60.0, 1.5, tracks, (9.0,), rhythm, sounds))
        barn.keep_decision(Decision(barn.clips(first)[0].id, "walk", 1_000, 91_000, "changed", "trot"))
        barn.point(barn.clips(first)[0], Pointed(1_000, 0.25, 0.5))
        barn.keep_setting("backups folder", "/media/second disk")
        barn.programme()
        barn.hand_over("Juniper", folder / "made.horse")


def _tag(barn: Barn, first: int) -> None:
    one, two = barn.session(first).clips
    put(
        barn,
        first,
        replace(state("walk", 0, 30), start_frame=one.mark(one.first_pts)),
        state("left_rein", 0, 45.5),
        Tag("spook", 12_345_678_901, severity=3, stimulus="flag", side="left", note="at the gate"),
        event("calm", 20),
        replace(state("trot", 100, 105), start_frame=two.mark(two.first_pts), running=True),
    )
    barn.apply(first, Change((), (state("walk", 0, 31), event("spook", 12.5))), look=2)
    drawn = (Again(Span(0, 30 * NS_PER_S), True), Again(Span(30 * NS_PER_S, 60 * NS_PER_S)))
    barn.keep_setting(f"second_look.{first}", second_look_text(SecondLook(7, drawn)))
    barn.keep_setting(f"second_look.{first}.who", "helper")
    barn.keep_setting(f"second_look.{first}.verdicts", '{"event 1": "first"}')
    start = Passage(5 * NS_PER_S, 9 * NS_PER_S, "start", 0, one.mark(one.pts_at(5 * NS_PER_S)))
    barn.keep_passages(first, [start, Passage(0, NS_PER_S, "walk", 1)])


if __name__ == "__main__":
    raise SystemExit(main())
