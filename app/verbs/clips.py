"""The verbs that look at a clip: `look` and `still`."""

from __future__ import annotations

import argparse
from fractions import Fraction
from pathlib import Path
from typing import Any

from annotate.clock import NS_PER_S, parse_seconds
from annotate.media.clip import look
from annotate.media.describe import facts_as_json, facts_for_person
from annotate.media.still import write_still
from app.printing import print_json, print_line, print_table


def add_verbs(verbs: Any) -> None:
    """Adds them to the command line."""
    looking = verbs.add_parser("look", help="what a clip is, and the exact time of each frame")
    looking.add_argument("clip", metavar="CLIP", type=Path)
    looking.add_argument("--frames", action="store_true", help="every frame time as an exact fraction")
    looking.add_argument("--json", action="store_true")
    looking.set_defaults(does=_look)
    still = verbs.add_parser("still", help="one exact picture of a clip as PNG")
    still.add_argument("clip", metavar="CLIP", type=Path)
    which = still.add_mutually_exclusive_group(required=True)
    which.add_argument("--frame", metavar="N", type=int, help="the frame's number, from 0")
    which.add_argument(
        "--at", metavar="SECONDS", help="the picture shown then, on the clock that look prints"
    )
    still.add_argument("--to", metavar="PNG", type=Path, required=True)
    still.set_defaults(does=_still)


def _look(asked: argparse.Namespace) -> None:
    facts = look(asked.clip)
    if asked.json:
        print_json(facts_as_json(facts, frames=asked.frames))
        return
    print_table(facts_for_person(facts))
    if asked.frames:
        print_line()
        times = facts_as_json(facts, frames=True)["frame_times"]
        print_table(list(enumerate(times)), heads=("frame", "time in s"))


def _still(asked: argparse.Namespace) -> None:
    at = Fraction(parse_seconds(asked.at), NS_PER_S) if asked.at is not None else None
    frame = write_still(asked.clip, asked.to, frame=asked.frame, at=at)
    print_line(f"Frame {frame} written to {asked.to}")
