"""What is said of a suggestion: the behaviour, from and to, and how sure the machine is, in plain words."""

from __future__ import annotations

from collections.abc import Collection

from PySide6.QtCore import QCoreApplication

from annotate.behaviours import Sheet
from annotate.clock import clock_text
from annotate.motion.suggestions import Shares, Suggestion
from app.counted import Counted
from app.sure_words import CALIBRATED, sure_words


def suggestion_words(one: Suggestion, sheet: Sheet, calibrated: Collection[str] = ()) -> str:
    """'Walk, 0:12.0 to 0:18.5, fairly sure'; with what this horse's own tags had a part in said."""
    title = sheet[one.what].title if one.what in sheet else one.what
    when = clock_text(one.start_ns)
    if one.end_ns is not None:
        to = QCoreApplication.translate("suggestions", "{start} to {end}")
        when = to.format(start=when, end=clock_text(one.end_ns))
    sure = QCoreApplication.translate("suggestions", sure_words(one.confidence))
    words = f"{title[:1].upper()}{title[1:]}, {when}, {sure}"
    return f"{words}; {QCoreApplication.translate('suggestions', CALIBRATED)}" if one.what in calibrated else words


def shares_words(told: Shares) -> str:
    """'taken 12, changed 3, refused 5 of 31'."""
    words = QCoreApplication.translate("suggestions", "taken {taken}, changed {changed}, refused {refused} of {all}")
    return words.format(taken=told.taken, changed=told.changed, refused=told.refused, all=told.of)


def open_words(count: int) -> str:
    """'1 suggestion is open', '12 suggestions are open'."""
    return Counted.tr("{count} suggestion is open|{count} suggestions are open", "", count)
