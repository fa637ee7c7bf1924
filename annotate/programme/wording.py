"""A criterion as a sentence whose numbers and words can be edited where they stand."""

from __future__ import annotations

import re
from dataclasses import dataclass

from annotate.behaviours import GAIT, TACK, Sheet, stimulus_words
from annotate.programme.reading import BOUNDS
from annotate.programme.steps import MOVING, Criterion, InARow, Reactions, Seconds, Times


@dataclass(frozen=True, slots=True)
class Field:
    """A number of a criterion: the word it has in the file, its value and its bounds.

    `value` is None for a number that may be left out and is.
    """

    word: str
    value: int | None
    low: int
    high: int
    may_be_left_out: bool = False


@dataclass(frozen=True, slots=True)
class Choice:
    """A word of a criterion that is one of several; `options` are the words in the file, each with its title."""

    word: str
    value: str
    options: tuple[tuple[str, str], ...]

    @property
    def title(self) -> str:
        """What the sentence says for it."""
        return dict(self.options).get(self.value, self.value.replace("_", " "))


@dataclass(frozen=True, slots=True)
class Flag:
    """Something that a criterion asks for besides, or does not."""

    word: str
    value: bool
    title: str


@dataclass(frozen=True, slots=True)
class Clause:
    """A part of the sentence that is left out of it where `said` is False; it can still be edited."""

    pieces: tuple[str | Field, ...]
    said: bool


SETTINGS = {
    ("limits", "sessions_back"): "so many of the latest sessions are looked at for what to look at first",
    ("limits", "one_side_reactions"): "reactions on one rein and ...",
    ("limits", "one_side_times"): "... times as often there as on the other are one-sided",
    ("limits", "girth_s"): "seconds after a cinch or surcingle is fastened a reaction belongs to the girth ...",
    ("limits", "girth_severity"): "... from this severity on",
    ("limits", "one_rein_s"): "seconds of moving on one rein and ...",
    ("limits", "other_rein_s"): "... less than so many on the other are work on one rein only",
    ("saddling", "first"): "first saddlings are from the chosen side",
}
"""What each number of the programme's tables means, read after the number."""

Parts = tuple[str | Field | Choice | Flag | Clause, ...]

_ONE = re.compile(r"\b1 (day|time)s\b")

_REIN = (
    ("either", ""),
    ("left", "on the left rein"),
    ("right", "on the right rein"),
    ("each", "on each rein"),
)
_FROM = (
    ("either", ""),
    ("left", "from the left rein"),
    ("right", "from the right rein"),
    ("each", "from each rein"),
)
_SIDE = (("either", ""), ("left", "on the left"), ("right", "on the right"), ("each", "on each side"))


def parts(criterion: Criterion, sheet: Sheet) -> Parts:
    """The sentence in pieces: words, and between them what can be edited."""
    if isinstance(criterion, Seconds):
        gaits = [MOVING, *(one.name for one in sheet.of_group(GAIT))]
        return (
            _field("at_least", criterion.at_least),
            "s of",
            _choice("of", criterion.of, gaits, sheet),
            Choice("rein", criterion.rein, _REIN),
            _tack(criterion.tack, sheet),
            ", in one session",
            Flag("in_this_step", criterion.in_this_step, ", recorded as this step"),
        )
    if isinstance(criterion, Times):
        events = [one.name for one in sheet.behaviours if not one.is_state]
        return (
            _choice("of", criterion.of, events, sheet),
            Choice("side", criterion.side, _SIDE),
            Choice("rein", criterion.rein, _FROM),
            ":",
            _field("at_least", criterion.at_least),
            "times in one session",
        )
    if isinstance(criterion, InARow):
        return (
            _choice("of", criterion.of, stimulus_words(sheet), sheet),
            Choice("side", criterion.side, _SIDE),
            ":",
            _field("in_a_row", criterion.in_a_row),
            "in a row at most severity",
            _field("severity", criterion.severity),
            _within(criterion.within_s),
            Clause((", first of the day on", _field("days", criterion.days), "days"), criterion.days > 0),
        )
    if isinstance(criterion, Reactions):
        return (
            "No reaction above severity",
            _field("at_most", criterion.at_most),
            _within(criterion.within_s),
            ", in the latest",
            _field("sessions", criterion.sessions),
            "sessions of at least",
            _field("seen_s", criterion.seen_s),
            "s",
            _tack(criterion.tack, sheet),
            Flag("in_this_step", criterion.in_this_step, ", recorded as this step"),
        )
    return (
        "Tack in order: front cinch first on and last off",
        Flag("seen_off", criterion.seen_off, "; front cinch seen coming off"),
        Flag("tied", criterion.tied, "; back cinch noted as tied"),
    )


def sentence(criterion: Criterion, sheet: Sheet) -> str:
    """The same as one text."""
    text = " ".join(word for piece in parts(criterion, sheet) if (word := _text(piece)))
    for mark in ",;:":
        text = text.replace(f" {mark}", mark)
    text = text[0].upper() + text[1:]
    return _ONE.sub(r"1 \1", text.replace("latest 1 sessions", "latest session"))


def title(name: str, sheet: Sheet) -> str:
    """What a gait, an event, a stimulus or a piece of tack is called."""
    return sheet[name].title if name != MOVING and name in sheet else name.replace("_", " ")


def _text(piece: str | Field | Choice | Flag | Clause) -> str:
    if isinstance(piece, Field):
        return "" if piece.value is None else str(piece.value)
    if isinstance(piece, Choice):
        return piece.title
    if isinstance(piece, Flag):
        return piece.title if piece.value else ""
    if isinstance(piece, Clause):
        return " ".join(map(_text, piece.pieces)) if piece.said else ""
    return piece


def _field(word: str, value: int) -> Field:
    return Field(word, value, *BOUNDS[word])


def _choice(word: str, value: str, names: list[str] | tuple[str, ...], sheet: Sheet) -> Choice:
    known = names if value in names else [*names, value]
    return Choice(word, value, tuple((name, title(name, sheet)) for name in known))


def _within(within_s: int | None) -> Clause:
    field = Field("within_s", within_s, *BOUNDS["within_s"], may_be_left_out=True)
    return Clause((", calm within", field, "s"), within_s is not None)


def _tack(tack: str, sheet: Sheet) -> Choice:
    worn = [one.name for one in sheet.of_group(TACK)]
    known = worn if not tack or tack in worn else [*worn, tack]
    return Choice("tack", tack, (("", ""), *((name, f", the {title(name, sheet)} on") for name in known)))
