"""The verb `suggest`: what the machine proposes for a session. Nothing of it counts before it is confirmed."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator, Sequence
from typing import Any

from annotate.clock import clock_text
from annotate.errors import ClipTrouble, Trouble
from annotate.kept_clips import KeptClip
from annotate.motion.asking import have_watched
from annotate.motion.gaits import Bands
from annotate.motion.proposals import Asked, Proposal, bands_from, clip_json, proposal_json, proposals_of
from annotate.motion.seen import Seen
from annotate.sessions import PlacedClip
from annotate.tags import Tag
from app.printing import print_json, print_line, print_table
from store.barn import Barn


def add_verbs(verbs: Any) -> None:
    """Adds it to the command line."""
    suggest = verbs.add_parser("suggest", help="what the machine proposes for a session")
    suggest.add_argument("session", metavar="SESSION")
    suggest.add_argument(
        "--camera", choices=("outside", "inside"), default="outside", help="of the ring; for the rein"
    )
    suggest.add_argument(
        "--sensitivity", type=float, default=0.5, metavar="0..1", help="how many sudden moments to show"
    )
    suggest.add_argument("--again", action="store_true", help="watch the clips anew")
    suggest.add_argument("--json", action="store_true")
    suggest.set_defaults(does=_suggest)


def watched(barn: Barn, clip: KeptClip, *, again: bool = False) -> Seen:
    """What was seen in a clip; watches it, and keeps the answer, where that was not done yet."""
    kept = None if again else barn.seen(clip)
    if kept is not None:
        return kept
    if clip.missing:
        raise ClipTrouble(f"{clip.path.name} is not where it was: {clip.path.parent}. Find it first.")
    seen = have_watched(clip.facts, clip.placed.capture_speed, on_progress=_show_progress(clip))
    barn.keep_seen(clip, seen)
    return seen


def horse_bands(barn: Barn, session_id: int) -> Bands:
    """The gaits of the session's horse, from every clip of it that was watched and its confirmed tags."""
    return bands_from(_watched_with_tags(barn, barn.session(session_id).horse))


def _watched_with_tags(barn: Barn, horse: str) -> Iterator[tuple[PlacedClip, Seen, Sequence[Tag]]]:
    for row in barn.sessions(horse):
        tags = barn.tags(row.id)
        for clip in barn.clips(row.id):
            seen = barn.seen(clip)
            if seen is not None and tags:
                yield clip.placed, seen, tags


def _suggest(asked: argparse.Namespace) -> None:
    if not 0 <= asked.sensitivity <= 1:
        raise Trouble("The sensitivity goes from 0 to 1.")
    with Barn.open(asked.barn) as barn:
        session_id = barn.find_session(asked.session)
        clips = barn.clips(session_id)
        if not clips:
            raise Trouble("The session has no clips: there is nothing to watch.")
        seen = [watched(barn, clip, again=asked.again) for clip in clips]
        bands = horse_bands(barn, session_id)
    told = Asked(asked.camera, asked.sensitivity)
    proposals: list[Proposal] = []
    for clip, what in zip(clips, seen, strict=True):
        proposals += proposals_of(clip.placed, what, told, bands)
    proposals.sort(key=lambda proposal: proposal.start_ns)
    views = [clip_json(str(clip.path), what, told) for clip, what in zip(clips, seen, strict=True)]
    if asked.json:
        print_json({"clips": views, "proposals": [proposal_json(proposal) for proposal in proposals]})
        return
    _print_for_person(views, proposals)


def _print_for_person(views: list[dict[str, Any]], proposals: list[Proposal]) -> None:
    for view in views:
        hz = view["stride_hz"]
        rhythm = "no rhythm" if hz is None else f"{hz:.2f} strides a second"
        way = {"left_to_right": "left to right", "right_to_left": "right to left"}.get(
            view["travel"], "no one way"
        )
        lost_s = sum(end - start for start, end in view["lost"])
        print_line(f"{view['clip']}: {rhythm}, {way}, {len(view['cuts'])} cuts, lost for {lost_s:.1f} s")
    rows = [
        (
            clock_text(proposal.start_ns),
            "" if proposal.end_ns is None else clock_text(proposal.end_ns),
            proposal.what,
            f"{proposal.confidence:.2f}",
        )
        for proposal in proposals
    ]
    print_table(rows, heads=("from", "to", "what", "confidence"))
    print_line("These are proposals. None counts before it is confirmed.")


def _show_progress(clip: KeptClip) -> Any:
    """On a terminal a line that counts; else nothing."""

    def show(done: int, of: int) -> None:
        if sys.stderr.isatty():
            end = "\n" if done >= of else ""
            sys.stderr.write(f"\rwatching {clip.path.name}: {100 * done // max(of, 1)} %{end}")
            sys.stderr.flush()

    return show
