"""What is said of a suggestion: the behaviour, from and to, and how sure the machine is, in plain words."""

from __future__ import annotations

from collections.abc import Collection

from annotate.behaviours import Sheet
from annotate.clock import clock_text
from annotate.motion.suggestions import Shares, Suggestion
from annotate.numbers.wording import several

QUITE_SURE, FAIRLY_SURE = 0.8, 0.55
CALIBRATED = "calibrated to this horse from tags confirmed"


def sure_words(confidence: float) -> str:
    """How sure the machine is, of 1."""
    if confidence >= QUITE_SURE:
        return "quite sure"
    return "fairly sure" if confidence >= FAIRLY_SURE else "a guess"


def suggestion_words(one: Suggestion, sheet: Sheet, calibrated: Collection[str] = ()) -> str:
    """'Walk, 0:12.0 to 0:18.5, fairly sure'; with what this horse's own tags had a part in said."""
    title = sheet[one.what].title if one.what in sheet else one.what
    when = clock_text(one.start_ns)
    if one.end_ns is not None:
        when += f" to {clock_text(one.end_ns)}"
    words = f"{title[:1].upper()}{title[1:]}, {when}, {sure_words(one.confidence)}"
    return f"{words}; {CALIBRATED}" if one.what in calibrated else words


def shares_words(told: Shares) -> str:
    """'taken 12, changed 3, refused 5 of 31'."""
    return f"taken {told.taken}, changed {told.changed}, refused {told.refused} of {told.of}"


def open_words(count: int) -> str:
    """'1 suggestion is open', '12 suggestions are open'."""
    return f"{several(count, 'suggestion')} {'is' if count == 1 else 'are'} open"
