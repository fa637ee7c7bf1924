"""A horse and its owner as the barn knows them. Names are told apart without regard to capitals.

Heights are exact centimetres: a half inch is 1.27 cm, so hands and centimetres both come back as written.
"""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from typing import Literal

Where = Literal["barn", "archive", "bin"]
"""Where a record lies: among those in use, put aside, or thrown away until the bin is emptied."""


@dataclass(frozen=True, slots=True)
class Owner:
    """Whom a horse belongs to. `contact` is whatever reaches them."""

    id: int
    name: str
    contact: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class Horse:
    """One horse. Texts that nobody gave are empty; with `year_only`, `born` is the first day of its year.

    `height_cm` is at the withers, `hip_height_cm` from the ground to the hip joint.
    """

    id: int
    name: str
    sex: str = ""
    colour: str = ""
    born: date | None = None
    note: str = ""
    owner: str = ""
    year_only: bool = False
    height_cm: Fraction | None = None
    hip_height_cm: Fraction | None = None
    weight_kg: int | None = None
    where: Where = "barn"

    def age_on(self, day: date) -> int | None:
        """Whole years on a day; None where the birth is unknown or lies after it."""
        if self.born is None or day < self.born:
            return None
        before_birthday = (day.month, day.day) < (self.born.month, self.born.day)
        return day.year - self.born.year - before_birthday


def same_name(name: str) -> str:
    """The form under which two spellings of one name are equal: 'ÖKONOM' and 'Ökonom'."""
    return unicodedata.normalize("NFC", unicodedata.normalize("NFC", name).casefold())
