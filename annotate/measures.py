"""What a person writes about a horse's body and birth, and how it is written back.

A height is hands below 30 and centimetres above, unless a unit says which: no horse is 30 hands or 30 cm.
"""

from __future__ import annotations

import re
from datetime import date
from fractions import Fraction
from typing import Final

from annotate.clock import round_half_up, shown
from annotate.days import day_text
from annotate.errors import Trouble
from annotate.hands import cm_to_inches, hands_text, inches_to_cm, parse_hands
from annotate.horses import Horse

KG_PER_POUND: Final = Fraction(45_359_237, 100_000_000)
"""The international pound of 1959, exact."""

_CM: Final = re.compile(r"([0-9]{1,3}(?:[.,][0-9]{1,2})?) ?(cm)?", re.IGNORECASE)
_WEIGHT: Final = re.compile(r"([0-9]{1,4}) ?(kg|lb|lbs)?", re.IGNORECASE)
_AGE: Final = re.compile(r"([0-9]{1,2}) ?(?:years?|yrs?|y)?(?: old)?", re.IGNORECASE)
_LEAST_CM: Final = 30
_MOST_CM: Final = 250
_MOST_KG: Final = 1500


def parse_height(text: str) -> Fraction | None:
    """A height in centimetres: '15.2' and '15.2 hands' are 157.48, '157 cm' and '157' are 157; None if empty.

    Raises `Trouble` for 15.5, for more than two decimals, and for what no horse measures.
    """
    written = " ".join(text.split())
    if not written:
        return None
    found = _CM.fullmatch(written)
    if found and (found[2] or Fraction(found[1].replace(",", ".")) >= _LEAST_CM):
        cm = Fraction(found[1].replace(",", "."))
    else:
        cm = inches_to_cm(parse_hands(written))
    if not _LEAST_CM <= cm <= _MOST_CM:
        raise Trouble(f"{shown(text)} is not the height of a horse. Write 15.2 for hands, or 157 cm.")
    return cm


def height_text(cm: Fraction | None) -> str:
    """A height as it is written: '15.2 (157.48 cm)', or '157 cm' where no half inch fits; empty for None."""
    if cm is None:
        return ""
    inches = cm_to_inches(cm)
    exact = (inches * 2).denominator == 1
    return f"{hands_text(inches)} ({_decimal(cm)} cm)" if exact else f"{_decimal(cm)} cm"


def height_field(cm: Fraction | None) -> str:
    """A height for a form: what `parse_height` reads back to the same centimetres."""
    if cm is None:
        return ""
    inches = cm_to_inches(cm)
    return hands_text(inches) if (inches * 2).denominator == 1 else f"{_decimal(cm)} cm"


def parse_weight(text: str) -> int | None:
    """A weight in whole kilograms: '420', '420 kg', '925 lb'; None if empty. Raises `Trouble`."""
    written = " ".join(text.split())
    if not written:
        return None
    found = _WEIGHT.fullmatch(written)
    number = Fraction(found[1]) if found else Fraction(0)
    pounds = bool(found and found[2] and found[2].lower().startswith("lb"))
    kg = round_half_up(number * KG_PER_POUND) if pounds else int(number)
    if not 0 < kg <= _MOST_KG:
        raise Trouble(f"{shown(text)} is not the weight of a horse. Write 420 kg, or 925 lb.")
    return kg


def parse_born(text: str, today: date) -> tuple[date | None, bool]:
    """The birth from a day, a year or an age, and whether only its year is known; (None, False) if empty.

    '1 April 2023', '2023-04-01', '2023', '3 years'. Raises `Trouble` for a birth to come and for what is none of these.
    """
    written = " ".join(text.split())
    if not written:
        return None, False
    age = _AGE.fullmatch(written)
    if age and int(age[1]) <= 60:
        return date(today.year - int(age[1]), 1, 1), True
    if re.fullmatch(r"[0-9]{4}", written) and 1900 <= int(written) <= today.year:
        return date(int(written), 1, 1), True
    # Loaded here: the window's first picture has this module's other words, and needs no sessions.
    from annotate.sessions import parse_day

    try:
        born = parse_day(written)
    except Trouble:
        raise Trouble(
            f"{shown(text)} is not a birth. Write a day like 1 April 2023, a year, or an age."
        ) from None
    if born > today:
        raise Trouble(f"{shown(text)} is still to come. Write a day like 1 April 2023, a year, or an age.")
    return born, False


def born_field(horse: Horse) -> str:
    """The birth for a form: what `parse_born` reads back."""
    if horse.born is None:
        return ""
    return str(horse.born.year) if horse.year_only else day_text(horse.born)


def horse_line(horse: Horse, today: date) -> str:
    """The horse in one line: 'mare, bay, 3 years, 15.2 (157.48 cm), 420 kg, owned by R. Hollow'."""
    age = horse.age_on(today)
    years = "" if age is None else "1 year" if age == 1 else f"{age} years"
    about = f"about {years}" if years and horse.year_only else years
    weight = f"{horse.weight_kg} kg" if horse.weight_kg else ""
    owned = f"owned by {horse.owner}" if horse.owner else ""
    parts = (horse.sex, horse.colour, about, height_text(horse.height_cm), weight, owned)
    return ", ".join(part for part in parts if part)


def _decimal(cm: Fraction) -> str:
    whole, rest = divmod(round_half_up(cm * 100), 100)
    return f"{whole}.{rest:02d}".rstrip("0").rstrip(".") if rest else str(whole)
