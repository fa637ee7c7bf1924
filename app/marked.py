"""Marks texts that stand outside of what shows them, so that Qt's translator finds them."""

from __future__ import annotations


def QT_TRANSLATE_NOOP(context: str, text: str) -> str:
    """The text as it is. It is translated where it is shown, in this context; Qt's own of that name has no types."""
    return text
