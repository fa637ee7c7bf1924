"""The verb `highlights`: what the owner gets."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from annotate.deliver.choose import choose_passages
from annotate.deliver.deliver import KINDS, deliver
from annotate.errors import Trouble
from annotate.passages import Passage
from app.delivering import material_of
from app.printing import print_line
from store.barn import Barn


@dataclass(frozen=True, slots=True)
class Written:
    """The files that were written, and the passages in them; `by_rule` if nothing had been marked."""

    files: tuple[Path, ...]
    passages: tuple[Passage, ...]
    by_rule: bool


def add_verbs(verbs: Any) -> None:
    """Adds it to the command line."""
    highlights = verbs.add_parser("highlights", help="the highlight list as files for the owner")
    highlights.add_argument("session", metavar="SESSION")
    highlights.add_argument("--to", metavar="FOLDER", type=Path, required=True)
    highlights.add_argument(
        "--as", metavar="KINDS", dest="kinds", default=",".join(KINDS), help=", ".join(KINDS)
    )
    highlights.set_defaults(does=_highlights)


def write_highlights(barn: Barn, session_id: int, kinds: Sequence[str], folder: Path) -> Written:
    """Writes a session's highlight list; where nothing is marked, the passages are chosen by rule."""
    passages = barn.passages(session_id)
    by_rule = not passages
    if by_rule:
        session = barn.session(session_id)
        passages = tuple(choose_passages(session, barn.tags(session_id), barn.sheet()))
    if not passages:
        raise Trouble("There is nothing to show yet: tag the session, or mark passages on the desk.")
    return Written(tuple(deliver(material_of(barn, session_id, passages), kinds, folder)), passages, by_rule)


def _highlights(asked: argparse.Namespace) -> None:
    kinds = [kind.strip() for kind in asked.kinds.split(",") if kind.strip()]
    with Barn.open(asked.barn) as barn:
        written = write_highlights(barn, barn.find_session(asked.session), kinds, asked.to)
    if written.by_rule:
        print_line(
            "Nothing was marked; chosen by rule: reactions, the longest lope, a turn each way."
        )
    for number, passage in enumerate(written.passages, 1):
        print_line(f"{number}. {passage.caption}")
    for path in written.files:
        print_line(f"Written: {path}")
