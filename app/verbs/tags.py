"""The verb `tags`: the tag list of a session, out or in."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from annotate.errors import TagTrouble
from annotate.numbers.wording import several
from annotate.taglist import read_tag_list, write_tag_list
from annotate.writing import write_text
from app.printing import print_line
from store.barn import Barn


def add_verbs(verbs: Any) -> None:
    """Adds it to the command line."""
    tags = verbs.add_parser("tags", help="a session's tag list, out or in")
    tags.add_argument("session", metavar="SESSION")
    way = tags.add_mutually_exclusive_group(required=True)
    way.add_argument("--to", metavar="FILE", type=Path)
    way.add_argument("--from", metavar="FILE", type=Path, dest="source", help="replaces the session's tags")
    tags.set_defaults(does=_tags)


def _tags(asked: argparse.Namespace) -> None:
    with Barn.open(asked.barn) as barn:
        session_id = barn.find_session(asked.session)
        if asked.to:
            tags = barn.tags(session_id)
            write_text(asked.to, write_tag_list(tags, barn.sheet()))
            print_line(f"{several(len(tags), 'tag')} written to {asked.to}")
            return
        session = barn.session(session_id)
        if not asked.source.is_file():
            raise TagTrouble(f"There is no file {asked.source}.")
        read = read_tag_list(asked.source.read_bytes(), barn.sheet(), session.end_ns)
        before = len(barn.tags(session_id))
        barn.replace_tags(session_id, read)
        print_line(f"{several(len(read), 'tag')} taken into session {session_id}, in place of {before}.")
