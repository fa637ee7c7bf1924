"""The verb `highlights`: what the owner gets."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from annotate.deliver.choose import choose_passages
from annotate.deliver.deliver import KINDS, OWNER_KINDS, Wishes, deliver, possible_kinds, refuse_unknown
from annotate.deliver.highlights import Material
from annotate.deliver.page.choice import Arrangement
from annotate.deliver.watch import UNWATCHED, Watch
from annotate.errors import Trouble
from annotate.passages import Passage
from app.delivering import arrangement_of, for_owner, material_of, with_all_sessions
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
        "--as",
        metavar="KINDS",
        dest="kinds",
        help=f"{','.join(KINDS)}, joined by commas; all that can be made if not given",
    )
    highlights.add_argument("--captions", action="store_true", help="draw the captions into the reel")
    highlights.add_argument("--work-line", action="store_true", help="draw the work line into the reel")
    highlights.add_argument(
        "--compare-with", metavar="SESSION", help="an earlier session, beside this one on the page"
    )
    highlights.set_defaults(does=_highlights)


def write_highlights(
    barn: Barn,
    session_id: int,
    kinds: Sequence[str] | None,
    folder: Path,
    *,
    wishes: Wishes | None = None,
    watch: Watch = UNWATCHED,
    compared_with: int | None = None,
) -> Written:
    """Writes a session's highlight list; where nothing is marked, the passages are chosen by rule.

    `kinds` None: all that can be made of it. The page is as it was arranged in the window, if it was.
    """
    if kinds is not None:
        refuse_unknown(kinds)
    passages = barn.passages(session_id)
    by_rule = not passages
    if by_rule:
        session = barn.session(session_id)
        passages = tuple(choose_passages(session, barn.tags(session_id), barn.sheet()))
    if not passages:
        raise Trouble(
            "There is nothing to show yet: tag a reaction, a lope or an exposure for the rule to choose from, "
            "or mark passages on the desk."
        )
    material = material_of(barn, session_id, passages)
    asked = kinds if kinds is not None else possible_kinds(material)
    files = _written(barn, material, asked, folder, wishes, watch, compared_with)
    return Written(tuple(files), passages, by_rule)


def _written(
    barn: Barn,
    material: Material,
    kinds: Sequence[str],
    folder: Path,
    wishes: Wishes | None,
    watch: Watch,
    compared_with: int | None,
) -> list[Path]:
    """The lists hold all passages; what the owner reads as it is holds what was chosen for the owner."""
    lists = [kind for kind in kinds if kind not in OWNER_KINDS]
    pages = [kind for kind in kinds if kind in OWNER_KINDS]
    files = deliver(material, lists, folder, wishes=wishes, watch=watch) if lists or not pages else []
    if pages:
        arrangement = arrangement_of(barn, material.session.id) or Arrangement()
        if compared_with is not None:
            arrangement = replace(arrangement, compared_with=compared_with)
        owners = with_all_sessions(barn, for_owner(barn, material, arrangement))
        files += deliver(owners, pages, folder, watch=watch)
    return files


def _highlights(asked: argparse.Namespace) -> None:
    kinds = None
    if asked.kinds is not None:
        kinds = [kind.strip() for kind in asked.kinds.split(",") if kind.strip()]
    wishes = Wishes(asked.captions, asked.work_line)
    said: list[str] = []
    with Barn.open(asked.barn) as barn:
        session_id = barn.find_session(asked.session)
        written = write_highlights(
            barn,
            session_id,
            kinds,
            asked.to,
            wishes=wishes,
            watch=Watch(on_word=said.append),
            compared_with=barn.find_session(asked.compare_with) if asked.compare_with else None,
        )
    if written.by_rule:
        print_line(
            "Nothing was marked; chosen by rule: reactions, the longest quiet lope, the first and last "
            "exposure, the best turn each way."
        )
    for number, passage in enumerate(written.passages, 1):
        print_line(f"{number}. {passage.caption}")
    for words in said:
        print_line(words)
    for path in written.files:
        print_line(f"Written: {path}")
