"""The verb `suggest`: what the machine proposes for a session. Nothing of it counts before it is confirmed."""

from __future__ import annotations

import argparse
import sys
from typing import Any

from annotate.behaviours import Sheet
from annotate.clock import clock_text
from annotate.errors import Trouble
from annotate.kept_clips import KeptClip
from annotate.motion.proposals import Asked, Proposal, clip_json, proposal_json, proposals_of
from annotate.motion.reins import INSIDE, OUTSIDE
from annotate.motion.seen import Seen
from annotate.motion.suggestions import told_from
from annotate.numbers.wording import several
from app.printing import print_json, print_line, print_table
from app.sure_words import CALIBRATED, sure_words
from app.watched import calibrated_gaits, camera_of, has_new_help, horse_bands, watch
from store.barn import Barn

_COLUMNS = (
    "from, to    minutes and seconds on the session's clock; an instant has no end",
    "what        the behaviour that it would tag, as on your sheet",
    "how sure    the machine's own estimate: 1 would be certain, below 0.55 it is a guess",
)


def add_verbs(verbs: Any) -> None:
    """Adds it to the command line."""
    suggest = verbs.add_parser("suggest", help="what the machine proposes for a session")
    suggest.add_argument("session", metavar="SESSION")
    suggest.add_argument(
        "--camera",
        choices=(OUTSIDE, INSIDE),
        help="where it stands, outside or inside the ring: the rein is told from that "
        "(else as the session says, else outside)",
    )
    suggest.add_argument(
        "--sensitivity", type=float, default=0.5, metavar="0..1", help="how many sudden moments to show"
    )
    suggest.add_argument("--again", action="store_true", help="watch the clips anew")
    suggest.add_argument("--json", action="store_true")
    suggest.set_defaults(does=_suggest)


def _watched(barn: Barn, clip: KeptClip, *, again: bool) -> Seen:
    """What was seen in a clip; watches it where that was not done yet."""
    kept = barn.seen(clip)
    if again or kept is None or has_new_help(barn, clip):
        return watch(barn, clip, on_progress=_show_progress(clip))
    return kept


def _suggest(asked: argparse.Namespace) -> None:
    if not 0 <= asked.sensitivity <= 1:
        raise Trouble("The sensitivity goes from 0 to 1.")
    with Barn.open(asked.barn) as barn:
        session_id = barn.find_session(asked.session)
        clips = barn.clips(session_id)
        if not clips:
            raise Trouble("The session has no clips: there is nothing to watch.")
        seen = [_watched(barn, clip, again=asked.again) for clip in clips]
        session, sheet = barn.session(session_id), barn.sheet()
        bands = horse_bands(barn, session.horse)
    told = Asked(asked.camera or camera_of(session) or OUTSIDE, asked.sensitivity)
    proposals: list[Proposal] = []
    for clip, what in zip(clips, seen, strict=True):
        proposals += told_from(session, clip.placed, proposals_of(clip.placed, what, told, bands))
    proposals.sort(key=lambda proposal: proposal.start_ns)
    views = [clip_json(str(clip.path), what, told) for clip, what in zip(clips, seen, strict=True)]
    if asked.json:
        print_json({"clips": views, "proposals": [proposal_json(proposal) for proposal in proposals]})
        return
    for view in views:
        _print_view(view)
    _print_proposals(proposals, sheet, calibrated_gaits(bands))


def _print_view(view: dict[str, Any]) -> None:
    """What was seen of one clip, in words."""
    hz = view["stride_hz"]
    way = {
        "left_to_right": "goes mostly from left to right across the picture",
        "right_to_left": "goes mostly from right to left across the picture",
    }.get(view["travel"], "goes both ways across the picture, or stands")
    lost_s = sum(end - start for start, end in view["lost"])
    print_line(f"{view['clip']}, camera {view['camera']} the ring:")
    print_line("  no rhythm found" if hz is None else f"  usually {hz:.2f} strides a second")
    print_line(f"  {way}")
    cuts = several(len(view["cuts"]), "cut")
    print_line(f"  {cuts} in the film; it does not know where the horse is for {lost_s:.1f} s")


def _print_proposals(proposals: list[Proposal], sheet: Sheet, calibrated: frozenset[str]) -> None:
    rows = []
    for one in proposals:
        sure = f"{one.confidence:.2f}, {sure_words(one.confidence)}"
        rows.append(
            (
                clock_text(one.start_ns),
                "" if one.end_ns is None else clock_text(one.end_ns),
                sheet[one.what].title if one.what in sheet else one.what,
                f"{sure}; {CALIBRATED}" if one.what in calibrated else sure,
            )
        )
    print_line()
    print_table(rows, heads=("from", "to", "what", "how sure"))
    print_line()
    for words in _COLUMNS:
        print_line(words)
    print_line("These are proposals. None counts before it is confirmed.")


def _show_progress(clip: KeptClip) -> Any:
    """On a terminal a line that counts; else nothing."""

    def show(done: int, of: int) -> None:
        if sys.stderr.isatty():
            end = "\n" if done >= of else ""
            sys.stderr.write(f"\rwatching {clip.path.name}: {100 * done // max(of, 1)} %{end}")
            sys.stderr.flush()

    return show
