"""The verbs that keep what is there: `backups`, `find`, `view`, `hand-over`, `take-in`."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from annotate.clock import clock_text, parse_seconds, seconds, shown
from annotate.errors import Trouble
from app.another_view import CommonFrame, add_view_by_frame, add_view_by_sound, add_view_by_time
from app.finding import find_lost
from app.printing import print_json, print_line, print_table
from store.barn import Barn
from store.handing_over import Clashes, Settling, read_handed
from store.rolling import FOLDER_KEY, NONE_ON_A_SERVER, back_up, backups, folder_of


def add_verbs(verbs: Any) -> None:
    """Adds them to the command line."""
    listing = verbs.add_parser("backups", help="the rolling backups: where they lie and from when they are")
    listing.add_argument("--now", action="store_true", help="takes one first")
    listing.add_argument("--folder", metavar="FOLDER", type=Path, help="keeps them there from now on")
    listing.add_argument("--json", action="store_true")
    listing.set_defaults(does=_backups)
    finding = verbs.add_parser("find", help="finds lost clips again in a folder, by their content")
    finding.add_argument("folder", metavar="FOLDER", type=Path)
    finding.add_argument("--json", action="store_true")
    finding.set_defaults(does=_find)
    viewing = verbs.add_parser("view", help="another camera's clip on a session that is there")
    viewing.add_argument("session", metavar="SESSION")
    viewing.add_argument("clip", metavar="CLIP", type=Path)
    way = viewing.add_mutually_exclusive_group(required=True)
    way.add_argument("--by-time", action="store_true", help="lined up by the time of day in the files")
    way.add_argument("--by-sound", action="store_true", help="lined up by what both microphones heard")
    common = "frame N of the clip shows what happened at SECONDS of the session"
    way.add_argument("--by-frame", nargs=2, metavar=("N", "SECONDS"), help=common)
    viewing.add_argument("--json", action="store_true")
    viewing.set_defaults(does=_view)
    handing = verbs.add_parser("hand-over", help="a horse with its sessions and tags as one file")
    handing.add_argument("horse", metavar="HORSE")
    handing.add_argument("--to", metavar="FILE", type=Path, required=True)
    handing.add_argument("--with-clips", action="store_true", help="with the clips' files in it")
    handing.set_defaults(does=_hand_over)
    taking = verbs.add_parser("take-in", help="takes in a horse that another barn handed over")
    taking.add_argument("file", metavar="FILE", type=Path)
    name = taking.add_mutually_exclusive_group()
    name.add_argument("--as", metavar="NAME", dest="as_name", default="", help="the name it gets here")
    name.add_argument("--join", action="store_true", help="it is the horse that has its name here")
    taking.add_argument(
        "--clash",
        choices=("keep", "theirs"),
        default="",
        help="what both barns have: keep ours, or take theirs",
    )
    taking.add_argument("--json", action="store_true")
    taking.set_defaults(does=_take_in)


def _backups(asked: argparse.Namespace) -> None:
    if not isinstance(asked.barn, Path):
        raise Trouble(NONE_ON_A_SERVER)
    with Barn.open(asked.barn) as barn:
        if asked.folder:
            barn.keep_setting(FOLDER_KEY, str(asked.folder.expanduser().absolute()))
        folder = folder_of(barn.path, barn.setting(FOLDER_KEY))
        if asked.now:
            back_up(barn.path, folder)
    found = backups(asked.barn.absolute(), folder)
    if asked.json:
        listed = [{"file": str(one.path), "at": one.at.isoformat(), "bytes": one.size} for one in found]
        print_json({"folder": str(folder), "backups": listed})
        return
    print_line(f"Backups lie in {folder}")
    print_table([(f"{one.at.astimezone():%Y-%m-%d %H:%M}", one.path.name) for one in found])


def _find(asked: argparse.Namespace) -> None:
    with Barn.open(asked.barn) as barn:
        came = find_lost(barn, asked.folder.expanduser().absolute())
    if asked.json:
        found = [{"clip": clip.id, "file": str(path)} for clip, path in came.found]
        lost = [{"clip": clip.id, "file": str(clip.path)} for clip in came.lost]
        print_json({"found": found, "lost": lost})
        return
    print_line(came.words)
    for clip in came.lost:
        print_line(f"lost: {clip.path}")


def _view(asked: argparse.Namespace) -> None:
    with Barn.open(asked.barn) as barn:
        session_id = barn.find_session(asked.session)
        if asked.by_time:
            clip_id = add_view_by_time(barn, session_id, asked.clip)
        elif asked.by_sound:
            clip_id = add_view_by_sound(barn, session_id, asked.clip)
        else:
            number, at = asked.by_frame
            if not number.isdecimal():
                raise Trouble(f"{shown(number)} is not the number of a frame. Frames are counted from 0.")
            common = CommonFrame(int(number), parse_seconds(at))
            clip_id = add_view_by_frame(barn, session_id, asked.clip, common)
        placed = barn.session(session_id).clip(clip_id)
    if asked.json:
        print_json({"clip": placed.id, "view": placed.view, "starts_s": seconds(placed.starts_ns)})
    else:
        print_line(
            f"View {placed.view}: {asked.clip.name} begins at {clock_text(placed.starts_ns, decimals=3)}"
        )


def _hand_over(asked: argparse.Namespace) -> None:
    with Barn.open(asked.barn) as barn:
        barn.hand_over(asked.horse, asked.to, with_clips=asked.with_clips)
        horse = barn.horse(asked.horse).name
    print_line(f"{horse} is handed over in {asked.to}, {'with' if asked.with_clips else 'without'} clips.")


def _take_in(asked: argparse.Namespace) -> None:
    with Barn.open(asked.barn, create=True) as barn:
        try:
            came = barn.take_in(read_handed(asked.file), Settling(asked.as_name, asked.join, asked.clash))
        except Clashes as clashes:
            ways = "Say --as NAME or --join for the name, --clash keep or --clash theirs for the rest."
            raise Trouble(f"{clashes}\n{ways}") from None
    if asked.json:
        print_json(
            {
                "horse": came.horse,
                "sessions": {"new": came.added, "replaced": came.replaced, "kept": came.kept},
                "tags": came.tags,
                "not_on_the_sheet": list(came.unknown),
            }
        )
    else:
        print_line(came.words)
