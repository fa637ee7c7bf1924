"""The verbs `ground` and `limits`: where a session was worked, and how much work is enough."""

from __future__ import annotations

import argparse
import sys
from dataclasses import asdict
from pathlib import Path
from typing import Any

from annotate.circle import parse_metres
from annotate.errors import Trouble
from annotate.numbers.ground import GROUND_DETAILS, HIP, LINE, PEN, RAIL, read_track
from annotate.writing import write_text
from app.figures import keep_limits, limits_of, limits_text_of, measured
from app.printing import print_json, print_line
from store.barn import Barn

_OPTIONS = {"pen": PEN, "rail": RAIL, "line": LINE, "hip": HIP}


def add_verbs(verbs: Any) -> None:
    """Adds them to the command line."""
    ground = verbs.add_parser("ground", help="where a session was worked: pen, rail, line, hip height")
    ground.add_argument("session", metavar="SESSION")
    for option, key in _OPTIONS.items():
        ground.add_argument(f"--{option}", metavar="LENGTH", help=f"{GROUND_DETAILS[key]}: 18.3 m or 60 ft")
    ground.add_argument("--json", action="store_true")
    ground.set_defaults(does=_ground)
    limits = verbs.add_parser("limits", help="the limits for one session's work that you set")
    limits.add_argument("--from", dest="source", metavar="FILE", type=Path, help="take them from a file")
    limits.add_argument("--to", dest="target", metavar="FILE", type=Path, help="write them to a file")
    limits.add_argument("--json", action="store_true")
    limits.set_defaults(does=_limits)


def _ground(asked: argparse.Namespace) -> None:
    given = {key: getattr(asked, option) for option, key in _OPTIONS.items() if getattr(asked, option)}
    lengths = {key: f"{parse_metres(text):.6g}" for key, text in given.items()}
    with Barn.open(asked.barn) as barn:
        session_id = barn.find_session(asked.session)
        if lengths:
            barn.change_session(session_id, details=lengths)
        session = measured(barn, barn.session(session_id))
    track = read_track(session.details)
    if asked.json:
        kept = {key: session.details[key] for key in GROUND_DETAILS if key in session.details}
        reason = {"reason": track.why} if track.round_m is None else {}
        print_json({**kept, "diameter_m": track.diameter_m, "round_m": track.round_m, **reason})
        return
    for key, title in GROUND_DETAILS.items():
        if session.details.get(key):
            print_line(f"{title}: {session.details[key]} m")
    print_line(track.why if track.round_m is None else f"once round: {track.round_m:.2f} m")


def _limits(asked: argparse.Namespace) -> None:
    with Barn.open(asked.barn) as barn:
        if asked.source is not None:
            keep_limits(barn, _read(asked.source))
        text, limits = limits_text_of(barn), limits_of(barn)
    if asked.target is not None:
        write_text(asked.target, text)
        print_line(f"Written: {asked.target}")
    elif asked.json:
        print_json(asdict(limits))
    elif asked.source is None:
        sys.stdout.write(text)
    else:
        print_line("The limits were taken in.")


def _read(path: Path) -> str:
    try:
        return path.read_text(encoding="utf-8")
    except UnicodeDecodeError:
        raise Trouble(f"{path} is no text in UTF-8.") from None
