"""Hands: how a horse's height at the withers is written. The digit after the point is inches, never tenths.

One hand is 4 inches of 2.54 cm. 15.2 is fifteen hands and two inches, 62 inches; after 15.3 comes 16.0.
"""

from __future__ import annotations

import re
from fractions import Fraction

from annotate.clock import round_half_up
from annotate.errors import Trouble

INCHES_PER_HAND = 4
CM_PER_INCH = Fraction(254, 100)

_HANDS = re.compile(r"(\d{1,2})(?:\.(\d))?( 1/2)?(?: ?(?:hh|h|hands))?")


def parse_hands(text: str) -> Fraction:
    """A height in hands as inches: '15.2' is 62, '15' is 60, '14.1 1/2' is 57 1/2.

    Raises `Trouble` for a digit above 3 after the point, and for what is no height in hands.
    """
    found = _HANDS.fullmatch(" ".join(text.split()))
    if found is None:
        raise Trouble(f"'{text}' is not a height in hands. Write it like 15.2.")
    hands, inches = int(found[1]), int(found[2] or 0)
    if inches >= INCHES_PER_HAND:
        raise Trouble(
            f"'{text}' is not a height in hands: the digit after the point is inches, 0 to 3. "
            f"After {hands}.3 comes {hands + 1}.0."
        )
    if not hands:
        raise Trouble(f"'{text}' is not the height of a horse.")
    return Fraction(hands * INCHES_PER_HAND + inches) + (Fraction(1, 2) if found[3] else 0)


def hands_text(inches: Fraction | int) -> str:
    """Inches as hands, to the nearest half inch: 62 is '15.2', 57 1/2 is '14.1 1/2', 64 is '16.0'."""
    whole, half = divmod(round_half_up(Fraction(inches) * 2), 2)
    hands, rest = divmod(whole, INCHES_PER_HAND)
    return f"{hands}.{rest} 1/2" if half else f"{hands}.{rest}"


def inches_to_cm(inches: Fraction | int) -> Fraction:
    """Inches as centimetres, exactly."""
    return inches * CM_PER_INCH


def cm_to_inches(cm: Fraction | int) -> Fraction:
    """Centimetres as inches, exactly."""
    return Fraction(cm) / CM_PER_INCH
