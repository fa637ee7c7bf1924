"""The verbs that keep the barn: `add`, `barn`, `backup`, `restore`, `check`."""

from __future__ import annotations

import argparse
import sys
from datetime import date
from fractions import Fraction
from pathlib import Path
from typing import Any

from annotate.clock import clock_text
from annotate.days import to_come
from annotate.errors import Trouble
from annotate.sessions import parse_capture_speed, parse_day, parse_length
from app.bringing_in import bring_in
from app.printing import print_json, print_line, print_table
from store.barn import Barn
from store.files import there
from store.safety import backup, check, restore


def add_verbs(verbs: Any) -> None:
    """Adds them to the command line."""
    adding = verbs.add_parser("add", help="a new session from clips, or without clips of a given length")
    adding.add_argument("clips", metavar="CLIP", nargs="*", type=Path)
    adding.add_argument("--horse", metavar="NAME", required=True)
    adding.add_argument("--date", metavar="D", help="the day, YYYY-MM-DD (default: the clip's day, or today)")
    adding.add_argument("--length", metavar="SECONDS", help="the length of a session without clips")
    adding.add_argument(
        "--capture-speed", metavar="N", default="1", help="slow motion: 8, or 240/30, for 240 played at 30"
    )
    adding.add_argument("--json", action="store_true")
    adding.set_defaults(does=_add)
    listing = verbs.add_parser("barn", help="what is in the barn")
    listing.add_argument("--json", action="store_true")
    listing.set_defaults(does=_barn)
    backing = verbs.add_parser("backup", help="a verified copy of the barn")
    backing.add_argument("--to", metavar="FILE", type=Path, required=True)
    backing.set_defaults(does=_backup)
    restoring = verbs.add_parser("restore", help="brings a backup back; the present barn is kept as a copy")
    restoring.add_argument("file", metavar="FILE", type=Path)
    restoring.set_defaults(does=_restore)
    checking = verbs.add_parser("check", help="verifies the barn and its clips")
    checking.add_argument("--json", action="store_true")
    checking.set_defaults(does=_check)


def _add(asked: argparse.Namespace) -> None:
    if asked.clips and asked.length:
        raise Trouble("Name clips or a length, not both: clips have their own length.")
    if not asked.clips and not asked.length:
        raise Trouble("Name the clips of the session, or its --length in seconds.")
    day = parse_day(asked.date) if asked.date else None
    speed = parse_capture_speed(asked.capture_speed)
    with Barn.open(asked.barn, create=True) as barn:
        if asked.clips:
            session_id = bring_in(barn, asked.clips, horse=asked.horse, day=day, capture_speed=speed)
        else:
            if speed != Fraction(1):
                raise Trouble("A capture speed belongs to clips.")
            length = parse_length(asked.length)
            session_id = barn.add_session(asked.horse, day or date.today(), length_ns=length)
        session = barn.session(session_id)
    if doubt := to_come(session.day, date.today(), date.isoformat):
        sys.stderr.write(f"{doubt} It was kept all the same; the day can be changed in its record.\n")
    if asked.json:
        print_json({"session": {"id": session.id, "horse": session.horse, "date": session.day.isoformat()}})
    else:
        print_line(f"Session {session.id}: {session.name}, {clock_text(session.end_ns)} long")


def _barn(asked: argparse.Namespace) -> None:
    with Barn.open(asked.barn) as barn:
        horses = barn.horses()
        sessions = barn.sessions()
    if asked.json:
        listed = [
            {
                "name": horse.name,
                "sessions": [
                    {"id": s.id, "date": s.day.isoformat(), "clips": s.clips, "tags": s.tags}
                    for s in sessions
                    if s.horse == horse.name
                ],
            }
            for horse in horses
        ]
        print_json({"horses": listed})
        return
    if not horses:
        print_line("The barn is empty. Put a session in with: add CLIP --horse NAME")
    rows = [(s.id, s.horse, s.day, s.clips, s.tags, s.title) for s in sessions]
    print_table(rows, heads=("session", "horse", "date", "clips", "tags", "title"))


def _backup(asked: argparse.Namespace) -> None:
    backup(asked.barn, asked.to)
    print_line(f"The barn is copied to {asked.to} and the copy is verified.")


def _restore(asked: argparse.Namespace) -> None:
    if not there(asked.file):
        raise Trouble(f"There is no file {asked.file} to bring back.")
    kept = restore(asked.file, asked.barn)
    print_line(f"{asked.barn} is now as in {asked.file}.")
    if kept is not None:
        print_line(f"What was there before is kept in {kept}")


def _check(asked: argparse.Namespace) -> None:
    findings = check(asked.barn)
    if asked.json:
        print_json({"findings": [{"severity": f.severity, "what": f.words} for f in findings]})
    for finding in findings:
        if not asked.json:
            print_line(f"{finding.severity}: {finding.words}")
    if any(finding.severity == "broken" for finding in findings):
        raise Trouble("The barn needs mending. Restore a backup with: restore FILE")
    if not findings and not asked.json:
        print_line("The barn is sound: file, versions, tags and clips.")
