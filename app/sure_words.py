"""How sure the machine is, in plain words. For the window and the command line alike."""

from __future__ import annotations

from app.marked import QT_TRANSLATE_NOOP

QUITE_SURE, FAIRLY_SURE = 0.8, 0.55
CALIBRATED = QT_TRANSLATE_NOOP("suggestions", "calibrated to this horse from tags confirmed")
_SURE = QT_TRANSLATE_NOOP("suggestions", "quite sure")
_FAIRLY = QT_TRANSLATE_NOOP("suggestions", "fairly sure")
_GUESS = QT_TRANSLATE_NOOP("suggestions", "a guess")


def sure_words(confidence: float) -> str:
    """How sure the machine is, of 1; the window translates it."""
    if confidence >= QUITE_SURE:
        return _SURE
    return _FAIRLY if confidence >= FAIRLY_SURE else _GUESS
