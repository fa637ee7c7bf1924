"""A criterion as a sentence whose numbers can be edited where they stand."""

from __future__ import annotations

import re
from dataclasses import dataclass

from annotate.behaviours import Sheet
from annotate.programme.reading import BOUNDS
from annotate.programme.steps import MOVING, Criterion, InARow, Reactions, Seconds, Times


@dataclass(frozen=True, slots=True)
class Field:
    """A number of a criterion: the word it has in the file, its value and its bounds."""

    word: str
    value: int
    low: int
    high: int


Parts = tuple[str | Field, ...]

_ONE = re.compile(r"\b1 (day|time)s\b")

_REIN = {
    "either": "",
    "left": " on the left rein",
    "right": " on the right rein",
    "each": " on each rein",
}
_SIDE = {"either": "", "left": " on the left", "right": " on the right", "each": " on each side"}


def parts(criterion: Criterion, sheet: Sheet) -> Parts:
    """The sentence in pieces: words, and fields between them."""
    if isinstance(criterion, Seconds):
        where = _REIN[criterion.rein] + _with(criterion.tack, sheet) + _here(criterion.in_this_step)
        return (
            _field("at_least", criterion.at_least),
            f"s of {title(criterion.of, sheet)}{where}, in one session",
        )
    if isinstance(criterion, Times):
        what = f"{title(criterion.of, sheet).capitalize()}{_SIDE[criterion.side]}:"
        return (what, _field("at_least", criterion.at_least), "times in one session")
    if isinstance(criterion, InARow):
        return (
            f"{title(criterion.of, sheet).capitalize()}{_SIDE[criterion.side]}:",
            _field("in_a_row", criterion.in_a_row),
            "in a row at most severity",
            _field("severity", criterion.severity),
            *_within(criterion.within_s),
            *((", first of the day on", _field("days", criterion.days), "days") if criterion.days else ()),
        )
    if isinstance(criterion, Reactions):
        return (
            "No reaction above severity",
            _field("at_most", criterion.at_most),
            *_within(criterion.within_s),
            ", in the latest",
            _field("sessions", criterion.sessions),
            "sessions of at least",
            _field("seen_s", criterion.seen_s),
            f"s{_with(criterion.tack, sheet)}{_here(criterion.in_this_step)}",
        )
    off = "; front cinch seen coming off" if criterion.seen_off else ""
    return (f"Tack in order: front cinch first on and last off{off}",)


def sentence(criterion: Criterion, sheet: Sheet) -> str:
    """The same as one text."""
    pieces = (str(piece.value) if isinstance(piece, Field) else piece for piece in parts(criterion, sheet))
    text = " ".join(pieces).replace(" ,", ",").replace("latest 1 sessions", "latest session")
    return _ONE.sub(r"1 \1", text)


def title(name: str, sheet: Sheet) -> str:
    """What a gait, an event, a stimulus or a piece of tack is called."""
    return sheet[name].title if name != MOVING and name in sheet else name.replace("_", " ")


def _field(word: str, value: int) -> Field:
    return Field(word, value, *BOUNDS[word])


def _within(within_s: int | None) -> Parts:
    return () if within_s is None else (", calm within", _field("within_s", within_s), "s")


def _with(tack: str, sheet: Sheet) -> str:
    return f", the {title(tack, sheet)} on" if tack else ""


def _here(in_this_step: bool) -> str:
    return ", recorded as this step" if in_this_step else ""
