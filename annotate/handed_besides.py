"""What goes along with a horse besides its records: small texts, and what was seen and decided in its clips.

All of it comes from elsewhere. A text is one of a few known kinds; what was seen is an archive of number rows,
which is measured before it is unpacked.
"""

from __future__ import annotations

import io
import json
import re
import zipfile
from collections.abc import Iterable, Mapping
from typing import Any, Final, get_args

import numpy as np

from annotate.agreement.again import read_second_look
from annotate.errors import BarnTrouble
from annotate.motion.seen import METHOD, Seen, method_of
from annotate.motion.suggestions import Decision, Pointed, Verdict
from annotate.sessions import parse_day

SECOND_LOOK: Final = "second_look.{}"
FOLLOWING: Final = "desk.following.{}"
"""Points that the picture follows, by clip; in a handed file by the clip's number within its session."""

_KEY: Final = re.compile(r"second_look\.\{\}(\.[a-z_0-9]{1,30}){0,2}|desk\.following\.\{\}")
_WORD: Final = re.compile(r"[a-z0-9_]{1,60}")
_MOST_TEXT: Final = 8 << 20
_MOST_SEEN: Final = 128 << 20
_MOST_SAMPLES: Final = 10_000_000


def is_carried(key: str) -> bool:
    """Whether a text of that key goes along; {} stands for the session's number."""
    return _KEY.fullmatch(key) is not None


def read_texts(said: Any) -> dict[str, str]:
    """The texts of a session from a handed file. Raises `BarnTrouble` for what makes no sense."""
    if not isinstance(said, dict):
        raise BarnTrouble("The texts of a session are not a list of texts.")
    for key, text in said.items():
        if not isinstance(text, str) or len(text) > _MOST_TEXT or "\0" in text or not is_carried(str(key)):
            raise BarnTrouble("A text goes with a session that none may have.")
        text.encode()
        _check(key, text)
    return dict(said)


def renumbered(text: str, numbers: Mapping[int, int]) -> str:
    """Followed points with their clips' other numbers; those of a clip without one are left out."""
    try:
        points = {int(clip): one for clip, one in json.loads(text).items()}
    except (ValueError, AttributeError, RecursionError):
        raise BarnTrouble("The followed points of a session make no sense.") from None
    return json.dumps({numbers[clip]: one for clip, one in points.items() if clip in numbers})


def read_seen(kept: bytes) -> bytes | None:
    """What was seen in a clip, checked; None if it was seen by another method and must be watched again.

    Raises `BarnTrouble` for what is none.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(kept)) as rows:
            if sum(row.file_size for row in rows.infolist()) > _MOST_SEEN:
                raise BarnTrouble("What was seen in a clip would grow beyond measure.")
        # Another method's rows may have other names.
        if method_of(kept) != METHOD:
            return None
        return kept if _makes_sense(Seen.from_bytes(kept)) else None
    except BarnTrouble:
        raise
    except Exception as error:
        # zipfile, zlib and NumPy raise many kinds here, all of which say the same.
        raise BarnTrouble("What was seen in a clip is damaged.") from error


def said_decisions(decisions: Iterable[Decision]) -> list[list[Any]]:
    """Decisions about a clip's proposals, in order of its frames, as JSON has them."""
    in_order = sorted(decisions, key=lambda one: (one.start_pts, one.id))
    return [[one.id, one.what, one.start_pts, one.end_pts, one.verdict, one.became, one.method] for one in in_order]


def read_decisions(said: Any, clip: int) -> tuple[Decision, ...]:
    """Decisions about the clip of that number within its session. Raises `BarnTrouble`."""
    return tuple(_decision(clip, *_row(row, 7)) for row in _rows(said))


def said_pointed(pointed: Iterable[Pointed]) -> list[list[Any]]:
    """Where the trainer pointed in a clip, as JSON has it."""
    return [[one.pts, one.x, one.y, one.heeded] for one in sorted(pointed, key=lambda one: one.pts)]


def read_pointed(said: Any) -> tuple[Pointed, ...]:
    """Where the trainer pointed in a clip. Raises `BarnTrouble`."""
    found = tuple(_pointed(*_row(row, 4)) for row in _rows(said))
    if len({one.pts for one in found}) != len(found):
        raise BarnTrouble("One frame was pointed at twice.")
    return found


def _decision(
    clip: int, number: Any, what: Any, start: Any, end: Any, verdict: Any, became: Any, method: Any
) -> Decision:
    words = isinstance(what, str) and _WORD.fullmatch(what) and isinstance(became, str)
    whole = _whole(number) and number > 0 and _whole(start) and _whole(method) and method < 1 << 31
    ends = end is None or (_whole(end) and end > start)
    if not (words and whole and ends and verdict in get_args(Verdict) and (not became or _WORD.fullmatch(became))):
        raise BarnTrouble("A decision about a proposal makes no sense.")
    return Decision(clip, what, start, end, verdict, became, method, number)


def _pointed(pts: Any, x: Any, y: Any, heeded: Any) -> Pointed:
    shares = all(isinstance(share, int | float) and not isinstance(share, bool) for share in (x, y))
    if not (_whole(pts) and shares and 0 <= x <= 1 and 0 <= y <= 1 and isinstance(heeded, bool)):
        raise BarnTrouble("A place that was pointed at lies outside the picture.")
    return Pointed(pts, float(x), float(y), heeded)


def _rows(said: Any) -> list[Any]:
    if not isinstance(said, list):
        raise BarnTrouble("An entry is not a list.")
    return said


def _row(said: Any, length: int) -> list[Any]:
    if not isinstance(said, list) or len(said) != length:
        raise BarnTrouble("An entry has too few or too many facts.")
    return said


def _whole(said: Any) -> bool:
    return isinstance(said, int) and not isinstance(said, bool) and abs(said) < 1 << 63


def _makes_sense(seen: Seen) -> bool:
    lengths = {row.shape for row in seen.tracks.values()}
    kinds = {row.dtype for row in seen.tracks.values()}
    whole = len(lengths) == 1 and kinds == {np.dtype(np.float32)}
    [shape] = lengths if whole else [(0, 0)]
    times = [seen.length_s, seen.shape, *seen.cuts, *(sound.at_s for sound in seen.sounds)]
    times += [edge for one in seen.rhythm for edge in (one.start_s, one.end_s)]
    numbers = all(isinstance(time, int | float) and 0 <= time < 1e6 for time in times)
    if not (whole and numbers and len(shape) == 1 and shape[0] <= _MOST_SAMPLES):
        raise BarnTrouble("What was seen in a clip makes no sense.")
    return True


def _check(key: str, text: str) -> None:
    last = key.rsplit(".", 1)[-1]
    if key == FOLLOWING:
        renumbered(text, {})
    elif key == SECOND_LOOK or last.isdecimal():
        read_second_look(text)
    elif last == "day":
        parse_day(text)
    elif last == "verdicts":
        try:
            verdicts = json.loads(text)
        except (ValueError, RecursionError):
            verdicts = None
        if not isinstance(verdicts, dict):
            raise BarnTrouble("What was decided about two looks makes no sense.")
