"""How sure the machine is, in plain words. For the window and the command line alike."""

from __future__ import annotations

QUITE_SURE, FAIRLY_SURE = 0.8, 0.55
CALIBRATED = "calibrated to this horse from tags confirmed"


def sure_words(confidence: float) -> str:
    """How sure the machine is, of 1."""
    if confidence >= QUITE_SURE:
        return "quite sure"
    return "fairly sure" if confidence >= FAIRLY_SURE else "a guess"
