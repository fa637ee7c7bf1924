"""The order of the tack, from the tags.

Front cinch first on and last off; back cinch and breast collar only while it is on; the saddle seen on both
sides before it first goes on, and put on from the side that the trainer chose in the first saddlings. Common
practice: a back cinch alone lets the saddle slip under the belly, and one that hangs loose or is not tied to the
front one swings against the flank. The note of the back cinch's tag says how it was: 'tied', 'not tied', 'loose'.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from annotate.behaviours import Sheet
from annotate.clock import clock_text
from annotate.programme.steps import Saddling
from annotate.programme.work import Evidence, Work
from annotate.tags import Tag

FRONT_CINCH, BACK_CINCH, BREAST_COLLAR = "front_cinch", "back_cinch", "breast_collar"
SADDLE, SADDLE_SHOWN = "saddle", "saddle_shown"
_NOT_TIED = re.compile(r"\b(not tied|untied|loose)\b", re.IGNORECASE)
_TIED = re.compile(r"\btied\b", re.IGNORECASE)
CINCHED = (FRONT_CINCH, BACK_CINCH, BREAST_COLLAR)


def has_tack(work: Work) -> bool:
    """Whether a cinch or a breast collar is tagged."""
    return any(tag.what in CINCHED for tag in work.tags)


def breaks(works: Sequence[Work], place: int, saddling: Saddling) -> tuple[Evidence, ...]:
    """The moments of the session at `place` that break the order, in order of time.

    The sessions before it say what was shown, and how often the saddle was put on.
    """
    work = works[place]
    found = [
        *_outside_front(work),
        *_loose(work),
        *_not_shown(works, place),
        *_wrong_side(works, place, saddling),
    ]
    return tuple(sorted(found, key=lambda one: (one.start_ns, one.words)))


def not_said_tied(work: Work) -> tuple[Evidence, ...]:
    """The back cinch wherever its note does not say that it was tied."""
    return tuple(
        work.evidence(tag.start_ns, tag.end_ns, f"{_title(work.sheet, BACK_CINCH)} not noted as tied")
        for tag in work.tags
        if tag.what == BACK_CINCH and not (_TIED.search(tag.note) or _NOT_TIED.search(tag.note))
    )


def front_cinch_off(work: Work) -> tuple[Evidence, ...]:
    """When the front cinch was seen coming off: it ended, and before the session did."""
    running = {tag.end_ns for tag in work.tags if tag.what == FRONT_CINCH and tag.running}
    return tuple(
        work.evidence(span.end_ns, None, f"{_title(work.sheet, FRONT_CINCH)} off")
        for span in work.worn(FRONT_CINCH)
        if span.end_ns < work.session.end_ns and span.end_ns not in running
    )


def _outside_front(work: Work) -> list[Evidence]:
    front = work.worn(FRONT_CINCH)
    found = []
    for tack in (BACK_CINCH, BREAST_COLLAR):
        worn = work.worn(tack)
        starts = {start_ns for start_ns, _ in worn.edges}
        title, first = _title(work.sheet, tack), _title(work.sheet, FRONT_CINCH)
        for start_ns, end_ns in (worn - front).edges:
            on_first = f"{title} on before the {first}"
            words = on_first if start_ns in starts else f"{first} off before the {title}"
            found.append(work.evidence(start_ns, end_ns, words))
    return found


def _loose(work: Work) -> list[Evidence]:
    return [
        work.evidence(tag.start_ns, tag.end_ns, f"{_title(work.sheet, BACK_CINCH)} not snug and tied")
        for tag in work.tags
        if tag.what == BACK_CINCH and _NOT_TIED.search(tag.note)
    ]


def _saddlings(work: Work) -> list[Tag]:
    """The tags with which the saddle went on while somebody watched."""
    starts = {start_ns for start_ns, _ in work.worn(SADDLE).edges} - {0}
    return [tag for tag in work.tags if tag.what == SADDLE and tag.start_ns in starts]


def _not_shown(works: Sequence[Work], place: int) -> list[Evidence]:
    if any(earlier.worn(SADDLE) for earlier in works[:place]):
        return []
    work = works[place]
    on = min(_saddlings(work), key=lambda tag: tag.start_ns, default=None)
    if on is None or work.worn(SADDLE).holds(0):
        return []
    shown = {tag.side for earlier in works[:place] for tag in earlier.seen.shown if tag.what == SADDLE_SHOWN}
    shown |= {tag.side for tag in work.seen.shown if tag.what == SADDLE_SHOWN and tag.start_ns < on.start_ns}
    return [
        work.evidence(on.start_ns, None, f"saddle on before it was shown on the {side}")
        for side in ("left", "right")
        if side not in shown
    ]


def _wrong_side(works: Sequence[Work], place: int, saddling: Saddling) -> list[Evidence]:
    before = sum(len(_saddlings(earlier)) for earlier in works[:place])
    work = works[place]
    first = _saddlings(work)[: max(0, saddling.first - before)]
    return [
        work.evidence(tag.start_ns, None, f"saddled from the {tag.side} where the programme says {saddling.side}")
        for tag in first
        if tag.side not in ("", saddling.side)
    ]


def _title(sheet: Sheet, name: str) -> str:
    return sheet[name].title if name in sheet else name.replace("_", " ")


def moment_text(evidence: Evidence) -> str:
    """'back cinch on before the front cinch at 1:05.0, 4 May 2026'."""
    return f"{evidence.words} at {clock_text(evidence.start_ns)}, {evidence.day}"
