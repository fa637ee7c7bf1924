"""How many of something, for a person: '1 tag', '2 000 000 tags'."""

from __future__ import annotations


def counted(count: int, one: str, more: str = "") -> str:
    """The count with its word; thousands are grouped by a thin space."""
    number = f"{count:,}".replace(",", "\N{THIN SPACE}")
    return f"{number} {one if count == 1 else more or one + 's'}"
