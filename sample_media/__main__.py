"""python -m sample_media [NAME...]: renders the demonstration sessions, or those named."""

from __future__ import annotations

import argparse
import sys
import time
from fractions import Fraction
from pathlib import Path

from .camera import View
from .encode import Quality
from .render import render_session, sessions_text, with_rate
from .sessions import SESSIONS


def _size(text: str) -> tuple[int, int]:
    width, _, height = text.partition("x")
    size = int(width), int(height)
    if size[0] % 2 or size[1] % 2 or min(size) < 32:
        raise argparse.ArgumentTypeError("sides must be even and at least 32 pixels")
    return size


def _arguments() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="python -m sample_media", description=__doc__)
    parser.add_argument("names", nargs="*", metavar="NAME", help=", ".join(SESSIONS))
    parser.add_argument("--to", type=Path, default=Path(__file__).parent, metavar="FOLDER")
    parser.add_argument("--size", type=_size, default=(640, 360), metavar="WxH")
    parser.add_argument("--rate", type=Fraction, help="frames a second, as 30 or 30000/1001")
    parser.add_argument("--seed", type=int, default=0, help="of the hand and the sensor")
    parser.add_argument("--noise", type=float, default=View.noise, help="grey levels")
    parser.add_argument("--shake", type=float, default=View.shake, help="1 is a steady hand")
    parser.add_argument("--pan", type=float, default=View.pan, help="0 is a camera on a stand")
    parser.add_argument("--crf", type=float, default=Quality.crf, help="H.264 quality, less is finer")
    return parser


def main(words: list[str] | None = None) -> int:
    parser = _arguments()
    chosen = parser.parse_args(words)
    unknown = [n for n in chosen.names if n not in SESSIONS]
    if unknown:
        parser.error(f"no session called {unknown[0]}; there are {', '.join(SESSIONS)}")
    width, height = chosen.size
    view = View(width, height, chosen.noise, chosen.shake, chosen.pan, seed=chosen.seed)
    for name in chosen.names or SESSIONS:
        scenario = SESSIONS[name]
        if chosen.rate is not None:
            scenario = with_rate(scenario, chosen.rate)
        begun = time.perf_counter()
        clips = render_session(scenario, view, chosen.to, Quality(crf=chosen.crf))
        frames = sum(len(c.frames) for c in clips)
        pace = frames / (time.perf_counter() - begun)
        sys.stdout.write(f"{name}: {frames} frames, {pace:.0f} a second\n")
    listed = sessions_text(list(SESSIONS.values()))
    (chosen.to / "sessions.toml").write_text(listed, encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
