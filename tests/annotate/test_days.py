from __future__ import annotations

from datetime import date

from annotate.days import to_come

TODAY = date(2026, 5, 4)


def test_a_day_to_come_is_told_with_today() -> None:
    assert to_come(date(2027, 5, 4), TODAY) == "2027-05-04 is still to come: today is 2026-05-04."


def test_today_and_what_lies_behind_are_nothing_to_speak_of() -> None:
    assert to_come(TODAY, TODAY) == ""
    assert to_come(date(1999, 1, 1), TODAY) == ""
